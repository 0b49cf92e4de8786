//! Reference mixes: what a question without a formula is answered on, and says so.

use super::Engine;
use crate::formula::{Formula, within};
use crate::model::IngredientKey;
use crate::swap::Unfrozen;

/// The reference mixes, by file; the first that holds what a question is about is used.
pub const REFERENCES: [&str; 2] = [
    "data/formulas/reference-sorbet.csv",
    "data/formulas/reference-ice-cream.csv",
];

/// What the table of dishes says of one that is frozen.
const FROZEN: &str = "frozen";
/// What belongs in a dairy mix: what is asked of it is answered on an ice cream.
const DAIRY: &str = "dairy-mix-family";

impl Engine {
    /// What a dish that is not frozen asks for; `None` for frozen ones and where none was named.
    pub(super) fn unfrozen(&self, dish: &str) -> Option<Unfrozen> {
        let dishes = || self.catalogue.words.iter().filter(|w| w.table == "dishes");
        if dish.is_empty() || dishes().any(|w| w.detail == FROZEN && within(dish, &w.meaning)) {
            return None;
        }
        let told = dishes().find(|w| w.meaning == dish);
        Some(Unfrozen {
            name: dish.to_string(),
            job: told.map_or(String::new(), |w| w.detail.clone()),
        })
    }

    /// The dish the name of a formula tells, where it is not frozen.
    pub(super) fn told_by(&self, formula: &Formula) -> Option<Unfrozen> {
        let name = formula.name.to_lowercase();
        let dishes = self.catalogue.words.iter().filter(|w| w.table == "dishes");
        let named: Vec<_> = dishes.filter(|w| within(&name, &w.word)).collect();
        if named.iter().any(|w| w.detail == FROZEN) {
            return None;
        }
        let dish = named.iter().max_by_key(|w| w.word.len())?;
        self.unfrozen(&dish.meaning)
    }

    /// Whether any of these belongs in a dairy mix.
    pub(super) fn dairy(&self, about: &[IngredientKey]) -> bool {
        about
            .iter()
            .any(|key| self.catalogue.ingredient(*key).is_of(DAIRY))
    }

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
