//! How far a figure of a mix may be off, and what contributes most.
//!
//! Every stated figure of every ingredient is moved alone to the ends of its range and the mix
//! read again; the half-differences are added in quadrature with the model's own error. A figure
//! that states no range gets [`PUBLISHED_SPREAD`], one that was recalled [`RECALLED_SPREAD`], of
//! the smaller of what is in 100 g and what is not: an analysis of pure sugar is hardly in doubt.

use super::assess::{Assessor, State, TASTED_AT, sweeteners};
use super::part::Part;
use super::profile::{Figure, Origin, Profile};
use super::recipe::Formula;
use crate::model::unit::Celsius;
use crate::model::{Dial, Ingredient, IngredientKey, SourceKind};
use crate::physics::scoop::{CABINET_COLD, CABINET_WARM, heat_shock};
use crate::physics::solute::Solute;
use crate::physics::sweetness::relative_sweetness;

/// Relative spread of a published figure that states no range: lot to lot and analysis. Source: memory.
pub const PUBLISHED_SPREAD: f64 = 0.05;
/// The same of a figure that was recalled or taken from practice or a weak page. Source: memory.
pub const RECALLED_SPREAD: f64 = 0.10;
/// Error of a computed water activity near one and per unit below it.
/// Source: derived from the comparisons named at `Solution::water_activity_20`.
const ACTIVITY_ERROR: (f64, f64) = (0.003, 0.05);

/// A figure of a mix whose doubt can be asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Output {
    /// A dial.
    Dial(Dial),
    /// Share of the water frozen at a temperature, %.
    Frozen(f64),
    /// Ice at a temperature, g per 100 g.
    Ice(f64),
    /// Temperature at which this share of the water, 0 to 1, is frozen, C.
    FrozenBy(f64),
    /// Water that melts per degree of cabinet cycling, %.
    HeatShock,
    /// Water activity at 20 C.
    WaterActivity,
}

/// What makes a figure doubtful.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cause {
    /// A figure of an ingredient.
    Figure(IngredientKey, Part),
    /// How sweet tasters find a sugar or polyol.
    Panel(Solute),
}

/// What one cause contributes to the doubt of a figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Contribution {
    /// Which.
    pub cause: Cause,
    /// Half-width of the figure when the cause runs over its range.
    pub half_width: f64,
}

/// The doubt of one figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Spread {
    /// Which figure.
    pub output: Output,
    /// Half-width, in the figure's unit.
    pub half_width: f64,
    /// The part of it that is the model's own.
    pub model: f64,
    /// The largest contributions, largest first.
    pub largest: Vec<Contribution>,
}

/// Figures that can move a mix; totals that only repeat them are left out.
const MOVING: [Part; 40] = [
    Part::Water,
    Part::Fat,
    Part::Protein,
    Part::Sugars,
    Part::Sucrose,
    Part::Glucose,
    Part::Fructose,
    Part::Galactose,
    Part::Lactose,
    Part::Maltose,
    Part::Trehalose,
    Part::Isomaltulose,
    Part::Allulose,
    Part::Tagatose,
    Part::HigherSaccharides,
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
    Part::Sodium,
    Part::Potassium,
    Part::Alcohol,
    Part::MilkSolidsNotFat,
    Part::StabiliserContent,
    Part::EmulsifierContent,
    Part::RelativeSweetness,
    Part::SweetnessCeiling,
    Part::SweetnessHalfConcentration,
    Part::DextroseEquivalent,
    Part::NumberAverageMolarMass,
    Part::Dp1,
    Part::Dp2,
];

impl Output {
    /// The figure of a mix; `None` where it cannot be computed.
    pub fn read(self, state: &State) -> Option<f64> {
        match self {
            Output::Dial(dial) => state.dial(dial),
            Output::Frozen(celsius) => state.frozen(celsius),
            Output::Ice(celsius) => {
                Some(state.sums.percent(Part::Water) * state.frozen(celsius)? / 100.0)
            }
            Output::FrozenBy(share) => Some(
                state
                    .sums
                    .solution
                    .temperature_at_frozen(share)?
                    .value
                    .get(),
            ),
            Output::HeatShock => {
                Some(100.0 * heat_shock(&state.sums.solution, CABINET_COLD, CABINET_WARM)?)
            }
            Output::WaterActivity => state.water_activity(),
        }
    }
}

