//! Words that are near a typed one by a slip of the keys, or that it shortens.

use std::collections::BTreeMap;

use super::index::NameIndex;
use super::words::Word;
use crate::diagnostic::edit_distance;

/// Words shorter than this are taken as typed: too many others are near.
const SHORTEST: usize = 4;
/// The shortest beginning of a word that is taken for it.
const SHORTENED: usize = 3;
/// Words from this length on may hold two slips.
const LONG: usize = 7;
/// How many words are tried for one.
const TRIED: usize = 6;
/// A known word met in fewer names than this may still be a slip of a commoner one.
const RARE: u32 = 4;

/// Whether any name holds the word.
pub(super) fn known(word: &Word, index: &NameIndex) -> bool {
    word.qualifier.is_some()
        || index.vocabulary.contains_key(&word.stem)
        || word.stem.starts_with(|c: char| c.is_ascii_digit())
}

/// Whether a word may be a slip though a name holds it.
pub(super) fn doubtful(word: &Word, index: &NameIndex) -> bool {
    let met = index.vocabulary.get(&word.stem).copied().unwrap_or(0);
    word.typed.chars().count() >= SHORTEST && (met < RARE || word.qualifier.is_some())
}

/// Words that may be meant: what a word no name holds begins (`carr.`, `choc`), the commonest first, and
/// then what is a slip away, the nearest first.
pub(super) fn meant(word: &Word, index: &NameIndex) -> Vec<String> {
    // A number that is not on file is none of its neighbours: E 164 is not E 464.
    if word.typed.contains(|c: char| c.is_ascii_digit()) {
        return vec![];
    }
    let length = word.typed.chars().count();
    let mut found = match length >= SHORTENED && !known(word, index) {
        true => index.begun(&word.typed, TRIED),
        false => vec![],
    };
    if length >= SHORTEST {
        let slips = slipped(word, index, length);
        found.extend(
            slips
                .into_iter()
                .filter(|stem| !found.contains(stem))
                .collect::<Vec<_>>(),
        );
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
        if distance <= limit {
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
