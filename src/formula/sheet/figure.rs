//! Numbers as people write them: decimal commas, thousands marks, fractions. Knows no unit.

use std::sync::LazyLock;

use regex::Regex;
use unicode_normalization::UnicodeNormalization;

/// A whole or decimal number, with or without marks between the thousands.
const DECIMAL: &str =
    r"(?:\d{1,3}(?:[ \u{a0}\u{202f}\u{2009}'’]\d{3})+(?:[.,]\d+)?\b|\d+(?:[.,]\d+)*|[.,]\d+)";
const VULGAR: &str = r"[¼½¾⅐-⅞]";

/// A number at the start of a text: 1 ½, 1 1/2, 1/2, ½, 1.250,5.
static NUMBER: LazyLock<Regex> = LazyLock::new(|| {
    Regex::new(&format!(
        r"^(?:(\d+)\s?({VULGAR})|(\d+)\s+(\d+)\s?[/⁄]\s?(\d+)\b|(\d+)\s?[/⁄]\s?(\d+)\b|({VULGAR})|({DECIMAL}))"
    ))
    .expect("a valid shape")
});

/// A number anywhere, with what tells that it is a share.
static ANYWHERE: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(&format!(r"({DECIMAL})\s?(%?)")).expect("a valid shape"));

/// A number of four digits that nothing parts.
static FOUR: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"(?:^|[\s:=])\d{4,6}(?:\s|$)").expect("a valid shape"));

/// Whether a text writes thousands as one number.
pub(super) fn unspaced(text: &str) -> bool {
    text.lines().any(|line| FOUR.is_match(line))
}

/// A figure of three places behind its mark, or of three digits and more, in kilograms or litres.
static LARGE: LazyLock<Regex> = LazyLock::new(|| {
    Regex::new(r"(?i)(?:^|[^\d.,])(\d{1,3}([.,])\d{3}|\d{3,})[ \t;|]*(?:kgs?|kilos?|kilogramm?e?s?|l|lt|ltr|lit(?:er|re|ro)s?|litri)\b")
        .expect("a valid shape")
});

/// The decimal mark that kilograms and litres of three places show, with the first such figure: nobody
/// weighs 1250 kg beside them. `None` where one of hundreds stands in the file.
pub(super) fn thousandths(text: &str) -> Option<(Marks, String)> {
    let mut found = LARGE.captures_iter(text).peekable();
    let first = found.peek()?;
    let figure = first.get(1)?.as_str().to_string();
    let mark = first.get(2)?.as_str().to_string();
    let alike = found.all(|other| other.get(2).is_some_and(|m| m.as_str() == mark));
    let marks = match mark.as_str() {
        "," => Marks::Comma,
        _ => Marks::Point,
    };
    alike.then_some((marks, figure))
}

/// How a file writes its decimals, as far as it shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Marks {
    /// 12.5
    Point,
    /// 12,5
    Comma,
    /// It shows neither, or both.
    Open,
}

/// A number and, where it can be read two ways, the other one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Figure {
    pub value: f64,
    pub other: Option<f64>,
    /// Bytes it takes.
    pub end: usize,
    /// A space parts its thousands.
    pub spaced: bool,
    /// It is a fraction smaller than one: what may follow a whole number.
    pub fraction: bool,
}

impl Marks {
    /// What the numbers of some texts show; shares stand in names too and say nothing.
    pub(super) fn of<'t>(texts: impl Iterator<Item = &'t str>, assumed: Marks) -> Marks {
        let (mut point, mut comma) = (assumed == Marks::Point, assumed == Marks::Comma);
        for found in texts.flat_map(|text| ANYWHERE.captures_iter(text)) {
            if found.get(2).is_some_and(|share| !share.is_empty()) {
                continue;
            }
            match found.get(1).and_then(|n| shown(n.as_str())) {
                Some('.') => point = true,
                Some(_) => comma = true,
                None => {}
            }
        }
        match (point, comma) {
            (true, false) => Marks::Point,
            (false, true) => Marks::Comma,
            _ => Marks::Open,
        }
    }
}

