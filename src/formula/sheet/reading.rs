//! One line as a person writes it: where its amount stands, and what is left as the name.

use std::sync::LazyLock;

use regex::Regex;

use super::amount::{Pen, Taken, What};
use super::bracket::{Second, without_brackets};
use super::words::Kind;

/// Where an amount may begin inside a line.
static WITHIN: LazyLock<Regex> = LazyLock::new(|| {
    Regex::new(r"(?:\s[x×]|[\s:=,;(~–—…'’-]|\.{2,})([\d½¼¾⅐-⅞]|[.,]\d)").expect("a valid shape")
});
/// What parts a name from the amount behind it.
static PARTED: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"(?:[:=–—…\t]|\.\.|,\s|-)[\s.]*$").expect("a valid shape"));
/// After what parts two things, where an amount in words may begin.
static AFTER: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"[:=–—…,]\s+|\s-\s+|\s\(").expect("a valid shape"));

/// Most places of a line at which an amount is looked for.
const MOST_NUMBERS: usize = 16;
/// Most words of a remark behind an amount that nothing parts from it.
const REMARK: usize = 4;

/// What surrounds a name and is not of it.
const AROUND: [char; 14] = [
    ' ', '\t', ':', '=', '-', '–', '—', '…', ',', ';', '.', '•', '*', '\u{a0}',
];

/// Where the amount of a line stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Standing {
    /// Before the name.
    Leads,
    /// Behind the name and a colon, a dash or the like.
    Parted,
    /// Behind the name.
    Trails,
    /// In brackets.
    Bracketed,
}

/// A line taken apart.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Reading {
    /// The name, and the byte of the line it begins at.
    pub name: String,
    pub at: usize,
    /// The amount, where it stands, and the byte it begins at.
    pub amount: Option<(Taken, Standing, usize)>,
    /// The cook decides.
    pub taste: bool,
}

impl Reading {
    /// Whether it has an amount with a unit of mass or volume.
    pub(super) fn measured(&self) -> bool {
        self.amount
            .as_ref()
            .is_some_and(|(taken, ..)| taken.measured())
    }

    /// Where its amount stands.
    pub(super) fn standing(&self) -> Option<Standing> {
        self.amount.as_ref().map(|(_, standing, _)| *standing)
    }

    /// The name and amount of a line.
    pub(super) fn of(text: &str, pen: &Pen) -> Reading {
        let (text, second) = without_brackets(text, pen);
        let leading = pen.amount(&text, false);
        // An amount with a unit goes before a number: "7 up 200 ml".
        let measured = leading.as_ref().is_some_and(Taken::measured);
        let trailing = (!measured).then(|| trailing(&text, pen)).flatten();
        let behind = trailing.as_ref().is_some_and(|b| b.taken.measured());
        let leads = measured || !behind;
        if let (true, Some(taken)) = (leads, leading) {
            return led(&text, taken, second, pen);
        }
        if let Some(reading) = of_things(&text, pen) {
            return match second {
                Some(second) => Reading {
                    amount: reading
                        .amount
                        .map(|(taken, standing, at)| (second.beside(taken), standing, at)),
                    ..reading
                },
                None => reading,
            };
        }
        if let Some(behind) = trailing {
            return trailed(&text, behind, second, pen);
        }
        let (start, end, taste) = to_taste(&text, pen);
        let bracketed = second.map(|second| (second.taken.clone(), Standing::Bracketed, second.at));
        Reading {
            amount: bracketed,
            taste,
            ..named(&text, start, end, pen)
        }
    }
}

fn led(text: &str, taken: Taken, second: Option<Second>, pen: &Pen) -> Reading {
    let at = text.len() - text.trim_start().len();
    let (_, end, _) = to_taste(text, pen);
    let reading = named(text, taken.end, end.max(taken.end), pen);
    let taken = match second {
        Some(second) => second.beside(taken),
        None => taken,
    };
    Reading {
        amount: Some((taken, Standing::Leads, at)),
        ..reading
    }
}

/// An amount behind a name, and where it begins and ends.
struct Behind {
    taken: Taken,
    start: usize,
    end: usize,
}

