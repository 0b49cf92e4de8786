//! Numbers said in words, as figures: `two hundred`, `minus eighteen`, `half a litre`, `a tenth of`.

use crate::model::{Catalogue, fold};

use super::lexer::{Token, TokenKind, tokens};
use super::vocabulary::phrase_known;

/// Most words before or after a number that may make a phrase with it.
const REACH: usize = 3;

/// The text with its numbers in figures. `one` alone and numbers in a name or phrase stay.
pub(super) fn with_figures(text: &str, catalogue: &Catalogue) -> String {
    let tokens = tokens(text);
    let speech = Speech {
        text,
        tokens: &tokens,
        catalogue,
    };
    let mut out = String::with_capacity(text.len());
    let (mut end, mut at) = (0, 0);
    while at < tokens.len() {
        let Some((figure, count)) = speech
            .figure(at)
            .filter(|(_, n)| speech.measure(at + n) || !speech.held(at, *n))
        else {
            at += 1;
            continue;
        };
        out.push_str(&text[end..tokens[at].start]);
        out.push_str(&figure);
        end = tokens[at + count - 1].end;
        at += count;
    }
    out.push_str(&text[end..]);
    out
}

/// A text with spoken numbers.
struct Speech<'a> {
    text: &'a str,
    tokens: &'a [Token],
    catalogue: &'a Catalogue,
}

/// How a number word counts: `five`, `twenty`, `hundred`, `quarter`.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Kind {
    One,
    Ten,
    Scale,
    Fraction,
}

