//! Flags of a swap or a rebalance: what is wanted.

use crate::engine::Wanted;

/// What is wanted of a swap or a rebalance.
#[derive(clap::Args, Debug, Default)]
pub struct WantedFlags {
    /// Keep this dial where it is (may be repeated)
    #[arg(long, value_name = "DIAL")]
    pub keep: Vec<String>,
    /// Raise this dial
    #[arg(long, value_name = "DIAL")]
    pub raise: Vec<String>,
    /// Lower this dial
    #[arg(long, value_name = "DIAL")]
    pub lower: Vec<String>,
    /// A dial and the least it may be, such as "total solids 30"
    #[arg(
        long = "at-least",
        value_name = "DIAL NUMBER",
        allow_hyphen_values = true
    )]
    pub at_least: Vec<String>,
    /// A dial and the most it may be, such as "fat 8"
    #[arg(
        long = "not-over",
        value_name = "DIAL NUMBER",
        allow_hyphen_values = true
    )]
    pub not_over: Vec<String>,
    /// What every newcomer must satisfy, such as "vegan and free of tree nuts"
    #[arg(long, value_name = "CONDITION")]
    pub newcomers: Option<String>,
    /// Only these may come in
    #[arg(long, value_delimiter = ',', value_name = "NAMES")]
    pub shelf: Vec<String>,
    /// Only what stands on the shelf of the own data (shelf.csv) may come in
    #[arg(long, conflicts_with = "shelf")]
    pub from_shelf: bool,
    /// How many newcomers at most
    #[arg(long = "at-most", default_value_t = 3, value_parser = clap::builder::RangedU64ValueParser::<usize>::new().range(1..=4), value_name = "N")]
    pub at_most: usize,
}

impl WantedFlags {
    /// As the engine is asked for it.
    pub fn wanted(&self) -> Wanted {
        Wanted {
            keep: self.keep.clone(),
            raise: self.raise.clone(),
            lower: self.lower.clone(),
            at_least: self.at_least.clone(),
            not_over: self.not_over.clone(),
            newcomers: self.newcomers.clone(),
            shelf: self.shelf.clone(),
            from_shelf: self.from_shelf,
            at_most: self.at_most,
        }
    }
}
