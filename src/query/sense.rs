//! What a phrase can mean in a question: the parts of speech of a test kitchen.

use crate::model::{Comparison, Dial};

/// A word that says what is asked or how the parts hang together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Cue {
    Swap,
    Replace,
    ReplacedBy,
    Substitute,
    Instead,
    Afterwards,
    Lack,
    /// Said after what there is none of: `is sold out`.
    Lacked,
    Use,
    Compare,
    Best,
    Find,
    Lookup,
    Is,
    Add,
    Adjust,
    Fix,
    Make,
    Scale,
    HowTo,
    Why,
    Rescue,
    Remove,
    With,
    By,
    For,
    To,
    Of,
    In,
    From,
    And,
    Or,
    As,
    At,
    Only,
    Than,
    Free,
    Without,
    Allergy,
    Strict,
    Contains,
    Not,
    Too,
    Pair,
    Within,
    Certified,
    Frail,
    Change,
    Have,
    Shelf,
    Temperature,
    Preamble,
}

impl Cue {
    const ALL: [(Cue, &'static str); 52] = [
        (Cue::Swap, "swap"),
        (Cue::Replace, "replace"),
        (Cue::ReplacedBy, "replaced by"),
        (Cue::Substitute, "substitute"),
        (Cue::Instead, "instead"),
        (Cue::Afterwards, "afterwards"),
        (Cue::Lack, "lack"),
        (Cue::Lacked, "lacked"),
        (Cue::Use, "use"),
        (Cue::Compare, "compare"),
        (Cue::Best, "best"),
        (Cue::Find, "find"),
        (Cue::Lookup, "lookup"),
        (Cue::Is, "is"),
        (Cue::Add, "add"),
        (Cue::Adjust, "adjust"),
        (Cue::Fix, "fix"),
        (Cue::Make, "make"),
        (Cue::Scale, "scale"),
        (Cue::HowTo, "how to"),
        (Cue::Why, "why"),
        (Cue::Rescue, "rescue"),
        (Cue::Remove, "remove"),
        (Cue::With, "with"),
        (Cue::By, "by"),
        (Cue::For, "for"),
        (Cue::To, "to"),
        (Cue::Of, "of"),
        (Cue::In, "in"),
        (Cue::From, "from"),
        (Cue::And, "and"),
        (Cue::Or, "or"),
        (Cue::As, "as"),
        (Cue::At, "at"),
        (Cue::Only, "only"),
        (Cue::Than, "than"),
        (Cue::Free, "free"),
        (Cue::Without, "without"),
        (Cue::Allergy, "allergy"),
        (Cue::Strict, "strict"),
        (Cue::Contains, "contains"),
        (Cue::Not, "not"),
        (Cue::Too, "too"),
        (Cue::Pair, "pair"),
        (Cue::Within, "within"),
        (Cue::Certified, "certified"),
        (Cue::Frail, "frail"),
        (Cue::Change, "change"),
        (Cue::Have, "have"),
        (Cue::Shelf, "shelf"),
        (Cue::Temperature, "temperature"),
        (Cue::Preamble, "preamble"),
    ];

    /// The cue a row of `verbs.csv` or `roles.csv` names.
    pub fn parse(word: &str) -> Option<Cue> {
        Self::ALL
            .iter()
            .find(|(_, w)| *w == word)
            .map(|(cue, _)| *cue)
    }
}

/// Which way a dial should go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Push {
    Keep,
    Raise,
    Lower,
}

impl Push {
    /// The push a row of `directions.csv` names.
    pub fn parse(word: &str) -> Option<Push> {
        match word {
            "keep" => Some(Push::Keep),
            "raise" => Some(Push::Raise),
            "lower" => Some(Push::Lower),
            _ => None,
        }
    }

    /// The other way round.
    pub fn opposite(self) -> Push {
        match self {
            Push::Keep => Push::Keep,
            Push::Raise => Push::Lower,
            Push::Lower => Push::Raise,
        }
    }
}

/// What a unit measures, with its size in the base unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Unit {
    /// Grams.
    Grams(f64),
    /// Millilitres.
    Millilitres(f64),
    Percent,
    PartsPerMillion,
    Celsius,
    Fahrenheit,
    /// Alcohol by volume in per cent, as a factor of the figure.
    AlcoholByVolume(f64),
    /// How many times as much.
    Times,
    /// Portions, servings, scoops.
    Portions,
    /// Any unit that the property itself has: DE, Brix, Bloom, kcal.
    Plain,
}

/// The ingredients a name can stand for.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Candidates {
    /// Ids, the likeliest first; more than one must be chosen from.
    pub ids: Vec<String>,
    /// Why there is a choice.
    pub reason: String,
    /// What is taken for granted when there is none.
    pub assumed: String,
    /// All that share the noun, where one word names several: every gelatin for `gelatin`.
    pub namesakes: Vec<String>,
}

/// One meaning of a phrase.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Sense {
    Cue(Cue),
    Ingredient(Candidates),
    Property(String),
    /// The noun of a dial; `true` where more of the noun is less of the dial.
    Dial(Dial, bool),
    /// An adjective that moves a dial; `true` where it does so only beside a verb or direction.
    Quality(Dial, Push, bool),
    Push(Push),
    /// A fault; `true` where it is one only in a complaint.
    Symptom(String, bool),
    /// A kind of ingredient: condition and assumption.
    Group(String, String),
    /// What a diet allows: condition and assumption.
    Diet(String, String),
    /// What an ingredient does or stands, as a condition: `freezes well`.
    Trait(String),
    /// Allergen substances and the assumption.
    Allergen(Vec<String>, String),
    Dish(String),
    Phase(String),
    Number(f64),
    Unit(Unit),
    /// A share of what is there, and the assumption.
    Share(f64, String),
    /// A factor of the batch: `double` is 2.
    Factor(f64),
    /// `most`, `least`; with the property where the word names it: `sweetest`.
    Superlative(bool, String),
    Compare(Comparison),
    Between,
    Temperature(f64),
    /// `new`, as in `at most 2 new`.
    New,
    /// Words of the name of the formula in hand; how many.
    Title(usize),
    /// A comma or another sign.
    Sign(char),
    /// Does not change the meaning; `true` where that is said.
    Filler(bool),
}
