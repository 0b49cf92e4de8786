//! What the label of a formula would say.

use super::Engine;
use crate::answer::LabelOut;
use crate::diagnostic::{Diagnostic, Problems, nearest};
use crate::formula::{Dish, Formula};
use crate::label;

/// What a draft may be told beside the formula: weight of a serving and of what comes out, g.
pub use crate::label::Options as LabelOptions;

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
        let labels = &self.catalogue.labels;
        let Some(place) = labels.jurisdiction(jurisdiction) else {
            let ids: Vec<String> = (labels.jurisdictions.iter())
                .map(|j| j.id.to_lowercase())
                .collect();
            let near = nearest(&jurisdiction.to_lowercase(), ids.iter().map(String::as_str));
            let help = match near {
                Some(near) => format!("the nearest is `{near}`; held are {}", ids.join(", ")),
                None => format!("one of {}", ids.join(", ")),
            };
            let message = format!("no label rules are held for `{jurisdiction}`");
            return Err(Diagnostic::new("Q020", "label", message).help(help).into());
        };
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
        Ok(label::draft(assessor, formula, place, dish.kind, options))
    }
}
