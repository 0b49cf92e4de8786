//! Ingredients worked out on demand, such as a syrup of a DE nobody listed: added behind the
//! catalogue's own, never moved and never taken away, so that a key stays good.

use std::collections::HashMap;
use std::sync::{PoisonError, RwLock};

use super::ingredient::Ingredient;

/// What was worked out so far, in the order it was asked for.
#[derive(Debug, Default)]
pub struct Made {
    ingredients: boxcar::Vec<Ingredient>,
    by_id: RwLock<HashMap<String, usize>>,
}

impl Made {
    /// The ingredient at a position.
    pub fn get(&self, at: usize) -> Option<&Ingredient> {
        self.ingredients.get(at)
    }

    /// The position of an id.
    pub fn position(&self, id: &str) -> Option<usize> {
        let known = self.by_id.read().unwrap_or_else(PoisonError::into_inner);
        known.get(id).copied()
    }

    /// Adds an ingredient, unless one of its id is there; its position.
    pub fn add(&self, ingredient: Ingredient) -> usize {
        let mut known = self.by_id.write().unwrap_or_else(PoisonError::into_inner);
        if let Some(at) = known.get(&ingredient.id) {
            return *at;
        }
        let id = ingredient.id.clone();
        let at = self.ingredients.push(ingredient);
        known.insert(id, at);
        at
    }
}

/// What was worked out is no part of what is known: a copy starts without it.
impl Clone for Made {
    fn clone(&self) -> Self {
        Made::default()
    }
}

/// Two catalogues are equal whatever was worked out from them.
impl PartialEq for Made {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}
