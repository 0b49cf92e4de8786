//! Rules as files write them: one struct per kind, with its own fields and no other.

use serde::Deserialize;

use crate::model::rule::Span;

/// What a rule of any kind may say.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Common {
    pub id: String,
    pub kind: String,
    #[serde(default = "always")]
    pub when: String,
    #[serde(default)]
    pub because: String,
    #[serde(default)]
    pub strength: String,
    #[serde(default = "memory")]
    pub source: String,
    #[serde(default)]
    pub locator: String,
    #[serde(default)]
    pub only: String,
}

/// The fields of [`Common`].
pub(super) const COMMON: [&str; 8] = [
    "id", "kind", "when", "because", "strength", "source", "locator", "only",
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Swap {
    pub out: String,
    #[serde(rename = "in")]
    pub newcomers: Vec<String>,
    pub dose: WrittenSpan,
    pub shares: Option<Vec<f64>>,
    pub jobs: Vec<String>,
    #[serde(default)]
    pub lost: String,
    #[serde(default)]
    pub changes: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Interaction {
    pub effect: String,
    pub text: String,
    pub severity: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Process {
    pub phase: String,
    pub text: String,
    pub celsius: Option<WrittenSpan>,
    pub minutes: Option<WrittenSpan>,
    pub reach: Option<f64>,
    pub limit: Option<f64>,
    pub carrier: Option<WrittenSpan>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Caution {
    pub topic: String,
    pub text: String,
    pub severity: Option<String>,
    #[serde(default)]
    pub standing: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Care {
    pub asked: Vec<String>,
    pub text: String,
    pub severity: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Purpose {
    pub words: Vec<String>,
    #[serde(default)]
    pub classes: Vec<String>,
    pub text: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Diagnosis {
    pub symptom: String,
    #[serde(default)]
    pub also: Vec<String>,
    #[serde(default)]
    pub dishes: Vec<String>,
    pub test: Option<String>,
    pub solute: Option<String>,
    pub cause: String,
    pub lever: Option<WrittenLever>,
    pub fix: String,
    pub usual: Option<WrittenBand>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Dish {
    pub class: String,
    #[serde(default)]
    pub dishes: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Guard {
    pub product: String,
    pub dial: String,
    pub low: Option<f64>,
    pub high: Option<f64>,
    pub unit: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct DialRule {
    pub dial: String,
    pub tolerance: f64,
    pub step: f64,
    pub guard: Option<f64>,
    pub guard_edited: Option<f64>,
    pub guard_unfrozen: Option<f64>,
    pub tasted: Option<f64>,
    #[serde(default)]
    pub only_rise: bool,
    #[serde(default)]
    pub relative: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Drawback {
    pub weight: u8,
    pub text: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Helper {
    #[serde(rename = "in")]
    pub newcomers: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Candidate {
    pub out: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenLever {
    pub dial: Option<String>,
    pub direction: Option<String>,
    #[serde(default)]
    pub out: Vec<String>,
    #[serde(default, rename = "in")]
    pub newcomers: Vec<String>,
    pub share: Option<f64>,
    pub percent: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenBand {
    pub dial: String,
    pub low: f64,
    pub high: f64,
    pub unit: String,
}

#[derive(Deserialize, Clone, Copy)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenSpan {
    low: Option<f64>,
    typical: Option<f64>,
    high: Option<f64>,
}

impl WrittenSpan {
    /// The span, where anything is stated and it is in order.
    pub fn span(self) -> Option<Span> {
        let typical = self.typical.or(match (self.low, self.high) {
            (Some(low), Some(high)) => Some((low + high) / 2.0),
            (low, high) => low.or(high),
        })?;
        let span = Span {
            low: self.low.unwrap_or(typical),
            typical,
            high: self.high.unwrap_or(typical),
        };
        (span.low <= span.typical && span.typical <= span.high).then_some(span)
    }
}

fn always() -> String {
    "always".into()
}

fn memory() -> String {
    "memory".into()
}
