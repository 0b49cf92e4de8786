//! `tamis sources`: where values come from.

use crate::answer::Answer;
use crate::cli::session::Session;
use crate::diagnostic::Problems;

/// List the sources, or the values of one kind of source
#[derive(clap::Args, Debug)]
#[command(after_help = "Example: tamis sources --kind memory")]
pub struct Flags {
    /// standard, regulation, handbook, textbook, paper, dataset, web, common-practice, derived, memory or own
    #[arg(long)]
    pub kind: Option<String>,
}

/// Lists the sources, or the values of one kind.
pub fn run(session: &Session, flags: &Flags) -> Result<u8, Problems> {
    let sources = session.engine.sources(flags.kind.as_deref())?;
    session.answer(&Answer::Sources(sources))
}
