//! How names vary and what the trade means by one: defaults, qualifiers, spellings, grades, pieces.

use std::collections::{HashMap, HashSet};

/// What the trade means by a name that says no more.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Meant {
    /// One id, or several where no default is honest and a colleague would ask; likeliest first.
    pub ids: Vec<String>,
    /// What was assumed and what another reading would change.
    pub reason: String,
    /// In a question the word is a kind or a figure, and only a line of a formula means this by it.
    pub formula_only: bool,
    /// Of several ids the first is meant in a dish that its name tells to be no frozen one.
    pub unfrozen: bool,
}

/// What a starch hydrolysate is sold as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SyrupKind {
    /// A liquid glucose syrup.
    Liquid,
    /// A dried glucose syrup.
    Dried,
    /// A maltodextrin.
    Maltodextrin,
}

impl SyrupKind {
    /// The id of a curated member, up to its DE.
    pub fn stem(self) -> &'static str {
        match self {
            SyrupKind::Liquid => "glucose-syrup-de",
            SyrupKind::Dried => "dried-glucose-syrup-de",
            SyrupKind::Maltodextrin => "maltodextrin-de",
        }
    }

    /// The name of a member, up to its DE.
    pub fn word(self) -> &'static str {
        match self {
            SyrupKind::Liquid => "glucose syrup",
            SyrupKind::Dried => "dried glucose syrup",
            SyrupKind::Maltodextrin => "maltodextrin",
        }
    }
}

/// What starch syrups are called, and the words around their DE.
#[derive(Debug, Clone, PartialEq, std::default::Default)]
pub struct SyrupWords {
    /// Names, folded, each with its kind; those of more words first.
    pub names: Vec<(String, SyrupKind)>,
    /// Words that may stand between a name and its DE.
    pub between: HashSet<String>,
    /// Words before a name that make it another syrup, whose DE does not tell its sugars.
    pub others: HashSet<String>,
}

/// What a word beside a name tells of what it names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Qualifier {
    /// It joins words: `of`, `de`.
    Link,
    /// Nothing that changes a figure: `organic`, `fresh`, `melted`.
    Plain,
    /// A form the figures may not cover: `toasted`, `sliced`; left aside only when told.
    Form,
    /// It begins a remark: `for`, `to finish`.
    Tail,
}

/// What a figure beside a name counts, and how it is counted.
#[derive(Debug, Clone, PartialEq)]
pub struct Counted {
    /// How it is said: `% fat`.
    pub say: String,
    /// The unit it comes to, an id of [`Naming::units`]: proof comes to per cent by volume.
    pub of: String,
    /// How many of that one of it is.
    pub times: f64,
    /// It is a per cent of something put in, which makes another thing: a puree with sugar.
    pub added: bool,
    /// The property that it is, where it is one alone.
    pub property: Option<String>,
}

/// Grades of one thing that differ by a figure: creams by fat, spirits by strength.
#[derive(Debug, Clone, PartialEq)]
pub struct Grade {
    /// Identifier.
    pub id: String,
    /// What the figure counts, an id of [`Naming::units`].
    pub unit: String,
    /// Whether a per cent with no word means this figure.
    pub bare: bool,
    /// How far a figure may lie from a grade that is still the one meant.
    pub tolerance: f64,
    /// Whether a figure between two grades is worked out on the line between them.
    pub between: bool,
    /// Each member stands on a line of its own from `low` to `high`, as rum and gin do.
    pub apart: bool,
    /// Up to which figure a member that stands apart is taken as thickened by losing what thins it,
    /// as a juice is to its concentrate.
    pub beyond: Option<f64>,
    /// Name of what is worked out; `{}` stands for the figure.
    pub name: String,
    /// Members with their figures, on the line, lowest first.
    pub line: Vec<(String, f64)>,
    /// Members that are as good a match but lie beside the line.
    pub also: Vec<(String, f64)>,
    /// What thins a member and its figure: `water`, 0.
    pub low: Option<(String, f64)>,
    /// What strengthens a member and its figure.
    pub high: Option<(String, f64)>,
}

/// The weight of one piece of something that is counted.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Which ingredient.
    pub ingredient: String,
    /// What is counted, folded and in the singular: empty for the thing itself, `sheet`, `clove`.
    pub piece: String,
    /// Least weight, g.
    pub low: f64,
    /// Usual weight, g.
    pub typical: f64,
    /// Greatest weight, g.
    pub high: f64,
    /// Where the figure comes from.
    pub source: String,
}

/// How names vary.
#[derive(Debug, Clone, PartialEq, std::default::Default)]
pub struct Naming {
    /// What is meant by a folded name.
    pub meant: HashMap<String, Meant>,
    /// What a word beside a name tells.
    pub qualifiers: HashMap<String, Qualifier>,
    /// Qualifiers and variants of several words, longest first, each with the one word it is read as.
    pub phrases: Vec<(String, String)>,
    /// Another way to write a word: `fiber` is `fibre`, `h.o.` is `high oleic`.
    pub variants: HashMap<String, String>,
    /// Words that say that several things are mixed: `blend`.
    pub mixing: HashSet<String>,
    /// Words of foods that are no ingredient here, and no slip for one: `sausage`.
    pub foods: HashSet<String>,
    /// What starch syrups are called, and the words around their DE.
    pub syrups: SyrupWords,
    /// The grades.
    pub grades: Vec<Grade>,
    /// Words for what a figure counts: `fett` is `fat`.
    pub units: HashMap<String, String>,
    /// What each of those ids counts.
    pub counted: HashMap<String, Counted>,
    /// Weights of pieces.
    pub pieces: Vec<Piece>,
}

impl Naming {
    /// How a unit is said; empty for one that is not known.
    pub fn say(&self, unit: &str) -> &str {
        self.counted.get(unit).map_or("", |counted| &counted.say)
    }

    /// Makes one word of every qualifier that has several, so that a name is read word by word.
    pub fn join_phrases(&mut self) {
        let mut phrases: Vec<(String, String)> = vec![];
        let several = self.qualifiers.keys().filter(|q| q.contains(' '));
        phrases.extend(several.map(|q| (q.clone(), q.replace(' ', "_"))));
        for (phrase, word) in &phrases {
            if let Some(kind) = self.qualifiers.remove(phrase) {
                self.qualifiers.insert(word.clone(), kind);
            }
        }
        let several = self.variants.iter().filter(|(w, _)| w.contains(' '));
        phrases.extend(several.map(|(w, word)| (w.clone(), word.clone())));
        phrases.sort_by(|a, b| b.0.len().cmp(&a.0.len()).then(a.0.cmp(&b.0)));
        self.phrases = phrases;
    }
}

impl Grade {
    /// Every member with its figure.
    pub fn members(&self) -> impl Iterator<Item = &(String, f64)> {
        self.line.iter().chain(&self.also)
    }

    /// The figure of a member.
    pub fn figure(&self, id: &str) -> Option<f64> {
        let found = self.members().find(|(member, _)| member == id);
        found.map(|(_, figure)| *figure)
    }
}
