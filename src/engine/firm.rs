//! Firmer and softer in a dish that is not frozen: more or less of what sets or thickens it. The share of
//! the water that is ice says nothing there.

use super::Engine;
use crate::formula::{Dish, Formula, weighed};
use crate::model::{Aim, Dial, DishKind, Ingredient, IngredientKey, Wish};

/// By how much of itself what sets a dish is raised or lowered for a step one feels, %.
/// Source: common-practice.
const STEP: f64 = 20.0;
/// Figures that words such as "firmer" and "thicker" mean in a frozen dish.
const HARDNESS: [Dial; 4] = [
    Dial::FrozenAt18,
    Dial::FrozenAt12,
    Dial::FreezingPoint,
    Dial::Stabiliser,
];

/// What firmer or softer comes to in a dish that is not frozen.
pub(super) struct Firmed {
    /// Grams more, or less, of each thing that sets it; empty where nothing known does.
    pub moved: Vec<(IngredientKey, f64)>,
    /// What was taken for granted.
    pub said: String,
}

impl Engine {
    /// How a wish for a firmer or softer dish is met where the dish is not frozen; `None` where it is
    /// frozen, or the wish is of something else.
    pub(super) fn firmed(&self, formula: &Formula, wish: &Wish) -> Option<Firmed> {
        let [goal] = wish.goals.as_slice() else {
            return None;
        };
        let sign = match goal.aim {
            Aim::Raise => 1.0,
            Aim::Lower => -1.0,
            _ => return None,
        };
        let assessor = self.assessor();
        let dish = Dish::of(assessor, formula, &assessor.state(formula));
        if !HARDNESS.contains(&goal.dial) || dish.kind == DishKind::Frozen {
            return None;
        }
        let merged = formula.merged();
        let of = |sets: &dyn Fn(&Ingredient) -> bool| -> Vec<(IngredientKey, f64)> {
            let lines = merged.lines.iter();
            let setting = lines.filter(|line| sets(self.catalogue.ingredient(line.key)));
            setting
                .map(|line| (line.key, sign * STEP / 100.0 * line.grams))
                .collect()
        };
        let foremost = |job: &'static str| {
            move |i: &Ingredient| i.functions.first().is_some_and(|first| first == job)
        };
        // A gel goes before a thickener, and either before what does it besides.
        let mut moved = of(&foremost("gelling agent"));
        if moved.is_empty() {
            moved = of(&foremost("thickener"));
        }
        if moved.is_empty() {
            moved = of(&|i: &Ingredient| i.does("gelling agent") || i.does("thickener"));
        }
        let name = |key: &IngredientKey| self.catalogue.ingredient(*key).name.clone();
        let dish = match dish.name.as_str() {
            "" => "dish",
            name => name,
        };
        let each: Vec<String> = moved.iter().map(|(key, _)| name(key)).collect();
        let way = if sign > 0.0 { "more" } else { "less" };
        let said = match each.is_empty() {
            true => format!(
                "nothing here is known to set or thicken a {}: how firm it is cannot be worked out",
                dish
            ),
            false => format!(
                "a {} is held by {}: {} % {way} of it is a step one feels; try it on a small batch",
                dish,
                each.join(" and "),
                weighed(STEP)
            ),
        };
        Some(Firmed { moved, said })
    }
}
