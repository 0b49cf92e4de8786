//! What a question is asked about: the formula in hand, where there is one.

use crate::model::IngredientKey;

/// The formula in hand.
#[derive(Debug, Clone, Copy, Default)]
pub struct Scene<'a> {
    /// What it holds.
    pub held: &'a [IngredientKey],
    /// Its name: `Raspberry sorbet`.
    pub title: &'a str,
    /// What all of it weighs, g.
    pub grams: f64,
}

impl Scene<'_> {
    /// Whether there is a formula.
    pub fn is_set(&self) -> bool {
        !self.held.is_empty()
    }
}
