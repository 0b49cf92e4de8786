//! A line that names several things which share one amount: `gellan / agar 50:50`, `LBG + guar 2:1`,
//! `salt and pepper`.

use std::sync::LazyLock;

use regex::Regex;

use super::sheet::{Amount, Row, Words};

/// Shares at the end of a line: `50:50`, `(2:1:1)`, `70/30`, `60-40`.
static RATIO: LazyLock<Regex> = LazyLock::new(|| {
    Regex::new(r"[\s,(]+(\d{1,3}(?:[.,]\d)?(?:\s*[:/-]\s*\d{1,3}(?:[.,]\d)?){1,3})\s*\)?\s*$")
        .expect("a valid shape")
});
/// What parts the things before a ratio.
static PARTED: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"\s*[/+&,:]\s*|\s-\s").expect("a valid shape"));

/// What parts things in a line.
static LISTED: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"[,;]\s+|\s+/\s+").expect("a valid shape"));
/// A name and the number behind it.
static NUMBERED: LazyLock<Regex> = LazyLock::new(|| {
    Regex::new(r"^(.*\p{L}.*?)[\s:=]+(\d+(?:[.,]\d+)?)\s?g?$").expect("a valid shape")
});

/// The rows that a row stands for, each with its share of the amount, and what was taken for granted;
/// `None` where it names one thing, or `known` does not know each of them.
pub(super) fn shared(
    row: &Row,
    words: &Words,
    known: impl Fn(&str) -> bool,
) -> Option<(Vec<Row>, Option<String>)> {
    if let Some(parts) = parts_of_things(row, words, &known) {
        return Some((parts, None));
    }
    if let Some(parts) = several(row, &known) {
        return Some((parts, None));
    }
    let typed = row.typed.as_str();
    let (named, shares) = match RATIO.captures(typed) {
        Some(found) => {
            let shares = found[1].split([':', '/', '-']);
            let shares = shares.map(|share| share.trim().replace(',', ".").parse::<f64>().ok());
            (
                &typed[..found.get(0)?.start()],
                shares.collect::<Option<Vec<_>>>()?,
            )
        }
        None => (typed, vec![]),
    };
    let mut names = words.joined_by_and(named);
    if names.len() < 2 && !shares.is_empty() {
        names = PARTED.split(named).collect();
    }
    // Without shares the whole may be one name: `half and half`.
    let one = names.len() < 2 || shares.is_empty() && known(typed);
    let fits = shares.is_empty() || shares.len() == names.len();
    if one || !fits || !names.iter().all(|name| known(name)) {
        return None;
    }
    let even = shares.is_empty();
    let shares = match even {
        true => vec![1.0; names.len()],
        false => shares,
    };
    let sum: f64 = shares.iter().sum();
    let rows = names.iter().zip(&shares).map(|(name, share)| {
        Some(Row {
            typed: name.to_string(),
            amount: part(&row.amount, share / sum)?,
            ..row.clone()
        })
    });
    let rows: Vec<Row> = rows.collect::<Option<_>>()?;
    Some((
        rows,
        even.then(|| format!("`{typed}`: taken as equal parts")),
    ))
}

/// `sugar 680, dextrose 200, skim powder 190`: several things behind each of which a number stands, all
/// counted like the last, and `sugar 200 / water 60`.
fn several(row: &Row, known: impl Fn(&str) -> bool) -> Option<Vec<Row>> {
    let typed = row.typed.as_str();
    if !typed.contains([',', '/', ';']) || typed.contains('(') {
        return None;
    }
    let parts: Vec<&str> = LISTED.split(typed).map(str::trim).collect();
    let (last, before) = parts
        .split_last()
        .filter(|(_, before)| !before.is_empty())?;
    let numbered = before.iter().map(|part| {
        let found = NUMBERED.captures(part)?;
        let number: f64 = found[2].replace(',', ".").parse().ok()?;
        Some((found[1].to_string(), of_kind(&row.amount, number)?))
    });
    let mut things: Vec<(String, Amount)> = numbered.collect::<Option<_>>()?;
    things.push((last.to_string(), row.amount.clone()));
    let all = things.iter().all(|(name, _)| known(name));
    let one = |(typed, amount)| Row {
        typed,
        amount,
        ..row.clone()
    };
    all.then(|| things.into_iter().map(one).collect())
}

/// A number that counts what another amount does.
fn of_kind(amount: &Amount, number: f64) -> Option<Amount> {
    match amount {
        Amount::Measure { unit, .. } => Some(Amount::Measure {
            low: number,
            high: number,
            unit: *unit,
        }),
        Amount::Pieces { piece, .. } if piece.is_empty() => Some(Amount::Pieces {
            low: number,
            high: number,
            piece: String::new(),
        }),
        _ => None,
    }
}

/// `1 lemon, zest and juice` is the zest and the juice of so many lemons.
fn parts_of_things(row: &Row, words: &Words, known: impl Fn(&str) -> bool) -> Option<Vec<Row>> {
    let counted = matches!(&row.amount, Amount::Pieces { piece, .. } if !piece.is_empty());
    let (thing, parts) = row.typed.split_once(", ").filter(|_| counted)?;
    if known(&row.typed) {
        return None;
    }
    let names = words.joined_by_and(parts);
    let names: Vec<String> = names.iter().map(|part| format!("{thing} {part}")).collect();
    let part = |typed: String| Row {
        typed,
        ..row.clone()
    };
    let all = names.iter().all(|name| known(name));
    all.then(|| names.into_iter().map(part).collect())
}

/// A share of an amount that can be shared.
fn part(amount: &Amount, share: f64) -> Option<Amount> {
    match amount {
        Amount::Measure { low, high, unit } => Some(Amount::Measure {
            low: low * share,
            high: high * share,
            unit: *unit,
        }),
        Amount::Percent(percent) => Some(Amount::Percent(percent * share)),
        _ => None,
    }
}
