//! `tamis plan`: how a formula is made.

use std::path::PathBuf;

use crate::answer::Answer;
use crate::cli::session::Session;
use crate::diagnostic::Problems;

/// Say how a formula is made: steps in working order, with grams and temperatures
#[derive(clap::Args, Debug)]
#[command(after_help = "Example: tamis plan hazelnut-gelato --place uk")]
pub struct Flags {
    /// CSV file with the columns ingredient,grams, or the name of a formula that comes with the program
    pub formula: PathBuf,
    /// Whose limits of time and temperature the steps tell: eu, us, uk, ca or au
    #[arg(
        long,
        value_name = "PLACE",
        default_value = "",
        hide_default_value = true
    )]
    pub place: String,
}

/// Plans a formula.
///
/// Errors: those of the formula file, and of a place of which nothing is known.
pub fn run(session: &Session, flags: &Flags) -> Result<u8, Problems> {
    let mix = session.formula(&flags.formula)?;
    let place = session.engine.place(&flags.place)?;
    let plan = session.engine.plan_in(&mix, place);
    session.answer(&Answer::Plan(Box::new(plan)))
}
