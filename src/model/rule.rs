//! One rule of the trade: when it holds, what follows, why, and who says so.

use super::closed::closed;
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

closed! {
    /// How much a finding weighs.
    pub enum Severity {
        /// Good to know.
        Info => "info",
        /// Look out.
        Watch => "watch",
        /// Do not go on without dealing with it.
        Stop => "stop",
    }
}

/// The steps of making a mix, in the order they are done.
pub const PHASES: [&str; 14] = [
    "premix",
    "disperse",
    "hydrate cold",
    "cook apart",
    "heat",
    "hold",
    "homogenise",
    "add warm",
    "cool",
    "age",
    "add cold",
    "churn",
    "harden",
    "store",
];

/// How a fault is mended: one ingredient in exchange for another, gram for gram.
#[derive(Debug, Clone, PartialEq)]
pub struct Lever {
    /// The dial that decides how much.
    pub dial: Option<(Dial, Direction)>,
    /// What goes: the most plentiful of these the formula holds; empty for its liquid.
    pub out: Vec<Group>,
    /// What comes: the first of these ids the formula holds, else the first that suits it; empty for its liquid.
    pub newcomers: Vec<String>,
    /// Where no dial decides: the part of what goes, or of a newcomer already there.
    pub share: f64,
    /// What a newcomer that is not there yet makes of the mix, %; its use level where not told.
    pub percent: Option<f64>,
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
        /// It holds for nearly every formula of its kind: told with the plan and the allergens, not
        /// with the verdict.
        standing: bool,
    },
    /// What is told where somebody asks for a guest or about keeping: told of no formula unasked.
    Care {
        /// Topics of `data/law-words.csv`.
        asked: Vec<String>,
        /// How much it weighs.
        severity: Severity,
        /// What must be known.
        text: String,
    },
    /// A fault, one of its causes, and the fix.
    Diagnosis {
        /// The fault.
        symptom: String,
        /// Faults that are less of it: what keeps a jelly from setting also leaves it soft.
        also: Vec<String>,
        /// Dishes, or classes of them, it is met in; empty for all.
        dishes: Vec<String>,
        /// Whether this cause is there.
        test: Expr,
        /// The sugar or polyol whose crystals are the cause, in place of a test.
        solute: Option<String>,
        /// The cause.
        cause: String,
        /// What to move.
        lever: Option<Lever>,
        /// The fix in words.
        fix: String,
        /// The usual range of the dial that shows it.
        usual: Option<Band>,
    },
    /// Dishes that share their faults.
    Dish {
        /// Their class, such as `frozen`.
        class: String,
        /// The dishes, as questions name them.
        dishes: Vec<String>,
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
        /// The same, both ways, in a dish that is not frozen; `None` where it is no other.
        guard_unfrozen: Option<f64>,
        /// Per cent of the figure that a plain more or less of it moves, so that it is tasted.
        tasted: f64,
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
    /// What a dish is meant to be free of, and what brings it in; the condition asks `in`.
    Purpose {
        /// Words of a name or heading that say so.
        words: Vec<String>,
        /// Classes that say so.
        classes: Vec<String>,
        /// What is said of a newcomer that breaks it, as the rest of a sentence that begins with its name.
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

impl Rule {
    /// Whether it is a swap of one ingredient or its group, not of a family or a job.
    pub fn is_narrow(&self) -> bool {
        let RuleKind::Swap { out, .. } = &self.kind else {
            return false;
        };
        matches!(out, Group::Ingredient(_) | Group::Kin(_))
    }
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
    /// Why it names some forms of a thing and not the others; empty where it names all.
    pub only: String,
    /// Where it was read.
    pub row: Row,
}