/// The decimal mark a number shows beyond doubt.
fn shown(text: &str) -> Option<char> {
    let digits = plain(text);
    let last = digits.rfind(['.', ','])?;
    let mark = if digits[last..].starts_with('.') {
        '.'
    } else {
        ','
    };
    let other = if mark == '.' { ',' } else { '.' };
    let (before, after) = (&digits[..last], &digits[last + 1..]);
    if before.contains(other) && !before.contains(mark) {
        return Some(mark);
    }
    if before.contains(mark) {
        // Twice the same mark parts thousands.
        return grouped(&digits, mark).then_some(other);
    }
    let doubtful =
        after.len() == 3 && before.len() <= 3 && !before.is_empty() && !before.starts_with('0');
    (!doubtful && !before.contains(other)).then_some(mark)
}

/// A number without the spaces and apostrophes between its thousands.
fn plain(text: &str) -> String {
    let inner = |c: &char| c.is_ascii_digit() || matches!(c, '.' | ',');
    text.chars().filter(inner).collect()
}

/// Whether a mark parts digits in threes.
fn grouped(digits: &str, mark: char) -> bool {
    let mut groups = digits.split(mark);
    let first = groups.next().unwrap_or_default();
    (1..=3).contains(&first.len())
        && groups.all(|g| g.len() == 3 && g.bytes().all(|b| b.is_ascii_digit()))
}

/// The value of a decimal number, and the other one it may be.
fn decimal(text: &str, marks: Marks) -> Option<(f64, Option<f64>)> {
    let digits = plain(text);
    let grouping = |mark: char| {
        digits
            .replace(mark, "")
            .replace(',', ".")
            .parse::<f64>()
            .ok()
    };
    let pointed = || digits.replace(',', ".").parse::<f64>().ok();
    if !digits.contains(['.', ',']) {
        return Some((pointed()?, None));
    }
    match shown(&digits) {
        Some('.') => {
            let (whole, part) = digits.rsplit_once('.').unwrap_or((&digits, ""));
            // "1,250,000" shows that the point is the decimal mark and has none.
            let whole_only = digits.matches(',').count() > 1 && !digits.contains('.');
            match () {
                () if whole_only => Some((grouping(',')?, None)),
                () if whole.contains(',') && !grouped(whole, ',') => None,
                () => Some((
                    format!("{}.{part}", whole.replace(',', "")).parse().ok()?,
                    None,
                )),
            }
        }
        Some(_) => {
            let (whole, part) = digits.rsplit_once(',').unwrap_or((&digits, ""));
            let whole_only = digits.matches('.').count() > 1 && !digits.contains(',');
            match () {
                () if whole_only => Some((grouping('.')?, None)),
                () if whole.contains('.') && !grouped(whole, '.') => None,
                () => Some((
                    format!("{}.{part}", whole.replace('.', "")).parse().ok()?,
                    None,
                )),
            }
        }
        // More than one mark, and no groups of three: a date, a version.
        None if digits.matches(['.', ',']).count() > 1 => None,
        None => {
            let mark = if digits.contains('.') { '.' } else { ',' };
            let whole = grouping(mark)?;
            let part = pointed()?;
            match (marks, mark) {
                (Marks::Point, '.') | (Marks::Comma, ',') => Some((part, None)),
                (Marks::Point, _) | (Marks::Comma, _) => Some((whole, None)),
                (Marks::Open, _) => Some((whole, Some(part))),
            }
        }
    }
}

/// A vulgar fraction sign as a number: its compatibility form is 1⁄2.
fn vulgar(sign: &str) -> Option<f64> {
    let spelt: String = sign.nfkd().collect();
    let (top, bottom) = spelt.split_once('⁄')?;
    quotient(top, bottom)
}

fn quotient(top: &str, bottom: &str) -> Option<f64> {
    let (top, bottom): (f64, f64) = (top.parse().ok()?, bottom.parse().ok()?);
    (bottom > 0.0).then_some(top / bottom)
}

