//! What the columns of a table hold: by their header, or by what stands in them.

use std::sync::LazyLock;

use regex::Regex;

use super::Unit;
use super::amount::{Pen, What};
use super::cell::{Said, said};
use super::grid::{Cell, Grid, Line};
use super::words::{Kind, Measure, Words, key};

/// Records among which the header is looked for.
const HEADER_WITHIN: usize = 30;
/// Of ten cells, how many make a column plainly one of numbers or of words.
const PLAINLY: usize = 8;

/// How far amounts of one thing in two columns may part by being rounded.
const ROUNDED: f64 = 0.05;
/// How far the sums of trials of one formula lie apart.
const TRIALS: f64 = 0.15;
/// How many times the first batch a column is for, and its unit: `4x g`.
static TIMES: LazyLock<Regex> = LazyLock::new(|| {
    Regex::new(r"^(?:\d+(?:[.,]\d+)?\s?[x×]|[x×]\s?\d+(?:[.,]\d+)?)(?:\s?\(?\p{L}+\)?)?$")
        .expect("a valid shape")
});

/// Which column holds what.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Columns {
    pub name: usize,
    pub amount: Option<usize>,
    pub percent: Option<usize>,
    /// Amounts of a smaller unit that add to these: ounces beside pounds.
    pub more: Option<(usize, Unit)>,
    pub unit: Option<usize>,
    pub part: Option<usize>,
    pub note: Option<usize>,
    /// Amounts for further batches.
    pub others: Vec<usize>,
    /// The unit the header of the amounts speaks of.
    pub heads: Option<Unit>,
    /// The record that is the header, and its width.
    pub header: Option<(usize, usize)>,
}

/// What the header of a column says.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Role {
    kind: Kind,
    unit: Option<Unit>,
}

/// What a header cell says; `None` where it is none.
fn role(cell: &str, words: &Words) -> Option<Role> {
    let whole = cell.trim_matches([':', '*', ' ']);
    let kinds = [
        Kind::Name,
        Kind::Percent,
        Kind::Amount,
        Kind::Unit,
        Kind::Part,
        Kind::Note,
    ];
    let of = |phrase: &str| kinds.into_iter().find(|kind| words.is(*kind, phrase));
    let heads = |phrase: &str| match words.measure(words.detail(Kind::Amount, phrase)?) {
        Some(Measure::Unit(unit)) => Some(unit),
        _ => None,
    };
    if let Some(kind) = of(whole) {
        let unit = (kind == Kind::Amount).then(|| heads(whole)).flatten();
        return Some(Role { kind, unit });
    }
    // "Weight (kg)", "Menge in g", "% of batch"
    let (mut unit, mut share, mut rest) = (None, false, vec![]);
    let folded = key(whole);
    let bracketed = whole.contains(['(', '[']);
    for word in folded.split(' ').filter(|word| !word.is_empty()) {
        match words.measure(word) {
            Some(Measure::Unit(said)) if unit.is_none() => unit = Some(said),
            Some(Measure::Percent) => share = true,
            // "g / 2500 g batch"
            Some(_) if unit.is_some() => {}
            _ if !word.contains(char::is_alphabetic) => {}
            // "4x g"
            _ if word
                .strip_suffix('x')
                .or(word.strip_prefix('x'))
                .is_some_and(|n| n.parse::<f64>().is_ok()) => {}
            _ if words.is(Kind::Filler, word) => {}
            // "Batch A (g)"
            _ if bracketed && word.chars().count() == 1 => {}
            _ => rest.push(word),
        }
    }
    // "Batch qty"
    let amounts = rest.iter().all(|word| words.is(Kind::Amount, word));
    let rest = rest.join(" ");
    let fits = amounts || words.is(Kind::Amount, &rest);
    match fits {
        true if share => Some(Role {
            kind: Kind::Percent,
            unit: None,
        }),
        true if unit.is_some() || !rest.is_empty() => Some(Role {
            kind: Kind::Amount,
            unit: unit.or_else(|| heads(&rest)),
        }),
        // "Ingredient, raw"
        false if unit.is_none() && !share => of(&rest).map(|kind| Role { kind, unit: None }),
        _ => None,
    }
}

/// Whether a cell is an amount and no words.
fn is_amount(cell: &Cell, pen: &Pen) -> bool {
    let digit = cell.text.contains(|c: char| c.is_numeric());
    digit && matches!(said(cell, pen), Ok(Said::Taken(_, rest)) if rest.is_empty())
}

