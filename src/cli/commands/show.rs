//! `tamis show`: all that is known of an ingredient.

use crate::answer::Answer;
use crate::cli::session::Session;
use crate::diagnostic::Problems;

/// Show all that is known of an ingredient, with sources
#[derive(clap::Args, Debug)]
#[command(after_help = "Example: tamis show locust bean gum")]
pub struct Flags {
    /// Name, id, E number or CAS number
    #[arg(required = true)]
    pub name: Vec<String>,
}

/// Shows an ingredient.
pub fn run(session: &Session, flags: &Flags) -> Result<u8, Problems> {
    let profile = session.engine.show(&flags.name.join(" "))?;
    session.answer(&Answer::Profile(Box::new(profile)))
}
