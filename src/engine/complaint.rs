//! A complaint is believed: what is too hard or too soft gets the strongest correction, in grams, though
//! its figures be usual.

use super::Engine;
use super::verdict::frozen_class;
use crate::answer::{Cause, ChangedOut, Verdict};
use crate::formula::{Dish, FREEZER, Formula, State};
use crate::model::class::Firmness;
use crate::model::{Aim, Dial, DishKind, Wish};

/// How far the frozen share is moved where it lies in the band already: least and most, points.
/// Source: common-practice (some five points are a step that a scoop feels).
const STEP: (f64, f64) = (4.0, 7.0);

/// Where a display cabinet stands, C. Source: common-practice.
const CABINET: f64 = -12.0;

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
        let softer = match symptom {
            "too hard" => true,
            "too soft" => false,
            _ => return None,
        };
        let step = self.firmness_step(softer, class, formula, state)?;
        let cause = match (softer, step.usual) {
            (true, false) => "too much of its water is ice: too little sugar that keeps it liquid",
            (true, true) => "for this cabinet still too much of its water is ice",
            (false, false) => {
                "too little of its water is ice: too much sugar or alcohol that keeps it liquid"
            }
            (false, true) => "for this cabinet still too little of its water is ice",
        };
        let before = state.dial(step.dial)?;
        let (grams, after) = self.edits_to(formula, step.dial, step.aim)?;
        let (low, high) = step.band;
        let class = frozen_class(class);
        let band = (self.catalogue.classes)
            .ranges_of(class, "frozen_share")
            .into_iter()
            .find(|r| r.note.starts_with(Firmness::Spoonable.word()));
        Some(Cause {
            rule: "softness-by-class".into(),
            symptom: symptom.into(),
            cause: cause.into(),
            verdict: Verdict::Found,
            shown_by: format!(
                "{:.0} % of the water is ice at {:.0} C, spoonable is {low:.0} to {high:.0} %",
                step.now, step.served
            ),
            fix: "move sugars between sucrose, dextrose and glucose syrup".into(),
            lacking: String::new(),
            grams,
            effect: vec![ChangedOut {
                property: step.dial.id().into(),
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

    /// A plain wish for a softer or firmer frozen mix as the step that a complaint of it gets.
    pub(super) fn as_complained(&self, formula: &Formula, wish: &mut Wish) {
        let assessor = self.assessor();
        let state = assessor.state(formula);
        let dish = Dish::of(assessor, formula, &state);
        if dish.kind != DishKind::Frozen {
            return;
        }
        for goal in &mut wish.goals {
            let softer = match (goal.dial, goal.aim) {
                (Dial::FrozenAt18 | Dial::FrozenAt12, Aim::Lower) => true,
                (Dial::FrozenAt18 | Dial::FrozenAt12, Aim::Raise) => false,
                _ => continue,
            };
            if let Some(step) = self.firmness_step(softer, &dish.class, formula, &state) {
                (goal.dial, goal.aim) = (step.dial, step.aim);
            }
        }
    }

    /// Where the frozen share must come to for a mix that is called too hard, or too soft: into the spoonable
    /// band, or a felt step further where it is there already.
    fn firmness_step(
        &self,
        softer: bool,
        class: &str,
        formula: &Formula,
        state: &State,
    ) -> Option<FirmnessStep> {
        let class = frozen_class(class);
        let served = formula.served.unwrap_or(FREEZER);
        let now = state.frozen(served)?;
        // The same share of ice is as firm wherever it is met.
        let band = (self.catalogue.classes).band(class, Firmness::Spoonable, FREEZER)?;
        let (low, high) = band;
        let usual = if softer { now <= high } else { now >= low };
        let aim = match (usual, softer) {
            (false, _) => (low, high),
            (true, true) => (now - STEP.1, now - STEP.0),
            (true, false) => (now + STEP.0, now + STEP.1),
        };
        let dial = match (served - FREEZER).abs() <= (served - CABINET).abs() {
            true => Dial::FrozenAt18,
            false => Dial::FrozenAt12,
        };
        // A share at one temperature as one at another, where the shares differ by so much.
        let by = state.dial(dial)? - now;
        Some(FirmnessStep {
            served,
            now,
            band,
            usual,
            dial,
            aim: Aim::Between(aim.0 + by, aim.1 + by),
        })
    }
}

/// A step towards a softer or firmer mix.
struct FirmnessStep {
    /// Where it is kept or eaten, C.
    served: f64,
    /// Share of its water that is ice there, %.
    now: f64,
    /// The spoonable band, %.
    band: (f64, f64),
    /// It is there already.
    usual: bool,
    /// What is moved.
    dial: Dial,
    /// Where to.
    aim: Aim,
}
