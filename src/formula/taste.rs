//! How sweet each sugar and polyol counts in a mix: one ratio per kind, read from the data.
//!
//! Everything is tasted by its sugars and polyols, whatever jar they came in: cold, at the level of
//! 10 to 20 % sucrose, each by one ratio. A ratio is a row `use=mixture; of=<kind>` of the pure
//! substance; a person's own sweetness of that substance goes before it. A row `use=trade` is the
//! ratio of the plain sum of the trade, which is shown beside.

use super::part::Part;
use super::uncertainty::PUBLISHED_SPREAD;
use crate::model::{Catalogue, Ingredient, Value};
use crate::physics::solute::Solute;
use crate::physics::sweetness::Ratio;

const PROPERTY: &str = "relative_sweetness";
/// What a kind counts that no row tells: anything up to sucrose.
const UNTOLD: Ratio = Ratio {
    low: 0.0,
    typical: 0.5,
    high: 1.0,
};

/// Where a ratio was read: source and locator.
pub type Cited = (String, String);

/// The ratio of every kind, for mixes and for the sum of the trade.
#[derive(Debug, Clone)]
pub struct Tastes {
    kinds: [Ratio; Solute::ALL.len()],
    trade: [f64; Solute::ALL.len()],
    cited: Vec<Cited>,
    /// Saccharides of three units and more where no figure of their syrup tells.
    higher: Ratio,
}

impl Default for Tastes {
    fn default() -> Self {
        Tastes {
            kinds: [UNTOLD; Solute::ALL.len()],
            trade: [UNTOLD.typical; Solute::ALL.len()],
            cited: vec![Cited::default(); Solute::ALL.len()],
            higher: UNTOLD,
        }
    }
}

impl Tastes {
    /// The ratios of a catalogue.
    pub fn of(catalogue: &Catalogue) -> Self {
        let mut tastes = Tastes::default();
        for ingredient in &catalogue.ingredients {
            for value in &ingredient.values {
                let (true, Some("mixture"), Some(kind)) = (
                    value.property == PROPERTY && !value.own,
                    value.condition("use"),
                    value.condition("of"),
                ) else {
                    continue;
                };
                let value = own_sweetness(ingredient).unwrap_or(value);
                let Some(ratio) = ratio(value) else {
                    continue;
                };
                if kind == Part::HigherSaccharides.id() {
                    tastes.higher = ratio;
                }
                if let Some(n) = Solute::ALL.iter().position(|s| s.id() == kind) {
                    tastes.kinds[n] = ratio;
                    tastes.cited[n] = (value.source.clone(), value.locator.clone());
                    tastes.trade[n] = trade(ingredient).unwrap_or(ratio.typical);
                }
            }
        }
        tastes
    }

    /// The ratio of a kind in a mix.
    pub fn ratio(&self, solute: Solute) -> Ratio {
        self.kinds[solute as usize]
    }

    /// The ratio of saccharides of three units and more where no figure of their syrup tells.
    pub fn higher(&self) -> Ratio {
        self.higher
    }

    /// The ratio of a kind in the plain sum of the trade.
    pub fn trade(&self, solute: Solute) -> f64 {
        self.trade[solute as usize]
    }

    /// Where the ratio of a kind was read.
    pub fn cited(&self, solute: Solute) -> &Cited {
        &self.cited[solute as usize]
    }
}

/// Whether a ratio of every mix is read off this ingredient.
pub(super) fn is_measure(ingredient: &Ingredient) -> bool {
    ingredient
        .all(PROPERTY)
        .any(|v| v.condition("use") == Some("mixture"))
}

/// A person's own sweetness of an ingredient.
fn own_sweetness(ingredient: &Ingredient) -> Option<&Value> {
    ingredient
        .all(PROPERTY)
        .filter(|v| v.own && v.condition("use") != Some("trade"))
        .min_by_key(|v| v.rank())
}

/// What the trade counts for an ingredient as a whole.
pub(super) fn trade(ingredient: &Ingredient) -> Option<f64> {
    let mut rows = ingredient.all(PROPERTY);
    rows.find(|v| v.condition("use") == Some("trade"))?.figure()
}

fn ratio(value: &Value) -> Option<Ratio> {
    let typical = value.figure()?;
    let (low, high) = value.range()?;
    let exact = low == high && value.own;
    Some(Ratio {
        low: if exact {
            typical * (1.0 - PUBLISHED_SPREAD)
        } else {
            low
        },
        typical,
        high: if exact {
            typical * (1.0 + PUBLISHED_SPREAD)
        } else {
            high
        },
    })
}