fn trailed(text: &str, behind: Behind, second: Option<Second>, pen: &Pen) -> Reading {
    let Behind {
        mut taken,
        start,
        end,
    } = behind;
    let standing = match PARTED.is_match(&text[..start]) {
        true => Standing::Parted,
        false => Standing::Trails,
    };
    if taken.spaced && standing == Standing::Trails {
        // "milk 1 250 g" may be 250 g of "milk 1".
        let first = text[start..].split_whitespace().next().unwrap_or_default();
        let rest = &text[start + first.len()..end];
        let other = pen.amount(rest, true).map(|taken| taken.low);
        taken.doubt = other.map(|other| (taken.low, other));
    }
    let mut reading = named(text, 0, start, pen);
    // "vanilla pods x 2"
    let times = text[..start].trim_end().strip_suffix(['x', '×']);
    if taken.what == What::Bare && times.is_some_and(|before| before.ends_with([' ', '\t'])) {
        taken.what = What::Piece(pen.piece_in(&reading.name), false);
    }
    // "Pistachios 2 tbsp, chopped"
    let beside = text[end..].trim_matches([' ', '.', ';']);
    let apart = beside.starts_with([',', '(', '–', '—', '-']);
    if pen.words.is(Kind::Each, beside) {
        // "pistachios + almonds, 2 tbsp each"
        reading.name = tidy(&format!("{beside} {}", reading.name));
    } else if beside.contains(char::is_alphanumeric) {
        let comma = if apart { "" } else { "," };
        reading.name = tidy(&format!("{}{comma} {beside}", reading.name));
    }
    let taken = match second {
        Some(second) => second.beside(taken),
        None => taken,
    };
    Reading {
        amount: Some((taken, standing, start)),
        ..reading
    }
}

/// The amount a line ends in, or that only a remark follows.
fn trailing(text: &str, pen: &Pen) -> Option<Behind> {
    let figures = WITHIN.captures_iter(text).filter_map(|found| found.get(1));
    let starts = figures.map(|m| m.start());
    let words = AFTER.find_iter(text).map(|m| m.end());
    // "salt pinch"
    let last = text.trim_end().rfind(' ').map(|at| at + 1);
    let last = last.filter(|at| pen.words.is(Kind::Alone, text[*at..].trim_end()));
    // "condensed milk half can"
    let tail = text.trim_end().rmatch_indices(' ').take(3);
    let tail = tail.map(|(at, _)| at + 1);
    let tail = tail.filter(|at| pen.words.number(&text[*at..]).is_some());
    let starts = starts.chain(words).chain(last).chain(tail);
    starts.take(MOST_NUMBERS).find_map(|start| {
        let before = &text[..start];
        // "Base (for 1 kg)" has no amount; "sugar (120 g)" has.
        let open = before.matches('(').count() > before.matches(')').count();
        let apart = !open || before.trim_end().ends_with('(');
        if !apart || !before.chars().any(char::is_alphabetic) {
            return None;
        }
        let taken = pen.amount(&text[start..], true)?;
        let mut end = start + taken.end;
        end += usize::from(open && text[end..].starts_with(')'));
        let rest = text[end..].trim_start();
        let ends = rest.trim_matches(['.', ' ', ';', ',', '+', '&']).is_empty();
        // "cream 1200, hot" beside lines without units
        let digits = rest.contains(|c: char| c.is_ascii_digit());
        let plain = taken.what == What::Bare && !digits;
        // "onions 2 kg sliced thin": a few words behind an amount with a unit
        let few = !digits && !open && rest.split_whitespace().count() <= REMARK;
        let beside = rest.starts_with([',', '(', ';', '–', '—']) || rest.starts_with("- ") || few;
        // "gelatine 3 leaves soaked"
        let pieces = matches!(&taken.what, What::Piece(piece, _) if !piece.is_empty());
        let remark = (taken.measured() || pieces) && beside || plain && rest.starts_with(',');
        // "milk 35 500" in a file that writes 3000 as one
        if taken.spaced && pen.unspaced && !PARTED.is_match(before) {
            return None;
        }
        // "gelatin 2 sheets" counts sheets; "milk, half" counts nothing.
        let figure = text[start..].starts_with(|c: char| !c.is_alphabetic());
        let said = figure || taken.what != What::Bare;
        ((ends || remark) && said).then_some(Behind { taken, start, end })
    })
}

/// "Juice of 2 unwaxed lemons" is juice of lemons, as much as two lemons give.
fn of_things(text: &str, pen: &Pen) -> Option<Reading> {
    let number = WITHIN.captures_iter(text).find_map(|found| found.get(1));
    let word = text.match_indices([' ', '\'', '’']);
    let word = word.map(|(at, sign)| at + sign.len());
    let mut starts = number.map(|found| found.start()).into_iter().chain(word);
    starts.find_map(|start| of_things_at(text, start, pen))
}

