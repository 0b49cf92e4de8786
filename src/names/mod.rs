//! What is typed to an ingredient: what was assumed, and what else it could have been.
//!
//! One resolver for formula lines, arguments of commands, own data and the names in a question.

mod figure;
mod grade;
mod index;
mod resolve;
mod slip;
pub mod syrup;
mod syrup_name;
mod words;

use std::sync::OnceLock;

use crate::model::{Catalogue, IngredientKey, Row, Source};

use index::NameIndex;

pub use crate::model::SyrupKind;
pub use syrup_name::SyrupName;

/// What a typed name stands for.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// One ingredient.
    Taken(Taken),
    /// No default is honest: the person must choose.
    Choice {
        /// What it can mean, likeliest first; at most three.
        options: Vec<IngredientKey>,
        /// How they differ.
        reason: String,
    },
    /// Nothing has the name.
    Unknown {
        /// What is near, nearest first; at most three.
        near: Vec<IngredientKey>,
        /// Why nothing can have it and the way out, where that is known.
        fault: Option<(String, String)>,
    },
}

/// One ingredient taken for a name.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// Which.
    pub key: IngredientKey,
    /// What was assumed, a sentence each; empty where nobody would mean anything else.
    pub said: Vec<String>,
    /// What else the name could mean.
    pub others: Vec<IngredientKey>,
    /// A slip in the name was mended.
    pub mended: bool,
}

impl Taken {
    /// An ingredient that is meant beyond doubt.
    fn sure(key: IngredientKey) -> Self {
        Taken {
            key,
            said: vec![],
            others: vec![],
            mended: false,
        }
    }
}

impl Outcome {
    /// The ingredient taken.
    pub fn key(&self) -> Option<IngredientKey> {
        match self {
            Outcome::Taken(taken) => Some(taken.key),
            _ => None,
        }
    }

    /// All it may mean, likeliest first.
    fn keys(&self) -> Vec<IngredientKey> {
        match self {
            Outcome::Taken(taken) => {
                let others = taken.others.iter().copied();
                std::iter::once(taken.key).chain(others).collect()
            }
            Outcome::Choice { options, .. } => options.clone(),
            Outcome::Unknown { .. } => vec![],
        }
    }
}

/// Resolves names; what it needs is read from the catalogue on first use.
#[derive(Debug, Default)]
pub struct Names {
    index: OnceLock<NameIndex>,
}

impl Names {
    /// Whether a text names a syrup of a DE that there is none of.
    pub fn is_no_syrup(&self, catalogue: &Catalogue, typed: &str) -> bool {
        impossible_syrup(catalogue, typed).is_some()
    }

    /// What a typed name stands for. Never fails: what nothing has the name of is
    /// [`Outcome::Unknown`] with what is near.
    pub fn resolve(&self, catalogue: &Catalogue, typed: &str) -> Outcome {
        let index = self.index.get_or_init(|| NameIndex::of(catalogue));
        resolve::resolve(&resolve::Scope { catalogue, index }, typed)
    }
}

/// Words in a name with its grade: `white rum 37.5 % vol`.
const GRADED: usize = 6;
/// Words behind a per cent that make a change of it, not a grade.
const CHANGES: [&str; 8] = [
    "less", "more", "of", "lower", "higher", "fewer", "down", "up",
];

impl Names {
    /// A sentence in which every name with the grade of something that has to be worked out, such as
    /// `white rum 37.5 %`, is written as the id it has.
    pub fn with_grades(&self, catalogue: &Catalogue, text: &str) -> String {
        let words: Vec<&str> = text.split_whitespace().collect();
        let mut out: Vec<String> = vec![];
        let mut at = 0;
        while at < words.len() {
            let found = (2..=GRADED.min(words.len() - at)).rev().find_map(|count| {
                let next = words.get(at + count).copied().unwrap_or_default();
                let span = words[at..at + count].join(" ");
                let graded = span.chars().any(|c| c.is_ascii_digit()) && !CHANGES.contains(&next);
                let bare = span.trim_end_matches([',', '?', '.', '!']);
                let key = graded.then(|| self.worked_out(catalogue, bare)).flatten()?;
                Some((catalogue.ingredient(key).id.clone(), count))
            });
            match found {
                Some((id, count)) => {
                    out.push(id);
                    at += count;
                }
                None => {
                    out.push(words[at].to_string());
                    at += 1;
                }
            }
        }
        out.join(" ")
    }

    /// What a name with a grade comes to where it is no listed ingredient, and every word of it is read.
    fn worked_out(&self, catalogue: &Catalogue, typed: &str) -> Option<IngredientKey> {
        let index = self.index.get_or_init(|| NameIndex::of(catalogue));
        let key = resolve::graded_name(&resolve::Scope { catalogue, index }, typed)?;
        (!catalogue.listed(key)).then_some(key)
    }
}

/// The syrup a text names by its DE, listed or worked out. `None` where it names none, or one that
/// cannot be.
pub fn syrup_named(catalogue: &Catalogue, text: &str) -> Option<IngredientKey> {
    let name = SyrupName::of(text, &catalogue.naming.syrups)?;
    grade::define_syrup(catalogue, &name).ok()
}

/// Why a syrup that a text names by its DE cannot be, and the way out.
pub fn impossible_syrup(catalogue: &Catalogue, text: &str) -> Option<(String, String)> {
    SyrupName::all_in(text, &catalogue.naming.syrups)
        .into_iter()
        .find_map(|(words, name)| {
            let unknown = catalogue.bearers(&words).is_empty();
            unknown.then(|| syrup::fault(&name)).flatten()
        })
}

/// A text in which every syrup named by its DE is written as the id it has, for texts that are read by
/// their words, such as conditions.
pub fn with_syrup_ids(catalogue: &Catalogue, text: &str) -> String {
    let mut out = text.to_string();
    for (words, name) in SyrupName::all_in(text, &catalogue.naming.syrups) {
        let written = out.to_lowercase().find(&words);
        if let (Some(at), Ok(key)) = (written, grade::define_syrup(catalogue, &name))
            && out.is_char_boundary(at)
            && out.is_char_boundary(at + words.len())
        {
            out.replace_range(at..at + words.len(), &catalogue.ingredient(key).id);
        }
    }
    out
}

/// The sources that worked-out values name.
pub fn sources() -> impl Iterator<Item = Source> {
    syrup::sources().chain([grade::source()])
}

/// Where a value stands that no file holds.
fn derived_row() -> Row {
    Row {
        file: "derived".into(),
        line: 0,
    }
}
