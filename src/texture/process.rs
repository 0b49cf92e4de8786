//! The process plan: every step the ingredients call for, in working order.

use super::finding::fired;
use crate::formula::MixView;
use crate::model::rule::{PHASES, Span};
use crate::model::{Ingredient, RuleKind};

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Rule id.
    pub rule: String,
    /// One of [`PHASES`].
    pub phase: String,
    /// Temperature, C.
    pub celsius: Option<Span>,
    /// Time, minutes.
    pub minutes: Option<Span>,
    /// The instruction.
    pub text: String,
    /// Temperature the whole mix must reach for it, C.
    pub reach: Option<f64>,
    /// Temperature the whole mix must not pass for it, C.
    pub limit: Option<f64>,
    /// Parts of sugar it is blended dry with, per part.
    pub carrier: Option<Span>,
    /// Whom it concerns, by name; empty for the whole mix.
    pub ingredients: Vec<String>,
    /// Why.
    pub because: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
}

/// The steps that `ingredients` of a mix call for, in working order.
pub fn process(view: &MixView<'_>, ingredients: &[&Ingredient]) -> Vec<Step> {
    let mut steps = vec![];
    for rule in &view.assessor.catalogue.rules {
        let RuleKind::Process {
            phase,
            celsius,
            minutes,
            text,
            reach,
            limit,
            carrier,
        } = &rule.kind
        else {
            continue;
        };
        let concerned: Vec<String> = match rule.when.asks(crate::model::Subject::In) {
            true => ingredients
                .iter()
                .filter(|i| fired(rule, view, &[i], None))
                .map(|i| i.name.clone())
                .collect(),
            false if fired(rule, view, ingredients, None) => vec![],
            false => continue,
        };
        if concerned.is_empty() && rule.when.asks(crate::model::Subject::In) {
            continue;
        }
        steps.push(Step {
            rule: rule.id.clone(),
            phase: phase.clone(),
            celsius: *celsius,
            minutes: *minutes,
            text: text.clone(),
            reach: *reach,
            limit: *limit,
            carrier: *carrier,
            ingredients: concerned,
            because: rule.because.clone(),
            source: rule.source.clone(),
            locator: rule.locator.clone(),
        });
    }
    let place = |phase: &str| {
        PHASES
            .iter()
            .position(|p| *p == phase)
            .unwrap_or(PHASES.len())
    };
    // Within a phase the cooler step comes first; the hottest decides how far to heat.
    let heat = |step: &Step| step.celsius.map_or(f64::NEG_INFINITY, |c| c.typical);
    steps.sort_by(|a, b| {
        place(&a.phase)
            .cmp(&place(&b.phase))
            .then(heat(a).total_cmp(&heat(b)))
            .then(a.rule.cmp(&b.rule))
    });
    steps
}
