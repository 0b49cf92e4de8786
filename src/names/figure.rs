//! The figure a name carries for its grade: `cream 38% fat`, `42 DE corn syrup`, `80 proof rum`.

use std::sync::LazyLock;

use regex::Regex;

use crate::model::{Naming, fold};

/// One figure of a name.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Figure {
    /// The number; the middle of a range.
    pub number: f64,
    /// What it counts, an id of [`Naming::units`]; `None` for a bare number or per cent.
    pub unit: Option<String>,
    /// It is a per cent.
    pub percent: bool,
    /// A unit stands beside it that was left in the name.
    pub beside: bool,
    /// As typed.
    pub typed: String,
}

/// A name with its figure taken out.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Parted {
    /// What is left of the name.
    pub rest: String,
    /// The figures, in the order typed.
    pub figures: Vec<Figure>,
}

static NUMBER: LazyLock<Regex> = LazyLock::new(|| {
    let number = r"\d+(?:[.,]\d+)?";
    let text = format!(
        r"(?ix) (?P<low>{number}) (?: \s*%? \s*(?:-|–|—|/|to|bis|à)\s* (?P<high>{number}) )? \s*(?P<sign>%|percent\b|per\ cent\b|pct\b|°)?"
    );
    Regex::new(&text).expect("a fixed pattern")
});

/// `E 412`, `E-412`, `INS 412`: what stands before the number of an additive.
static NUMBERED: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"(?i)(?:^|[\s(,])(?:e|ins)[\s-]?$").expect("a fixed pattern"));

/// The longest unit in words: `matiere grasse`.
const LONGEST: usize = 3;

/// Every way to take the figures out of a name: with the word beside a figure taken as its unit, and,
/// where that word may be part of the name (`22-24 cocoa powder`), without.
pub(super) fn parted(text: &str, naming: &Naming) -> Vec<Parted> {
    let mut out: Vec<Parted> = vec![];
    for take_unit in [true, false] {
        let parted = part(text, naming, take_unit);
        if !parted.figures.is_empty() && !out.contains(&parted) {
            out.push(parted);
        }
    }
    out
}

fn part(text: &str, naming: &Naming, take_unit: bool) -> Parted {
    let mut rest = String::new();
    let mut figures = vec![];
    let mut from = 0;
    while let Some(found) = NUMBER.captures_at(text, from) {
        let whole = found.get(0).expect("a match has a whole");
        let before = &text[from..whole.start()];
        // The number of an additive is part of its name.
        if NUMBERED.is_match(&text[..whole.start()]) {
            rest.push_str(&text[from..whole.end()]);
            from = whole.end();
            continue;
        }
        // A digit inside a word, such as E410 or DE40: only a unit may stand right before it.
        let glued = before.chars().last().is_some_and(char::is_alphabetic);
        let number = |name: &str| -> Option<f64> {
            found.name(name)?.as_str().replace(',', ".").parse().ok()
        };
        let Some(low) = number("low") else { break };
        // What falls is no range: couverture 60/40/38 states cocoa, sugar and fat.
        let high = number("high").filter(|high| *high > low);
        let number = high.map_or(low, |high| (low + high) / 2.0);
        let percent = found.name("sign").is_some();
        let after = &text[whole.end()..];
        // Sugar beside a number is a word of the name, unless the number is a per cent of it.
        let added = |unit: &String| naming.counted.get(unit).is_some_and(|c| c.added);
        let counts = |(unit, _): &(String, usize)| percent || !added(unit);
        let behind = (take_unit.then(|| unit_after(after, naming))).flatten();
        let behind = behind.filter(counts);
        let ahead = match (&behind, take_unit) {
            (None, true) => unit_before(before, naming).filter(counts),
            _ => None,
        };
        if glued && ahead.is_none() {
            rest.push_str(&text[from..whole.end()]);
            from = whole.end();
            continue;
        }
        let (unit, cut, skip) = match (behind, ahead) {
            (Some((unit, length)), _) => (Some(unit), before.len(), length),
            (_, Some((unit, start))) => (Some(unit), start, 0),
            _ => (None, before.len(), 0),
        };
        rest.push_str(&before[..cut]);
        rest.push(' ');
        let beside = unit.is_none() && unit_after(after, naming).is_some();
        figures.push(Figure {
            number,
            unit,
            percent,
            beside,
            typed: whole.as_str().trim().to_string(),
        });
        from = whole.end() + skip;
    }
    rest.push_str(&text[from.min(text.len())..]);
    Parted { rest, figures }
}

