//! `tamis adjust`: a formula brought back to its marks, or to new ones.

use std::path::PathBuf;

use super::wanted::WantedFlags;
use crate::answer::Answer;
use crate::cli::args::within;
use crate::cli::session::Session;
use crate::diagnostic::Problems;
use crate::engine::AdjustRequest;

/// Bring a formula back to its marks after an addition, or to new marks
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Examples:\n  tamis adjust mix.csv --add \"200 g dark-chocolate-70\"\n  tamis adjust mix.csv --target \"fat 8\" --target \"scoopable at -18\"\n  tamis adjust mix.csv --scale 2500"
)]
pub struct Flags {
    /// CSV file with the columns ingredient,grams
    pub formula: PathBuf,
    /// What was added, with its amount (may be repeated)
    #[arg(long, value_name = "AMOUNT NAME", allow_hyphen_values = true)]
    pub add: Vec<String>,
    /// A new mark: "fat 8", "sweetness -20 %", "scoopable at -18" (may be repeated)
    #[arg(long, value_name = "MARK", allow_hyphen_values = true)]
    pub target: Vec<String>,
    /// Batch weight to scale to, g
    #[arg(long, value_name = "GRAMS", allow_hyphen_values = true, value_parser = within(0.001, 1e9))]
    pub scale: Option<f64>,
    #[command(flatten)]
    pub wanted: WantedFlags,
}

/// Adjusts; a formula that is only taken to another weight is given as it is then weighed.
pub fn run(session: &Session, flags: &Flags) -> Result<u8, Problems> {
    let mix = session.formula(&flags.formula)?;
    let request = AdjustRequest {
        add: flags.add.clone(),
        targets: flags.target.clone(),
        scale: flags.scale,
        wanted: flags.wanted.wanted(),
    };
    session.answer(&match request.only_scales() {
        Some(grams) => Answer::Formula(session.engine.scale(&mix, grams)),
        None => Answer::Swap(Box::new(session.engine.adjust(&mix, &request)?)),
    })
}
