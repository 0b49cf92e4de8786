//! Words that are near a typed one by a slip of the keys, or that it shortens.

use std::collections::{BTreeMap, HashSet};

use super::index::NameIndex;
use super::words::Word;
use crate::diagnostic::edit_distance;

/// Words shorter than this are taken as typed: too many others are near.
const SHORTEST: usize = 4;
/// The shortest beginning of a word that is taken for it.
const SHORTENED: usize = 3;
/// The same beside other words, which say what it may begin: `tapioca st.`
const SHORTENED_BESIDE: usize = 2;
/// A word no longer than this may be short for another though a name holds it: `pot starch`.
const SHORT: usize = 4;
/// Words from this length on may hold two slips.
const LONG: usize = 8;
/// Words from this length on may have a letter taken for any other: of shorter ones the neighbour is
/// too often a food of its own, as beet is of beef.
const WRONG_LETTER: usize = 6;
/// How many words are tried for one.
const TRIED: usize = 6;

/// Whether any name holds the word.
pub(super) fn known(word: &Word, index: &NameIndex) -> bool {
    word.qualifier.is_some()
        || index.vocabulary.contains_key(&word.stem)
        || word.stem.starts_with(|c: char| c.is_ascii_digit())
}

/// Whether a word is no longer than the shortest beginning of one.
pub(super) fn short(word: &Word) -> bool {
    word.typed.chars().count() <= SHORTENED
}

/// Whether a word that a name holds may yet be short for another.
pub(super) fn shortens(word: &Word) -> bool {
    let letters = word.typed.chars().all(char::is_alphabetic);
    letters && word.typed.chars().count() <= SHORT
}

/// Words that may be meant: what a word begins (`carr.`, `choc`), the commonest first, what it leaves the
/// vowels of out (`brn`, `pstch`), and then what is a slip away, the nearest first. A food that is no
/// ingredient here is no slip. `beside` other words a beginning may be shorter.
pub(super) fn meant(
    word: &Word,
    beside: bool,
    index: &NameIndex,
    foods: &HashSet<String>,
) -> Vec<String> {
    // A number that is not on file is none of its neighbours: E 164 is not E 464.
    let number = word.typed.contains(|c: char| c.is_ascii_digit());
    let singular = word.typed.strip_suffix('s').unwrap_or(&word.typed);
    if number || foods.contains(&word.typed) || foods.contains(singular) {
        return vec![];
    }
    let length = word.typed.chars().count();
    let least = if beside { SHORTENED_BESIDE } else { SHORTENED };
    let mut found = match length >= least {
        true => index.begun(&word.typed, TRIED),
        false => vec![],
    };
    let known = known(word, index);
    let bare = match length >= least {
        true => index.of_consonants(&word.typed, TRIED),
        false => vec![],
    };
    let slips = match length >= SHORTEST && !known {
        true => slipped(word, index, length),
        false => vec![],
    };
    for word in bare.into_iter().chain(slips) {
        if !found.contains(&word) {
            found.push(word);
        }
    }
    found
}

/// Words a slip of the keys away, nearest and commonest first.
fn slipped(word: &Word, index: &NameIndex, length: usize) -> Vec<String> {
    let limit = if length >= LONG { 2 } else { 1 };
    let first = word.typed.chars().next();
    let mut nearest: BTreeMap<&String, (usize, bool, &String)> = BTreeMap::new();
    for (written, stem) in &index.written {
        if written.chars().count() < SHORTEST || *stem == word.stem {
            continue;
        }
        let distance = edit_distance(&word.typed, written, limit);
        let another = length < WRONG_LETTER && wrong_letter(&word.typed, written);
        if distance <= limit && !another {
            // Few slip at the first letter.
            let key = (distance, written.chars().next() != first, written);
            let best = nearest.entry(stem).or_insert(key);
            *best = (*best).min(key);
        }
    }
    let count = |stem: &String| index.vocabulary.get(stem).copied().unwrap_or(0);
    let mut found: Vec<(&String, (usize, bool, &String))> = nearest.into_iter().collect();
    found.sort_by(|(stem, a), (other, b)| {
        (a.0, a.1)
            .cmp(&(b.0, b.1))
            .then(count(other).cmp(&count(stem)))
            .then(stem.cmp(other))
    });
    let best = found.into_iter().take(TRIED);
    best.map(|(_, (.., written))| written.clone()).collect()
}

/// Whether two words a slip apart differ by a letter taken for another, other than vowel for vowel in a
/// word of five.
fn wrong_letter(one: &str, other: &str) -> bool {
    let parted: Vec<(char, char)> = (one.chars().zip(other.chars()))
        .filter(|(a, b)| a != b)
        .collect();
    let vowel = |c: char| "aeiouy".contains(c);
    let [(a, b)] = parted[..] else { return false };
    let alike = one.chars().count() == other.chars().count();
    alike && !(vowel(a) && vowel(b) && one.chars().count() + 1 == WRONG_LETTER)
}

#[cfg(test)]
mod tests {
    use super::wrong_letter;

    #[test]
    fn a_short_word_with_another_letter_is_another_word() {
        for (typed, other, wrong) in [
            ("beef", "beet", true),
            ("oreo", "oleo", true),
            ("suger", "sugar", false),
            ("mlik", "milk", false),
            ("hony", "honey", false),
        ] {
            assert_eq!(wrong_letter(typed, other), wrong, "{typed}");
        }
    }
}
