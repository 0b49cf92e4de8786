//! Amounts in brackets: "1 cup (240 ml) milk", "3 egg yolks (60 g)", "2 cans (400 g each)".

use std::ops::Range;
use std::sync::LazyLock;

use regex::Regex;

use super::amount::{Pen, Taken, What};
use super::words::Kind;

static BRACKET: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"\(([^()]*)\)|\[([^\[\]]*)\]").expect("a valid shape"));

/// Most words behind an amount in brackets.
const REMARK: usize = 2;

/// An amount in brackets.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Second {
    pub taken: Taken,
    /// Byte at which its bracket opens.
    pub at: usize,
    /// It is that of one piece.
    each: bool,
}

/// A text with blanks for its bracketed amounts, so that what is left keeps its place, and the first
/// of these amounts.
pub(super) fn without_brackets(text: &str, pen: &Pen) -> (String, Option<Second>) {
    let mut left = text.to_string();
    let mut first = None;
    if !text.contains(['(', '[']) {
        return (left, first);
    }
    for found in BRACKET.captures_iter(text) {
        let (Some(whole), Some(inner)) = (found.get(0), found.get(1).or(found.get(2))) else {
            continue;
        };
        let found = inside(inner.as_str(), pen).map(|said| (said, whole.range()));
        let Some(((taken, each), range)) =
            found.or_else(|| part(inner.as_str(), inner.start(), pen))
        else {
            continue;
        };
        left.replace_range(range.clone(), &" ".repeat(range.len()));
        first.get_or_insert(Second {
            taken,
            at: whole.start(),
            each,
        });
    }
    (left, first)
}

/// The amount that is one of the things in a bracket, "(gold, 2 g each)", and its bytes.
fn part(inner: &str, start: usize, pen: &Pen) -> Option<((Taken, bool), Range<usize>)> {
    let mut at = start;
    let parts = inner.split_inclusive(',').map(|part| {
        at += part.len();
        (part.trim_end_matches(','), at - part.len())
    });
    let parts: Vec<(&str, usize)> = parts.collect();
    let (_, several) = parts.split_first()?;
    if several.is_empty() {
        return None;
    }
    parts.iter().enumerate().find_map(|(n, (part, at))| {
        let said = inside(part, pen).filter(|(taken, _)| taken.measured())?;
        // The comma goes with it.
        let (from, to) = match n {
            0 => (*at, at + part.len() + 1),
            _ => (at - 1, at + part.len()),
        };
        Some((said, from..to))
    })
}

/// The amount a bracket holds and nothing else, and whether it is that of one piece.
fn inside(text: &str, pen: &Pen) -> Option<(Taken, bool)> {
    let text = text.trim();
    let before = pen.words.begins(Kind::Each, text);
    let last = text.rsplit(' ').next().unwrap_or_default();
    let after = if pen.words.is(Kind::Each, last) {
        last.len()
    } else {
        0
    };
    let bare = text.get(before..text.len().saturating_sub(after))?;
    // "(2 fl oz; 60 ml)"
    let again = || {
        let ways: Option<Vec<Taken>> = bare.split(';').map(|way| pen.whole(way.trim())).collect();
        let ways = ways.filter(|ways| ways.len() > 1)?;
        ways.into_iter().rfind(Taken::measured)
    };
    let taken = pen.whole(bare.trim()).or_else(again).or_else(|| {
        // "(about 220 g peeled)"
        let taken = pen.amount(bare.trim(), true).filter(Taken::measured)?;
        let rest = &bare.trim()[taken.end..];
        let words = rest.split_whitespace().count() <= REMARK && rest.starts_with(' ');
        (words && !rest.contains(|c: char| c.is_numeric())).then_some(taken)
    })?;
    // "(35%)" and "(2)" say what the ingredient is.
    let amount = matches!(taken.what, What::Unit(_) | What::Piece(..));
    amount.then_some((taken, before + after > 0))
}

impl Second {
    /// The better one of an amount and the one in brackets after it.
    pub(super) fn beside(self, first: Taken) -> Taken {
        let better = match (&first.what, &self.taken.what) {
            (What::Bare | What::Piece(..), What::Unit(_)) => true,
            (What::Unit(first), What::Unit(second)) => second.outweighs(*first),
            _ => false,
        };
        if !better {
            return first;
        }
        // "half a tin (about 200 g)" says what the half weighs.
        let filled = matches!(first.what, What::Piece(_, true)) && first.low >= 1.0;
        let (low, high) = match self.each || filled {
            true => (first.low, first.high),
            false => (1.0, 1.0),
        };
        Taken {
            low: self.taken.low * low,
            high: self.taken.high * high,
            end: first.end,
            ..self.taken
        }
    }
}