fn of_things_at(text: &str, start: usize, pen: &Pen) -> Option<Reading> {
    let before = text[..start].trim_end();
    let taken = pen.count(&text[start..])?;
    let things = text[start + taken.end..].split([',', '(']).next()?.trim();
    let plain = pen.thing_in(things)?;
    // "le jus d'½ citron", "zest of 1 lemon", "Schale von 2 Orangen"
    let apart = before.ends_with(['\'', '’']);
    let joining = before.rsplit(' ').next().unwrap_or_default();
    let joins = apart || pen.words.joined(&format!("{joining} it")) == "it";
    // "zestes 2 citrons"
    let figure = text[start..].starts_with(|c: char| c.is_numeric());
    let alone = !before.contains([' ', ':', ',', '(']) && before == joining;
    // "lemon juice 1 lemon"
    let again = before.to_lowercase().contains(plain) && !before.contains([':', ',', '(']);
    let beside = figure && !joins && (alone || again);
    let (joins, joining) = if beside {
        (true, "of")
    } else {
        (joins, joining)
    };
    let head = match beside {
        true => before,
        false => before[..before.len() - joining.len()].trim_end(),
    };
    if !joins || head.is_empty() {
        return None;
    }
    let piece = What::Piece(plain.to_string(), false);
    let joining = joining.trim_end_matches(['\'', '’']);
    let joining = if apart { "de" } else { joining };
    Some(Reading {
        name: tidy(&format!("{head} {joining} {things}")),
        amount: Some((
            Taken {
                what: piece,
                ..taken
            },
            Standing::Parted,
            start,
        )),
        ..named(text, 0, text.len(), pen)
    })
}

/// The name between two bytes of a line, without what joins it to its amount.
fn named(text: &str, start: usize, end: usize, pen: &Pen) -> Reading {
    let mut name = text[start..end].trim_end_matches(AROUND);
    name = hedge_cut(name, pen);
    name = name.trim_start_matches(AROUND);
    name = pen.words.joined(name).trim_start();
    if let Some(inner) = name.strip_suffix('(') {
        name = inner.trim_end_matches(AROUND);
    }
    let at = name.as_ptr() as usize - text.as_ptr() as usize;
    Reading {
        name: tidy(name),
        at,
        amount: None,
        taste: false,
    }
}

/// A name without what leads up to its amount: "sugar approx. 120 g", "vanilla pods x 2".
fn hedge_cut<'t>(name: &'t str, pen: &Pen) -> &'t str {
    let last = name.rsplit([' ', '\t']).next().unwrap_or_default();
    let leads = matches!(last, "x" | "×") || pen.words.is(Kind::About, last);
    match last.len() < name.len() && leads {
        true => name[..name.len() - last.len()].trim_end_matches(AROUND),
        false => name,
    }
}

/// A name with single spaces, and none before a comma.
pub(super) fn tidy(name: &str) -> String {
    let words: Vec<&str> = name.split_whitespace().collect();
    words.join(" ").replace(" ,", ",")
}

/// Whether a line speaks of a mass or a volume anywhere but in words on the whole batch, such as
/// "(for 1 kg)".
pub(super) fn speaks_of_amount(text: &str, pen: &Pen) -> bool {
    let inside = WITHIN.captures_iter(text).filter_map(|found| found.get(1));
    let mut starts = std::iter::once(0).chain(inside.map(|m| m.start()));
    starts.any(|at| {
        let opened = text[..at].rfind('(').map_or("", |open| &text[open + 1..at]);
        let whole = [Kind::Heading, Kind::Yield]
            .iter()
            .any(|kind| pen.words.begins(*kind, opened) > 0);
        let taken = pen.amount(&text[at..], true);
        !whole && taken.is_some_and(|taken| taken.measured())
    })
}

/// The bytes of a line that words such as "to taste" leave, and whether there are such words.
fn to_taste(text: &str, pen: &Pen) -> (usize, usize, bool) {
    let whole = text.trim_end_matches(['.', ' ', ')']);
    let begun = pen.words.begins(Kind::Taste, text);
    if begun > 0 && begun < whole.len() {
        return (begun, text.len(), true);
    }
    let ends = whole
        .char_indices()
        .rev()
        .filter(|(_, c)| matches!(c, ' ' | '(' | ','));
    // "or to taste" rather than "to taste"
    let tails = ends.take(4).filter(|(at, sign)| {
        let tail = text[at + sign.len_utf8()..].trim_matches(['(', ')', ' ']);
        pen.words.is(Kind::Taste, tail)
    });
    match tails.last() {
        Some((at, _)) => {
            let name = text[..at].trim_end_matches(['(', ',', ' ']);
            (0, name.len(), true)
        }
        None => (0, text.len(), false),
    }
}
