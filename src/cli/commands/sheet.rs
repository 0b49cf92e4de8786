//! `tamis sheet`: the bench sheet, on the terminal or as a page to print.

use std::path::PathBuf;

use crate::answer::Answer;
use crate::cli::args::within;
use crate::cli::session::Session;
use crate::cli::writer::{inputs, save};
use crate::cli::{curve, sheet_page};
use crate::diagnostic::Problems;
use crate::engine::LabelOptions;

/// Print the bench sheet of a formula: what to weigh, what to do, what to write down
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Examples:\n  tamis sheet hazelnut-gelato --batches 2,3\n  tamis sheet hazelnut-gelato --html sheet.html --paper letter --label us"
)]
pub struct Flags {
    /// CSV file with the columns ingredient,grams, or the name of a formula that comes with the program
    pub formula: PathBuf,
    /// How many times the batch, in columns of their own: 2,3
    #[arg(long, value_name = "TIMES", value_delimiter = ',', allow_hyphen_values = true, value_parser = within(0.001, 1e6))]
    pub batches: Vec<f64>,
    /// Write the sheet as a page to print too, in place of what is there
    #[arg(long, value_name = "FILE")]
    pub html: Option<PathBuf>,
    /// Paper of that page
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    pub paper: Paper,
    /// Put a label draft on it: eu, us, uk, ca or au
    #[arg(long, value_name = "PLACE")]
    pub label: Option<String>,
    /// Whose limits of time and temperature the steps tell; without it that of the label
    #[arg(long, value_name = "PLACE")]
    pub place: Option<String>,
    /// Weight of a serving for the label, g
    #[arg(long, default_value_t = 100.0, value_name = "GRAMS", allow_hyphen_values = true, value_parser = within(0.1, 1e6))]
    pub serving: f64,
}

/// Paper a page is printed on.
#[derive(clap::ValueEnum, Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// 210 x 297 mm
    A4,
    /// 8.5 x 11 in
    Letter,
}

/// The sheet of a formula, on the terminal or, with `--html`, as a page in a file too.
///
/// Errors: those of the formula file, of a place whose labels are not known, and of writing.
pub fn run(session: &Session, flags: &Flags) -> Result<u8, Problems> {
    let engine = &session.engine;
    let mix = session.formula(&flags.formula)?;
    let place = flags.place.as_ref().or(flags.label.as_ref());
    let place = engine.place(place.map_or("", String::as_str))?;
    let mut sheet = engine.sheet(&mix, &flags.batches, place);
    if let Some(place) = &flags.label {
        let options = LabelOptions {
            serving_g: flags.serving,
            finished_g: None,
        };
        sheet.label = Some(engine.label(&mix, place, options)?);
    }
    if let Some(path) = &flags.html {
        let frozen = sheet.kind == crate::model::DishKind::Frozen;
        let drawn = frozen.then(|| curve::svg(engine, &mix));
        let text = sheet_page::html(&sheet, flags.paper, drawn.as_deref());
        save(path, &inputs(session.args), &text)?;
    }
    session.answer(&Answer::Sheet(Box::new(sheet)))
}
