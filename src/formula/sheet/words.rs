//! The words of formula files: units, pieces, headers, totals. All of them are data, none stands here.

use std::borrow::Cow;
use std::collections::{HashMap, HashSet};
use std::sync::LazyLock;

use regex::Regex;

use super::Unit;
use crate::load::{Files, Table};
use crate::model::fold;

const UNITS: &str = "data/words/units.csv";
const NUMBERS: &str = "data/words/numbers.csv";
const SHEET: &str = "data/sheet-words.csv";

/// Most words a phrase has.
const LONGEST: usize = 4;

/// One word or sign; "g/kg" is one, "g/7 oz" is not.
static TOKEN: LazyLock<Regex> = LazyLock::new(|| {
    Regex::new(r"[%&+~≈]|[^\s,;:=()\[\]+*%/]+(?:/\p{L}+)*").expect("a valid shape")
});

/// What a word of `data/sheet-words.csv` does in a formula file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Kind {
    /// Heads the column of names.
    Name,
    /// Heads the column of amounts; the detail is the unit it speaks of.
    Amount,
    /// Heads a column of per cents.
    Percent,
    /// Heads the column of units.
    Unit,
    /// Heads the column of parts.
    Part,
    /// Heads the column of notes.
    Note,
    /// Says nothing in a header.
    Filler,
    /// Names a row of sums.
    Total,
    /// Begins a heading.
    Heading,
    /// Is a heading above the ingredients.
    List,
    /// Is a heading above the instructions.
    Method,
    /// Begins a line about the whole batch; with the detail `colon` only before a colon.
    Yield,
    /// Begins an instruction; with the detail `last` it ends one too.
    Verb,
    /// Says that the amount is left to the cook.
    Taste,
    /// Joins amount and name: "cup of milk".
    Of,
    /// Joins two ends of a range.
    To,
    /// Joins two amounts to a sum.
    Plus,
    /// Leads up to another ingredient of a sentence: "with", "and then", "in".
    Lead,
    /// Says that an amount is not exact.
    About,
    /// Is an article that counts as one, or as the detail: a half.
    One,
    /// Is a measure that needs no figure: "pinch of salt".
    Alone,
    /// Says that an amount is that of one piece.
    Each,
    /// Says how a spoon is filled.
    Level,
    /// Is a measure written in a way only formulas have; the detail is the unit it stands for, or
    /// its size.
    Measure,
    /// Counts what is measured or how long a step takes, and no ingredient: "82 C"; the detail is the
    /// least figure that does, as "2 c" are cups.
    Condition,
    /// Is said in Britain alone.
    British,
    /// Is a measure that is larger in Britain; the detail is its millilitres there.
    Imperial,
    /// Is a thing that is counted; the detail is its plain form.
    Piece,
    /// Is a thing that is sold filled; the detail is its plain form.
    Container,
    /// Is an ingredient that is counted, or the thing one is taken of; the detail is its plain form.
    Noun,
    /// Is what a kitchen pays for and nobody eats: packaging, labour, energy, tools.
    NoFood,
    /// Stands before the figure that another takes the place of: "1.2 not 1".
    Instead,
    /// Is an article that counts nothing: "in the pot".
    Article,
}

impl Kind {
    const ALL: [(&str, Kind); 33] = [
        ("name", Kind::Name),
        ("amount", Kind::Amount),
        ("percent", Kind::Percent),
        ("unit", Kind::Unit),
        ("part", Kind::Part),
        ("note", Kind::Note),
        ("filler", Kind::Filler),
        ("total", Kind::Total),
        ("heading", Kind::Heading),
        ("list", Kind::List),
        ("method", Kind::Method),
        ("yield", Kind::Yield),
        ("verb", Kind::Verb),
        ("taste", Kind::Taste),
        ("of", Kind::Of),
        ("to", Kind::To),
        ("plus", Kind::Plus),
        ("lead", Kind::Lead),
        ("about", Kind::About),
        ("one", Kind::One),
        ("alone", Kind::Alone),
        ("each", Kind::Each),
        ("level", Kind::Level),
        ("measure", Kind::Measure),
        ("condition", Kind::Condition),
        ("british", Kind::British),
        ("imperial", Kind::Imperial),
        ("piece", Kind::Piece),
        ("container", Kind::Container),
        ("noun", Kind::Noun),
        ("no food", Kind::NoFood),
        ("instead", Kind::Instead),
        ("article", Kind::Article),
    ];
}

