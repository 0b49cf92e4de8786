//! What is usual for a product: a sorbet is not judged by the bands of an ice cream.

use super::Engine;
use crate::formula::{Formula, State};
use crate::model::{Dial, IngredientKey, RuleKind};

/// Least fat of a plant-based ice cream, %; below it a mix without milk is a sorbet.
/// Source: guard `plant-fat`, its low end halved.
const LEAN: f64 = 3.0;
/// Least milk solids-not-fat of a dairy ice cream, %; below it a mix with milk is a sherbet.
/// Source: guard `ice-cream-msnf`, its low end halved.
const MILKY: f64 = 4.5;
/// Egg yolk from which a mix is a custard base, %.
/// Source: memory.
const YOLK: f64 = 3.0;

impl Engine {
    /// The product of the guards a formula comes nearest to: by its milk, fat and yolk.
    pub(super) fn product(&self, formula: &Formula, state: &State) -> &'static str {
        let milk = formula.lines.iter().any(|line| {
            let ingredient = self.catalogue.ingredient(line.key);
            matches!(
                ingredient.family.as_str(),
                "milk" | "milk-powder" | "cream-and-butter" | "cheese"
            )
        });
        let fat = state.dial(Dial::Fat).unwrap_or(0.0);
        let yolk = |key: Option<IngredientKey>| key.map_or(0.0, |key| formula.grams_of(key));
        let yolk = yolk(self.catalogue.key("egg-yolk")) / formula.grams().max(1e-9) * 100.0;
        match (milk, fat) {
            (false, fat) if fat < LEAN => "sorbet",
            (false, _) => "plant-based frozen",
            (true, _) if yolk >= YOLK => "custard base",
            (true, _) if state.dial(Dial::Msnf).unwrap_or(0.0) < MILKY => "sherbet",
            (true, _) => "dairy ice cream",
        }
    }

    /// The usual range of a dial in a product, where a guard states one.
    pub(super) fn usual(&self, product: &str, dial: Dial) -> Option<(f64, f64)> {
        let stated = |dial: Dial| {
            self.catalogue
                .rules
                .iter()
                .find_map(|rule| match &rule.kind {
                    RuleKind::Guard { product: p, band } if p == product && band.dial == dial => {
                        Some((band.low, band.high))
                    }
                    _ => None,
                })
        };
        stated(dial).or_else(|| match dial {
            Dial::Water => stated(Dial::TotalSolids).map(|(low, high)| (100.0 - high, 100.0 - low)),
            _ => None,
        })
    }
}
