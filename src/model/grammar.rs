//! The grammar of questions, as data: which words make a term, and which terms make a question.

use std::collections::BTreeMap;

/// One way to say a term, a row of `data/grammar/terms.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct TermRow {
    /// What it makes: `change.out`, `asks.what-if`.
    pub name: String,
    /// Words, cues and slots in order.
    pub pattern: Vec<Element>,
    /// What it costs to read words so.
    pub cost: f64,
    /// Texts that hold it.
    pub examples: Vec<String>,
    /// Texts that do not.
    pub counters: Vec<String>,
}

/// A part of a pattern.
#[derive(Debug, Clone, PartialEq)]
pub enum Element {
    /// One of these phrases, folded.
    Words(Vec<String>),
    /// A word of a table with one of these meanings: `@lack`.
    Cues(Vec<String>),
    /// A slot: the key its value is kept under, and what fills it.
    Slot {
        /// Name of the value.
        key: String,
        /// A meaning of a word, or the name of a term above.
        of: String,
    },
    /// The same, where it may be lacking.
    Maybe(Box<Element>),
}

/// One kind of question, a row of `data/grammar/frames.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct FrameRow {
    /// The kind of question: `what-if`.
    pub kind: String,
    /// Terms that must be there; of each list one.
    pub needs: Vec<Vec<String>>,
    /// Terms that may be there; `goal` stands for all of `goal.at`, `goal.by` ...
    pub may: Vec<String>,
    /// What it costs to read a text so.
    pub cost: f64,
    /// What it costs beside that where a formula is in hand.
    pub scene: f64,
    /// A reading that costs more is none.
    pub most: f64,
    /// A text read so, and its canonical form.
    pub example: (String, String),
}

/// The kinds told apart.
pub const KINDS: [&str; 13] = [
    "swap", "adjust", "scale", "what-if", "diagnose", "how-to", "lookup", "compare", "search",
    "assess", "role", "law", "care",
];

/// What a sign of a text says of its kind, a row of `data/grammar/prior.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct PriorRow {
    /// A word, two words, or what a stretch means: `swap`, `how do`, `<fault>`.
    pub sign: String,
    /// The kind of question.
    pub kind: String,
    /// How much likelier the sign makes the kind, as a logarithm.
    pub weight: f64,
}

/// The grammar.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Grammar {
    /// Terms, in the order they are applied.
    pub terms: Vec<TermRow>,
    /// Frames.
    pub frames: Vec<FrameRow>,
    /// By sign, the kinds it speaks for or against, by their places in [`KINDS`].
    pub prior: BTreeMap<String, Vec<(usize, f64)>>,
}

impl FrameRow {
    /// Whether a term may be there beside what must.
    pub fn allows(&self, term: &str) -> bool {
        let family = term.split('.').next().unwrap_or_default();
        self.may.iter().any(|may| may == term || may == family)
    }
}

impl Element {
    /// The parts of a pattern: `leave {out:thing} out|off`, `@lack {thing}`, `the?`.
    pub fn all(pattern: &str) -> Option<Vec<Element>> {
        pattern.split_whitespace().map(Element::of).collect()
    }

    fn of(text: &str) -> Option<Element> {
        if let Some(inner) = text.strip_suffix('?').filter(|inner| !inner.is_empty()) {
            return Some(Element::Maybe(Box::new(Element::of(inner)?)));
        }
        if let Some(slot) = text.strip_prefix('{') {
            let slot = slot.strip_suffix('}')?;
            let (key, of) = slot.split_once(':').unwrap_or((slot, slot));
            return Some(Element::Slot {
                key: key.to_string(),
                of: of.to_string(),
            });
        }
        let word = |w: &str| w.trim_start_matches('@').replace('_', " ");
        let alternatives = |text: &str| text.split('|').map(word).collect();
        match text.strip_prefix('@') {
            Some(cues) => Some(Element::Cues(alternatives(cues))),
            None => Some(Element::Words(alternatives(text))),
        }
    }
}