/// What a measuring word says.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Measure {
    /// A mass or a volume.
    Unit(Unit),
    /// Per cent of the batch.
    Percent,
    /// Portions of the dish, which are no ingredient.
    Portions,
    /// Something counted: its plain form, and whether it is sold filled.
    Piece(String, bool),
}

/// The words of formula files.
#[derive(Debug, Clone, Default)]
pub struct Words {
    /// What a phrase is, by its key.
    kinds: HashMap<String, Vec<(Kind, String)>>,
    /// Units by key, and those whose case matters as typed.
    units: HashMap<String, Measure>,
    numbers: HashMap<String, f64>,
    /// What the phrases of more than one word, and all others, begin with.
    firsts: HashSet<String>,
    /// Words that join amount and name, as they are typed.
    joining: Vec<String>,
}

/// A word as it is looked up: points part words, accents and case do not count.
pub(super) fn key(text: &str) -> String {
    let plain = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit();
    match text {
        "&" | "+" | "~" | "≈" | "#" | "Σ" | "∑" => text.to_string(),
        _ if text.bytes().all(plain) => text.to_string(),
        _ => fold(&text.replace('.', " ")),
    }
}

/// The first word of a key.
fn first(key: &str) -> &str {
    key.split(' ').next().unwrap_or_default()
}

impl Words {
    /// The words in the files; a row whose meaning is not known says nothing.
    pub fn of(files: &Files) -> Self {
        let mut words = Words::default();
        for (word, meaning, detail) in rows(files, UNITS) {
            if let Some(measure) = measure(&meaning, &detail) {
                words.units.insert(key(&word), measure);
            }
        }
        for (word, meaning, _) in rows(files, NUMBERS) {
            if let Ok(number) = meaning.parse() {
                words.numbers.insert(key(&word), number);
            }
        }
        for (word, meaning, detail) in rows(files, SHEET) {
            let Some((_, kind)) = Kind::ALL.iter().find(|(name, _)| *name == meaning) else {
                continue;
            };
            match kind {
                Kind::Of => words.joining.push(word),
                Kind::Measure => {
                    // A unit by its name, or by its size: `0.05 ml`.
                    let sized = detail
                        .split_once(' ')
                        .and_then(|(size, unit)| measure(unit, size));
                    if let Some(measure) = words.units.get(&key(&detail)).cloned().or(sized) {
                        words.units.insert(word.clone(), measure.clone());
                        // The point is part of it: "c." is a cup, and "C" is a degree.
                        if !word.ends_with('.') {
                            words.units.entry(key(&word)).or_insert(measure);
                        }
                    }
                }
                _ => {
                    let known = words.kinds.entry(key(&word)).or_default();
                    known.push((*kind, detail));
                }
            }
        }
        // "dell'" before "de".
        words
            .joining
            .sort_by_key(|word| std::cmp::Reverse(word.len()));
        let keys = words.kinds.keys().chain(words.units.keys());
        words.firsts = keys
            .chain(words.numbers.keys())
            .map(|phrase| first(&key(phrase)).to_string())
            .collect();
        words
    }

    fn keyed(&self, kind: Kind, key: &str) -> Option<&str> {
        let known = self.kinds.get(key)?.iter();
        let mut of_kind = known.filter(|(k, _)| *k == kind);
        of_kind.next().map(|(_, detail)| detail.as_str())
    }

    /// Whether a key is that of a phrase of this kind.
    pub(super) fn holds(&self, kind: Kind, key: &str) -> bool {
        self.keyed(kind, key).is_some()
    }

    /// The detail of a phrase of this kind.
    pub(super) fn detail(&self, kind: Kind, phrase: &str) -> Option<&str> {
        // No phrase is that long.
        if phrase.split_whitespace().nth(LONGEST + 1).is_some() {
            return None;
        }
        self.keyed(kind, &key(phrase))
    }

    /// Whether a phrase is of this kind.
    pub(super) fn is(&self, kind: Kind, phrase: &str) -> bool {
        self.detail(kind, phrase).is_some()
    }

