//! Sugars and polyols past their solubility in the unfrozen water.

use super::finding::Finding;
use crate::formula::{FREEZER, MixView, Part};
use crate::model::rule::Severity;
use crate::model::unit::Celsius;
use crate::physics::crystallisation::{LACTOSE_LIMIT, LACTOSE_WATCH, crystallised, saturation};
use crate::physics::solubility::{Readiness, solubility};
use crate::physics::solute::Solute;

/// What may crystallise in the freezer, with how far it is past saturation and what that costs.
pub fn crystals(view: &MixView<'_>) -> Vec<Finding> {
    let mut found = vec![];
    let solution = &view.state.sums.solution;
    let Some(cold) = Celsius::new(FREEZER) else {
        return found;
    };
    for solute in Solute::ALL {
        let grams = Part::parse(solute.id()).map_or(0.0, |part| view.state.sums.part(part));
        let (Some(curve), Some(s)) = (
            solubility(solute),
            saturation(solution, solute, grams, cold),
        ) else {
            continue;
        };
        if solute == Solute::Lactose {
            found.extend(sandiness(view));
            continue;
        }
        if !s.warns || curve.readiness == Readiness::Rare {
            continue;
        }
        let name = solute.id().replace('_', " ");
        let back = crystallised(solution, solute, grams, cold);
        let cost = back.filter(|c| c.grams > 0.0).map_or(String::new(), |c| {
            let frozen = 100.0 * c.frozen_share;
            format!(" If it crystallises fully, frozen water at {FREEZER} C is {frozen:.0} %, not {:.0} %: harder, and gritty.", view.state.frozen_at_18.unwrap_or(0.0))
        });
        found.push(Finding {
            id: format!("crystallises-{}", solute.id()),
            severity: if curve.readiness == Readiness::Ready { Severity::Watch } else { Severity::Info },
            topic: "crystallises".into(),
            text: format!("{name} is {:.1} times what the unfrozen water holds at {FREEZER} C ({:.0} against {:.0} g per 100 g).{cost}", s.ratio, s.dissolved, s.soluble),
            because: "The solute stays in the liquid as ice forms, until the liquid holds no more.".into(),
            source: format!("physics: {}", curve.origin),
            locator: String::new(),
        });
    }
    found
}

fn sandiness(view: &MixView<'_>) -> Option<Finding> {
    let load = crate::condition::Mix::dial(view, crate::model::Dial::LactoseInWater)?;
    if load < LACTOSE_WATCH {
        return None;
    }
    let severity = if load >= LACTOSE_LIMIT {
        Severity::Watch
    } else {
        Severity::Info
    };
    Some(Finding {
        id: "sandiness-lactose".into(),
        severity,
        topic: "crystallises".into(),
        text: format!("Lactose is {load:.1} g per 100 g water; from {LACTOSE_WATCH} to {LACTOSE_LIMIT} on a mix may turn sandy in storage."),
        because: "Lactose is far past saturation in every frozen dairy mix and waits for crystals to start.".into(),
        source: "memory".into(),
        locator: String::new(),
    })
}
