//! Shorthand, contractions and words of other languages, written out in English words:
//! `data/words/shorthand.csv` and `abroad.csv`.

use crate::model::{Catalogue, Word, fold};

use super::lexer::{Token, TokenKind, tokens};
use super::vocabulary::{phrase_known, word_known};

/// The longest phrase written out, in tokens.
const LONGEST: usize = 6;

/// How far a name or phrase may reach past what it would be broken by, in tokens.
const REACH: usize = 3;

/// The text with shorthand written out. What is part of a known name or phrase stays.
pub(super) fn written_out(text: &str, catalogue: &Catalogue) -> String {
    let tokens = tokens(text);
    let writing = Writing {
        text,
        tokens: &tokens,
        catalogue,
    };
    let mut out = String::with_capacity(text.len());
    let mut end = 0;
    let mut at = 0;
    while at < tokens.len() {
        let Some((written, count)) = writing.at(at) else {
            at += 1;
            continue;
        };
        out.push_str(&text[end..tokens[at].start]);
        out.push_str(&written);
        end = tokens[at + count - 1].end;
        if !text[end..].starts_with([' ', ',', '?', '.', ';', '!']) {
            out.push(' ');
        }
        at += count;
    }
    out.push_str(&text[end..]);
    out
}

/// Things that come by the piece, as `4 egg yolks`.
const COUNTED: [&str; 6] = ["egg", "yolk", "white", "leaf", "gelatin", "gelatine"];

/// A text being written out.
struct Writing<'a> {
    text: &'a str,
    tokens: &'a [Token],
    catalogue: &'a Catalogue,
}

