//! What can be typed on the command line.

use std::path::PathBuf;

use clap::{Parser, Subcommand};

use super::commands::{
    adjust, ask, assess, check, compare, completeness, export, find, label, own, plan, scripts,
    sheet, show, sources, swap,
};

/// Knowledge base and engine for texture-engineered foods
#[derive(Parser, Debug)]
#[command(name = "tamis", version, about, long_about = None, arg_required_else_help = true, after_help = "Example: tamis ask \"can I use agar instead of gelatin\"")]
pub struct Args {
    #[command(subcommand)]
    pub command: Command,
    /// Keep the formula of an option as a file, ready to be assessed or changed further
    #[arg(long, global = true, value_name = "FILE")]
    pub write: Option<PathBuf>,
    /// Which option to keep
    #[arg(
        long,
        global = true,
        value_name = "N",
        default_value_t = 1,
        requires = "write"
    )]
    pub option: usize,
    /// Write over a file that is there
    #[arg(long, global = true, requires = "write")]
    pub overwrite: bool,
    /// Give the reasons, rules and sources, and every figure
    #[arg(long, global = true)]
    pub why: bool,
    /// Print the answer as JSON
    #[arg(long, global = true)]
    pub json: bool,
    /// Work with the data and schema folders below DIR instead of the built-in ones
    #[arg(long, global = true, value_name = "DIR")]
    pub data: Option<PathBuf>,
    /// Lay the own data in DIR over the built-in one; without it TAMIS_OWN, else the folder `tamis own` names
    #[arg(long, global = true, value_name = "DIR")]
    pub own: Option<PathBuf>,
    /// Leave own data out
    #[arg(long, global = true, conflicts_with = "own")]
    pub no_own: bool,
    /// Batch of a formula written in per cent, such as "1 kg"; without it 1000 g
    #[arg(long, global = true, value_name = "AMOUNT", value_parser = mass)]
    pub batch: Option<f64>,
}

/// Reads a mass: `1 kg`, `2500`, `5 lb`; in grams.
fn mass(text: &str) -> Result<f64, String> {
    let text = text.trim();
    let digits = text
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .unwrap_or(text.len());
    let number: Option<f64> = text[..digits].parse().ok();
    let grams = match text[digits..].trim() {
        "" | "g" => Some(1.0),
        "kg" => Some(1000.0),
        "lb" => Some(453.592_37),
        "oz" => Some(28.349_523_125),
        _ => None,
    };
    match (number, grams) {
        (Some(number), Some(grams)) if (0.001..=1e9).contains(&(number * grams)) => {
            Ok(number * grams)
        }
        _ => Err("an amount such as 1 kg or 2500 g is expected".into()),
    }
}

/// Reads a number that makes sense for an option.
pub(super) fn within(low: f64, high: f64) -> impl Fn(&str) -> Result<f64, String> + Clone {
    move |text| match text.parse::<f64>() {
        Ok(number) if (low..=high).contains(&number) => Ok(number),
        _ => Err(format!("a number from {low} to {high} is expected")),
    }
}

/// What the program is asked to do; what each command takes stands in its own file.
#[derive(Subcommand, Debug)]
pub enum Command {
    Ask(ask::Flags),
    Assess(assess::Flags),
    Plan(plan::Flags),
    Sheet(sheet::Flags),
    Label(label::Flags),
    Swap(swap::Flags),
    Adjust(adjust::Flags),
    Find(find::Flags),
    Show(show::Flags),
    Compare(compare::Flags),
    Export(export::Flags),
    Sources(sources::Flags),
    /// List the properties with units and meanings
    Properties,
    Completeness(completeness::Flags),
    Check(check::Flags),
    Own(own::Flags),
    Completions(scripts::Flags),
    /// Print the manual page
    Man,
}

impl Command {
    /// The formula files that are read.
    pub fn formulas(&self) -> Vec<&PathBuf> {
        match self {
            Command::Ask(flags) => flags.formula.iter().collect(),
            Command::Assess(flags) => std::iter::once(&flags.formula)
                .chain(&flags.against)
                .collect(),
            Command::Swap(flags) => vec![&flags.formula],
            Command::Adjust(flags) => vec![&flags.formula],
            Command::Plan(flags) => vec![&flags.formula],
            Command::Sheet(flags) => vec![&flags.formula],
            Command::Label(flags) => vec![&flags.formula],
            _ => vec![],
        }
    }
}
