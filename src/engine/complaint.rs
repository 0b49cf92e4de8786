//! A complaint is believed: what is too hard or too soft gets the strongest correction, in grams, though
//! its figures be usual.

use super::Engine;
use crate::answer::{Cause, ChangedOut, Verdict};
use crate::formula::{FREEZER, Formula, State};
use crate::model::class::Firmness;
use crate::model::{Aim, Dial};

/// The class whose bands hold for any frozen mix.
const ANY_FROZEN: &str = "frozen-dessert";
/// How far the frozen share is moved where it lies in the band already: least and most, points.
/// Source: common-practice (some five points are a step that a scoop feels).
const STEP: (f64, f64) = (4.0, 7.0);

/// Where a display cabinet stands, C. Source: common-practice.
const CABINET: f64 = -12.0;

/// An aim at one temperature as one at another, where the share of ice differs by so much.
fn moved(aim: Aim, by: f64) -> Aim {
    match aim {
        Aim::Between(low, high) => Aim::Between(low + by, high + by),
        other => other,
    }
}

impl Engine {
    /// The correction of a frozen mix that is too hard or too soft; `None` for another complaint, or
    /// where no edit of its lines moves it.
    pub(super) fn believed(
        &self,
        symptom: &str,
        class: &str,
        formula: &Formula,
        state: &State,
    ) -> Option<Cause> {
        let class = if class.is_empty() { ANY_FROZEN } else { class };
        let classes = &self.catalogue.classes;
        let served = formula.served.unwrap_or(FREEZER);
        let now = state.frozen(served)?;
        // The same share of ice is as firm wherever it is met.
        let (low, high) = classes.band(class, Firmness::Spoonable, FREEZER)?;
        let (aim, cause) = match symptom {
            "too hard" if now > high => (
                Aim::Between(low, high),
                "too much of its water is ice: too little sugar that keeps it liquid",
            ),
            "too hard" => (
                Aim::Between(now - STEP.1, now - STEP.0),
                "for this cabinet still too much of its water is ice",
            ),
            "too soft" if now < low => (
                Aim::Between(low, high),
                "too little of its water is ice: too much sugar or alcohol that keeps it liquid",
            ),
            "too soft" => (
                Aim::Between(now + STEP.0, now + STEP.1),
                "for this cabinet still too little of its water is ice",
            ),
            _ => return None,
        };
        let dial = match (served - FREEZER).abs() <= (served - CABINET).abs() {
            true => Dial::FrozenAt18,
            false => Dial::FrozenAt12,
        };
        let (before, aim) = (state.dial(dial)?, moved(aim, state.dial(dial)? - now));
        let (grams, after) = self.edits_to(formula, dial, aim)?;
        let band = classes
            .ranges_of(class, "frozen_share")
            .into_iter()
            .find(|r| r.note.starts_with(Firmness::Spoonable.word()));
        Some(Cause {
            rule: "softness-by-class".into(),
            symptom: symptom.into(),
            cause: cause.into(),
            verdict: Verdict::Found,
            shown_by: format!(
                "{now:.0} % of the water is ice at {served:.0} C, spoonable is {low:.0} to {high:.0} %"
            ),
            fix: "move sugars between sucrose, dextrose and glucose syrup".into(),
            lacking: String::new(),
            grams,
            effect: vec![ChangedOut {
                property: dial.id().into(),
                before,
                after,
                asked: true,
            }],
            formula: vec![],
            partly: false,
            because: "Softness is the share of the water that is ice where it is eaten.".into(),
            source: band.map_or("softness-by-class".into(), |r| r.source.clone()),
            locator: band.map_or(String::new(), |r| r.locator.clone()),
        })
    }
}
