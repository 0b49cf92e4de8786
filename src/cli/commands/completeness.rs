//! `tamis completeness`: what is known, family by property.

use clap::ValueEnum;

use crate::answer::Answer;
use crate::cli::completeness;
use crate::cli::session::Session;
use crate::cli::writer::write;
use crate::diagnostic::Problems;

/// Show how complete the knowledge is, family by property
#[derive(clap::Args, Debug)]
#[command(after_help = "Examples:\n  tamis completeness\n  tamis completeness polyol")]
pub struct Flags {
    /// One family in full
    pub family: Option<String>,
    /// Text, a Markdown document, or a row per family and property (csv)
    #[arg(long, value_enum, default_value_t = Layout::Text)]
    pub format: Layout,
}

/// How completeness is written.
#[derive(ValueEnum, Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layout {
    /// For a terminal
    Text,
    /// A document
    Markdown,
    /// A row per family and property
    Csv,
}

/// Counts what is known.
pub fn run(session: &Session, flags: &Flags) -> Result<u8, Problems> {
    let found = session.engine.completeness(flags.family.as_deref())?;
    let text = match flags.format {
        Layout::Text => return session.answer(&Answer::Completeness(found)),
        _ if session.args.json => return session.answer(&Answer::Completeness(found)),
        Layout::Markdown => completeness::markdown(&found),
        Layout::Csv => completeness::csv(&found),
    };
    write(&text)?;
    Ok(0)
}
