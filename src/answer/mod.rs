//! The answer as data: what every face prints, and what `--json` writes.

mod against;
mod assessment;
mod assumed;
mod carried;
mod completeness;
mod knowledge;
mod known;
mod label;
mod law;
mod own;
mod plan;
mod problem;
mod sheet;
mod swap;
mod verdict;
mod words;

pub use against::{Against, Difference};
pub use assessment::{
    Assessment, BodyOut, Composition, CrystalOut, Doubt, FindingOut, FrozenAt, GlassOut, StepOut,
};
pub use assumed::{AssumedOut, Named};
pub use completeness::{Completeness, FamilyOut, PropertyKnown};
pub use knowledge::{AllergenOut, ComparedRow, Comparison, FoundHit, Hits, ProfileOut, ValueOut};
pub use known::{
    CheckedOut, ExportedOut, FormulaOut, KindCount, OwnIngredient, OwnOut, PropertiesOut,
    PropertyOut, SourceOut, SourcesOut, StartedOut, StatedOut, TableOut,
};
pub use label::{
    EnergyOut, LabelAllergenOut, LabelOut, LabelPartOut, LabelRuleOut, NoticeOut, NutrientOut,
};
pub use law::{LegalCheckOut, LegalOut, PermissionOut};
pub use own::{CostOut, OverruledOut};
pub use plan::{CitedOut, PlanOut, PlanStepOut};
pub use problem::{Gravity, PlaceOut, ProblemOut, Refused};
pub use sheet::{BowlOut, FigureOut, MeasureOut, RoundedOut, SheetOut, WeighedOut};
pub use swap::{
    Amount, ChangedOut, ConflictOut, KeptOut, LeftOut, OptionOut, OtherOut, ProofOut, ReasonOut,
    SwapOut,
};
pub use verdict::{DepartureOut, DishOut, SoftnessOut};
pub use words::{Kind, Readiness, Verdict, Written};

use serde::{Deserialize, Serialize};

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
    /// A formula with nothing worked out.
    Formula(FormulaOut),
    /// The answer to a question in words.
    Asked(Box<Asked>),
    /// The sources.
    Sources(SourcesOut),
    /// The properties.
    Properties(PropertiesOut),
    /// How complete the knowledge is.
    Completeness(Completeness),
    /// The own data in use.
    Own(OwnOut),
    /// Own data started.
    Started(StartedOut),
    /// That the data holds.
    Checked(CheckedOut),
    /// What was written to a file.
    Exported(ExportedOut),
}

/// An answer with the versions it rests on, as programs get it. The command says which type `A` is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Told<A> {
    /// The versions.
    #[serde(flatten)]
    pub versions: Versions,
    /// The folder of the own data that was laid over what is built in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub own_data: Option<String>,
    /// The answer.
    #[serde(flatten)]
    pub answer: A,
}

/// The versions an answer rests on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Versions {
    /// Version of the program.
    pub tamis: String,
    /// Version of the data, a hash of all of it; `None` where the data could not be read.
    pub data_version: Option<String>,
    /// The day the data last changed; `None` where the data could not be read.
    pub data_date: Option<String>,
}

/// The answer to a question in words: `kind` says which field carries it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct Asked {
    /// The answer in a sentence.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub summary: String,
    /// How the question was understood, in canonical form.
    pub understood: String,
    /// What sort of question it was, which says what field carries the answer.
    pub kind: Kind,
    /// What was taken for granted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub assumed: Vec<String>,
    /// That what is to go is not in the formula; the answer then stands for another.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub absent: String,
    /// Words set aside.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub set_aside: Vec<String>,
    /// Slips corrected: typed, meant.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub corrected: Vec<(String, String)>,
    /// Profiles looked up.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub profile: Vec<ProfileOut>,
    /// Ingredients found.
    #[serde(
        flatten,
        skip_serializing_if = "Option::is_none",
        deserialize_with = "carried::hits"
    )]
    pub hits: Option<Hits>,
    /// Ingredients side by side.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub comparison: Option<Comparison>,
    /// A swap or a rebalance.
    #[serde(
        flatten,
        skip_serializing_if = "Option::is_none",
        deserialize_with = "carried::swap"
    )]
    pub swap: Option<Box<SwapOut>>,
    /// What was asked of the formula, a sentence each.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub told: Vec<String>,
    /// The formula assessed, where all of it was asked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub assessment: Option<Box<Assessment>>,
    /// What the law says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub legal: Option<LegalOut>,
    /// What must be known for a guest, or to keep the dish.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cares: Vec<FindingOut>,
    /// Steps of the process.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub steps: Vec<StepOut>,
    /// How the formula in hand is made, step by step.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub plan: Vec<PlanStepOut>,
    /// Causes of a fault, most likely first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub causes: Vec<Cause>,
    /// Readings to choose from.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<ReadingOut>,
    /// What has to be chosen, or why nothing was understood.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub ask: String,
    /// The answers to what else was asked in the same breath, in order.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<Asked>,
}

/// One reading to choose from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ReadingOut {
    /// In canonical form; asking it again is understood at once.
    pub understood: String,
}

/// One cause of a fault.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Cause {
    /// Rule id.
    pub rule: String,
    /// The fault.
    pub symptom: String,
    /// The cause.
    pub cause: String,
    /// What the formula says of it.
    pub verdict: Verdict,
    /// The number that shows it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub shown_by: String,
    /// The fix.
    pub fix: String,
    /// What the formula lacks of the fix.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub lacking: String,
    /// The smallest fix in grams, when the formula is known and the cause has a dial to move.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub grams: Vec<Amount>,
    /// What that fix does to the dials.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub effect: Vec<ChangedOut>,
    /// The whole formula after that fix, as weighed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub formula: Vec<Amount>,
    /// It goes part of the way only: the figure stays outside what is usual.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
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
            Answer::Exported(exported) => exported.ingredients > 0,
            Answer::Swap(swap) => !swap.options.is_empty(),
            Answer::Asked(asked) => match asked.kind {
                Kind::Swap | Kind::Adjust => {
                    asked.swap.as_ref().is_some_and(|s| !s.options.is_empty())
                }
                Kind::Search => asked.hits.as_ref().is_some_and(|h| h.total > 0),
                Kind::AskBack | Kind::Nothing => false,
                Kind::HowTo => !asked.steps.is_empty() || !asked.plan.is_empty(),
                Kind::Diagnose => !asked.causes.is_empty(),
                Kind::Lookup
                | Kind::Compare
                | Kind::Assess
                | Kind::WhatIf
                | Kind::Role
                | Kind::Legal
                | Kind::Safety => true,
            },
            _ => true,
        };
        u8::from(!found)
    }
}
