//! What the label of a formula would say.

use super::Engine;
use crate::answer::LabelOut;
use crate::diagnostic::{Diagnostic, Problems, nearest};
use crate::formula::{Dish, Formula};
use crate::label;
use crate::model::label::Jurisdiction;
use crate::model::sequence::PlanRule;

/// What a draft may be told beside the formula: weight of a serving and of what comes out, g.
pub use crate::label::Options as LabelOptions;

/// Phases of the work in which water leaves.
const DRIES: [&str; 2] = ["bake", "dry"];
/// Said where it does and nobody has weighed what is left.
const LOSES_WATER: &str = " Water leaves this dish as it is cooked: the figures are of what goes in; weigh what comes out and give that weight (--finished).";

impl Engine {
    /// A draft of the label of a formula in a jurisdiction, by its id in any case.
    ///
    /// Errors: `Q020` for a jurisdiction that is not held, and `L001` where more comes out than goes in.
    pub fn label(
        &self,
        formula: &Formula,
        jurisdiction: &str,
        options: LabelOptions,
    ) -> Result<LabelOut, Problems> {
        let place = self.jurisdiction(jurisdiction)?;
        if options
            .finished_g
            .is_some_and(|g| g > formula.grams() * (1.0 + 1e-9))
        {
            let message = "more comes out than goes in";
            let problem = Diagnostic::new("L001", "label", message);
            return Err(problem
                .help("--finished is what is left after evaporation, g")
                .into());
        }
        let assessor = self.assessor();
        let apart = formula.merged().taken_apart(&self.catalogue);
        let dish = Dish::of(assessor, &apart, &assessor.state(&apart));
        let mut draft = label::draft(assessor, formula, place, dish.kind, options);
        let unjudged = formula.unjudged();
        if !unjudged.is_empty() {
            draft.summary = format!("{} {unjudged}", draft.summary);
            draft.ask.insert(0, unjudged);
        }
        if options.finished_g.is_none() && self.loses_water(formula, &dish.made_as) {
            draft.draft += LOSES_WATER;
        }
        Ok(draft)
    }

    /// A jurisdiction by its id, in any case.
    ///
    /// Errors: `Q020` for one that is not held.
    fn jurisdiction(&self, id: &str) -> Result<&Jurisdiction, Problems> {
        let labels = &self.catalogue.labels;
        let unknown = || {
            let ids: Vec<String> = (labels.jurisdictions.iter())
                .map(|j| j.id.to_lowercase())
                .collect();
            let near = nearest(&id.to_lowercase(), ids.iter().map(String::as_str));
            let help = match near {
                Some(near) => format!("the nearest is `{near}`; held are {}", ids.join(", ")),
                None => format!("one of {}", ids.join(", ")),
            };
            let message = format!("no label rules are held for `{id}`");
            Problems::from(Diagnostic::new("Q020", "label", message).help(help))
        };
        labels.jurisdiction(id).ok_or_else(unknown)
    }

    /// The id of a jurisdiction as it stands on file; empty for none.
    ///
    /// Errors: `Q020` for one that is not held.
    pub fn place(&self, id: &str) -> Result<&str, Problems> {
        match id {
            "" => Ok(""),
            id => self.jurisdiction(id).map(|place| place.id.as_str()),
        }
    }

    /// Whether the plan of a dish boils it down, bakes or dries it.
    fn loses_water(&self, formula: &Formula, class: &str) -> bool {
        let known = &self.catalogue.sequences.steps;
        self.plan_of(formula, class, "").iter().any(|step| {
            let boils = |rule: &PlanRule| rule.id == step.rule && rule.solids.is_some();
            DRIES.contains(&step.phase.as_str()) || known.iter().any(boils)
        })
    }
}
