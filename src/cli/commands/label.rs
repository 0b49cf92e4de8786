//! `tamis label`: a label draft.

use std::path::PathBuf;

use crate::answer::Answer;
use crate::cli::args::within;
use crate::cli::session::Session;
use crate::diagnostic::Problems;
use crate::engine::LabelOptions;

/// Draft the label of a formula: list of ingredients, allergens, nutrition, statements
#[derive(clap::Args, Debug)]
#[command(after_help = "Example: tamis label hazelnut-gelato --for us --serving 90")]
pub struct Flags {
    /// CSV file with the columns ingredient,grams, or the name of a formula that comes with the program
    pub formula: PathBuf,
    /// Where it is sold: eu, us, uk, ca or au (Australia and New Zealand)
    #[arg(long = "for", value_name = "PLACE", default_value = "eu")]
    pub place: String,
    /// Weight of a serving, g
    #[arg(long, default_value_t = 100.0, value_name = "GRAMS", allow_hyphen_values = true, value_parser = within(0.1, 1e6))]
    pub serving: f64,
    /// What comes out of the batch where water evaporates, g; without it as much as goes in
    #[arg(long, value_name = "GRAMS", allow_hyphen_values = true, value_parser = within(0.001, 1e9))]
    pub finished: Option<f64>,
}

/// Drafts the label of a formula.
///
/// Errors: those of the formula file, and a place whose labels are not known.
pub fn run(session: &Session, flags: &Flags) -> Result<u8, Problems> {
    let mix = session.formula(&flags.formula)?;
    let options = LabelOptions {
        serving_g: flags.serving,
        finished_g: flags.finished,
    };
    let label = session.engine.label(&mix, &flags.place, options)?;
    session.answer(&Answer::Label(Box::new(label)))
}
