//! What own data adds to an answer: prices, and own values beside the built-in ones they go before.

use std::collections::BTreeSet;

use super::Engine;
use crate::answer::{ConflictOut, CostOut, OptionOut, OverruledOut};
use crate::formula::{Formula, Part, State};
use crate::model::{Ingredient, IngredientKey, PRICE};

/// How to give prices.
const GIVE_PRICES: &str = "prices are stated in own data: `tamis own --init DIR` starts a folder with a values.csv, where a row `sucrose,price,0.95,EUR/kg` says what a kilogram costs";

impl Engine {
    /// Whether any price is stated.
    pub fn has_prices(&self) -> bool {
        let mut ingredients = self.catalogue.ingredients.iter();
        self.own().is_some() && ingredients.any(|i| i.value(PRICE).is_some())
    }

    /// That no price is known and how to give some; `None` where any is.
    pub fn no_prices(&self) -> Option<String> {
        let text = format!("no price is known, and none is guessed; {GIVE_PRICES}");
        (!self.has_prices()).then_some(text)
    }

    /// What a formula costs, or how much of it has a price; `None` where no price is stated at all.
    pub fn cost(&self, formula: &Formula, state: &State) -> Option<CostOut> {
        if !self.has_prices() {
            return None;
        }
        let lines = formula.merged().lines;
        let lacking: Vec<String> = lines
            .iter()
            .filter(|l| !self.priced(l.key))
            .map(|l| self.unpriced(self.catalogue.ingredient(l.key)))
            .collect();
        let known = state.sums.percent(Part::Price);
        let whole = lacking.is_empty();
        Some(CostOut {
            unit: self.catalogue.property(PRICE)?.unit.clone(),
            per_kg: whole.then_some(known),
            batch: whole.then_some(known * state.sums.grams / 1000.0),
            known_batch: known * state.sums.grams / 1000.0,
            known_mass_percent: state.priced(),
            known_ingredients: lines.len() - lacking.len(),
            ingredients: lines.len(),
            lacking,
        })
    }

    /// Whether all of an ingredient has a price.
    pub(super) fn priced(&self, key: IngredientKey) -> bool {
        self.assessor().profile(key).sums.percent(Part::Priced) > 100.0 - 1e-6
    }

    /// An ingredient without a price, with the parts that lack one.
    fn unpriced(&self, ingredient: &Ingredient) -> String {
        let part = |(id, _): &(String, f64)| {
            let key = self.catalogue.key(id).filter(|k| !self.priced(*k))?;
            Some(self.unpriced(self.catalogue.ingredient(key)))
        };
        let parts: Vec<String> = ingredient.parts.iter().filter_map(part).collect();
        match parts.is_empty() {
            true => ingredient.id.clone(),
            false => format!("{} ({})", ingredient.id, parts.join(", ")),
        }
    }

    /// Why the price of a formula with these `others` cannot decide, and the way out; `None` where
    /// it can.
    pub(super) fn price_unknown(
        &self,
        formula: &Formula,
        others: impl Iterator<Item = IngredientKey>,
    ) -> Option<ConflictOut> {
        let mut formula = formula.clone();
        others.for_each(|key| formula.add(key, 1.0));
        let state = self.assessor().state(&formula);
        let text = match self.cost(&formula, &state) {
            None => self.no_prices()?,
            Some(cost) if cost.lacking.is_empty() => return None,
            Some(cost) => format!(
                "the price is known for {} of {} ingredients ({:.0} % of the mass); state one for {}, 0 where it costs nothing",
                cost.known_ingredients,
                cost.ingredients,
                cost.known_mass_percent,
                cost.lacking.join(", ")
            ),
        };
        Some(ConflictOut {
            constraint: PRICE.into(),
            text,
            nearest: None,
        })
    }

    /// The ingredients of the formulas options come to, each once.
    pub(super) fn named_in(&self, options: &[OptionOut]) -> Vec<&Ingredient> {
        let lines = options
            .iter()
            .flat_map(|o| o.formula.iter().chain(&o.ingredients));
        let ids: BTreeSet<&str> = lines.map(|a| a.id.as_str()).collect();
        let keys = ids.into_iter().filter_map(|id| self.catalogue.key(id));
        keys.map(|k| self.catalogue.ingredient(k)).collect()
    }

    /// Own values of these ingredients that go before built-in ones, with both.
    pub fn overruled<'i>(
        &self,
        ingredients: impl IntoIterator<Item = &'i Ingredient>,
    ) -> Vec<OverruledOut> {
        let mut out = vec![];
        if self.own().is_none() {
            return out;
        }
        for i in ingredients {
            for own in i.values.iter().filter(|v| v.own) {
                let before = |v: &&crate::model::Value| {
                    !v.own && v.property == own.property && v.condition == own.condition
                };
                let built_in: Vec<_> = i.values.iter().filter(before).collect();
                if !built_in.is_empty() {
                    out.push(OverruledOut {
                        ingredient: i.id.clone(),
                        own: self.value(i, own),
                        built_in: built_in.into_iter().map(|v| self.value(i, v)).collect(),
                    });
                }
            }
        }
        out
    }
}
