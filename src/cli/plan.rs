//! How a formula is made, as a cook reads it: what sets the heat, then the steps, grams first.

use super::page::{Page, cited};
use crate::answer::{PlanOut, PlanStepOut};
use crate::formula::weighed;

/// Phases whose end is told in the short plan: there the eye decides.
const SHOWN: [&str; 9] = [
    "heat", "add warm", "infuse", "whip", "fold", "set", "bake", "ferment", "churn",
];

/// The plan of a formula.
pub fn print(page: &mut Page, plan: &PlanOut, why: bool) {
    page.head(&plan.summary);
    steps(page, &plan.plan, why);
}

/// The steps, numbered; with reasons and sources where they are asked.
pub fn steps(page: &mut Page, plan: &[PlanStepOut], why: bool) {
    // The first line has said what stops the plan.
    let said = |step: &&PlanStepOut| why || step.phase != "stop";
    for step in plan.iter().filter(said) {
        let label = match step.phase.as_str() {
            "stop" | "caution" => "   !  ".to_string(),
            _ => numbered(step),
        };
        let each = step.ingredients.iter();
        let each: Vec<String> = each
            .map(|a| format!("{} g {}", weighed(a.grams), a.name))
            .collect();
        let grams = match each.is_empty() {
            true => String::new(),
            false => format!("{}: ", each.join(" + ")),
        };
        let sign = sign(step, why);
        let phase = if why {
            format!("[{}] ", step.phase)
        } else {
            String::new()
        };
        page.labelled(&label, &format!("{phase}{grams}{}{sign}", step.text));
        if why {
            because(page, step);
        }
    }
}

/// The number of a step before its text; blank for how the dish is kept.
pub(super) fn numbered(step: &PlanStepOut) -> String {
    match step.step {
        0 => "      ".to_string(),
        number => format!("  {number:>2}  "),
    }
}

/// How one knows a step is done, where it is told.
pub(super) fn sign(step: &PlanStepOut, why: bool) -> String {
    let decides = why || SHOWN.contains(&step.phase.as_str());
    match step.sign.as_str() {
        sign if decides && !sign.is_empty() => format!(" Done when: {sign}."),
        _ => String::new(),
    }
}

/// The reason of a step with all its sources.
pub(super) fn because(page: &mut Page, step: &PlanStepOut) {
    let first = std::iter::once(cited(&step.source, &step.locator));
    let also = step.also.iter().map(|c| cited(&c.source, &c.locator));
    let sources: Vec<String> = first.chain(also).collect();
    let text = format!("{} {}", step.because, sources.join(" "));
    page.labelled("      because ", &text);
}