    /// Whether the first word of a text is of this kind.
    pub(super) fn opens(&self, kind: Kind, text: &str) -> bool {
        let first = text.split_whitespace().next().unwrap_or_default();
        self.is(kind, first.trim_end_matches([',', ':', '.', '!']))
    }

    /// Bytes of the phrase of this kind that a text begins with; 0 where it begins with none.
    pub(super) fn begins(&self, kind: Kind, text: &str) -> usize {
        self.longest(text, |_, key| self.keyed(kind, key))
            .map_or(0, |(_, end)| end)
    }

    /// The number said in words that a text begins with, and its bytes.
    pub(super) fn number(&self, text: &str) -> Option<(f64, usize)> {
        self.longest(text, |_, key| {
            let said = self.numbers.get(key).copied();
            said.or_else(|| Some(self.keyed(Kind::One, key)?.parse().unwrap_or(1.0)))
        })
    }

    /// The parts of a text between words that join things to a sum: "salt and pepper".
    pub(in crate::formula) fn joined_by_and<'t>(&self, text: &'t str) -> Vec<&'t str> {
        let mut parts = vec![];
        let (mut start, mut at) = (0, 0);
        for word in text.split(' ') {
            let end = at + word.len();
            if self.is(Kind::Plus, word) {
                parts.push(text[start..at].trim());
                start = end;
            }
            at = end + 1;
        }
        parts.push(text[start..].trim());
        parts
    }

    /// The words as a text means them: where it speaks of what only the British call so, a pint is theirs.
    pub(super) fn spoken_in(&self, text: &str) -> Cow<'_, Words> {
        let text = format!(" {} ", fold(text));
        let british = |(word, kinds): (&String, &Vec<(Kind, String)>)| {
            kinds.iter().any(|(kind, _)| *kind == Kind::British)
                && text.contains(&format!(" {word} "))
        };
        if !self.kinds.iter().any(british) {
            return Cow::Borrowed(self);
        }
        let mut words = self.clone();
        for (word, kinds) in &self.kinds {
            let imperial = kinds.iter().find(|(kind, _)| *kind == Kind::Imperial);
            let millilitres = imperial.and_then(|(_, detail)| measure("ml", detail));
            if let Some(measure) = millilitres {
                words.units.insert(word.clone(), measure);
            }
        }
        Cow::Owned(words)
    }

    /// Whether a name speaks of what nobody eats.
    pub(in crate::formula) fn no_food(&self, name: &str) -> bool {
        let starts = name.match_indices(|c: char| !c.is_alphanumeric());
        let starts = std::iter::once(0).chain(starts.map(|(at, sign)| at + sign.len()));
        let mut starts = starts.take(2 * LONGEST);
        starts.any(|at| self.begins(Kind::NoFood, &name[at..]) > 0)
    }

    /// Whether a sentence goes on behind a name with these words: "in a pan", "and bring", "to the boil";
    /// "in syrup" is of the name.
    pub(in crate::formula) fn leads_on(&self, word: &str, next: &str) -> bool {
        let of = |kinds: &[Kind], word: &str| kinds.iter().any(|kind| self.is(*kind, word));
        of(&[Kind::Lead, Kind::Plus, Kind::To], word)
            && of(&[Kind::One, Kind::Article, Kind::Verb], next)
    }

    /// Whether a text says that an amount is that of each thing.
    pub(in crate::formula) fn each_in(&self, text: &str) -> bool {
        text.split_whitespace()
            .any(|word| self.is(Kind::Each, word))
    }

    /// The measure a word is, as typed.
    pub(super) fn measure(&self, typed: &str) -> Option<Measure> {
        self.measure_keyed(typed, &key(typed))
    }

    fn measure_keyed(&self, typed: &str, key: &str) -> Option<Measure> {
        let piece = |kind, filled| {
            let plain = self.keyed(kind, key)?;
            Some(Measure::Piece(plain.to_string(), filled))
        };
        // A stick of butter is counted here, though it has a weight among the units.
        piece(Kind::Piece, false)
            .or_else(|| piece(Kind::Container, true))
            .or_else(|| self.units.get(typed).cloned())
            .or_else(|| self.units.get(typed.trim_end_matches('.')).cloned())
            .or_else(|| self.units.get(key).cloned())
    }

    /// The measure a text begins with, and its bytes.
    pub(super) fn measured(&self, text: &str) -> Option<(Measure, usize)> {
        self.longest(text, |typed, key| self.measure_keyed(typed, key))
    }

    /// Unit words, for the nearest one to a slip.
    pub(super) fn unit_words(&self) -> Vec<&str> {
        let units = self.units.iter();
        let mut words: Vec<&str> = units
            .filter(|(_, measure)| matches!(measure, Measure::Unit(_)))
            .map(|(word, _)| word.as_str())
            .collect();
        words.sort_unstable();
        words
    }

    /// A text without the joining word it begins with: "of milk", "d'huile".
    pub(super) fn joined<'t>(&self, text: &'t str) -> &'t str {
        for word in &self.joining {
            let Some(rest) = text.strip_prefix(word.trim_end_matches('\'')) else {
                continue;
            };
            match word.ends_with('\'') {
                true => {
                    if let Some(rest) = rest.strip_prefix(['\'', '’']) {
                        return rest;
                    }
                }
                // "DE 40" is no "de"; a number after it belongs to a name.
                false => {
                    let next = rest.trim_start();
                    let apart = next.len() < rest.len();
                    if apart && next.starts_with(|c: char| !c.is_ascii_digit()) {
                        return next;
                    }
                }
            }
        }
        text
    }

    /// The longest phrase a text begins with that `find` knows, as typed and by its key, and where it ends.
    fn longest<T>(&self, text: &str, find: impl Fn(&str, &str) -> Option<T>) -> Option<(T, usize)> {
        let mut phrases: [(usize, String); LONGEST] = Default::default();
        let (mut count, mut end) = (0, 0);
        for token in TOKEN.find_iter(text).take(LONGEST) {
            // A dash parts what it stands between.
            let dash = token.as_str().chars().all(|c| matches!(c, '-' | '–' | '—'));
            if dash || !text[end..token.start()].trim().is_empty() {
                break;
            }
            end = token.end();
            let key = key(text[..end].trim());
            if count == 0 && !self.firsts.contains(first(&key)) {
                return None;
            }
            phrases[count] = (end, key);
            count += 1;
        }
        phrases[..count].iter().rev().find_map(|(end, key)| {
            let found = find(text[..*end].trim(), key)?;
            // "cup(s)"
            let rest = &text[*end..];
            let plural = ["(s)", "(es)", "(n)"]
                .iter()
                .find(|p| rest.starts_with(**p));
            Some((found, end + plural.map_or(0, |p| p.len())))
        })
    }
}

