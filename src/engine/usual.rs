//! What is usual for a product: a sorbet is not judged by the bands of an ice cream.

use super::{Engine, number};
use crate::answer::FindingOut;
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

/// Share of the water frozen at -18 C from which a mix is one to be frozen, %.
/// Source: memory; the least of any guard is 68.
const FROZEN: f64 = 50.0;

/// Dials whose usual range a change is held against; a swap moves the others on purpose.
const TOLD: [Dial; 6] = [
    Dial::Fat,
    Dial::Msnf,
    Dial::TotalSolids,
    Dial::Stabiliser,
    Dial::FrozenAt18,
    Dial::Alcohol,
];

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

    /// What a change of a frozen mix takes out of its usual ranges, or further out of them.
    pub(super) fn unusual(&self, before: &State, after: (&Formula, &State)) -> Vec<FindingOut> {
        let (formula, state) = after;
        if state
            .dial(Dial::FrozenAt18)
            .is_none_or(|share| share < FROZEN)
        {
            return vec![];
        }
        let product = self.product(formula, state);
        let feels = crate::swap::feels(&self.catalogue, state);
        let each = self.catalogue.rules.iter().filter_map(|rule| {
            let RuleKind::Guard { product: p, band } = &rule.kind else {
                return None;
            };
            let dial = band.dial;
            let is = state
                .dial(dial)
                .filter(|_| p == product && TOLD.contains(&dial))?;
            let outside = |figure: f64| (band.low - figure).max(figure - band.high).max(0.0);
            let was = before.dial(dial).map_or(0.0, outside);
            let felt = feels.get(&dial).map_or(0.0, |feel| feel.tolerance);
            (outside(is) > was + felt).then(|| FindingOut {
                id: rule.id.clone(),
                severity: "watch".into(),
                topic: "usual range".into(),
                text: format!(
                    "{} comes to {} {}, usual for a {product} is {} to {}.",
                    dial.name(),
                    number(dial, is),
                    dial.unit(),
                    number(dial, band.low),
                    number(dial, band.high),
                ),
                because: rule.because.clone(),
                source: rule.source.clone(),
                locator: rule.locator.clone(),
            })
        });
        each.collect()
    }
}