fn is_words(cell: &Cell, pen: &Pen) -> bool {
    cell.text.contains(char::is_alphabetic)
        && !is_amount(cell, pen)
        && pen.words.measure(&cell.text).is_none()
}

/// Whether a record has a cell that is an amount, and one that is words.
pub(super) fn is_entry(line: &Line, pen: &Pen) -> bool {
    let amount = line.filled().any(|(_, cell)| is_amount(cell, pen));
    amount && line.filled().any(|(_, cell)| is_words(cell, pen))
}

/// The header, when a record is one: it names both names and amounts, or one of them before any entry.
fn header(grid: &Grid, pen: &Pen) -> Option<(usize, Vec<(usize, Role)>)> {
    let mut weak = None;
    let mut entries = false;
    for (n, line) in grid.lines.iter().enumerate().take(HEADER_WITHIN) {
        let numbers = line.filled().any(|(_, cell)| is_amount(cell, pen));
        // "Ingrediente", "1 kg", "4 kg": each column is for a batch.
        let batches = numbers && is_batches(line, pen, n == 0 && bare_below(grid, pen));
        entries |= numbers && !batches && is_entry(line, pen);
        if numbers && !batches || line.filled().count() < 2 {
            continue;
        }
        let batch = |cell: &Cell| {
            let kind = Kind::Amount;
            (batches && is_amount(cell, pen) && !times(cell)).then_some(Role { kind, unit: None })
        };
        let roles: Vec<(usize, Role)> = line
            .filled()
            .filter_map(|(n, cell)| Some((n, batch(cell).or_else(|| role(&cell.text, pen.words))?)))
            .collect();
        let has = |kinds: &[Kind]| roles.iter().any(|(_, role)| kinds.contains(&role.kind));
        let (names, amounts) = (has(&[Kind::Name]), has(&[Kind::Amount, Kind::Percent]));
        if names && amounts {
            return Some((n, roles));
        }
        if (names || amounts) && !entries && weak.is_none() {
            weak = Some((n, roles));
        }
    }
    weak
}

/// Whether a record names the ingredients, or the dish where it is the first, and batches beside them.
fn is_batches(line: &Line, pen: &Pen, first: bool) -> bool {
    let cells: Vec<&Cell> = line.filled().map(|(_, cell)| cell).collect();
    let [name, others @ ..] = cells.as_slice() else {
        return false;
    };
    let named = pen
        .words
        .is(Kind::Name, name.text.trim_matches([':', '*', ' ']));
    let named = named || first && is_words(name, pen);
    let batch = |cell: &&Cell| times(cell) || is_amount(cell, pen) && !(first && bare(cell, pen));
    let header = |cell: &&Cell| batch(cell) || role(&cell.text, pen.words).is_some();
    named && others.iter().any(batch) && others.iter().all(header)
}

/// Whether a header cell says how many times the first batch its column is for.
fn times(cell: &Cell) -> bool {
    TIMES.is_match(cell.text.trim())
}

/// Whether nearly all amounts below the first record are bare numbers.
fn bare_below(grid: &Grid, pen: &Pen) -> bool {
    let cells = grid.lines.iter().skip(1).flat_map(|line| line.filled());
    let cells = cells.map(|(_, cell)| cell);
    let amounts: Vec<&Cell> = cells.filter(|cell| is_amount(cell, pen)).collect();
    let many = amounts.iter().filter(|cell| bare(cell, pen)).count();
    amounts.len() > 2 && many * 10 >= amounts.len() * PLAINLY
}

/// Whether a cell is a number and no more.
fn bare(cell: &Cell, pen: &Pen) -> bool {
    matches!(said(cell, pen), Ok(Said::Taken(taken, _)) if taken.what == What::Bare)
}

/// Whether a record is the header of a table beyond doubt.
pub(super) fn is_header(line: &Line, words: &Words) -> bool {
    let roles: Vec<Kind> = line
        .filled()
        .filter_map(|(_, cell)| Some(role(&cell.text, words)?.kind))
        .collect();
    let amounts = [Kind::Amount, Kind::Percent];
    roles.contains(&Kind::Name) && roles.iter().any(|kind| amounts.contains(kind))
}