impl Speech<'_> {
    fn word(&self, at: usize) -> String {
        let token = self.tokens.get(at);
        token.map_or_else(String::new, |t| fold(&self.text[t.start..t.end]))
    }

    /// The number a word of `numbers.csv` says.
    fn spoken(&self, at: usize) -> Option<(f64, Kind)> {
        let word = self.word(at);
        let row = self
            .catalogue
            .meanings(&word)
            .find(|row| row.table == "numbers")?;
        let kind = match row.detail.as_str() {
            "ten" => Kind::Ten,
            "scale" => Kind::Scale,
            "fraction" => Kind::Fraction,
            _ => Kind::One,
        };
        Some((row.meaning.parse().ok()?, kind))
    }

    fn fraction(&self, at: usize) -> Option<f64> {
        let (value, kind) = self.spoken(at)?;
        (kind == Kind::Fraction).then_some(value)
    }

    /// Whether a unit of mass or volume stands here.
    fn measure(&self, at: usize) -> bool {
        let word = self.word(at);
        let mut rows = self.catalogue.meanings(&word);
        rows.any(|row| row.table == "units" && matches!(row.meaning.as_str(), "g" | "ml"))
    }

    /// The figure to write at a place, and how many tokens it stands for.
    fn figure(&self, at: usize) -> Option<(String, usize)> {
        self.part(at).or_else(|| {
            let minus = self.word(at) == "minus";
            let first = at + usize::from(minus);
            let (value, count) = self.number(first)?;
            let lone = count == 1 && !minus;
            if lone && !self.spoken(first).is_some_and(|(value, _)| value != 1.0) {
                return None;
            }
            let value = if minus { -value } else { value };
            Some((written(value), count + first - at))
        })
    }

    /// A cardinal number, with its fraction: `two hundred and fifty`, `one point five`, `2 and a
    /// half`, `3 dozen`.
    fn number(&self, at: usize) -> Option<(f64, usize)> {
        let mut next = at;
        let (mut whole, mut part) = (0.0, 0.0);
        let mut last: Option<Kind> = None;
        loop {
            // `a hundred and twenty`: `and` after a scale alone.
            let joined = last == Some(Kind::Scale) && self.word(next) == "and";
            let here = next + usize::from(joined);
            let scale_follows = self.spoken(here + 1).is_some_and(|(_, k)| k == Kind::Scale);
            match (self.tokens.get(here).map(|t| t.kind), self.spoken(here)) {
                (Some(TokenKind::Number(value)), _) if last.is_none() => {
                    part = value;
                    last = Some(Kind::One);
                }
                (_, Some((value, Kind::One))) => {
                    let free = match last {
                        None | Some(Kind::Scale) => true,
                        Some(Kind::Ten) => value < 10.0,
                        _ => false,
                    };
                    if !free {
                        break;
                    }
                    part += value;
                    last = Some(Kind::One);
                }
                (_, Some((value, Kind::Ten))) if matches!(last, None | Some(Kind::Scale)) => {
                    part += value;
                    last = Some(Kind::Ten);
                }
                (_, Some((value, Kind::Scale))) if !joined => {
                    part = f64::max(part, 1.0) * value;
                    if value >= 1000.0 {
                        (whole, part) = (whole + part, 0.0);
                    }
                    last = Some(Kind::Scale);
                }
                // `a hundred`
                _ if last.is_none() && self.word(here) == "a" && scale_follows => {}
                _ => break,
            }
            next = here + 1;
        }
        last?;
        let mut value = whole + part;
        // `one point five`
        if self.word(next) == "point" {
            let digits: String = (next + 1..)
                .map_while(|n| self.spoken(n).filter(|(digit, _)| *digit < 10.0))
                .map(|(digit, _)| digit.to_string())
                .collect();
            if let Ok(decimals) = format!("0.{digits}").parse::<f64>()
                && !digits.is_empty()
            {
                return Some((value + decimals, next + 1 + digits.len() - at));
            }
        }
        // `two and a half`
        if self.word(next) == "and" {
            let article = usize::from(self.word(next + 1) == "a");
            if let Some(fraction) = self.fraction(next + 1 + article) {
                value += fraction;
                next += 2 + article;
            }
        }
        Some((value, next - at))
    }

    /// A part of a unit or of a thing: `half a litre`, `three quarters of a cup`, `a tenth of the`,
    /// `by a quarter`, `1/4 of`.
    fn part(&self, at: usize) -> Option<(String, usize)> {
        let article = usize::from(matches!(self.word(at).as_str(), "a" | "one"));
        let (parts, lead) = match self.spoken(at) {
            Some((parts, Kind::One)) if self.fraction(at + 1).is_some() => (parts, 1),
            _ => (1.0, article),
        };
        let written_part = self.written_part(at);
        let (share, next) = match written_part {
            Some(share) => (share, at + 1),
            None => (parts * self.fraction(at + lead)?, at + lead + 1),
        };
        let of = usize::from(self.word(next) == "of");
        let unit = next + of + usize::from(matches!(self.word(next + of).as_str(), "a" | "an"));
        if written_part.is_none() && self.measure(unit) {
            return Some((written(share), unit - at));
        }
        let led = at.checked_sub(1).is_some_and(|n| self.word(n) == "by");
        let tenth = written_part.is_some() || (share * 2.0).fract() > 0.0 && !common(share);
        let whole = of == 1 || self.word(next) == "the";
        let percent = format!("{} %", written((share * 1000.0).round() / 10.0));
        (led || tenth && whole || article == 1 && tenth).then_some((percent, next - at))
    }

    /// `¼`, `1/3`: a part in figures.
    fn written_part(&self, at: usize) -> Option<f64> {
        let token = self.tokens.get(at)?;
        let text = &self.text[token.start..token.end];
        match token.kind {
            TokenKind::Number(value)
                if (0.0..1.0).contains(&value) && !text.contains(['.', ',']) =>
            {
                Some(value)
            }
            _ => None,
        }
    }

    /// Whether the tokens stand in a longer phrase or name: `one and a half times`, `two thirds of`.
    fn held(&self, at: usize, count: usize) -> bool {
        let numbers = |folded: &str| {
            let mut rows = self.catalogue.meanings(folded);
            rows.any(|row| matches!(row.table.as_str(), "numbers" | "units"))
        };
        let last = (at + count + REACH).min(self.tokens.len());
        (at.saturating_sub(REACH)..=at).any(|from| {
            (at + count..=last).any(|to| {
                let slice = &self.text[self.tokens[from].start..self.tokens[to - 1].end];
                let folded = fold(slice);
                phrase_known(&folded, self.catalogue) && !numbers(&folded)
            })
        })
    }
}

/// A half, a third or a quarter: `data/words/shares.csv` knows them.
fn common(share: f64) -> bool {
    [0.5, 0.25, 0.75, 0.333, 0.667]
        .iter()
        .any(|known| (share - known).abs() < 0.001)
}

/// A figure to four decimals, without idle noughts.
fn written(value: f64) -> String {
    ((value * 10_000.0).round() / 10_000.0).to_string()
}
