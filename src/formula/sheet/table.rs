//! The records of a table as rows.

use super::amount::{Pen, Taken, What};
use super::aside::{Aside, aside, commented, instructs, is_total, left_aside, shouted, titled};
use super::cell::{Fault, Said, bare, problem, said};
use super::columns::{Columns, is_header};
use super::grid::{Grid, Line};
use super::lines::{prose, push, sums_up, weight};
use super::reading::{Reading, Standing, tidy};
use super::words::Kind;
use super::{Amount, Block, Row, Sheet, Unit};
use crate::diagnostic::Diagnostic;

/// A table being read.
pub(super) struct Table<'a> {
    pub grid: &'a Grid,
    pub columns: Columns,
    pub pen: Pen<'a>,
    /// A bare number counts pieces, because other amounts have units.
    counted: bool,
}

impl<'a> Table<'a> {
    pub(super) fn new(grid: &'a Grid, columns: Columns, pen: Pen<'a>) -> Self {
        let mut table = Table {
            grid,
            columns,
            pen,
            counted: false,
        };
        table.counted = table.columns.heads.is_none() && table.has_units();
        table
    }

    /// Whether any amount has a unit, in its cell or beside it.
    fn has_units(&self) -> bool {
        let columns = &self.columns;
        self.entries().any(|line| {
            let beside = line.text(columns.unit);
            let unit = self.pen.unit_of(beside);
            let cell = columns.amount.and_then(|n| line.cells.get(n));
            let own = cell.map(|cell| said(cell, &self.pen));
            matches!(unit, Some(What::Unit(_)))
                || matches!(own, Some(Ok(Said::Taken(taken, _))) if taken.measured())
        })
    }

