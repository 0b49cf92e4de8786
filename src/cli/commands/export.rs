//! `tamis export`: the knowledge base for spreadsheets and programs.

use std::path::{Path, PathBuf};

use clap::ValueEnum;

use crate::answer::{Answer, ExportedOut, ProfileOut, ValueOut, Written};
use crate::cli::session::{Session, json};
use crate::cli::writer::{inputs, save, save_with, write};
use crate::diagnostic::{Diagnostic, Problems};

/// Write the knowledge base for spreadsheets and programs
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Example: tamis export --format csv --out values.csv --where \"family polyol\""
)]
pub struct Flags {
    /// One table of values (csv, unless --json is asked), all of it (json), or the database (sqlite)
    #[arg(long, value_enum)]
    pub format: Option<Format>,
    /// Where to, in place of what is there; standard output without it
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Only ingredients for which this holds
    #[arg(long = "where", value_name = "CONDITION")]
    pub condition: Option<String>,
}

/// What an export writes.
#[derive(ValueEnum, Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// One row per value, with source and locator
    Csv,
    /// Every ingredient with all its values
    Json,
    /// The SQLite database
    Sqlite,
}

impl Format {
    fn written(self) -> Written {
        match self {
            Format::Csv => Written::Csv,
            Format::Json => Written::Json,
            Format::Sqlite => Written::Sqlite,
        }
    }
}

/// Writes the ingredients for which the condition holds: to a file where one is named, and under
/// `--json` says what was written.
pub fn run(session: &Session, flags: &Flags) -> Result<u8, Problems> {
    let profiles = session.engine.export(flags.condition.as_deref())?;
    let format = flags.format.unwrap_or(match session.args.json {
        true => Format::Json,
        false => Format::Csv,
    });
    let own = session.engine.own().is_some();
    let text = match format {
        Format::Csv => csv(&profiles, own)?,
        Format::Json => json(&profiles),
        Format::Sqlite => String::new(),
    };
    let Some(file) = &flags.out else {
        return printed(session, format, &text, &profiles);
    };
    if format == Format::Sqlite && flags.condition.is_some() {
        let problem = Diagnostic::new("I003", "export", "a database is written whole");
        return Err(problem
            .help("leave --where out, or write csv or json")
            .into());
    }
    let inputs = inputs(session.args);
    match format {
        Format::Sqlite => {
            save_with(file, &inputs, |beside| {
                session.engine.write_database(beside)
            })?;
        }
        Format::Csv | Format::Json => save(file, &inputs, &text)?,
    }
    if session.args.json {
        return session.answer(&Answer::Exported(exported(file, format, &profiles)));
    }
    Ok(nothing(&profiles))
}

/// 1 where no ingredient was written.
fn nothing(profiles: &[ProfileOut]) -> u8 {
    u8::from(profiles.is_empty())
}

/// Writes to standard output.
fn printed(
    session: &Session,
    format: Format,
    text: &str,
    profiles: &[ProfileOut],
) -> Result<u8, Problems> {
    let message = match format {
        Format::Sqlite => "a database cannot be printed",
        Format::Csv if session.args.json => "a table that is printed is no JSON",
        Format::Csv | Format::Json => {
            write(text)?;
            return Ok(nothing(profiles));
        }
    };
    Err(Diagnostic::new("I003", "export", message)
        .help("name a file with --out")
        .into())
}

/// What was written to a file.
fn exported(file: &Path, format: Format, profiles: &[ProfileOut]) -> ExportedOut {
    ExportedOut {
        file: file.display().to_string(),
        format: format.written(),
        ingredients: profiles.len(),
        values: profiles.iter().map(|p| p.values.len()).sum(),
    }
}

/// Columns of the table of values.
const COLUMNS: [&str; 14] = [
    "ingredient",
    "name",
    "family",
    "property",
    "condition",
    "low",
    "typical",
    "high",
    "text",
    "unit",
    "source",
    "locator",
    "kind",
    "note",
];

/// One row for each value; `standing` only where own data makes rows of one property differ in it.
fn csv(profiles: &[ProfileOut], own: bool) -> Result<String, Problems> {
    let failed = |error: String| Problems::from(Diagnostic::new("I002", "export", error));
    let standing = own.then_some("standing".to_string());
    let head = COLUMNS.iter().map(|c| c.to_string()).chain(standing);
    let rows = profiles
        .iter()
        .flat_map(|p| p.values.iter().map(move |v| row(p, v, own)));
    let mut writer = csv::Writer::from_writer(vec![]);
    for record in std::iter::once(head.collect()).chain(rows) {
        let record: Vec<String> = record;
        writer
            .write_record(record)
            .map_err(|e| failed(e.to_string()))?;
    }
    let bytes = writer.into_inner().map_err(|e| failed(e.to_string()))?;
    String::from_utf8(bytes).map_err(|e| failed(e.to_string()))
}

fn row(p: &ProfileOut, v: &ValueOut, own: bool) -> Vec<String> {
    let number = |x: Option<f64>| x.map_or(String::new(), |x| x.to_string());
    let standing = match (v.own, v.overruled) {
        (true, _) => "own",
        (_, true) => "overruled",
        _ => "",
    };
    let cells = [
        p.id.clone(),
        p.name.clone(),
        p.family.clone(),
        v.property.clone(),
        v.condition.clone(),
        number(v.low),
        number(v.typical),
        number(v.high),
        v.text.clone(),
        v.unit.clone(),
        v.source.clone(),
        v.locator.clone(),
        v.kind.to_string(),
        v.note.clone(),
    ];
    cells
        .into_iter()
        .chain(own.then(|| standing.to_string()))
        .collect()
}
