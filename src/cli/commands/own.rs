//! `tamis own`: what own data is in use, or some started.

use std::path::{Path, PathBuf};

use crate::answer::{Answer, StartedOut, TableOut, Told};
use crate::cli::args::Args;
use crate::cli::print;
use crate::cli::session::{Session, json};
use crate::cli::writer::{create, failed, write};
use crate::diagnostic::Problems;
use crate::engine::versions;
use crate::load::{Files, TABLES};

/// Show what own data is in use, or start some: own values, prices, ingredients, blends, a shelf
#[derive(clap::Args, Debug)]
#[command(after_help = "Example: tamis own --init kitchen")]
pub struct Flags {
    /// Write empty tables into DIR; a table that is there stays as it is
    #[arg(long, value_name = "DIR")]
    pub init: Option<PathBuf>,
}

/// Shows the own data in use.
pub fn run(session: &Session) -> Result<u8, Problems> {
    session.answer(&Answer::Own(session.engine.own_data()))
}

/// Writes empty tables into a folder; none that is there is touched.
pub fn init(args: &Args, folder: &Path) -> Result<u8, Problems> {
    std::fs::create_dir_all(folder).map_err(|error| failed(folder, &error))?;
    let each = TABLES.iter().map(|table| {
        Ok(TableOut {
            name: table.name.to_string(),
            meaning: table.meaning.to_string(),
            new: create(&folder.join(table.name), &table.header())?,
        })
    });
    let started = Answer::Started(StartedOut {
        folder: folder.display().to_string(),
        tables: each.collect::<Result<_, Problems>>()?,
    });
    let told = Told {
        versions: versions(Some(&Files::embedded())),
        own_data: None,
        answer: &started,
    };
    write(&match args.json {
        true => json(&told),
        false => print::text(&started, args.why),
    })?;
    Ok(0)
}
