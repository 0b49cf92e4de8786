//! What a line is by its words alone: a comment, a heading, a total, an instruction. Reads no amount.

use std::sync::LazyLock;

use regex::Regex;

use super::amount::Pen;
use super::reading::tidy;
use super::words::{Kind, key};

/// Words from which on a line with a full stop is a sentence, and most words a heading has.
const SENTENCE: usize = 6;

static COMMENT: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"^\s*(?:#|//|https?:|www\.|sep=.?$)").expect("a valid shape"));

/// What a line without an amount is, when it is no ingredient.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Aside {
    /// Left aside; what it is.
    Left(&'static str),
    /// The instructions follow.
    Method,
    /// The ingredients follow.
    List,
    /// A part of the dish follows.
    Part(String),
}

/// Whether a line is a comment.
pub(super) fn commented(text: &str) -> bool {
    COMMENT.is_match(text)
}

/// The name a line above everything gives the dish: `# Raspberry sorbet`.
pub(super) fn titled(text: &str, pen: &Pen) -> Option<String> {
    let name = text.trim().strip_prefix('#')?.trim_matches([' ', '#']);
    let words = name.split_whitespace().count();
    let plain = !name.contains([':', '=', ';']) && !name.ends_with(['.', '!', '?']);
    let opens = name.starts_with(char::is_alphabetic);
    let heads = pen.words.begins(Kind::Heading, name) > 0;
    let names = opens && plain && !heads && (1..=SENTENCE).contains(&words);
    (names && !instructs(name, pen)).then(|| tidy(name))
}

/// What a line is by its words alone; `None` for what may be an ingredient.
pub(super) fn aside(text: &str, pen: &Pen) -> Option<Aside> {
    let words = pen.words;
    let text = text.trim();
    if COMMENT.is_match(text) {
        return Some(Aside::Left("a comment"));
    }
    let bare = text.trim_matches(['*', '_', '=', '-', ' ', '#']);
    let (head, colon) = match bare.strip_suffix(':') {
        Some(head) => (head.trim_end(), true),
        None => (bare, false),
    };
    if !head.contains(char::is_alphanumeric) {
        return Some(Aside::Left("a rule"));
    }
    // What begins with a number is none of the words below.
    if head.starts_with(char::is_numeric) {
        return colon.then(|| Aside::Part(tidy(head)));
    }
    // "Ingredients (makes about 1 kg)"
    let plain = head.split(" (").next().unwrap_or(head);
    let key = key(plain);
    let said = |kind| words.holds(kind, &key);
    if said(Kind::Method) {
        return Some(Aside::Method);
    }
    if said(Kind::List) || said(Kind::Name) {
        return Some(Aside::List);
    }
    let about = words.begins(Kind::Yield, head);
    if about > 0 {
        let needs_colon = words.detail(Kind::Yield, &head[..about]) == Some("colon");
        let has_colon = head[about..].trim_start().starts_with(':');
        if has_colon || !needs_colon && about < head.len() {
            return Some(Aside::Left("a line about the batch"));
        }
    }
    if is_total(head, pen) {
        return Some(Aside::Left("a total"));
    }
    let opens = words.begins(Kind::Heading, head) > 0;
    let short = head.split_whitespace().count() <= SENTENCE;
    let digits = head.contains(|c: char| c.is_ascii_digit());
    if colon || opens && short && !digits {
        return Some(Aside::Part(tidy(head)));
    }
    None
}

/// Whether a name is that of a row of sums.
pub(super) fn is_total(name: &str, pen: &Pen) -> bool {
    let words = pen.words;
    // "Poids total", "total batch weight"
    let of_sums = |word: &str| {
        let word = word.trim_matches([':', '=', '(', ')', ',', '.']);
        [Kind::Total, Kind::Amount, Kind::Filler]
            .iter()
            .any(|kind| words.is(*kind, word))
    };
    let mut parts = name.split_whitespace();
    words.is(Kind::Total, name.trim_end_matches([':', '=']))
        || words.opens(Kind::Total, name)
        || name[..words.begins(Kind::Total, name)].contains(' ')
        || name
            .split_whitespace()
            .any(|word| words.is(Kind::Total, word))
            && parts.all(of_sums)
}

/// Whether a line without a measured amount tells what to do.
pub(super) fn instructs(text: &str, pen: &Pen) -> bool {
    let text = text.trim();
    let last = text.split_whitespace().last().unwrap_or_default();
    let ends = pen
        .words
        .detail(Kind::Verb, last.trim_end_matches(['.', '!']))
        == Some("last");
    let count = text.split_whitespace().count();
    let sentence = count >= SENTENCE && text.ends_with(['.', '!']);
    count > 1 && (pen.words.opens(Kind::Verb, text) || ends || sentence)
}

/// "BASE" is a heading without a colon.
pub(super) fn shouted(text: &str) -> bool {
    let letters = text.chars().filter(|c| c.is_alphabetic()).count();
    let small = text.chars().any(char::is_lowercase);
    letters > 2 && !small && text.chars().any(char::is_uppercase)
}

/// What was left aside, with its text cut to a length that can be shown.
pub(super) fn left_aside(what: &str, text: &str) -> String {
    const SHOWN: usize = 80;
    let text = tidy(text);
    let mut shown: String = text.chars().take(SHOWN).collect();
    if shown.len() < text.len() {
        shown.push('…');
    }
    format!("{what}: {shown}")
}
