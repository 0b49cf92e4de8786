//! A swap or a rebalance, as data.

use serde::{Deserialize, Serialize};

use super::{Assessment, FindingOut, Kind, OverruledOut, StepOut};

/// What a swap came to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct SwapOut {
    /// The answer in a sentence.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub summary: String,
    /// How the wish was understood; empty inside an answer that says it already.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub understood: String,
    /// A swap or an adjustment; `None` inside an answer that says it already.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kind: Option<Kind>,
    /// The formula it was worked out on.
    pub formula: String,
    /// The dish, where one is named that is not frozen.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub dish: String,
    /// What was taken for granted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub assumed: Vec<String>,
    /// What an addition moves when nothing else is done.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub as_added: Vec<ChangedOut>,
    /// The direct answer to a named pair or an open question, in a line.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub direct: String,
    /// The options, best first.
    pub options: Vec<OptionOut>,
    /// Beside a named newcomer: what else the rules name for the same thing.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub others: Vec<OtherOut>,
    /// What should go and has no stand-in: taken out without one, or still in the formula.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub left: Vec<LeftOut>,
    /// Why there are none, with the nearest miss on each demand.
    pub why_none: Vec<ConflictOut>,
    /// The nearest misses, when there are no options.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub nearest: Vec<OptionOut>,
    /// Own values of ingredients named here that go before built-in ones.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub overruled: Vec<OverruledOut>,
    /// Candidates left out because the data does not say whether they fit.
    pub unknown: Vec<String>,
    /// What was examined.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub proof: Option<ProofOut>,
}

/// Grams of an ingredient.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Amount {
    /// Identifier.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Grams.
    pub grams: f64,
    /// Least and greatest usual grams, where a rule gives a span.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub span: Option<(f64, f64)>,
}

/// One option.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct OptionOut {
    /// From 1.
    pub rank: usize,
    /// What it does, in a sentence.
    pub summary: String,
    /// What comes in.
    pub ingredients: Vec<Amount>,
    /// What comes out.
    pub removed: Vec<Amount>,
    /// What else changes, such as the balancing water: positive is more.
    pub balanced: Vec<Amount>,
    /// The state before.
    pub before: Option<Box<Assessment>>,
    /// The state after.
    pub after: Option<Box<Assessment>>,
    /// The whole formula after, as weighed.
    pub formula: Vec<Amount>,
    /// Titratable acid before and after, as citric acid, g/100 g; where an acid is in play.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub acidity: Option<(f64, f64)>,
    /// Dials held, asked or as guards.
    pub kept: Vec<KeptOut>,
    /// Dials moved.
    pub changed: Vec<ChangedOut>,
    /// Why, with sources.
    pub reasons: Vec<ReasonOut>,
    /// Steps the newcomers add.
    pub process: Vec<StepOut>,
    /// What to look out for.
    pub cautions: Vec<FindingOut>,
    /// Share of seeded draws over the value ranges in which the wish holds, 0 to 1; `None` for rules by job.
    pub confidence: Option<f64>,
    /// Largest miss: 0 at the aim, 1 at the edge of what was asked; `None` for rules by job.
    pub miss: Option<f64>,
    /// Jobs of the leaver it takes over; empty for a swap by numbers.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub jobs: Vec<String>,
    /// What the newcomer does not do that the leaver did.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub lost: String,
    /// What changes in bite, melt and process.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub changes: String,
}

/// Something that should go and for which nothing comes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LeftOut {
    /// Ingredient id.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// It is still in the formula: nothing known does without it.
    pub still_in: bool,
    /// The job that nothing takes over; empty when another ingredient does it too.
    pub job: String,
}

/// Another way by rule, in short.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OtherOut {
    /// What it would replace, where several things go.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub instead_of: String,
    /// What comes in.
    pub ingredients: Vec<Amount>,
    /// Jobs of the leaver it takes over.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub jobs: Vec<String>,
    /// What it does not do that the leaver did; empty when nothing is known to be lost.
    pub lost: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
}

/// A dial held.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct KeptOut {
    /// Dial id.
    pub property: String,
    /// Before.
    pub before: f64,
    /// After.
    pub after: f64,
    /// Kept when within this.
    pub tolerance: f64,
    /// The person asked for it.
    pub asked: bool,
}

/// A dial moved.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ChangedOut {
    /// Dial id.
    pub property: String,
    /// Before.
    pub before: f64,
    /// After.
    pub after: f64,
    /// The person asked for it.
    pub asked: bool,
}

/// A reason.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ReasonOut {
    /// Rule id, or the kind of value or equation.
    pub rule: String,
    /// The reason.
    pub text: String,
    /// Source id or equation.
    pub source: String,
    /// Place in the source.
    pub locator: String,
}

/// One demand that conflicts with others.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ConflictOut {
    /// Dial id or the demand.
    pub constraint: String,
    /// What it says, in words.
    pub text: String,
    /// What it would come to if the others are held.
    pub nearest: Option<f64>,
}

/// What a search examined.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ProofOut {
    /// Candidates.
    pub candidates: usize,
    /// Sets there are.
    pub sets: u64,
    /// Ruled out by a bound.
    pub cut: u64,
    /// Solved exactly.
    pub solved: u64,
    /// No set that was not kept misses by less than this times what was asked; `None` when every
    /// set that meets the hard limits was kept.
    pub beyond: Option<f64>,
}