impl Assessor<'_> {
    /// The doubt of each of `outputs` for a formula.
    pub fn spreads(&self, formula: &Formula, outputs: &[Output]) -> Vec<Spread> {
        let sums = self.sums(formula);
        let state = self.state_of(sums);
        let mut contributions: Vec<Vec<Contribution>> = vec![vec![]; outputs.len()];
        for line in &formula.merged().taken_apart(self.catalogue).lines {
            let ingredient = self.catalogue.ingredient(line.key);
            let profile = self.profile(line.key);
            for part in MOVING {
                let Some((low, high)) = self.ends(ingredient, profile, part) else {
                    continue;
                };
                let moved = |number: f64| {
                    self.state_of(
                        sums + profile.sums * -line.grams
                            + Profile::moved(ingredient, part, number).sums * line.grams,
                    )
                };
                let (down, up) = (moved(low), moved(high));
                for (output, found) in outputs.iter().zip(&mut contributions) {
                    if let (Some(a), Some(b)) = (output.read(&down), output.read(&up)) {
                        let half_width = (b - a).abs() / 2.0;
                        if half_width > 1.0e-9 {
                            found.push(Contribution {
                                cause: Cause::Figure(line.key, part),
                                half_width,
                            });
                        }
                    }
                }
            }
        }
        let spread = |(output, mut each): (&Output, Vec<Contribution>)| {
            if *output == Output::Dial(Dial::Sweetness) {
                each.extend(panels(&state));
            }
            let model = model_error(&state, *output);
            let square = each
                .iter()
                .map(|c| c.half_width * c.half_width)
                .sum::<f64>();
            each.sort_by(|a, b| {
                b.half_width
                    .total_cmp(&a.half_width)
                    .then(a.cause.cmp(&b.cause))
            });
            each.truncate(3);
            Spread {
                output: *output,
                half_width: (square + model * model).sqrt(),
                model,
                largest: each,
            }
        };
        outputs.iter().zip(contributions).map(spread).collect()
    }

    /// Between which ends a stated figure is moved; `None` where it stands fast.
    pub fn ends(
        &self,
        ingredient: &Ingredient,
        profile: &Profile,
        part: Part,
    ) -> Option<(f64, f64)> {
        let figure = profile.figure(part).filter(|f| f.high > 0.0)?;
        let Origin::Row(row) = figure.origin else {
            return None;
        };
        if figure.high > figure.low {
            return Some((figure.low, figure.high));
        }
        let kind = self.catalogue.kind(&ingredient.values.get(row)?.source);
        let half = spread_of(part, figure, kind);
        (half > 0.0).then_some((figure.typical - half, figure.typical + half))
    }
}

/// Half-width of a figure that states no range.
fn spread_of(part: Part, figure: &Figure, kind: SourceKind) -> f64 {
    let share = if kind.published() || kind == SourceKind::Own {
        PUBLISHED_SPREAD
    } else {
        RECALLED_SPREAD
    };
    let per_hundred = !matches!(
        part,
        Part::Sodium
            | Part::Potassium
            | Part::RelativeSweetness
            | Part::SweetnessCeiling
            | Part::SweetnessHalfConcentration
            | Part::DextroseEquivalent
            | Part::NumberAverageMolarMass
    );
    let moved = if per_hundred {
        figure.typical.min(100.0 - figure.typical).max(0.0)
    } else {
        figure.typical
    };
    share * moved
}

/// What the disagreement of tasters about each sugar and polyol does to the sweetness.
fn panels(state: &State) -> Vec<Contribution> {
    let (bulk, _) = sweeteners(&state.sums);
    let tasted = Celsius::new(TASTED_AT);
    bulk.into_iter()
        .filter_map(|(solute, grams)| {
            let ratio = relative_sweetness(solute, state.sweetness, tasted);
            let half_width = grams * (ratio.high - ratio.low) / 2.0;
            (half_width > 1.0e-9).then_some(Contribution {
                cause: Cause::Panel(solute),
                half_width,
            })
        })
        .collect()
}

/// The model's own error of a figure.
fn model_error(state: &State, output: Output) -> f64 {
    let solution = &state.sums.solution;
    let band = |celsius: f64| {
        let frozen = solution.frozen(Celsius::new(celsius)?)?;
        Some(100.0 * (frozen.high - frozen.low).abs() / 2.0)
    };
    let error = match output {
        Output::Dial(Dial::FreezingPoint) => state.freezing_point.map(|r| r.model_error),
        Output::Dial(Dial::FrozenAt18) => band(super::assess::FREEZER),
        Output::Dial(Dial::FrozenAt12) => band(super::assess::CABINET),
        Output::Dial(_) => None,
        Output::Frozen(celsius) => band(celsius),
        Output::Ice(celsius) => band(celsius).map(|b| b * state.sums.percent(Part::Water) / 100.0),
        Output::FrozenBy(share) => solution
            .temperature_at_frozen(share)
            .map(|r| r.model_error.get()),
        // Both ends err the same way, by different amounts.
        Output::HeatShock => band(CABINET_COLD.get())
            .zip(band(CABINET_WARM.get()))
            .map(|(cold, warm)| (warm - cold).abs() / (CABINET_WARM - CABINET_COLD).get()),
        Output::WaterActivity => state
            .water_activity()
            .map(|aw| ACTIVITY_ERROR.0.max(ACTIVITY_ERROR.1 * (1.0 - aw))),
    };
    error.unwrap_or(0.0)
}