impl Columns {
    /// The columns of a table; `None` where no column is plainly the names or the amounts.
    pub(super) fn of(grid: &Grid, pen: &Pen) -> Option<Columns> {
        let mut columns = Columns::default();
        let (mut named, mut first) = (None, 0);
        if let Some((n, roles)) = header(grid, pen) {
            let at = |kind| {
                let found = roles.iter().find(|(_, role)| role.kind == kind);
                found.map(|(n, _)| *n)
            };
            // Of several columns of amounts the one in grams is the nearest to what is wanted.
            let amounts = || roles.iter().filter(|(_, role)| role.kind == Kind::Amount);
            let grams = amounts().find(|(_, role)| role.unit == Some(Unit::Gram(1.0)));
            let amount = grams.or_else(|| amounts().next());
            let own = amount.and_then(|(_, role)| role.unit);
            let more = amounts().find_map(|(column, role)| {
                let (unit, own) = (role.unit?, own?);
                let smaller = unit.ratio(own).is_some_and(|ratio| ratio < 1.0);
                let adds = smaller && adds(grid, pen, n, (amount?.0, own), (*column, unit));
                adds.then_some((*column, unit))
            });
            columns = Columns {
                name: 0,
                amount: amount.map(|(n, _)| *n),
                percent: at(Kind::Percent),
                more,
                unit: at(Kind::Unit),
                part: at(Kind::Part),
                note: at(Kind::Note),
                others: amounts()
                    .map(|(n, _)| *n)
                    .filter(|n| Some(*n) != amount.map(|(n, _)| *n))
                    .collect(),
                heads: amount.and_then(|(_, role)| role.unit),
                header: Some((n, grid.lines[n].width)),
            };
            // Of "component" and "ingredient" the column with more names is that of the ingredients.
            let names = roles.iter().filter(|(_, role)| role.kind == Kind::Name);
            let names: Vec<usize> = names.map(|(column, _)| *column).collect();
            let several = |column: &usize| {
                let texts = grid.lines[n + 1..]
                    .iter()
                    .map(|line| line.text(Some(*column)));
                texts.collect::<std::collections::HashSet<&str>>().len()
            };
            named = names.iter().rev().copied().max_by_key(several);
            if columns.part.is_none() {
                let whole = |column: &&usize| Some(**column) != named && several(column) > 1;
                columns.part = names.iter().find(whole).copied();
            }
            first = n + 1;
        }
        let guess = Guess {
            lines: &grid.lines[first..],
            pen,
            known: columns.clone(),
            named,
        };
        if columns.amount.is_none() && columns.percent.is_none() {
            guess.amounts(&mut columns)?;
        }
        columns.name = named.or_else(|| guess.names(&columns))?;
        // Units stand beside bare amounts under any header, `Ud.` or `U.M.`.
        if columns.unit.is_none() && columns.amount.is_some() {
            columns.unit = guess.units(&columns);
        }
        Some(columns)
    }
}

/// The figure of an amount in a column of a record.
fn number(line: &Line, column: usize, pen: &Pen) -> Option<f64> {
    match said(line.cells.get(column)?, pen) {
        Ok(Said::Taken(taken, _)) if taken.low > 0.0 => Some(taken.low),
        _ => None,
    }
}

/// Whether a second column of amounts adds to the first, and does not say the same in another unit.
fn adds(
    grid: &Grid,
    pen: &Pen,
    header: usize,
    (first, large): (usize, Unit),
    (second, small): (usize, Unit),
) -> bool {
    let Some(ratio) = small.ratio(large) else {
        return false;
    };
    let (mut alone, mut same) = (0, 0);
    for line in &grid.lines[header + 1..] {
        match (number(line, first, pen), number(line, second, pen)) {
            (None, Some(_)) | (Some(_), None) => alone += 1,
            (Some(large), Some(small)) if (small * ratio - large).abs() <= ROUNDED * large => {
                same += 1;
            }
            _ => {}
        }
    }
    alone > same
}

/// What the cells tell where the header does not.
struct Guess<'a> {
    lines: &'a [Line],
    pen: &'a Pen<'a>,
    known: Columns,
    named: Option<usize>,
}