    /// The records below the header.
    fn entries(&self) -> impl Iterator<Item = &'a Line> {
        let first = self.columns.header.map_or(0, |(n, _)| n + 1);
        self.grid.lines[first..].iter()
    }

    /// Reads all records.
    pub(super) fn read(&self, sheet: &mut Sheet, problems: &mut Vec<Diagnostic>) {
        self.preamble(sheet);
        if let (Some(n), false) = (self.columns.amount, self.columns.others.is_empty()) {
            let header = self.columns.header.map(|(n, _)| &self.grid.lines[n]);
            let name = header.map_or("", |line| line.text(Some(n)));
            if !name.is_empty() {
                sheet
                    .said
                    .push(format!("of several columns of amounts `{name}` was taken"));
            }
        }
        let (mut part, mut method, mut sum) = (String::new(), false, 0.0);
        for line in self.entries() {
            let text = shown(line);
            let left = |what: &str| (self.grid.place(line, first(line)), left_aside(what, &text));
            if !text.contains(char::is_alphanumeric) {
                sheet.unread.push(left("a rule"));
                continue;
            }
            if commented(&text) {
                sheet.unread.push(left("a comment"));
                continue;
            }
            let name = line.text(Some(self.columns.name));
            let alone = self.alone(line);
            let words = alone.unwrap_or(if self.numbered(line) { "" } else { name });
            match aside(words, &self.pen).filter(|_| !words.is_empty()) {
                _ if alone.is_some_and(shouted) => {
                    (part, method) = (tidy(words), false);
                    continue;
                }
                Some(Aside::Left("a total")) => {}
                Some(Aside::Left(what)) if alone.is_some() || what == "a comment" => {
                    sheet.unread.push(left(what));
                    continue;
                }
                Some(Aside::Part(head)) if alone.is_some() => {
                    (part, method) = (head, false);
                    continue;
                }
                Some(found @ (Aside::Method | Aside::List)) if alone.is_some() => {
                    method = found == Aside::Method;
                    sheet.unread.push(left("a heading"));
                    continue;
                }
                _ => {}
            }
            if method {
                sheet.unread.push(left("an instruction"));
            } else if self.totals(line) {
                sheet.unread.push(left("a total"));
            } else if is_header(line, self.pen.words) || self.units_alone(line) {
                sheet.unread.push(left("a header"));
            } else if !words.is_empty() && !self.numbered(line) && instructs(words, &self.pen)
                || self.wordy(line) && instructs(&text, &self.pen)
            {
                sheet.unread.push(left("an instruction"));
            } else if !self.cut(line, problems) {
                let row = self.row(line, &part, problems);
                if row.typed.is_empty() && sums_up(&row.amount, sum) {
                    sheet.unread.push(left("a total"));
                    continue;
                }
                if row.typed.is_empty() && row.amount == Amount::Missing {
                    sheet.unread.push(left("a remark"));
                    continue;
                }
                sum += weight(&row.amount);
                push(row, sheet, problems);
            }
        }
        hundredths(sheet);
    }

    /// Whether a cell of words names a row of sums.
    fn totals(&self, line: &Line) -> bool {
        let words = [Some(self.columns.name), self.columns.part];
        words
            .into_iter()
            .map(|column| line.text(column))
            .any(|text| !text.is_empty() && is_total(text, &self.pen))
    }

    /// Whether a record has nothing but units, as the second row of a header: `(g)`.
    fn units_alone(&self, line: &Line) -> bool {
        let unit = |cell: &str| {
            self.pen
                .unit_of(cell.trim_matches(['(', ')', '[', ']']))
                .is_some()
        };
        line.filled().all(|(_, cell)| unit(&cell.text))
    }

    /// Whether words stand where the amount should, as in a sentence that commas cut into cells.
    fn wordy(&self, line: &Line) -> bool {
        let cell = self.columns.amount.and_then(|n| line.cells.get(n));
        cell.is_some_and(|cell| {
            cell.text.starts_with(char::is_alphabetic) && said(cell, &self.pen).is_err()
        })
    }

    /// What stands above the header: a title, and what is left aside.
    fn preamble(&self, sheet: &mut Sheet) {
        let end = self.columns.header.map_or(0, |(n, _)| n);
        for line in &self.grid.lines[..end] {
            let text = shown(line);
            let left = aside(&text, &self.pen).is_some();
            let alone = sheet.title.is_empty() && line.filled().count() == 1;
            if let Some(name) = titled(&text, &self.pen).filter(|_| alone) {
                sheet.title = name;
            } else if alone && !left {
                sheet.title = tidy(&text);
            } else {
                let place = self.grid.place(line, first(line));
                sheet
                    .unread
                    .push((place, left_aside("above the table", &text)));
            }
        }
    }

    /// The text of a record that has but one cell, in any column.
    fn alone(&self, line: &'a Line) -> Option<&'a str> {
        let mut filled = line.filled();
        let (n, cell) = filled.next()?;
        let only = filled.next().is_none();
        let number = [self.columns.amount, self.columns.percent].contains(&Some(n));
        (only && !number).then_some(cell.text.as_str())
    }

    /// Whether a record has anything in its columns of numbers that has a digit.
    fn numbered(&self, line: &Line) -> bool {
        let digits = |column| line.text(column).contains(|c: char| c.is_numeric());
        digits(self.columns.amount) || digits(self.columns.percent)
    }

    /// Whether a record has more cells than it should, which is told.
    fn cut(&self, line: &Line, problems: &mut Vec<Diagnostic>) -> bool {
        let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
        let columns = &self.columns;
        if let (Some(b','), Some(n)) = (self.grid.delimiter, columns.amount) {
            // `12,5` is two cells; the second would pass for a note, and 12 g for the amount.
            let known = [columns.percent, Some(columns.name), columns.part];
            let beyond = columns.header.is_none_or(|(_, width)| n + 1 >= width);
            let beside = beyond || [columns.note, columns.unit].contains(&Some(n + 1));
            let (cell, next) = (line.text(Some(n)), line.text(Some(n + 1)));
            let known = known.contains(&Some(n + 1)) || columns.others.contains(&(n + 1));
            if beside && !known && digits(cell) && digits(next) {
                let message = format!("`{cell},{next}` is two cells, `{cell}` and `{next}`");
                let place = self.grid.place(line, n);
                let help = "write a decimal point, not a comma; begin a note with a letter";
                let width = cell.chars().count();
                problems.push(problem("F011", message, &place, &line.excerpt, width).help(help));
                return true;
            }
        }
        let Some((_, width)) = columns.header.filter(|_| self.grid.sheet.is_none()) else {
            return false;
        };
        if line.width > width {
            let message = format!("the record has {} cells, the header {width}", line.width);
            let place = self.grid.place(line, 0);
            let sign = if self.grid.delimiter == Some(b';') {
                "semicolon"
            } else {
                "comma"
            };
            let help = format!("put a cell that holds a {sign} in double quotes");
            problems.push(problem("D003", message, &place, &line.excerpt, 1).help(help));
        }
        line.width > width
    }

    /// One record as a row.
    fn row(&self, line: &Line, part: &str, problems: &mut Vec<Diagnostic>) -> Row {
        let columns = &self.columns;
        let name = line.text(Some(columns.name));
        let own = line.text(columns.part);
        let mut row = Row {
            place: self.grid.place(line, columns.name),
            amount_place: self
                .grid
                .place(line, columns.amount.or(columns.percent).unwrap_or(0)),
            excerpt: line.excerpt.clone(),
            typed: tidy(name),
            amount: Amount::Missing,
            note: tidy(line.text(columns.note)),
            part: if own.is_empty() { part } else { own }.to_string(),
            prose: false,
            share: None,
            block: Block::Within,
        };
        if let Some((amount, typed)) = self.of_things(line) {
            return Row {
                amount,
                typed,
                ..row
            };
        }
        match self.taken(line) {
            Ok(Some(Said::Taste)) => row.amount = Amount::ToTaste,
            Ok(Some(Said::Taken(taken, rest))) => {
                row.amount = self.with_more(line, self.amount(&taken));
                let notes = [row.note.as_str(), rest.as_str()];
                let notes: Vec<&str> = notes.into_iter().filter(|n| !n.is_empty()).collect();
                row.note = notes.join("; ");
            }
            Ok(None) if self.percented(line, &mut row, problems) => {}
            Ok(None) => self.within(name, &mut row),
            Err((fault, column)) => {
                row.amount_place = self.grid.place(line, column);
                let text = line.text(Some(column));
                let mut told = fault.told(text, &row.amount_place, &line.excerpt, &self.pen);
                // "butter, melted,100"
                let next = line.cells.get(column + 1);
                if self.grid.delimiter == Some(b',')
                    && fault == Fault::Number
                    && next.is_some_and(|next| said(next, &self.pen).is_ok())
                {
                    told = told.help("put a name that holds a comma in double quotes");
                }
                problems.push(told);
            }
        }
        if let Amount::Pieces { piece, .. } = &mut row.amount
            && piece.is_empty()
        {
            *piece = self.pen.piece_in(&row.typed);
        }
        row
    }

    /// An amount with what a second column of a smaller unit adds: pounds and ounces.
    fn with_more(&self, line: &Line, amount: Amount) -> Amount {
        let (
            Some((column, unit)),
            Amount::Measure {
                low,
                high,
                unit: own,
            },
        ) = (self.columns.more, &amount)
        else {
            return amount;
        };
        let more = line.cells.get(column).map(|cell| said(cell, &self.pen));
        let (Some(Ok(Said::Taken(taken, _))), Some(ratio)) = (more, unit.ratio(*own)) else {
            return amount;
        };
        Amount::Measure {
            low: low + taken.low * ratio,
            high: high + taken.high * ratio,
            unit: *own,
        }
    }

    /// `2 | lemons | zest` is lemon zest, as much as two lemons give.
    fn of_things(&self, line: &Line) -> Option<(Amount, String)> {
        let thing = self
            .pen
            .words
            .detail(Kind::Noun, line.text(self.columns.unit))?;
        let cell = line.cells.get(self.columns.amount?)?;
        let Ok(Said::Taken(taken, _)) = said(cell, &self.pen) else {
            return None;
        };
        let name = tidy(line.text(Some(self.columns.name)));
        let amount = Amount::Pieces {
            low: taken.low,
            high: taken.high,
            piece: thing.to_string(),
        };
        let spoken = name.to_lowercase().contains(thing);
        let name = if spoken {
            name
        } else {
            format!("{thing} {name}")
        };
        Some((amount, name))
    }

    fn amount(&self, taken: &Taken) -> Amount {
        let heads = self.columns.heads.unwrap_or(Unit::Gram(1.0));
        taken.amount((!self.counted).then_some(heads))
    }

    /// What the cells of amount and unit say together; a fault with its column.
    fn taken(&self, line: &Line) -> Result<Option<Said>, (Fault, usize)> {
        let Some(n) = self.columns.amount else {
            return Ok(None);
        };
        let beside = line.text(self.columns.unit);
        let cell = line.cells.get(n).filter(|cell| !cell.text.is_empty());
        let Some(cell) = cell else {
            // "pinch", "to taste" in the column of units or of notes
            if self.pen.is_taste(beside) || self.pen.is_taste(line.text(self.columns.note)) {
                return Ok(Some(Said::Taste));
            }
            // Nothing in the column of pounds, something in that of ounces.
            if let Some(cell) = self.columns.more.and_then(|(n, _)| line.cells.get(n))
                && let Ok(Said::Taken(taken, rest)) = said(cell, &self.pen)
            {
                let zero = Taken {
                    low: 0.0,
                    high: 0.0,
                    ..taken
                };
                return Ok(Some(Said::Taken(zero, rest)));
            }
            let alone = self.pen.whole(beside).filter(|_| !beside.is_empty());
            return Ok(alone.map(|taken| Said::Taken(taken, String::new())));
        };
        let said = said(cell, &self.pen).map_err(|fault| (fault, n))?;
        let (mut taken, rest) = match said {
            Said::Taken(taken, rest) if !beside.is_empty() => (taken, rest),
            said => return Ok(Some(said)),
        };
        let unit = self.columns.unit.unwrap_or(n);
        if taken.what == What::Bare {
            let fault = || (Fault::Unit(beside.to_string()), unit);
            taken.what = match self.pen.unit_of(beside) {
                Some(what) => what,
                None if self.pen.is_taste(beside) => return Ok(Some(Said::Taste)),
                None => return Err(fault()),
            };
        }
        Ok(Some(Said::Taken(taken, rest)))
    }

    /// Takes the per cent of a record without another amount; whether there is one.
    fn percented(&self, line: &Line, row: &mut Row, problems: &mut Vec<Diagnostic>) -> bool {
        let Some(n) = self.columns.percent else {
            return false;
        };
        let Some(cell) = line.cells.get(n).filter(|cell| !cell.text.is_empty()) else {
            return false;
        };
        row.amount_place = self.grid.place(line, n);
        match said(cell, &self.pen) {
            Ok(Said::Taste) => row.amount = Amount::ToTaste,
            Ok(Said::Taken(taken, _)) => {
                let percent = bare((taken.low + taken.high) / 2.0, 0);
                let what = match taken.what {
                    What::Bare => What::Percent,
                    what => what,
                };
                row.amount = Taken { what, ..percent }.amount(None);
            }
            Err(fault) => {
                problems.push(fault.told(&cell.text, &row.amount_place, &line.excerpt, &self.pen));
            }
        }
        true
    }

    /// Takes an amount written with the name: "salt to taste", "3 egg yolks".
    fn within(&self, name: &str, row: &mut Row) {
        let reading = Reading::of(name, &self.pen);
        row.prose = prose(name, &reading, &self.pen);
        let plain = |standing| matches!(standing, Some(Standing::Leads | Standing::Parted));
        let certain = reading.measured() || plain(reading.standing());
        if reading.taste {
            row.amount = Amount::ToTaste;
            row.typed = reading.name;
        } else if let Some((taken, ..)) = reading.amount.filter(|_| certain)
            && !reading.name.is_empty()
        {
            let percent = taken.what == What::Percent;
            if taken.doubt.is_none() && !percent {
                row.amount = taken.amount(None);
                row.typed = reading.name;
            }
        }
    }
}

