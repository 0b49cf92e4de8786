//! Words that are near a typed one by a slip of the keys.

use super::index::NameIndex;
use super::words::Word;
use crate::diagnostic::edit_distance;

/// Words shorter than this are taken as typed: too many others are near.
const SHORTEST: usize = 4;
/// Words from this length on may hold two slips.
const LONG: usize = 8;
/// How many words are tried for one.
const TRIED: usize = 6;

/// Whether any name holds the word.
pub(super) fn known(word: &Word, index: &NameIndex) -> bool {
    word.qualifier.is_some()
        || index.vocabulary.contains_key(&word.stem)
        || word.stem.starts_with(|c: char| c.is_ascii_digit())
}

/// Stems that may be meant, nearest and commonest first.
pub(super) fn meant(word: &Word, index: &NameIndex) -> Vec<String> {
    let length = word.stem.chars().count();
    if length < SHORTEST {
        return vec![];
    }
    let limit = if length >= LONG { 2 } else { 1 };
    let mut found: Vec<(usize, u32, &String)> = index
        .vocabulary
        .iter()
        .filter(|(stem, _)| stem.chars().count() >= SHORTEST)
        .filter_map(|(stem, count)| {
            let distance = edit_distance(&word.stem, stem, limit);
            (distance <= limit).then_some((distance, *count, stem))
        })
        .collect();
    found.sort_by(|a, b| a.0.cmp(&b.0).then(b.1.cmp(&a.1)).then(a.2.cmp(b.2)));
    let best = found.into_iter().take(TRIED);
    best.map(|(.., stem)| stem.clone()).collect()
}
