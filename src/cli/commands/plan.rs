//! `tamis plan`: how a formula is made.

use std::path::PathBuf;

use crate::answer::Answer;
use crate::cli::session::Session;
use crate::diagnostic::Problems;

/// Say how a formula is made: steps in working order, with grams and temperatures
#[derive(clap::Args, Debug)]
#[command(after_help = "Example: tamis plan hazelnut-gelato")]
pub struct Flags {
    /// CSV file with the columns ingredient,grams, or the name of a formula that comes with the program
    pub formula: PathBuf,
}

/// Plans a formula.
pub fn run(session: &Session, flags: &Flags) -> Result<u8, Problems> {
    let mix = session.formula(&flags.formula)?;
    session.answer(&Answer::Plan(Box::new(session.engine.plan(&mix))))
}
