//! How far a figure of a mix may be off, and what contributes most.
//!
//! Every stated figure of every ingredient is moved alone to the ends of its range and the mix
//! read again; the half-differences are added in quadrature with the model's own error. A figure
//! that states no range gets [`PUBLISHED_SPREAD`], one that was recalled [`RECALLED_SPREAD`], of
//! the smaller of what is in 100 g and what is not: an analysis of pure sugar is hardly in doubt.
//! What no figure tells (sugars of no kind, carbohydrate that may be sugar, a missing water) is no
//! zero: it goes from one thing it may be to the other, and is named first where it counts.

use super::assess::{Assessor, State};
use super::part::Part;
use super::profile::{Figure, Origin, Profile};
use super::recipe::Formula;
use super::sums::Sums;
use crate::model::unit::Celsius;
use crate::model::{Dial, Ingredient, IngredientKey, SourceKind};
use crate::physics::scoop::{CABINET_COLD, CABINET_WARM, heat_shock};
use crate::physics::solute::{Osmolyte, Solute};

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

/// Grams an analysis of 100 g may miss and still be whole. Source: memory.
const CLOSED: f64 = 1.0;
/// Share of the whole doubt from which what nobody told is named first.
const NAMED_FIRST: f64 = 0.1;

/// What makes a figure doubtful.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cause {
    /// A figure of an ingredient.
    Figure(IngredientKey, Part),
    /// What no figure of an ingredient tells.
    Untold(IngredientKey, Part),
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
    /// The largest contributions, what nobody told before the rest, then largest first.
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
                    let moved = Profile::moved(ingredient, self.profiles.tastes(), part, number);
                    self.state_of(sums + (moved.sums + profile.sums * -1.0) * line.grams)
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
        for line in &formula.merged().taken_apart(self.catalogue).lines {
            for (cause, gain) in self.open(line.key) {
                let moved = self.state_of(sums + gain * line.grams);
                for (output, found) in outputs.iter().zip(&mut contributions) {
                    if let (Some(a), Some(b)) = (output.read(&state), output.read(&moved)) {
                        widest(found, cause, (b - a).abs());
                    }
                }
            }
        }
        let spread = |(output, mut each): (&Output, Vec<Contribution>)| {
            if *output == Output::Dial(Dial::Sweetness) {
                each.extend(self.panels(&state));
            }
            let model = model_error(&state, *output);
            let square = each
                .iter()
                .map(|c| c.half_width * c.half_width)
                .sum::<f64>();
            let half_width = (square + model * model).sqrt();
            let untold = |c: &Contribution| {
                matches!(c.cause, Cause::Untold(..)) && c.half_width > NAMED_FIRST * half_width
            };
            each.sort_by(|a, b| {
                untold(b)
                    .cmp(&untold(a))
                    .then(b.half_width.total_cmp(&a.half_width))
                    .then(a.cause.cmp(&b.cause))
            });
            each.truncate(3);
            Spread {
                output: *output,
                half_width,
                model,
                largest: each,
            }
        };
        outputs.iter().zip(contributions).map(spread).collect()
    }

    /// What a gram of an ingredient would add to a mix beyond what is counted, were it what nobody
    /// rules out; each with its cause, several where one cause has several ends.
    fn open(&self, key: IngredientKey) -> Vec<(Cause, Sums)> {
        let ingredient = self.catalogue.ingredient(key);
        let profile = self.profile(key);
        let tastes = self.profiles.tastes();
        let mut open = vec![];
        let mut were = |cause: Part, part: Part, grams: f64| {
            let moved = Profile::moved(ingredient, tastes, part, profile.number(part) + grams);
            open.push((Cause::Untold(key, cause), moved.sums + profile.sums * -1.0));
        };
        if ingredient.parts.is_empty() {
            let unknown = profile.number(Part::UnspecifiedSugars);
            if unknown > 0.0 {
                were(Part::UnspecifiedSugars, Part::Maltose, unknown);
                were(Part::UnspecifiedSugars, Part::Fructose, unknown);
            }
            let rest = profile.number(Part::UnspecifiedCarbohydrate);
            if rest > 0.0 && profile.figure(Part::Sugars).is_none() {
                were(Part::Sugars, Part::Sugars, rest);
            }
            if profile.figure(Part::Water).is_none()
                && let Some(rest) = room_for_water(profile)
            {
                were(Part::Water, Part::Water, rest);
            }
        }
        let osmotic = profile.number(Part::OsmoticDoubt) / 1000.0;
        if osmotic > 0.0 {
            let mut more = Sums::default();
            more.solution.add_osmoles(Osmolyte::PlantMinerals, osmotic);
            open.push((Cause::Figure(key, Part::OsmoticDoubt), more));
        }
        open
    }

    /// What the disagreement of tasters about each sugar and polyol does to the sweetness.
    fn panels(&self, state: &State) -> Vec<Contribution> {
        let panel = |(solute, grams): (Solute, f64)| {
            let ratio = self.profiles.tastes().ratio(solute);
            let half_width = 100.0 * grams / state.sums.grams * (ratio.high - ratio.low) / 2.0;
            (half_width > 1.0e-9).then_some(Contribution {
                cause: Cause::Panel(solute),
                half_width,
            })
        };
        let kinds = Solute::ALL.into_iter().zip(state.sums.sweet);
        kinds.filter_map(panel).collect()
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

/// What an analysis without water leaves for it, g per 100 g; `None` where it tells nothing.
fn room_for_water(profile: &Profile) -> Option<f64> {
    let carbohydrate = profile.number(Part::CarbohydrateByDifference).max(
        profile.number(Part::CarbohydrateAvailable).max(
            profile.number(Part::Sugars)
                + profile.number(Part::Polyols)
                + profile.number(Part::Starch)
                + profile.number(Part::HigherSaccharides),
        ) + profile.number(Part::Fibre),
    );
    let rest = [
        Part::Fat,
        Part::Protein,
        Part::Ash,
        Part::Alcohol,
        Part::StabiliserContent,
        Part::EmulsifierContent,
    ];
    let known = carbohydrate + rest.into_iter().map(|p| profile.number(p)).sum::<f64>();
    (known > 0.0 && known < 100.0 - CLOSED).then_some(100.0 - known)
}

/// Adds a contribution; of several with one cause the widest counts.
fn widest(found: &mut Vec<Contribution>, cause: Cause, half_width: f64) {
    if half_width <= 1.0e-9 {
        return;
    }
    match found.iter_mut().find(|c| c.cause == cause) {
        Some(same) => same.half_width = same.half_width.max(half_width),
        None => found.push(Contribution { cause, half_width }),
    }
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
