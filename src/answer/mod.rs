//! The answer as data: what every face prints, and what `--json` writes.

mod against;
mod assessment;
mod assumed;
mod completeness;
mod knowledge;
mod label;
mod law;
mod own;
mod plan;
mod sheet;
mod swap;
mod verdict;

pub use against::{Against, Difference};
pub use assessment::{
    Assessment, BodyOut, Composition, CrystalOut, Doubt, FindingOut, FrozenAt, GlassOut, StepOut,
};
pub use assumed::{AssumedOut, Named};
pub use completeness::{Completeness, FamilyOut, PropertyKnown};
pub use knowledge::{AllergenOut, ComparedRow, Comparison, FoundHit, Hits, ProfileOut, ValueOut};
pub use label::{
    EnergyOut, LabelAllergenOut, LabelOut, LabelPartOut, LabelRuleOut, NoticeOut, NutrientOut,
};
pub use law::{LegalCheckOut, LegalOut, PermissionOut};
pub use own::{CostOut, OverruledOut};
pub use plan::{PlanOut, PlanStepOut};
pub use sheet::{BowlOut, FigureOut, MeasureOut, RoundedOut, SheetOut, WeighedOut};
pub use swap::{
    Amount, ChangedOut, ConflictOut, KeptOut, LeftOut, OptionOut, OtherOut, ProofOut, ReasonOut,
    SwapOut,
};

pub use verdict::{DepartureOut, DishOut, SoftnessOut};

use serde::Serialize;

/// Any answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Answer {
    /// A formula assessed.
    Assessment(Box<Assessment>),
    /// One ingredient.
    Profile(Box<ProfileOut>),
    /// Ingredients found.
    Hits(Hits),
    /// Ingredients side by side.
    Comparison(Comparison),
    /// A swap or a rebalance.
    Swap(Box<SwapOut>),
    /// How a formula is made.
    Plan(Box<PlanOut>),
    /// A label draft.
    Label(Box<LabelOut>),
    /// A bench sheet.
    Sheet(Box<SheetOut>),
    /// The answer to a question in words.
    Asked(Box<Asked>),
}

/// An answer with the own data that was laid over what is built in.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Told<'a> {
    /// Version of the program.
    pub tamis: &'a str,
    /// Version of the data, a hash of all of it.
    pub data_version: &'a str,
    /// The day the data last changed.
    pub data_date: &'a str,
    /// The folder of the own data.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub own_data: Option<&'a str>,
    /// The answer.
    #[serde(flatten)]
    pub answer: &'a Answer,
}

/// The answer to a question in words: `kind` says which field carries it.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct Asked {
    /// The answer in a sentence.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub summary: String,
    /// How the question was understood, in canonical form.
    pub understood: String,
    /// `lookup`, `search`, `compare`, `swap`, `adjust`, `how-to`, `assess`, `legal`,
    /// `safety`, `diagnose`, `ask-back` or `nothing`.
    pub kind: String,
    /// What was taken for granted.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub assumed: Vec<String>,
    /// That what is to go is not in the formula; the answer then stands for another.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub absent: String,
    /// Words set aside.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub set_aside: Vec<String>,
    /// Slips corrected: typed, meant.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub corrected: Vec<(String, String)>,
    /// Profiles looked up.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub profile: Vec<ProfileOut>,
    /// Ingredients found.
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    pub hits: Option<Hits>,
    /// Ingredients side by side.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub comparison: Option<Comparison>,
    /// A swap or a rebalance.
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    pub swap: Option<Box<SwapOut>>,
    /// What was asked of the formula, a sentence each.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub told: Vec<String>,
    /// The formula assessed, where all of it was asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub assessment: Option<Box<Assessment>>,
    /// What the law says.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub legal: Option<LegalOut>,
    /// What must be known for a guest, or to keep the dish.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub cares: Vec<FindingOut>,
    /// Steps of the process.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub steps: Vec<StepOut>,
    /// How the formula in hand is made, step by step.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub plan: Vec<PlanStepOut>,
    /// Causes of a fault, most likely first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub causes: Vec<Cause>,
    /// Readings to choose from.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<ReadingOut>,
    /// What has to be chosen, or why nothing was understood.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub ask: String,
    /// The answers to what else was asked in the same breath, in order.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<Asked>,
}

/// One reading to choose from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadingOut {
    /// In canonical form; asking it again is understood at once.
    pub understood: String,
}

/// One cause of a fault.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cause {
    /// Rule id.
    pub rule: String,
    /// The fault.
    pub symptom: String,
    /// The cause.
    pub cause: String,
    /// `found` when the formula's numbers show it, `possible here` when what it takes is in the
    /// formula, `not found` when the numbers speak against it, `untested` otherwise.
    pub verdict: String,
    /// The number that shows it.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub shown_by: String,
    /// The fix.
    pub fix: String,
    /// What the formula lacks of the fix.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub lacking: String,
    /// The smallest fix in grams, when the formula is known and the cause has a dial to move.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub grams: Vec<Amount>,
    /// What that fix does to the dials.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub effect: Vec<ChangedOut>,
    /// It goes part of the way only: the figure stays outside what is usual.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub partly: bool,
    /// Why.
    pub because: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
}

impl Answer {
    /// 0 when answered; 1 when nothing was found, no swap exists or the question must be asked back.
    pub fn exit_code(&self) -> u8 {
        let found = match self {
            Answer::Hits(hits) => hits.total > 0,
            Answer::Swap(swap) => !swap.options.is_empty(),
            Answer::Asked(asked) => match asked.kind.as_str() {
                "swap" | "adjust" => asked.swap.as_ref().is_some_and(|s| !s.options.is_empty()),
                "search" => asked.hits.as_ref().is_some_and(|h| h.total > 0),
                "ask-back" | "nothing" => false,
                "how-to" => !asked.steps.is_empty() || !asked.plan.is_empty(),
                "diagnose" => !asked.causes.is_empty(),
                _ => true,
            },
            _ => true,
        };
        u8::from(!found)
    }
}
