//! How a formula is made.

use std::collections::BTreeSet;

use super::{Engine, summary};
use crate::answer::{Amount, CitedOut, PlanOut, PlanStepOut};
use crate::formula::{Dish, Formula, Left, MixView};
use crate::model::{IngredientKey, Presence, capital};
use crate::texture::{self, PlanStep};

/// Phases that stand for the whole of the work: how hot, what first.
const WHOLE: [&str; 3] = ["", "heat", "premix"];
/// Phases of what is said before any step.
const SAID_FIRST: [&str; 2] = ["stop", "caution"];
/// Stands for what is stated of allergens.
const ALLERGENS: &str = "{allergens}";
/// The phase of how a dish is kept, said last.
pub(super) const STORE: &str = "store";

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
        number(&mut plan);
        PlanOut {
            summary: summary::with_uncounted(summary::of_plan(&plan), formula),
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
        // What is bought as one is weighed as one; what was noted of one line of several is none of all.
        let mut bought = formula.merged();
        let lines = |key| formula.lines.iter().filter(|line| line.key == key).count();
        bought.assumed.retain(|assumed| lines(assumed.key) == 1);
        let state = assessor.state(&bought);
        let view = MixView::new(assessor, &bought, &state);
        let apart = bought.taken_apart(&self.catalogue);
        let stated = self.boxed(&apart);
        let steps = texture::sequence(&view, class, place).into_iter();
        let filled = |mut step: PlanStepOut| {
            step.text = step.text.replace(ALLERGENS, &stated);
            step
        };
        steps.map(|step| filled(self.plan_step(step))).collect()
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
        let mut plan = self.plan(formula).plan;
        let steps = plan.iter().map(|s| s.step).max().unwrap_or(0);
        if keys.is_empty() || steps < 2 {
            return None;
        }
        let ids: Vec<&str> = keys
            .iter()
            .map(|key| self.catalogue.ingredient(*key).id.as_str())
            .collect();
        let mut when: Vec<String> = vec![];
        for key in keys {
            let ingredient = self.catalogue.ingredient(*key);
            let goes_in = |s: &&PlanStepOut| {
                s.step > 0 && s.ingredients.iter().any(|a| a.id == ingredient.id)
            };
            let step = plan.iter().find(goes_in)?;
            let of = match when.is_empty() {
                true => format!(" goes in at step {} of {steps}", step.step),
                false => format!(" at step {}", step.step),
            };
            let celsius = step
                .celsius
                .map_or(String::new(), |c| format!(", {c:.0} C"));
            when.push(format!("{}{of}{celsius}", ingredient.name));
        }
        plan.retain(|s| {
            let named = s.ingredients.iter().any(|a| ids.contains(&a.id.as_str()));
            SAID_FIRST.contains(&s.phase.as_str()) || s.step > 0 && named
        });
        Some((plan, vec![format!("{}.", capital(&when.join("; ")))]))
    }

    /// What is stated of allergens, as it stands on a box: `contains: egg; may contain: milk, wheat`.
    fn boxed(&self, formula: &Formula) -> String {
        let lines = formula.lines.iter();
        let rows = lines.flat_map(|line| &self.catalogue.ingredient(line.key).allergens);
        let of = |presence: Presence| -> BTreeSet<&str> {
            let stated = rows.clone().filter(|row| row.presence == presence);
            stated.map(|row| row.substance.as_str()).collect()
        };
        let contains = of(Presence::Contains);
        let may = &of(Presence::MayContain) - &contains;
        let told = |presence: Presence, of: BTreeSet<&str>| {
            let each: Vec<&str> = of.into_iter().collect();
            (!each.is_empty()).then(|| format!("{}: {}", presence.word(), each.join(", ")))
        };
        let told = [
            told(Presence::Contains, contains),
            told(Presence::MayContain, may),
        ];
        let unjudged = formula.unjudged().trim_end_matches('.').to_string();
        let unjudged = Some(unjudged).filter(|said| !said.is_empty());
        let told: Vec<String> = told.into_iter().chain([unjudged]).flatten().collect();
        match told.is_empty() {
            true => "none is stated here".into(),
            false => told.join("; "),
        }
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
            step: 0,
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

/// Numbers the steps of work.
fn number(plan: &mut [PlanStepOut]) {
    let work =
        |step: &&mut PlanStepOut| step.phase != STORE && !SAID_FIRST.contains(&step.phase.as_str());
    for (n, step) in plan.iter_mut().filter(work).enumerate() {
        step.step = n + 1;
    }
}

/// What is weighed and stands in no step, for nothing is known of it.
fn unplaced(formula: &Formula) -> Option<PlanStepOut> {
    let each: Vec<String> = formula.left.iter().map(Left::told).collect();
    let each = each.join(" + ");
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
        step: 0,
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
