//! Amounts at the start of a text: a number or two, a unit or a thing counted. Knows no ingredient.

use std::sync::LazyLock;

use regex::Regex;

use super::cell::bare;
use super::figure::{Figure, Marks, figure};
use super::words::{Kind, Measure, Words};
use super::{Amount, Unit};

/// "2 x 400 g": a count before an amount.
static TIMES: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"^\s*[x×*]\s*").expect("a valid shape"));

/// What may stand between the ends of a range, or between a whole number and its fraction.
static BETWEEN: LazyLock<Regex> = LazyLock::new(|| {
    Regex::new(r"^\s*(?:[-–—]|([\p{L}+&]+(?: to)?)\s)\s*").expect("a valid shape")
});

/// What may stand between two ways to say one amount, or between two that make a sum.
static JOINT: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"^\s*(?:([/=|–-])|([\p{L}+&]+)\s|\s)\s*").expect("a valid shape"));

/// What stands before the letter of a temperature.
pub(super) const DEGREE: char = '°';

/// How many times the least the most of a range is, where a dash between spaces joins them.
const WIDEST: f64 = 3.0;

/// What is known while a file is read: the words, and how it writes decimals.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pen<'a> {
    pub words: &'a Words,
    pub marks: Marks,
    /// Thousands stand there as one number, 3000, and no space parts them.
    pub unspaced: bool,
}

/// What a number counts.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum What {
    /// Nothing that is said.
    Bare,
    Unit(Unit),
    Percent,
    Portions,
    /// Pieces, and whether they are sold filled.
    Piece(String, bool),
}

/// An amount that was read.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Taken {
    pub low: f64,
    pub high: f64,
    pub what: What,
    /// Bytes it takes, with words such as "about" before it.
    pub end: usize,
    /// The two numbers that the figure can be.
    pub doubt: Option<(f64, f64)>,
    /// A space parts its thousands.
    pub spaced: bool,
    /// What is sold filled follows: "400 g can".
    pub filled: bool,
}

impl Taken {
    /// Whether it has a unit of mass or volume.
    pub(super) fn measured(&self) -> bool {
        matches!(self.what, What::Unit(_))
    }

    /// Whether it is a number of things.
    pub(super) fn counts(&self) -> bool {
        matches!(self.what, What::Bare | What::Piece(..))
    }

    /// The amount, where a number without a unit is `bare`.
    pub(super) fn amount(&self, bare: Option<Unit>) -> Amount {
        let (low, high) = (self.low, self.high);
        match (&self.what, bare) {
            (&What::Unit(unit), _) | (&What::Bare, Some(unit)) => {
                Amount::Measure { low, high, unit }
            }
            (What::Percent, _) => Amount::Percent((low + high) / 2.0),
            (What::Piece(piece, _), _) => Amount::Pieces {
                low,
                high,
                // "2 pieces" counts, as a bare number may not.
                piece: if piece.is_empty() {
                    "piece".into()
                } else {
                    piece.clone()
                },
            },
            (What::Bare | What::Portions, _) => Amount::Pieces {
                low,
                high,
                piece: String::new(),
            },
        }
    }

    /// The same so many times; it begins `start` bytes later than the count.
    fn times(self, count: f64, start: usize) -> Self {
        Taken {
            low: self.low * count,
            high: self.high * count,
            end: start + self.end,
            ..self
        }
    }
}