impl Guess<'_> {
    fn width(&self) -> usize {
        let widths = self.lines.iter().map(|line| line.cells.len());
        widths.max().unwrap_or(0)
    }

    /// Whether nearly all cells of a column are so, and it has enough of them.
    fn plainly(&self, column: usize, so: impl Fn(&Cell) -> bool) -> bool {
        let cells = self.lines.iter().filter_map(|line| line.cells.get(column));
        let filled: Vec<&Cell> = cells.filter(|cell| !cell.text.is_empty()).collect();
        let many = filled.iter().filter(|cell| so(cell)).count();
        // Headings and remarks stand alone in their record.
        let records = self
            .lines
            .iter()
            .filter(|line| line.filled().count() > 1)
            .count();
        many > 0 && many * 10 >= filled.len() * PLAINLY && many * 2 >= records
    }

    /// Finds the column of amounts, or of per cents.
    fn amounts(&self, columns: &mut Columns) -> Option<()> {
        let free = |n: &usize| {
            Some(*n) != self.named
                && ![self.known.unit, self.known.part, self.known.note].contains(&Some(*n))
        };
        let mut found: Vec<usize> = (0..self.width())
            .filter(free)
            .filter(|n| self.plainly(*n, |cell| is_amount(cell, self.pen)))
            .collect();
        if found.len() > 1 {
            found.retain(|n| !self.counts(*n));
            let share = |cell: &Cell| matches!(said(cell, self.pen), Ok(Said::Taken(taken, _)) if taken.what == What::Percent);
            if let Some(place) = found.iter().position(|n| self.plainly(*n, share)) {
                columns.percent = Some(found.remove(place));
            }
        }
        if found.len() == 2
            && columns.percent.is_none()
            && let Some(place) = found.iter().position(|n| self.shares(*n))
        {
            columns.percent = Some(found.remove(place));
        }
        match found[..] {
            [only] => columns.amount = Some(only),
            // The same formula for several batches: the first is the one.
            [first, ref others @ ..] if others.iter().all(|n| self.proportional(first, *n)) => {
                columns.amount = Some(first);
                columns.others = others.to_vec();
            }
            // Trials of one formula: each comes to about the same, and the first is the one.
            [first, ref others @ ..] if others.iter().all(|n| self.as_much(first, *n)) => {
                columns.amount = Some(first);
                columns.others = others.to_vec();
            }
            _ => return None,
        }
        Some(())
    }

    /// Whether the numbers of two columns stand in one ratio, as far as they are rounded.
    fn proportional(&self, one: usize, other: usize) -> bool {
        let ratios: Vec<f64> = (self.lines.iter())
            .filter_map(|l| Some(number(l, other, self.pen)? / number(l, one, self.pen)?))
            .collect();
        let mean = ratios.iter().sum::<f64>() / ratios.len() as f64;
        let near = ratios.iter().filter(|r| (*r / mean - 1.0).abs() < ROUNDED);
        ratios.len() > 2 && near.count() * 10 >= ratios.len() * PLAINLY
    }

    /// Whether two columns under a header come to about the same, as two trials of one formula do.
    fn as_much(&self, one: usize, other: usize) -> bool {
        let sum = |column| self.numbers(column).iter().sum::<f64>();
        let ratio = sum(other) / sum(one);
        self.named.is_some() && (ratio - 1.0).abs() <= TRIALS
    }

    fn numbers(&self, column: usize) -> Vec<f64> {
        let cells = self.lines.iter().filter_map(|line| line.cells.get(column));
        cells
            .filter_map(|cell| match said(cell, self.pen) {
                Ok(Said::Taken(taken, _)) if taken.what == What::Bare => Some(taken.low),
                _ => None,
            })
            .collect()
    }

    /// Whether a column only counts the lines.
    fn counts(&self, column: usize) -> bool {
        let numbers = self.numbers(column);
        let steps = numbers.windows(2).all(|pair| pair[1] - pair[0] == 1.0);
        numbers.len() > 2 && steps && numbers[0] <= 1.0
    }

    /// Whether a column holds shares of a hundred, with or without their sum below.
    fn shares(&self, column: usize) -> bool {
        let sum: f64 = self.numbers(column).iter().sum();
        (sum - 100.0).abs() < 0.5 || (sum - 200.0).abs() < 0.5
    }

    /// The first column of words.
    fn names(&self, columns: &Columns) -> Option<usize> {
        let taken = [
            columns.amount,
            columns.percent,
            columns.unit,
            columns.part,
            columns.note,
        ];
        let free = (0..self.width()).filter(|n| !taken.contains(&Some(*n)));
        free.into_iter()
            .find(|n| self.plainly(*n, |cell| is_words(cell, self.pen)))
    }

    /// The column of nothing but units.
    fn units(&self, columns: &Columns) -> Option<usize> {
        let taken = [columns.amount, columns.percent, columns.part, columns.note];
        let free = (0..self.width()).filter(|n| *n != columns.name && !taken.contains(&Some(*n)));
        free.into_iter()
            .find(|n| self.plainly(*n, |cell| self.pen.unit_of(&cell.text).is_some()))
    }
}
