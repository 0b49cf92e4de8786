//! How a formula is made, as data.

use serde::{Deserialize, Serialize};

use super::swap::Amount;

/// How a formula is made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlanOut {
    /// What sets the heat, and the temperatures that count.
    pub summary: String,
    /// The formula's name.
    pub name: String,
    /// The dish it was taken for; empty where none is told.
    pub dish: String,
    /// The steps, in order.
    pub plan: Vec<PlanStepOut>,
}

/// One step of the plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlanStepOut {
    /// Id of the step or caution.
    pub rule: String,
    /// Phase of the work; `stop` or `caution` for what must be known first.
    pub phase: String,
    /// Its number among the steps of work; 0 for what is said before or after them.
    #[serde(default)]
    pub step: usize,
    /// What to do.
    pub text: String,
    /// Temperature, C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub celsius: Option<f64>,
    /// Time, minutes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minutes: Option<f64>,
    /// What goes in here.
    pub ingredients: Vec<Amount>,
    /// How one knows it is done.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub sign: String,
    /// Its words in the first line of the plan.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub key: String,
    /// Why.
    pub because: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub locator: String,
    /// Further sources: of what asks for the heat, and of the words that stand in many steps.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<CitedOut>,
}

/// A source and the place in it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CitedOut {
    /// Source id.
    pub source: String,
    /// Place in the source.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub locator: String,
}