impl Pen<'_> {
    /// The amount a text begins with; `lone` where no name may follow it.
    pub(super) fn amount(&self, text: &str, lone: bool) -> Option<Taken> {
        let start = self.hedged(text);
        let rest = &text[start..];
        let figures = self.quantity(rest, lone);
        let mut taken = figures.or_else(|| self.said(rest, lone))?;
        taken.end += start;
        Some(taken)
    }

    /// The amount that is the whole of a text.
    pub(super) fn whole(&self, text: &str) -> Option<Taken> {
        let text = text.trim_end_matches(['.', ',', ';', ' ']);
        let taken = self.amount(text, true)?;
        (taken.end >= text.len()).then_some(taken)
    }

    /// Bytes of the words such as "about" and of the space a text begins with.
    pub(super) fn hedged(&self, text: &str) -> usize {
        let mut start = space(text);
        loop {
            let word = self.words.begins(Kind::About, &text[start..]);
            if word == 0 {
                return start;
            }
            start += word;
            start += text[start..].len() - text[start..].trim_start_matches(['.', ' ']).len();
        }
    }

    /// An amount whose number is in figures; a count may stand before it.
    fn quantity(&self, text: &str, lone: bool) -> Option<Taken> {
        let first = figure(text, self.marks)?;
        let taken = self.single(first, text, lone);
        let single = |text: &str| {
            let first = figure(text, self.marks)?;
            Some(self.single(first, text, lone))
        };
        if let Some(times) = TIMES.find(&text[first.end..]) {
            let start = first.end + times.end();
            let rest = &text[start..];
            if let Some(each) = single(rest).filter(Taken::measured) {
                return Some(each.times(first.value, start));
            }
            // "2 x vanilla pods"; "2x4" is none.
            if rest.starts_with(char::is_alphabetic) && times.as_str().ends_with(' ') {
                let end = start;
                return Some(self.with_measure(Taken { end, ..taken }, text, lone));
            }
        }
        // "2 400 g cans", "1 14-ounce can"
        let Some((count, rest)) = text.split_once(' ') else {
            return Some(taken);
        };
        let start = text.len() - rest.trim_start().len();
        let packed = |each: &Taken| each.filled && each.measured();
        match (count.parse::<u16>(), single(&text[start..]).filter(packed)) {
            (Ok(count), Some(each)) => Some(each.times(f64::from(count), start)),
            _ => Some(taken),
        }
    }

    /// An amount of one number or two and what they count.
    fn single(&self, first: Figure, text: &str, lone: bool) -> Taken {
        let (low, high, end) = self.range(text, first);
        let taken = Taken {
            low,
            high,
            what: What::Bare,
            end,
            doubt: first.other.map(|other| (first.value, other)),
            spaced: first.spaced,
            filled: false,
        };
        self.with_measure(taken, text, lone)
    }

    /// The amount with the unit that follows its number.
    fn with_measure(&self, mut taken: Taken, text: &str, lone: bool) -> Taken {
        let mut at = taken.end;
        // "14-ounce"
        let hyphen = text[at..].strip_prefix('-');
        at += usize::from(hyphen.is_some_and(|rest| rest.starts_with(char::is_alphabetic)));
        loop {
            let level = self.words.begins(Kind::Level, &text[at..]);
            if level == 0 {
                break;
            }
            at += level;
        }
        let Some((measure, length)) = self.words.measured(&text[at..]) else {
            return taken;
        };
        // A piece with no name after it is the name, where there should be one: "2 sheets".
        let end = at + length;
        // "82 C", and "2 c flour"; behind a name "4 C" is no cups
        let word = text[at..end].trim();
        let behind = lone && word.chars().all(char::is_uppercase);
        let figure = if behind { f64::INFINITY } else { taken.low };
        if self.conditions(word, figure) {
            return taken;
        }
        let named = lone || text[end..].chars().any(char::is_alphanumeric);
        taken.what = match measure {
            Measure::Piece(plain, filled) if named => What::Piece(plain, filled),
            Measure::Piece(..) => return taken,
            Measure::Unit(unit) => What::Unit(unit),
            Measure::Percent => What::Percent,
            Measure::Portions => What::Portions,
        };
        taken.end = end + usize::from(text[end..].starts_with('.'));
        // "1 tsp level"
        taken.end += self.level_behind(&text[taken.end..]);
        match taken.what {
            What::Unit(unit) => self.joined(taken, unit, text),
            _ => taken,
        }
    }

    /// Whether a figure and the word behind it say how warm something is or how long a step takes.
    pub(super) fn conditions(&self, word: &str, figure: f64) -> bool {
        let least = self.words.detail(Kind::Condition, word);
        word.starts_with(DEGREE)
            || least.is_some_and(|least| figure >= least.parse().unwrap_or(0.0))
    }

    /// Bytes of a word on how a spoon is filled that a text consists of.
    fn level_behind(&self, text: &str) -> usize {
        let begun = self.words.begins(Kind::Level, text);
        let ends = text[begun..].trim_matches([' ', '.', ')', ',']).is_empty();
        if ends { begun } else { 0 }
    }

    /// The amount with what is added to it, "1 lb 4 oz", the way it is said again, "200 g / 7 oz", and
    /// the container that holds it.
    fn joined(&self, mut taken: Taken, mut unit: Unit, text: &str) -> Taken {
        while number_near(&text[taken.end..])
            && let Some(joint) = JOINT.captures(&text[taken.end..])
        {
            let (sign, word) = (joint.get(1), joint.get(2).map_or("", |m| m.as_str()));
            let start = taken.end + joint.get(0).map_or(0, |m| m.end());
            let rest = &text[start..];
            let other = figure(rest, self.marks).and_then(|figure| {
                let (measure, length) = self.words.measured(&rest[figure.end..])?;
                let Measure::Unit(unit) = measure else {
                    return None;
                };
                Some((figure.value, unit, start + figure.end + length))
            });
            let Some((value, second, end)) = other else {
                break;
            };
            let sign = sign.map_or("", |m| m.as_str());
            let ranges = matches!(sign, "-" | "–") || self.words.is(Kind::To, word);
            let adds = sign.is_empty() && (word.is_empty() || self.words.is(Kind::Plus, word));
            let part = second.ratio(unit).filter(|ratio| adds && *ratio < 1.0);
            if let Some(ratio) = part {
                taken.low += value * ratio;
                taken.high += value * ratio;
            } else if ranges && second == unit && value >= taken.high {
                taken.high = value;
            } else if (ranges || !sign.is_empty()) && second != unit {
                // What was weighed is nearer the truth than what was measured.
                if second.outweighs(unit) {
                    (taken.low, taken.high, unit) = (value, value, second);
                    taken.what = What::Unit(second);
                }
            } else {
                break;
            }
            taken.end = end;
        }
        let rest = &text[taken.end..];
        let start = usize::from(rest.starts_with('-')) + space(rest.trim_start_matches('-'));
        if let Some((Measure::Piece(_, true), length)) = self.words.measured(&rest[start..]) {
            taken.end += start + length;
            taken.filled = true;
        }
        taken
    }

    /// Both ends of a range that begins with a number, and where it ends: 2-3, 2 to 3. What looks like
    /// one may be a whole number and its fraction: 1-1/2, 1 and 1/2.
    fn range(&self, text: &str, first: Figure) -> (f64, f64, usize) {
        let (low, end) = (first.value, first.end);
        let alone = (low, low, end);
        if !number_near(&text[end..]) {
            return alone;
        }
        let Some(between) = BETWEEN.captures(&text[end..]) else {
            return alone;
        };
        let start = end + between.get(0).map_or(0, |m| m.end());
        let Some(second) = figure(&text[start..], self.marks) else {
            return alone;
        };
        let word = between.get(1).map(|m| m.as_str());
        let end = start + second.end;
        let mixed = low.fract() == 0.0 && second.fraction;
        let spaced = between[0].starts_with(' ') && between[0].ends_with(' ');
        let ratio = second.value / low;
        match word {
            None if mixed => (low + second.value, low + second.value, end),
            Some(word) if mixed && self.words.is(Kind::Plus, word) => {
                (low + second.value, low + second.value, end)
            }
            // "DGS 40 - 40 g", "cream 35 - 150 g": a figure of the name, and the amount behind a dash.
            None if spaced && !(low == 0.0 || ratio > 1.0 && ratio <= WIDEST) => alone,
            None if second.value >= low => (low, second.value, end),
            Some(word) if self.words.is(Kind::To, word) && second.value >= low => {
                (low, second.value, end)
            }
            _ => alone,
        }
    }

    /// An amount whose number is said in words: "a pinch", "two", "half a cup", "pinch".
    fn said(&self, text: &str, lone: bool) -> Option<Taken> {
        let taken = match self.number(text) {
            Some(taken) => taken,
            None => {
                let word = self.words.begins(Kind::Alone, text);
                (word > 0).then_some(bare(1.0, 0))?
            }
        };
        let value = taken.low;
        let taken = self.with_measure(taken, text, lone);
        // "one" may begin a name, and "half" needs something to be half of.
        let counted = value.fract() == 0.0 && value > 1.0;
        (taken.what != What::Bare || counted).then_some(taken)
    }

    /// A number said in words, with the half or the article behind it: "half a", "un demi".
    fn number(&self, text: &str) -> Option<Taken> {
        let (value, end) = self.words.number(text)?;
        // "two hundred", "two hundred and fifty"
        if let Some((scale, length)) = self.words.number(&text[end..]).filter(|(n, _)| *n >= 100.0)
            && value < 100.0
        {
            let at = end + length;
            let and = self.words.begins(Kind::Plus, &text[at..]);
            let rest = self.words.number(&text[at + and..]);
            let rest = rest.filter(|(rest, _)| *rest >= 1.0 && *rest < 100.0);
            return Some(match rest {
                Some((rest, length)) => bare(value * scale + rest, at + and + length),
                None => bare(value * scale, at),
            });
        }
        let both = self.words.number(&text[end..]);
        let both = both.filter(|(other, _)| *other == 1.0 || value == 1.0 && *other < 1.0);
        let (factor, length) = both.unwrap_or((1.0, 0));
        Some(bare(value * factor, end + length))
    }

    /// How many of a thing a text begins with: "2 lemons", "un demi citron".
    pub(super) fn count(&self, text: &str) -> Option<Taken> {
        let figures = self.amount(text, false).filter(Taken::counts);
        figures.or_else(|| self.number(text))
    }

    /// Whether a whole text leaves the amount to the cook.
    pub(super) fn is_taste(&self, text: &str) -> bool {
        self.words
            .is(Kind::Taste, text.trim_matches(['(', ')', ' ']))
    }

    /// The measure that a whole cell names.
    pub(super) fn unit_of(&self, cell: &str) -> Option<What> {
        Some(match self.words.measure(cell)? {
            Measure::Unit(unit) => What::Unit(unit),
            Measure::Percent => What::Percent,
            Measure::Portions => What::Portions,
            Measure::Piece(plain, filled) => What::Piece(plain, filled),
        })
    }

    /// The plain form of the thing that words name: "lemon" of "unwaxed lemons", "lime" of "citrons verts".
    pub(super) fn thing_in(&self, words: &str) -> Option<&str> {
        let words: Vec<&str> = words.split_whitespace().take(4).collect();
        let spans = (1..=2usize)
            .rev()
            .flat_map(|count| (0..words.len()).map(move |at| (at, count)));
        let mut spans = spans.filter(|(at, count)| at + count <= words.len());
        spans.find_map(|(at, count)| {
            self.words
                .detail(Kind::Noun, &words[at..at + count].join(" "))
        })
    }

    /// The plain form of the thing counted that a name ends in, as far as its comma: "bean" of "vanilla
    /// bean, split".
    pub(super) fn piece_in(&self, name: &str) -> String {
        let noun = name.split([',', '(']).next().unwrap_or(name);
        let noun = noun.split(" - ").next().unwrap_or(noun).trim();
        let last = noun.rsplit(char::is_whitespace).next().unwrap_or(noun);
        if let Some(plain) = self.words.detail(Kind::Noun, last) {
            return plain.to_string();
        }
        match self.words.measure(last).filter(|_| last.len() < noun.len()) {
            Some(Measure::Piece(plain, _)) => plain,
            _ => String::new(),
        }
    }
}

/// Whether a number stands near the beginning of a text, as it does where two amounts are joined.
fn number_near(text: &str) -> bool {
    const NEAR: usize = 20;
    text.chars().take(NEAR).any(char::is_numeric)
}

/// Bytes of the space a text begins with.
fn space(text: &str) -> usize {
    text.len() - text.trim_start().len()
}
