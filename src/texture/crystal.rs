//! Sugars and polyols past their solubility in the unfrozen water.

use super::finding::Finding;
use crate::condition::Mix;
use crate::formula::{FREEZER, MixView, Part, State};
use crate::model::Dial;
use crate::model::rule::Severity;
use crate::model::unit::Celsius;
use crate::physics::crystallisation::{LACTOSE_LIMIT, LACTOSE_WATCH, crystallised, saturation};
use crate::physics::solubility::{Readiness, solubility};
use crate::physics::solute::Solute;

/// A sugar or polyol past its solubility at a temperature, and the mix after it has crystallised.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crystal {
    /// Which.
    pub solute: Solute,
    /// Temperature, C.
    pub celsius: f64,
    /// g per 100 g of unfrozen water.
    pub dissolved: f64,
    /// What that water holds, g per 100 g.
    pub soluble: f64,
    /// The ratio from which to warn.
    pub limit: f64,
    /// The solubility was carried past its points.
    pub carried: bool,
    /// Crystals at equilibrium, g per 100 g of mix, without water of crystallisation.
    pub crystals: f64,
    /// Share of the water frozen after that, %.
    pub frozen_after: f64,
    /// How readily they form.
    pub readiness: Readiness,
    /// Where the solubility comes from.
    pub origin: &'static str,
}

/// What is past the level from which to warn at a temperature.
pub fn crystallising(state: &State, celsius: f64) -> Vec<Crystal> {
    let solution = &state.sums.solution;
    let Some(cold) = Celsius::new(celsius) else {
        return vec![];
    };
    let crystal = |solute: Solute| {
        let grams = state.sums.part(Part::parse(solute.id())?);
        if grams <= 0.0 {
            return None;
        }
        let curve = solubility(solute)?;
        if curve.readiness == Readiness::Rare {
            return None;
        }
        let s = saturation(solution, solute, grams, cold).filter(|s| s.warns)?;
        let after = crystallised(solution, solute, grams, cold)?;
        Some(Crystal {
            solute,
            celsius,
            dissolved: s.dissolved,
            soluble: s.soluble,
            limit: curve.warn_above,
            carried: s.extrapolated,
            crystals: 100.0 * after.grams / state.sums.grams,
            frozen_after: 100.0 * after.frozen_share,
            readiness: curve.readiness,
            origin: curve.origin,
        })
    };
    Solute::ALL.into_iter().filter_map(crystal).collect()
}

/// What may crystallise in the freezer, with how far it is past saturation and what that costs.
pub fn crystals(view: &MixView<'_>) -> Vec<Finding> {
    let mut found: Vec<Finding> = sandiness(view).into_iter().collect();
    let before = view.state.frozen_at_18.unwrap_or(0.0);
    for c in felt(view.state) {
        // Lactose has a rule of the trade of its own.
        if c.solute == Solute::Lactose {
            continue;
        }
        let name = c.solute.id().replace('_', " ");
        let severity = if c.readiness == Readiness::Ready {
            Severity::Watch
        } else {
            Severity::Info
        };
        let when = if c.readiness == Readiness::Ready {
            ""
        } else {
            " slowly, if at all"
        };
        found.push(Finding {
standing: false,
            id: format!("crystallises-{}", c.solute.id()),
            severity,
            topic: "crystallises".into(),
            text: format!(
                "{name} is {:.1} times what the unfrozen water holds at {FREEZER} C (limit {:.1}) and may crystallise{when}: {:.1} g per 100 g of mix turn gritty and the frozen water goes from {before:.0} to {:.0} %, harder.",
                c.dissolved / c.soluble, c.limit, c.crystals, c.frozen_after
            ),
            because: "The solute stays in the liquid as ice forms, until the liquid holds no more.".into(),
            source: "derived".into(),
            locator: format!("solubility: {}", c.origin),
        });
    }
    found
}

/// What crystallises in the freezer so that it is felt or hardens the mix; lactose from the load on
/// at which the trade expects sand.
pub fn felt(state: &State) -> Vec<Crystal> {
    let before = state.frozen_at_18.unwrap_or(0.0);
    let lactose = state.dial(Dial::LactoseInWater).unwrap_or(0.0);
    let mut found = crystallising(state, FREEZER);
    // A trace cannot be felt and moves no ice; a slow one matters when it would harden the mix.
    found.retain(|c| match c.solute {
        Solute::Lactose => lactose >= LACTOSE_LIMIT,
        _ => {
            c.crystals >= TRACE
                && (c.readiness != Readiness::Slow || c.frozen_after - before >= HARDER)
        }
    });
    found
}

/// Crystals below which nothing is felt, g per 100 g of mix. Source: memory.
const TRACE: f64 = 0.5;
/// Rise of the frozen water that makes a slow crystal worth a word, points. Source: memory.
const HARDER: f64 = 5.0;

fn sandiness(view: &MixView<'_>) -> Option<Finding> {
    let load = view.dial(Dial::LactoseInWater)?;
    if load < LACTOSE_WATCH {
        return None;
    }
    let severity = if load >= LACTOSE_LIMIT {
        Severity::Watch
    } else {
        Severity::Info
    };
    Some(Finding {
standing: false,
        id: "sandiness-lactose".into(),
        severity,
        topic: "crystallises".into(),
        text: format!("Lactose is {load:.1} g per 100 g water; from {LACTOSE_WATCH:.1} to {LACTOSE_LIMIT:.1} on a mix may turn sandy in storage."),
        because: "Lactose is far past saturation in every frozen dairy mix and waits for crystals to start.".into(),
        source: "common-practice".into(),
        locator: String::new(),
    })
}
