//! `tamis assess`: the numbers of a formula.

use std::path::PathBuf;

use crate::answer::Answer;
use crate::cli::args::within;
use crate::cli::session::Session;
use crate::cli::writer::{inputs, save};
use crate::cli::{brief_assessment, curve, print_assessment};
use crate::diagnostic::Problems;
use crate::engine::AssessOptions;

/// Work out the numbers of a formula
#[derive(clap::Args, Debug)]
#[command(after_help = "Example: tamis assess mix.csv --curve")]
pub struct Flags {
    /// CSV file with the columns ingredient,grams, or the name of a formula that comes with the program; - reads standard input
    pub formula: PathBuf,
    /// Draw the freezing curve
    #[arg(long)]
    pub curve: bool,
    /// Write the freezing curve as SVG, in place of what is there
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
    /// Air beaten in, ml per 100 ml of mix
    #[arg(long, default_value_t = 0.0, value_name = "PERCENT", allow_hyphen_values = true, value_parser = within(0.0, 1000.0))]
    pub overrun: f64,
    /// Serving temperature, C
    #[arg(long, default_value_t = -18.0, allow_hyphen_values = true, value_name = "CELSIUS", value_parser = within(-100.0, 100.0))]
    pub serve: f64,
    /// Show another formula beside it
    #[arg(long, value_name = "FORMULA.csv")]
    pub against: Option<PathBuf>,
}

/// Assesses a formula, beside another one where that is asked.
pub fn run(session: &Session, flags: &Flags) -> Result<u8, Problems> {
    let (engine, args) = (&session.engine, session.args);
    let mix = session.formula(&flags.formula)?;
    let options = AssessOptions {
        overrun_percent: flags.overrun,
        serving_celsius: flags.serve,
        ..AssessOptions::default()
    };
    let mut assessment = engine.assess(&mix, options);
    let other = match &flags.against {
        Some(path) => Some(engine.set_against(&mut assessment, &session.formula(path)?, options)),
        None => None,
    };
    if let Some(path) = &flags.svg {
        save(path, &inputs(args), &curve::svg(engine, &mix))?;
    }
    session.give(&Answer::Assessment(Box::new(assessment.clone())), |page| {
        match args.why || other.is_some() {
            true => print_assessment::print(page, &assessment, other.as_ref()),
            false => brief_assessment::print(page, &assessment),
        }
        if flags.curve {
            curve::draw(page, engine, &mix);
        }
    })
}