/// The unit a text begins with and its length in bytes.
fn unit_after(text: &str, naming: &Naming) -> Option<(String, usize)> {
    let ends = word_ends(text);
    (1..=LONGEST.min(ends.len())).rev().find_map(|count| {
        let end = ends[count - 1];
        let words = fold(&text[..end]);
        let words = words
            .trim_start_matches("% ")
            .trim_start_matches('%')
            .trim();
        Some((naming.units.get(words)?.clone(), end))
    })
}

/// The unit a text ends with and where it starts.
fn unit_before(text: &str, naming: &Naming) -> Option<(String, usize)> {
    let trimmed = text.trim_end_matches([' ', ':', '=', '(', '~', ',']);
    let starts: Vec<usize> = std::iter::once(0)
        .chain(
            trimmed
                .match_indices([' ', ',', '(', '-'])
                .map(|(at, s)| at + s.len()),
        )
        .collect();
    starts.iter().rev().take(LONGEST).rev().find_map(|&start| {
        let words = fold(&trimmed[start..]);
        let words = words.trim_end_matches(" of");
        Some((naming.units.get(words)?.clone(), start))
    })
}

/// Where each of the first words of a text ends, in bytes; a comma or bracket ends the last.
fn word_ends(text: &str) -> Vec<usize> {
    let mut ends = vec![];
    let mut inside = false;
    for (at, c) in text.char_indices() {
        let letter = c.is_alphanumeric() || matches!(c, '.' | '°' | '\'' | '’');
        if inside && !letter {
            ends.push(at);
            inside = false;
        }
        if ends.len() == LONGEST || matches!(c, ',' | '(' | ')' | ';') {
            return ends;
        }
        inside |= letter;
    }
    if inside {
        ends.push(text.len());
    }
    ends
}

#[cfg(test)]
mod tests {
    use super::*;

    fn naming() -> Naming {
        let words = [
            ("fat", "fat"),
            ("de", "de"),
            ("vol", "alcohol"),
            ("proof", "proof"),
            ("bloom", "bloom"),
            ("cocoa", "cocoa"),
            ("matiere grasse", "fat"),
        ];
        Naming {
            units: words.map(|(w, u)| (w.to_string(), u.to_string())).into(),
            ..Naming::default()
        }
    }

    #[test]
    fn a_figure_and_its_unit_stand_in_either_order() {
        for (text, rest, number, unit) in [
            ("cream 38% fat", "cream", 38.0, Some("fat")),
            ("30 % cream", "cream", 30.0, None),
            ("white rum 37.5 % vol", "white rum", 37.5, Some("alcohol")),
            ("dried glucose DE 30-32", "dried glucose", 31.0, Some("de")),
            ("dried glucose DE40", "dried glucose", 40.0, Some("de")),
            ("butter of 80 % fat", "butter of", 80.0, Some("fat")),
            ("whey protein 60", "whey protein", 60.0, None),
            ("crème 35 % matière grasse", "crème", 35.0, Some("fat")),
            ("gelatin (200 Bloom)", "gelatin ( )", 200.0, Some("bloom")),
            ("couverture 60/40", "couverture", 60.0, None),
            ("80 proof bourbon", "bourbon", 80.0, Some("proof")),
        ] {
            let found = &parted(text, &naming())[0];
            let figure = &found.figures[0];
            let rest_words = found.rest.split_whitespace().collect::<Vec<_>>().join(" ");
            assert_eq!(
                (rest_words.as_str(), figure.number),
                (rest, number),
                "{text}"
            );
            assert_eq!(figure.unit.as_deref(), unit, "{text}");
        }
    }

    #[test]
    fn a_number_inside_a_word_is_part_of_it() {
        assert_eq!(parted("E410", &naming()), []);
        assert_eq!(parted("vitamin B12", &naming()), []);
        assert_eq!(parted("guar gum E 412", &naming()), []);
    }

    #[test]
    fn a_per_cent_is_known_as_one() {
        for (text, percent) in [
            ("mango puree 100%", true),
            ("cream 35 %", true),
            ("MDG 60", false),
        ] {
            assert_eq!(
                parted(text, &naming())[0].figures[0].percent,
                percent,
                "{text}"
            );
        }
    }
}
