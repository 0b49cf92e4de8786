//! Slips of the finger, corrected to the nearest word the tool knows, and told.

use crate::diagnostic::edit_distance;
use crate::model::{Catalogue, fold};

use super::lexer::TokenKind;
use super::lexer::tokens;

/// Shorter words have too many neighbours to guess.
const SHORTEST: usize = 5;

/// The text with unknown words replaced by their one nearest known word: typed, meant. Words of
/// `kept` stay as they were typed.
pub(super) fn corrected(
    text: &str,
    catalogue: &Catalogue,
    kept: &[String],
) -> (String, Vec<(String, String)>) {
    let mut out = String::with_capacity(text.len());
    let mut changes = vec![];
    let mut end = 0;
    for token in tokens(text) {
        if token.kind != TokenKind::Word {
            continue;
        }
        let typed = &text[token.start..token.end];
        if kept.iter().any(|word| word == typed) {
            continue;
        }
        if let Some(meant) = meant(&fold(typed), catalogue) {
            out.push_str(&text[end..token.start]);
            out.push_str(meant);
            end = token.end;
            changes.push((typed.to_string(), meant.to_string()));
        }
    }
    out.push_str(&text[end..]);
    (out, changes)
}

/// The one known word nearest to an unknown one; `None` where it is known, or two are as near.
fn meant<'a>(word: &str, catalogue: &'a Catalogue) -> Option<&'a str> {
    if word.chars().count() < SHORTEST
        || word.chars().any(|c| !c.is_alphabetic())
        || known(word, catalogue)
    {
        return None;
    }
    let limit = if word.len() < 8 { 1 } else { 2 };
    let first = word.chars().next();
    let mut best: Option<(usize, &str)> = None;
    let mut tie = false;
    for candidate in catalogue.spellings() {
        // A slip seldom hits the first letter, and a plural is no slip.
        if candidate.len().abs_diff(word.len()) > limit || candidate.chars().next() != first {
            continue;
        }
        let distance = edit_distance(word, candidate, limit);
        if distance > limit {
            continue;
        }
        match best {
            Some((least, _)) if distance > least => {}
            // A word and its plural are one word.
            Some((least, word))
                if distance == least && candidate.strip_suffix('s') == Some(word) => {}
            Some((least, _)) if distance == least => tie = true,
            _ => {
                best = Some((distance, candidate));
                tie = false;
            }
        }
    }
    best.filter(|_| !tie).map(|(_, candidate)| candidate)
}

/// Whether the word, or its singular, stands in any name or table.
fn known(word: &str, catalogue: &Catalogue) -> bool {
    let spelled = |w: &str| {
        catalogue
            .spellings()
            .binary_search_by(|s| s.as_str().cmp(w))
            .is_ok()
    };
    spelled(word)
        || word.strip_suffix('s').is_some_and(spelled)
        || word.strip_suffix("es").is_some_and(spelled)
        || word
            .strip_suffix("ies")
            .is_some_and(|stem| spelled(&format!("{stem}y")))
        || !matches!(catalogue.named(word), crate::model::Named::Unknown)
}
