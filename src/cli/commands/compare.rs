//! `tamis compare`: ingredients side by side.

use crate::answer::Answer;
use crate::cli::session::Session;
use crate::diagnostic::Problems;

/// Put ingredients side by side
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Example: tamis compare agar-powder gelatin-powder --by \"gel melting temperature\""
)]
pub struct Flags {
    /// Two or more ingredients
    #[arg(required = true, num_args = 2..)]
    pub names: Vec<String>,
    /// Properties to compare (may be repeated); without them those that decide
    #[arg(long, value_name = "PROPERTY")]
    pub by: Vec<String>,
}

/// Compares.
pub fn run(session: &Session, flags: &Flags) -> Result<u8, Problems> {
    let comparison = session.engine.compare(&flags.names, &flags.by)?;
    session.answer(&Answer::Comparison(comparison))
}