/// Word, meaning and detail of every row of a file.
fn rows(files: &Files, path: &str) -> Vec<(String, String, String)> {
    let text = files.text(path).unwrap_or_default();
    // A problem of the table is told when the catalogue is loaded.
    let table = Table::read(path, text, &["word", "meaning"], &mut vec![]);
    let row = |r| {
        (
            table.own(r, "word"),
            table.own(r, "meaning"),
            table.own(r, "detail"),
        )
    };
    table.records.iter().map(row).collect()
}

fn measure(meaning: &str, detail: &str) -> Option<Measure> {
    let factor: f64 = detail.parse().ok()?;
    match meaning {
        "g" => Some(Measure::Unit(Unit::Gram(factor))),
        "ml" => Some(Measure::Unit(Unit::Millilitre(factor))),
        "%" => Some(Measure::Percent),
        "portions" => Some(Measure::Portions),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_of_the_sheet_words_has_a_meaning() {
        let files = Files::embedded();
        for (word, meaning, _) in rows(&files, SHEET) {
            let known = Kind::ALL.iter().any(|(name, _)| *name == meaning);
            assert!(known, "{word} means `{meaning}`");
        }
    }

    #[test]
    fn a_phrase_is_taken_as_long_as_it_is_known() {
        let words = Words::of(&Files::embedded());
        for (text, end) in [
            ("fl oz milk", 5),
            ("oz milk", 2),
            ("tbsp", 4),
            ("c. à s. de miel", 8),
            ("cuillères à soupe rases", 19),
            ("cup(s) milk", 6),
            ("% sugar", 1),
            ("g/7 oz butter", 1),
            ("EL Zucker", 2),
            ("oz, melted", 2),
        ] {
            let found = words.measured(text).map(|(_, end)| end);
            assert_eq!(found, Some(end), "{text}");
        }
        assert_eq!(words.measured("g/kg of it"), None);
    }
}