impl Writing<'_> {
    /// What to write for the tokens at a place, and how many they are.
    fn at(&self, at: usize) -> Option<(String, usize)> {
        let most = LONGEST.min(self.tokens.len() - at);
        let plain = |n: usize| {
            self.tokens[n].kind != TokenKind::Sign || matches!(self.slice(n, 1), "/" | ".")
        };
        let most = (at..at + most).take_while(|&n| plain(n)).count();
        let begins = self.tokens[at].kind != TokenKind::Sign;
        let listed = (1..=most).rev().filter(|_| begins).find_map(|count| {
            let meaning = self.listed(self.slice(at, count))?;
            (!self.held(at, count)).then(|| (meaning.to_string(), count))
        });
        if let Some((meaning, count)) = listed {
            // `approx.`: the point belongs to it.
            let point = self.tokens.get(at + count).is_some_and(|next| {
                self.slice(at + count, 1) == "." && next.start == self.tokens[at + count - 1].end
            });
            let last = at + count + usize::from(point) >= self.tokens.len();
            return Some((meaning, count + usize::from(point && !last)));
        }
        self.spelled(at)
            .or_else(|| self.contracted(at).map(|written| (written, 1)))
            .or_else(|| self.parted(at).map(|written| (written, 1)))
            .or_else(|| self.sounded(at).map(|written| (written.to_string(), 1)))
    }

    fn slice(&self, at: usize, count: usize) -> &str {
        &self.text[self.tokens[at].start..self.tokens[at + count - 1].end]
    }

    /// The words a phrase stands for. A row with a capital or an apostrophe, or one of a letter or two
    /// with an accent, wants them typed so.
    fn listed(&self, written: &str) -> Option<&str> {
        let plain = written.replace('’', "'");
        let exact = |word: &str| {
            word.contains(|c: char| c.is_uppercase() || c == '\'')
                || word.chars().count() < 3 && !word.is_ascii()
        };
        let folded = fold(written);
        let mut rows = self.catalogue.meanings(&folded).filter(|row| {
            Word::WRITTEN_OUT[..2].contains(&row.table.as_str())
                && (!exact(&row.word) || row.word == plain || row.word == plain.to_lowercase())
        });
        let row = rows.next();
        row.map(|row| row.meaning.as_str())
    }

    /// Whether the tokens are a phrase with a meaning of its own, or stand inside a longer phrase
    /// or name: `E 4`, `room temp`, `crema de la casa`.
    fn held(&self, at: usize, count: usize) -> bool {
        let written = self.slice(at, count);
        // `Tg'` is no `Tg`.
        if !written.ends_with(['\'', '’']) && word_known(&fold(written), self.catalogue) {
            return true;
        }
        let last = (at + count + REACH).min(self.tokens.len());
        (at.saturating_sub(REACH)..=at).any(|from| {
            (at + count..=last)
                .filter(|to| to - from > count)
                .any(|to| phrase_known(&fold(self.slice(from, to - from)), self.catalogue))
        })
    }

    /// `p h`, `h l b`: letters as dictated, where they make a known word.
    fn spelled(&self, at: usize) -> Option<(String, usize)> {
        let letter = |n: &usize| {
            let token = self.tokens.get(*n);
            token.is_some_and(|token| token.kind == TokenKind::Word && token.end - token.start == 1)
        };
        let measured = at
            .checked_sub(1)
            .is_some_and(|n| matches!(self.tokens[n].kind, TokenKind::Number(_)));
        let run = (at..).take_while(letter).count();
        (2..=run.min(LONGEST))
            .rev()
            .filter(|_| !measured)
            .find_map(|count| {
                let joined: String = (at..at + count).map(|n| self.slice(n, 1)).collect();
                let known = word_known(&fold(&joined), self.catalogue);
                let known = known || self.listed(&joined.to_uppercase()).is_some();
                (known && !self.held(at, count)).then_some((joined, count))
            })
    }

    /// `we'd`, `isn't`, `l'huile`: a word run together with another, unless the two have a meaning
    /// together.
    fn contracted(&self, at: usize) -> Option<String> {
        let written = self.slice(at, 1).replace('’', "'");
        let apostrophe = written.find('\'')?;
        if phrase_known(&fold(&written), self.catalogue) || self.held(at, 1) {
            return None;
        }
        let (head, tail) = (&written[..apostrophe], &written[apostrophe..]);
        if let Some(head) = head.strip_suffix(['n', 'N']).filter(|_| tail == "'t") {
            let whole = match head.to_lowercase().as_str() {
                "ca" => "can",
                "wo" => "will",
                "sha" => "shall",
                _ => head,
            };
            return Some(format!("{whole} not"));
        }
        if let Some(meaning) = self.listed(tail) {
            return Some(format!("{head} {meaning}"));
        }
        let meaning = self.listed(&format!("{}'", head.to_lowercase()))?;
        Some(format!("{meaning} {}", &tail[1..]))
    }

    /// `DE38`, `WPC80`: letters and a figure run together.
    fn parted(&self, at: usize) -> Option<String> {
        let written = self.slice(at, 1);
        let cut = written
            .find(|c: char| c.is_ascii_digit())
            .filter(|&cut| cut > 1)?;
        let (head, tail) = written.split_at(cut);
        if !head.chars().all(char::is_alphabetic) {
            // A minus is no letter.
            return None;
        }
        if !tail.chars().all(|c| c.is_ascii_digit()) || phrase_known(&fold(written), self.catalogue)
        {
            return None;
        }
        let parted = format!("{head} {tail}");
        let known = phrase_known(&fold(&parted), self.catalogue);
        (known || word_known(&fold(head), self.catalogue) && !self.held(at, 1)).then_some(parted)
    }

    /// `how 2 melt`, `syrup 4 honey`: a figure that is said as a word.
    fn sounded(&self, at: usize) -> Option<&'static str> {
        let figure = match self.slice(at, 1) {
            "2" => "to",
            "4" => "for",
            _ => return None,
        };
        let before = at
            .checked_sub(1)
            .filter(|&n| self.tokens[n].kind == TokenKind::Word)?;
        let next = self
            .tokens
            .get(at + 1)
            .filter(|t| t.kind == TokenKind::Word)?;
        if next.start == self.tokens[at].end || self.held(at, 1) {
            return None;
        }
        let (before, next) = (fold(self.slice(before, 1)), fold(self.slice(at + 1, 1)));
        let led = phrase_known(&format!("{before} {figure}"), self.catalogue);
        let in_table = |word: &str, table: &str| {
            let mut rows = self.catalogue.meanings(word);
            rows.any(|row| row.table == table)
        };
        let named = self.names_follow(at + 1);
        let counted =
            next.ends_with('s') || COUNTED.contains(&next.as_str()) || in_table(&next, "units");
        let pair = figure == "for" && named && !self.catalogue.bearers(&before).is_empty();
        if figure == "to" && word_known(&format!("too {next}"), self.catalogue) {
            return Some("too");
        }
        (!counted && (led && !named || pair)).then_some(figure)
    }

    /// Whether the name of an ingredient begins here.
    fn names_follow(&self, at: usize) -> bool {
        let last = (at + 1 + REACH).min(self.tokens.len());
        (at + 1..=last).any(|to| {
            let folded = fold(self.slice(at, to - at));
            !self.catalogue.bearers(&folded).is_empty()
        })
    }
}