/// The column of the first cell that holds anything.
fn first(line: &Line) -> usize {
    line.filled().next().map_or(0, |(n, _)| n)
}

/// A record as one text.
fn shown(line: &Line) -> String {
    let texts: Vec<&str> = line.filled().map(|(_, cell)| cell.text.as_str()).collect();
    texts.join(", ")
}

/// Shares of one as per cents: a spreadsheet shows 0.2 as 20 %.
fn hundredths(sheet: &mut Sheet) {
    let shares = || {
        sheet.rows.iter().filter_map(|row| match row.amount {
            Amount::Percent(percent) => Some(percent),
            _ => None,
        })
    };
    let sum: f64 = shares().sum();
    if shares().count() > 1 && (0.98..=1.02).contains(&sum) {
        for row in &mut sheet.rows {
            if let Amount::Percent(percent) = &mut row.amount {
                *percent *= 100.0;
            }
        }
    }
}

/// The problem of a table whose columns are not plain.
pub(super) fn unplain(grid: &Grid) -> Diagnostic {
    let line = grid.lines.first();
    let place = line.map(|line| grid.place(line, 0)).unwrap_or_default();
    let excerpt = line.map_or("", |line| line.excerpt.as_str());
    let message =
        "it does not show which column is the amount, and which the ingredient".to_string();
    problem("F015", message, &place, excerpt, 1)
        .help("put a first line above that names the columns, such as ingredient,grams")
}
