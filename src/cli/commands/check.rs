//! `tamis check`: the checks of the data.

use std::path::PathBuf;

use crate::answer::Answer;
use crate::cli::session::Session;
use crate::diagnostic::Problems;

/// Check the data: every problem with its place and way out
#[derive(clap::Args, Debug)]
pub struct Flags {
    /// The folder that holds data and schema; without it the built-in data
    pub folder: Option<PathBuf>,
}

/// Checks the data.
pub fn run(session: &Session) -> Result<u8, Problems> {
    session.answer(&Answer::Checked(session.engine.check()?))
}
