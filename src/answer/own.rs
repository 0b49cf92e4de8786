//! What own data adds to an answer, as data.

use serde::{Deserialize, Serialize};

use super::ValueOut;

/// What a formula costs, by the prices of the own data.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CostOut {
    /// Currency per kilogram, as the own data writes it.
    pub unit: String,
    /// Per kilogram; `None` where a price is lacking.
    pub per_kg: Option<f64>,
    /// Of the whole batch, in the currency; `None` where a price is lacking.
    pub batch: Option<f64>,
    /// Of the part of the batch whose price is known, in the currency.
    pub known_batch: f64,
    /// Share of the mass whose price is known, %.
    pub known_mass_percent: f64,
    /// How many ingredients have a price.
    pub known_ingredients: usize,
    /// How many ingredients there are.
    pub ingredients: usize,
    /// Ids of those without a price; of a whole, with the parts that lack one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lacking: Vec<String>,
}

impl CostOut {
    /// The currency: `EUR` of `EUR/kg`.
    pub fn currency(&self) -> &str {
        self.unit.trim_end_matches("/kg")
    }
}

/// An own value with the built-in ones it goes before.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OverruledOut {
    /// Whose.
    pub ingredient: String,
    /// The own value.
    pub own: ValueOut,
    /// What is built in, preferred first.
    pub built_in: Vec<ValueOut>,
}