/// The number a text begins with.
pub(super) fn figure(text: &str, marks: Marks) -> Option<Figure> {
    let begun = |c: char| c.is_numeric() || matches!(c, '.' | ',');
    if !text.starts_with(begun) {
        return None;
    }
    let found = NUMBER.captures(text)?;
    let part = |n: usize| found.get(n).map(|m| m.as_str());
    let mut figure = Figure {
        value: 0.0,
        other: None,
        end: found.get(0)?.end(),
        spaced: false,
        fraction: false,
    };
    if let (Some(whole), Some(sign)) = (part(1), part(2)) {
        figure.value = whole.parse::<f64>().ok()? + vulgar(sign)?;
    } else if let (Some(whole), Some(top), Some(bottom)) = (part(3), part(4), part(5)) {
        figure.value = whole.parse::<f64>().ok()? + quotient(top, bottom)?;
    } else if let (Some(top), Some(bottom)) = (part(6), part(7)) {
        figure.value = quotient(top, bottom)?;
        figure.fraction = figure.value < 1.0;
    } else if let Some(sign) = part(8) {
        figure.value = vulgar(sign)?;
        figure.fraction = true;
    } else {
        let text = part(9)?;
        (figure.value, figure.other) = decimal(text, marks)?;
        figure.spaced = text.contains([' ', '\u{a0}', '\u{202f}', '\u{2009}']);
    }
    Some(figure)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_as_they_are_written() {
        let table = [
            ("12", Marks::Open, 12.0),
            ("12.5", Marks::Open, 12.5),
            ("12,5", Marks::Open, 12.5),
            ("12,5", Marks::Point, 12.5),
            ("0,250", Marks::Open, 0.25),
            ("0.250", Marks::Open, 0.25),
            ("1.250,5", Marks::Open, 1250.5),
            ("1,250.5", Marks::Open, 1250.5),
            ("1.250", Marks::Comma, 1250.0),
            ("1.250", Marks::Point, 1.25),
            ("1,250", Marks::Point, 1250.0),
            ("1,250", Marks::Comma, 1.25),
            ("1 250", Marks::Open, 1250.0),
            ("1\u{a0}250,5", Marks::Open, 1250.5),
            ("1'250.5", Marks::Open, 1250.5),
            ("1.250.000", Marks::Open, 1_250_000.0),
            ("1,250,000", Marks::Open, 1_250_000.0),
            ("1,250,000.5", Marks::Open, 1_250_000.5),
            (".5", Marks::Open, 0.5),
            ("½", Marks::Open, 0.5),
            ("1½", Marks::Open, 1.5),
            ("1 ½ cups", Marks::Open, 1.5),
            ("1/2", Marks::Open, 0.5),
            ("1 1/2", Marks::Open, 1.5),
            ("3 egg yolks", Marks::Open, 3.0),
            ("1 2500", Marks::Open, 1.0),
            ("⅔", Marks::Open, 2.0 / 3.0),
        ];
        for (text, marks, value) in table {
            let read = figure(text, marks).map(|f| (f.value, f.other));
            assert_eq!(read, Some((value, None)), "{text} {marks:?}");
        }
    }

    #[test]
    fn a_number_that_can_be_two_says_so_and_a_date_is_none() {
        for text in ["1.250", "1,250", "12,500"] {
            let read = figure(text, Marks::Open);
            assert!(read.is_some_and(|f| f.other.is_some()), "{text}");
        }
        for text in ["12.05.2026", "1.2.3", "1/0", "x"] {
            assert_eq!(figure(text, Marks::Open), None, "{text}");
        }
    }

    #[test]
    fn a_file_shows_its_decimal_mark() {
        for (texts, marks) in [
            (&["1.250", "12,5"][..], Marks::Comma),
            (&["1.250", "0.5"], Marks::Point),
            (&["1.250,50"], Marks::Comma),
            (&["1.250.000"], Marks::Comma),
            (&["1.250", "3"], Marks::Open),
            (&["12,5", "12.5"], Marks::Open),
            (&["cream 3.5%", "12,5 g"], Marks::Comma),
            (&["12.05.2026"], Marks::Open),
        ] {
            let shown = Marks::of(texts.iter().copied(), Marks::Open);
            assert_eq!(shown, marks, "{texts:?}");
        }
    }
}
