//! Reference mixes: what a question without a formula is answered on, and says so.

use super::Engine;
use crate::formula::Formula;
use crate::model::IngredientKey;

/// The reference mixes, by file; the first that holds what a question is about is used.
pub const REFERENCES: [&str; 2] = [
    "data/formulas/reference-sorbet.csv",
    "data/formulas/reference-ice-cream.csv",
];

impl Engine {
    /// The reference mix for a dish and the ingredients a question names.
    pub fn reference(&self, dish: &str, about: &[IngredientKey]) -> Option<Formula> {
        let mixes: Vec<Formula> = REFERENCES
            .iter()
            .filter_map(|path| self.formula(path, self.files.text(path)?.as_bytes()).ok())
            .collect();
        let dairy = ["ice cream", "gelato", "custard", "soft serve"].contains(&dish);
        let holds = |mix: &&Formula| about.iter().any(|key| mix.grams_of(*key) > 0.0);
        let by_dish = if dairy { mixes.get(1) } else { None };
        by_dish
            .filter(|m| about.is_empty() || holds(m))
            .or_else(|| mixes.iter().find(holds))
            .cloned()
    }
}
