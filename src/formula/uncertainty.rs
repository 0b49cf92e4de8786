//! How far a dial may be off, and which figure of which ingredient contributes most.
//!
//! Every stated figure is moved alone to the ends of its range and the dial read again; the
//! half-differences are added in quadrature with the model's own error. Figures that state no
//! range get the spread of [`COMPOSITION_SPREAD`].

use super::assess::Assessor;
use super::part::Part;
use super::profile::{Origin, Profile};
use super::recipe::Formula;
use crate::model::{Dial, IngredientKey};

/// Relative spread of a composition figure that states no range: lot to lot and analysis.
/// Source: memory; 2 % relative is what makes a freezing point good to 0.1 C.
pub const COMPOSITION_SPREAD: f64 = 0.02;

/// What one figure contributes to the doubt of a dial.
#[derive(Debug, Clone, PartialEq)]
pub struct Contribution {
    /// Whose figure.
    pub key: IngredientKey,
    /// Which figure.
    pub part: Part,
    /// Half-width of the dial when this figure runs over its range.
    pub half_width: f64,
}

/// The doubt of one dial.
#[derive(Debug, Clone, PartialEq)]
pub struct Spread {
    /// Which dial.
    pub dial: Dial,
    /// Half-width, in the dial's unit.
    pub half_width: f64,
    /// The part of it that is the model's own.
    pub model: f64,
    /// The largest contributions, largest first.
    pub largest: Vec<Contribution>,
}

/// Figures that can move a dial; totals that only repeat them are left out.
const MOVING: [Part; 32] = [
    Part::Water,
    Part::Fat,
    Part::Protein,
    Part::Sugars,
    Part::Sucrose,
    Part::Glucose,
    Part::Fructose,
    Part::Lactose,
    Part::Maltose,
    Part::Trehalose,
    Part::Isomaltulose,
    Part::Allulose,
    Part::Tagatose,
    Part::Starch,
    Part::Fibre,
    Part::SolubleFibre,
    Part::Sorbitol,
    Part::Mannitol,
    Part::Xylitol,
    Part::Erythritol,
    Part::Maltitol,
    Part::Lactitol,
    Part::Isomalt,
    Part::Glycerol,
    Part::OrganicAcids,
    Part::Alcohol,
    Part::MilkSolidsNotFat,
    Part::StabiliserContent,
    Part::EmulsifierContent,
    Part::RelativeSweetness,
    Part::DextroseEquivalent,
    Part::NumberAverageMolarMass,
];

impl Assessor<'_> {
    /// The doubt of each of `dials` for a formula.
    pub fn spreads(&self, formula: &Formula, dials: &[Dial]) -> Vec<Spread> {
        let sums = self.sums(formula);
        let state = self.state_of(sums);
        let mut contributions: Vec<Vec<Contribution>> = vec![vec![]; dials.len()];
        for line in &formula.merged().lines {
            let ingredient = self.catalogue.ingredient(line.key);
            let profile = self.profile(line.key);
            for part in MOVING {
                let Some(figure) = profile
                    .figure(part)
                    .filter(|f| matches!(f.origin, Origin::Row(_)) && f.high > 0.0)
                else {
                    continue;
                };
                let own_range = figure.high > figure.low;
                let pure = figure.typical >= 99.9 && !own_range;
                if pure {
                    continue;
                }
                let (low, high) = if own_range {
                    (figure.low, figure.high)
                } else {
                    (
                        figure.typical * (1.0 - COMPOSITION_SPREAD),
                        figure.typical * (1.0 + COMPOSITION_SPREAD),
                    )
                };
                let moved = |number: f64| {
                    self.state_of(
                        sums + profile.sums * -line.grams
                            + Profile::moved(ingredient, part, number).sums * line.grams,
                    )
                };
                let (down, up) = (moved(low), moved(high));
                for (n, dial) in dials.iter().enumerate() {
                    if let (Some(a), Some(b)) = (down.dial(*dial), up.dial(*dial)) {
                        let half_width = (b - a).abs() / 2.0;
                        if half_width > 0.0 {
                            contributions[n].push(Contribution {
                                key: line.key,
                                part,
                                half_width,
                            });
                        }
                    }
                }
            }
        }
        let spread = |(dial, mut each): (&Dial, Vec<Contribution>)| {
            let model = model_error(&state, *dial);
            let half_width = each
                .iter()
                .map(|c| c.half_width * c.half_width)
                .sum::<f64>()
                + model * model;
            each.sort_by(|a, b| {
                b.half_width
                    .total_cmp(&a.half_width)
                    .then(a.key.cmp(&b.key))
                    .then(a.part.cmp(&b.part))
            });
            each.truncate(3);
            Spread {
                dial: *dial,
                half_width: half_width.sqrt(),
                model,
                largest: each,
            }
        };
        dials.iter().zip(contributions).map(spread).collect()
    }
}

/// The model's own error of a dial: freezing by its evidence, sweetness by the spread of panels.
fn model_error(state: &super::State, dial: Dial) -> f64 {
    let half_at = |celsius: f64| {
        let temperature = crate::model::unit::Celsius::new(celsius)?;
        let frozen = state.sums.solution.frozen(temperature)?;
        Some(50.0 * (frozen.high - frozen.low).abs())
    };
    match dial {
        Dial::FreezingPoint => state.freezing_point.map_or(0.0, |r| r.model_error),
        Dial::FrozenAt18 => half_at(super::assess::FREEZER).unwrap_or(0.0),
        Dial::FrozenAt12 => half_at(super::assess::CABINET).unwrap_or(0.0),
        _ => 0.0,
    }
}
