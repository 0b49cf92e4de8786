//! The amount in a cell of a table, or what is wrong with it.

use std::sync::LazyLock;

use regex::Regex;

use super::LARGEST_AMOUNT;
use super::amount::{Pen, Taken, What};
use super::bracket::without_brackets;
use super::figure::Marks;
use super::grid::Cell;
use super::words::Kind;
use crate::diagnostic::{Diagnostic, Place, nearest};

static NEGATIVE: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"^[-−–]\s*[\d.,½¼¾]").expect("a valid shape"));
static SCIENTIFIC: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"^\d+(?:[.,]\d+)?[eE][+-]?\d+$").expect("a valid shape"));

/// What a cell says of an amount.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Said {
    /// An amount, and the words left beside it.
    Taken(Taken, String),
    /// The cook decides.
    Taste,
}

/// What is wrong with an amount.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Fault {
    /// It is no number.
    Number,
    /// Its unit is unknown.
    Unit(String),
    /// It is negative, or larger than any batch.
    Size,
    /// It can be either number.
    TwoWays(f64, f64),
}

/// The amount in a cell.
pub(super) fn said(cell: &Cell, pen: &Pen) -> Result<Said, Fault> {
    let text = cell.text.trim();
    // The numbers of a spreadsheet, and what a program writes with an exponent, are what they are.
    let pen = match cell.exact {
        true => &Pen {
            marks: Marks::Point,
            ..*pen
        },
        false => pen,
    };
    if pen.is_taste(text) {
        return Ok(Said::Taste);
    }
    if NEGATIVE.is_match(text) {
        return Err(Fault::Size);
    }
    if SCIENTIFIC.is_match(text) {
        let number = text.replace(',', ".").parse().map_err(|_| Fault::Number)?;
        return sound(bare(number, text.len())).map(|taken| Said::Taken(taken, String::new()));
    }
    let (left, second) = without_brackets(text, pen);
    if let (true, Some(second)) = (left.trim().is_empty(), &second) {
        return sound(second.taken.clone()).map(|taken| Said::Taken(taken, String::new()));
    }
    let left = left.trim();
    let mut taken = pen.amount(left, true).ok_or(Fault::Number)?;
    let rest = left[taken.end..].trim_matches([' ', '.', ',', ';', '-', '–', '/']);
    let glued =
        left[taken.end..].starts_with(|c: char| matches!(c, '.' | ',') || c.is_ascii_digit());
    if !rest.is_empty() && (glued || rest.contains(|c: char| c.is_ascii_digit())) {
        return Err(Fault::Number);
    }
    if let (What::Bare, Some(thing)) = (&taken.what, pen.words.detail(Kind::Noun, rest)) {
        taken.what = What::Piece(thing.to_string(), false);
    }
    if let (What::Bare, Some(word)) = (&taken.what, rest.split_whitespace().next()) {
        return Err(Fault::Unit(word.to_string()));
    }
    let taken = match second {
        Some(second) => second.beside(taken),
        None => taken,
    };
    sound(taken).map(|taken| Said::Taken(taken, rest.to_string()))
}

/// A number that counts nothing that is said.
pub(super) fn bare(number: f64, end: usize) -> Taken {
    Taken {
        low: number,
        high: number,
        what: What::Bare,
        end,
        doubt: None,
        spaced: false,
        filled: false,
    }
}

/// An amount that can be one.
pub(super) fn sound(taken: Taken) -> Result<Taken, Fault> {
    let possible = |value: f64| (0.0..=LARGEST_AMOUNT).contains(&value);
    match taken.doubt {
        _ if !possible(taken.low) || !possible(taken.high) => Err(Fault::Size),
        Some((one, other)) => Err(Fault::TwoWays(one, other)),
        None => Ok(taken),
    }
}

impl Fault {
    /// The problem of an amount written as `text`.
    pub(super) fn told(&self, text: &str, place: &Place, excerpt: &str, pen: &Pen) -> Diagnostic {
        let (code, message, help) = match self {
            Fault::Number => (
                "F007",
                format!("`{text}` is not a number"),
                "write an amount such as 120, 12.5 or 500 g".to_string(),
            ),
            Fault::Unit(word) => (
                "F008",
                format!("`{word}` is no unit"),
                nearest(&word.to_lowercase(), pen.words.unit_words())
                    .map(|near| format!("the nearest unit is `{near}`"))
                    .unwrap_or("one of g, kg, oz, lb, ml, l, tsp, tbsp, cup".into()),
            ),
            Fault::Size => (
                "F006",
                format!("`{text}` is no amount"),
                "an amount lies between 0 and 1,000,000,000 g".to_string(),
            ),
            Fault::TwoWays(one, other) => (
                "F014",
                format!("`{text}` can be read as {one} and as {other}"),
                match one / other {
                    1000.0 => format!("write {one} or {other}, whichever is meant"),
                    _ => "put a colon between the name and its amount".to_string(),
                },
            ),
        };
        let width = text.chars().count().max(1);
        problem(code, message, place, excerpt, width).help(help)
    }
}

/// A problem at a place, with its line shown.
pub(super) fn problem(
    code: &'static str,
    message: String,
    place: &Place,
    excerpt: &str,
    width: usize,
) -> Diagnostic {
    Diagnostic::placed(code, place.clone(), message).excerpt(excerpt, width)
}
