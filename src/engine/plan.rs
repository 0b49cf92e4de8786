//! How a formula is made.

use super::{Engine, summary};
use crate::answer::{Amount, CitedOut, PlanOut, PlanStepOut};
use crate::formula::{Dish, Formula, MixView, weighed};
use crate::model::IngredientKey;
use crate::texture::{self, PlanStep};

/// Phases that stand for the whole of the work: how hot, what first.
const WHOLE: [&str; 3] = ["", "heat", "premix"];
/// Phases of what is said before any step.
const SAID_FIRST: [&str; 2] = ["stop", "caution"];

impl Engine {
    /// How a formula is made, every line of it in the order of work.
    pub fn plan(&self, formula: &Formula) -> PlanOut {
        self.plan_in(formula, "")
    }

    /// The same by the law of a place of `data/label/jurisdictions.csv`, by its id; empty for none.
    pub fn plan_in(&self, formula: &Formula, place: &str) -> PlanOut {
        let assessor = self.assessor();
        let apart = formula.merged().taken_apart(&self.catalogue);
        let dish = Dish::of(assessor, &apart, &assessor.state(&apart));
        let class = self.catalogue.classes.get(&dish.class);
        let mut plan = self.plan_of(formula, &dish.made_as, place);
        plan.splice(0..0, unplaced(formula));
        plan.splice(0..0, self.doubted(&dish));
        PlanOut {
            summary: summary::of_plan(&plan),
            name: formula.name.clone(),
            dish: class.map_or(String::new(), |class| class.name.clone()),
            plan,
        }
    }

    /// What else the formula may be, where that is made in another way.
    fn doubted(&self, dish: &Dish) -> Option<PlanStepOut> {
        let classes = &self.catalogue.classes;
        let told = dish.told_by.as_ref()?;
        let (this, other) = (classes.get(&told.class)?, classes.get(&told.or)?);
        (this.id != other.id).then(|| {
            said(
                "two-dishes",
                format!(
                    "Planned as {}; by its figures it may be {}, which is made in another way: name the dish in the file's name.",
                    this.name, other.name
                ),
                "The composition fits both.",
            )
        })
    }

    /// The steps of a formula as a dish of a class.
    pub(super) fn plan_of(&self, formula: &Formula, class: &str, place: &str) -> Vec<PlanStepOut> {
        let assessor = self.assessor();
        // What is bought as one is weighed as one.
        let bought = formula.merged();
        let state = assessor.state(&bought);
        let view = MixView::new(assessor, &bought, &state);
        let steps = texture::sequence(&view, class, place).into_iter();
        steps.map(|step| self.plan_step(step)).collect()
    }

    /// The plan of a formula, or of it the phase that is asked about; what is to be said first always.
    pub(super) fn plan_asked(&self, formula: &Formula, phase: &str) -> Vec<PlanStepOut> {
        let mut plan = self.plan(formula).plan;
        let of_phase = |step: &PlanStepOut| step.phase == phase;
        if !WHOLE.contains(&phase) {
            match plan.iter().any(of_phase) {
                true => plan.retain(|s| of_phase(s) || SAID_FIRST.contains(&s.phase.as_str())),
                false => plan.clear(),
            }
        }
        plan
    }

    /// Of the plan of a formula the steps that these of its lines go into, with a line that says when; `None`
    /// where one of them stands in no step.
    pub(super) fn plan_with(
        &self,
        formula: &Formula,
        keys: &[IngredientKey],
    ) -> Option<(Vec<PlanStepOut>, Vec<String>)> {
        let plan = self.plan(formula).plan;
        let work = |step: &PlanStepOut| !SAID_FIRST.contains(&step.phase.as_str());
        let steps: Vec<&PlanStepOut> = plan.iter().filter(|s| work(s)).collect();
        if keys.is_empty() || steps.len() < 2 {
            return None;
        }
        let mut said: Vec<String> = vec![];
        for key in keys {
            let ingredient = self.catalogue.ingredient(*key);
            let goes_in = |step: &&PlanStepOut| {
                let mut poured = step.ingredients.iter();
                poured.any(|amount| amount.id == ingredient.id)
            };
            let at = steps.iter().position(goes_in)?;
            let celsius = steps[at]
                .celsius
                .map_or(String::new(), |c| format!(", {c:.0} C"));
            let step = at + 1;
            said.push(format!("{} at step {step}{celsius}", ingredient.name));
        }
        let kept = |step: &&PlanStepOut| {
            let mut poured = step.ingredients.iter();
            let named = |id: &String| keys.iter().any(|k| self.catalogue.ingredient(*k).id == *id);
            !work(step) || poured.any(|amount| named(&amount.id))
        };
        let first = format!("Of {} steps: {}.", steps.len(), summary::joined(&said));
        let mut numbered: Vec<PlanStepOut> = vec![];
        for step in plan.iter().filter(kept) {
            let at = steps.iter().position(|s| std::ptr::eq(*s, step));
            let text = match at {
                Some(at) => format!("(step {}) {}", at + 1, step.text),
                None => step.text.clone(),
            };
            numbered.push(PlanStepOut {
                text,
                ..step.clone()
            });
        }
        Some((numbered, vec![first]))
    }

    fn plan_step(&self, step: PlanStep) -> PlanStepOut {
        let amount = |poured: &texture::Poured| Amount {
            id: self.catalogue.ingredient(poured.key).id.clone(),
            name: poured.name.clone(),
            grams: poured.grams,
            span: None,
        };
        PlanStepOut {
            rule: step.rule,
            phase: step.phase,
            text: step.text,
            celsius: step.celsius,
            minutes: step.minutes.map(|minutes| minutes.typical),
            ingredients: step.grams.iter().map(amount).collect(),
            sign: step.sign,
            key: step.key,
            because: step.because,
            source: step.source,
            locator: step.locator,
            also: (step.also.into_iter())
                .map(|(source, locator)| CitedOut { source, locator })
                .collect(),
        }
    }
}

/// What is weighed and stands in no step, for nothing is known of it.
fn unplaced(formula: &Formula) -> Option<PlanStepOut> {
    let each = formula.left.iter();
    let each = each.map(|(typed, grams)| format!("{} g {typed}", weighed(*grams)));
    let each = each.collect::<Vec<_>>().join(" + ");
    (!each.is_empty()).then(|| {
        said(
            "not-known",
            format!("{each}: not known here and in no step below; a flavour or colour goes in last, off the heat."),
            "Flavours boil off and colours fade.",
        )
    })
}

/// Something to be known before the first step.
fn said(rule: &str, text: String, because: &str) -> PlanStepOut {
    PlanStepOut {
        rule: rule.into(),
        phase: "caution".into(),
        text,
        celsius: None,
        minutes: None,
        ingredients: vec![],
        sign: String::new(),
        key: String::new(),
        because: because.into(),
        source: "common-practice".into(),
        locator: String::new(),
        also: vec![],
    }
}
