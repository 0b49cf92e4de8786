//! `tamis swap`: what can stand in for an ingredient.

use std::path::PathBuf;

use super::wanted::WantedFlags;
use crate::answer::Answer;
use crate::cli::args::within;
use crate::cli::session::Session;
use crate::diagnostic::Problems;
use crate::engine::SubstituteRequest;

/// Find what can stand in for an ingredient of a formula
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Example: tamis swap mix.csv --replace sucrose --keep sweetness --lower freezing_point --newcomers \"vegan and not family polyol\""
)]
pub struct Flags {
    /// CSV file with the columns ingredient,grams
    pub formula: PathBuf,
    /// What goes
    #[arg(long, value_name = "NAME")]
    pub replace: String,
    /// What comes, when it is settled already (may be repeated)
    #[arg(long, value_name = "NAME")]
    pub with: Vec<String>,
    /// How many grams go; without it as much as serves the wish
    #[arg(long, value_name = "GRAMS", allow_hyphen_values = true, value_parser = within(0.001, 1e9))]
    pub amount: Option<f64>,
    /// All of it must go
    #[arg(long)]
    pub whole: bool,
    #[command(flatten)]
    pub wanted: WantedFlags,
}

/// Swaps.
pub fn run(session: &Session, flags: &Flags) -> Result<u8, Problems> {
    let mix = session.formula(&flags.formula)?;
    let request = SubstituteRequest {
        replace: flags.replace.clone(),
        with: flags.with.clone(),
        grams: flags.amount,
        whole: flags.whole,
        wanted: flags.wanted.wanted(),
    };
    let swap = session.engine.substitute(&mix, &request)?;
    session.answer(&Answer::Swap(Box::new(swap)))
}
