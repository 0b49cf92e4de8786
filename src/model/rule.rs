//! One rule of the trade: when it holds, what follows, why, and who says so.

use super::dial::Dial;
use super::expr::{Expr, Group};
use super::value::Row;

/// Least, typical and greatest of a quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Least.
    pub low: f64,
    /// Typical.
    pub typical: f64,
    /// Greatest.
    pub high: f64,
}

/// How much a finding weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Good to know.
    Info,
    /// Look out.
    Watch,
    /// Do not go on without dealing with it.
    Stop,
}

impl Severity {
    /// Every severity with its word.
    pub const ALL: [(Severity, &'static str); 3] = [
        (Severity::Info, "info"),
        (Severity::Watch, "watch"),
        (Severity::Stop, "stop"),
    ];

    /// The severity a word means.
    pub fn parse(word: &str) -> Option<Severity> {
        Self::ALL
            .iter()
            .find(|(_, w)| *w == word)
            .map(|(severity, _)| *severity)
    }

    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(severity, _)| *severity == self)
            .map_or("info", |(_, word)| word)
    }
}

/// The steps of making a mix, in the order they are done.
pub const PHASES: [&str; 12] = [
    "premix",
    "disperse",
    "hydrate cold",
    "heat",
    "hold",
    "homogenise",
    "cool",
    "age",
    "add cold",
    "churn",
    "harden",
    "store",
];

/// What a diagnosis moves.
#[derive(Debug, Clone, PartialEq)]
pub enum Lever {
    /// Move this dial.
    Dial(Dial, Direction),
    /// Use more or less of this ingredient.
    Ingredient(String, Direction),
}

/// Up or down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// More.
    Higher,
    /// Less.
    Lower,
}

/// A usual range of a dial.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// Which dial.
    pub dial: Dial,
    /// Least usual.
    pub low: f64,
    /// Greatest usual.
    pub high: f64,
}

/// What follows when a rule holds.
#[derive(Debug, Clone, PartialEq)]
pub enum RuleKind {
    /// One thing does the job of another.
    Swap {
        /// What goes.
        out: Group,
        /// What comes, together.
        newcomers: Vec<String>,
        /// Grams in per gram out, all newcomers together.
        dose: Span,
        /// How the dose is split.
        shares: Vec<f64>,
        /// The jobs taken over.
        jobs: Vec<String>,
        /// What is lost.
        lost: String,
        /// What changes in bite, melt and process.
        changes: String,
    },
    /// Two things in one mix act on each other.
    Interaction {
        /// `synergy`, `gel`, `incompatible`, `double dose`, `crystallises`, `weakens` or `protects`.
        effect: String,
        /// What happens.
        text: String,
        /// How much it weighs.
        severity: Severity,
    },
    /// A step of the process.
    Process {
        /// One of [`PHASES`].
        phase: String,
        /// Temperature in C.
        celsius: Option<Span>,
        /// Time in minutes.
        minutes: Option<Span>,
        /// The instruction.
        text: String,
        /// Temperature the whole mix must reach for it, C.
        reach: Option<f64>,
        /// Temperature the whole mix must not pass for it, C.
        limit: Option<f64>,
        /// Parts of sugar it is blended dry with, per part.
        carrier: Option<Span>,
    },
    /// A warning for people's health, diet or the law.
    Caution {
        /// How much it weighs.
        severity: Severity,
        /// `allergen`, `laxation`, `legal limit`, ...
        topic: String,
        /// The caution.
        text: String,
    },
    /// A fault, one of its causes, and the fix.
    Diagnosis {
        /// The fault.
        symptom: String,
        /// Whether this cause is there.
        test: Expr,
        /// The cause.
        cause: String,
        /// What to move.
        lever: Option<Lever>,
        /// The fix in words.
        fix: String,
        /// The usual range of the dial that shows it.
        usual: Option<Band>,
    },
    /// A usual band of a product.
    Guard {
        /// Such as `sorbet`.
        product: String,
        /// The band.
        band: Band,
    },
    /// How closely a dial is kept and which step a person notices.
    Dial {
        /// Which.
        dial: Dial,
        /// Kept when within this, in the dial's unit.
        tolerance: f64,
        /// Least change worth calling a change.
        step: f64,
        /// How much an unnamed dial is held, as a multiple of its tolerance; 0 is not held.
        guard: f64,
        /// The same where a formula's own lines are edited.
        guard_edited: f64,
        /// Only a rise is held against, not a fall.
        only_rise: bool,
        /// Tolerance and step are per cent of the figure the mix has.
        relative: bool,
    },
    /// What speaks against a newcomer that the numbers do not show; the condition asks `in`, and `out` where it matters what goes.
    Drawback {
        /// 1 faint, 2 plain, 3 strong.
        weight: u8,
        /// What speaks against it, as the rest of a sentence that begins with its name.
        text: String,
    },
    /// What a formula may be helped with towards a new mark; the condition asks the mix.
    Helper {
        /// Ingredient id.
        newcomer: String,
    },
    /// Which ingredients may stand in for a group; the condition asks `in`.
    Candidate {
        /// What goes.
        out: Group,
    },
}

/// One rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    /// Identifier, unique over all files.
    pub id: String,
    /// When it holds.
    pub when: Expr,
    /// What follows.
    pub kind: RuleKind,
    /// Why.
    pub because: String,
    /// `strong`, `moderate` or `weak`; empty where it makes no sense.
    pub strength: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
    /// Where it was read.
    pub row: Row,
}
