//! One problem: where it is, what is wrong, why, and the way out.

use std::fmt;

/// A place in a text; lines and columns count from 1, columns count characters.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Place {
    /// File path, or `query` for text typed by a person.
    pub file: String,
    /// Line, from 1; 0 when the whole file is meant.
    pub line: usize,
    /// Column, from 1; 0 when the whole line is meant.
    pub column: usize,
    /// The cell of a spreadsheet, which has no lines and columns of characters.
    pub cell: Option<CellPlace>,
}

/// A cell of a spreadsheet.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct CellPlace {
    /// The sheet's name.
    pub sheet: String,
    /// Row, from 1.
    pub row: usize,
    /// Column, from 0.
    pub column: usize,
}

impl CellPlace {
    /// As a spreadsheet calls it: `B3`.
    pub fn name(&self) -> String {
        format!("{}{}", column_letters(self.column), self.row)
    }
}

/// The letters of a spreadsheet's column, from 0: A, Z, AA.
fn column_letters(n: usize) -> String {
    let letter = char::from(b'A' + (n % 26) as u8);
    match n / 26 {
        0 => letter.to_string(),
        more => column_letters(more - 1) + &letter.to_string(),
    }
}

impl Place {
    /// The line, or the row of a spreadsheet; from 1, 0 when the whole file is meant.
    pub fn row(&self) -> usize {
        self.cell.as_ref().map_or(self.line, |cell| cell.row)
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.file)?;
        if let Some(cell) = &self.cell {
            write!(f, "#{}!{}", cell.sheet, cell.name())?;
        }
        if self.line > 0 {
            write!(f, ":{}", self.line)?;
        }
        if self.column > 0 {
            write!(f, ":{}", self.column)?;
        }
        Ok(())
    }
}

/// One problem with its code, place, excerpt, reason and way out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Diagnostic {
    /// A code that is never reused: `D` data, `Q` question, `F` formula, `S` swap,
    /// `I` environment, `A` arguments, `K` keeping.
    pub code: &'static str,
    /// Where.
    pub place: Place,
    /// The line of text the place is in, when there is one.
    pub excerpt: Option<String>,
    /// How many characters of the excerpt are meant.
    pub width: usize,
    /// What is wrong, impersonal, without a full stop.
    pub message: String,
    /// The way out.
    pub help: Option<String>,
    /// What may have been meant, likeliest first; printed below the way out, to choose from.
    pub choices: Vec<Choice>,
    /// What is near to what was typed, nearest first; the way out names it already.
    pub nearest: Vec<Choice>,
}

/// One thing that may have been meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// Its id.
    pub id: String,
    /// Its name for people.
    pub name: String,
}

impl Choice {
    /// A word that is its own name.
    pub fn word(word: &str) -> Self {
        Choice {
            id: word.to_string(),
            name: word.to_string(),
        }
    }
}

impl Diagnostic {
    /// A problem that concerns a whole file or no file at all.
    pub fn new(code: &'static str, file: impl Into<String>, message: impl Into<String>) -> Self {
        Diagnostic {
            code,
            place: Place {
                file: file.into(),
                ..Place::default()
            },
            excerpt: None,
            width: 0,
            message: message.into(),
            help: None,
            choices: vec![],
            nearest: vec![],
        }
    }

    /// A problem at a place.
    pub fn placed(code: &'static str, place: Place, message: impl Into<String>) -> Self {
        Diagnostic {
            place,
            ..Diagnostic::new(code, "", message)
        }
    }

    /// Sets line and column (from 1).
    pub fn at(mut self, line: usize, column: usize) -> Self {
        self.place.line = line;
        self.place.column = column;
        self
    }

    /// Sets the text line shown below the message and how many characters are marked.
    pub fn excerpt(mut self, line: impl Into<String>, width: usize) -> Self {
        self.excerpt = Some(line.into());
        self.width = width;
        self
    }

    /// Sets the way out.
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// Sets what may have been meant.
    pub fn choices(mut self, choices: Vec<Choice>) -> Self {
        self.choices = choices;
        self
    }

    /// It in one line, where it is to be looked at and no error.
    pub fn note(&self) -> String {
        let (place, message) = (self.place.to_string(), printable(&self.message));
        format!("{}: note[{}]: {message}", printable(&place), self.code)
    }

    /// Adds what is near to what was typed.
    pub fn nearest(mut self, near: impl IntoIterator<Item = Choice>) -> Self {
        self.nearest.extend(near);
        self
    }

    /// Sets the way out when there is one to offer.
    pub fn help_opt(mut self, help: Option<String>) -> Self {
        self.help = help.or(self.help);
        self
    }
}

impl fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (place, message) = (self.place.to_string(), printable(&self.message));
        write!(f, "{}: error[{}]: {message}", printable(&place), self.code)?;
        if let (Some(text), true) = (&self.excerpt, self.place.line > 0) {
            let number = self.place.line.to_string();
            let pad = " ".repeat(number.len());
            // A very long line is cut around the place, so that the mark stays visible.
            let (text, column) = window(text, self.place.column.max(1));
            write!(f, "\n{pad} |\n{number} | {text}")?;
            if self.place.column > 0 {
                let marks = "^".repeat(self.width.clamp(1, 60));
                write!(f, "\n{pad} | {}{marks}", " ".repeat(column - 1))?;
            }
        }
        if let Some(help) = &self.help {
            write!(f, "\n  = help: {}", printable(help))?;
        }
        for (n, choice) in self.choices.iter().enumerate() {
            write!(f, "\n      {}  {}", n + 1, printable(&choice.name))?;
        }
        Ok(())
    }
}

/// What a file or a person wrote, without the characters that steer a terminal.
fn printable(text: &str) -> String {
    text.chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect()
}

fn window(text: &str, column: usize) -> (String, usize) {
    const WIDTH: usize = 100;
    let clean: Vec<char> = printable(text).chars().collect();
    if clean.len() <= WIDTH {
        return (clean.into_iter().collect(), column);
    }
    let start = column
        .saturating_sub(WIDTH / 2)
        .min(clean.len().saturating_sub(WIDTH / 2));
    let end = (start + WIDTH).min(clean.len());
    (
        clean[start..end].iter().collect(),
        column.saturating_sub(start).max(1),
    )
}

impl std::error::Error for Diagnostic {}

/// Many problems at once; never empty where it is returned as an error.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problems(pub Vec<Diagnostic>);

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        const SHOWN: usize = 30;
        for (n, problem) in self.0.iter().take(SHOWN).enumerate() {
            if n > 0 {
                writeln!(f)?;
            }
            write!(f, "{problem}")?;
        }
        if self.0.len() > SHOWN {
            write!(f, "\n... and {} more problems", self.0.len() - SHOWN)?;
        }
        Ok(())
    }
}

impl std::error::Error for Problems {}

impl From<Diagnostic> for Problems {
    fn from(one: Diagnostic) -> Self {
        Problems(vec![one])
    }
}

/// The name nearest to `typed` by edit distance, when one is near enough to be meant.
pub fn nearest<'a>(typed: &str, names: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let written: Vec<char> = typed.chars().collect();
    let set = letters(typed);
    let mut limit = (written.len() / 3).clamp(1, 4);
    let mut rows = Rows::default();
    let mut best: Option<(usize, &str)> = None;
    let mut other: Vec<char> = vec![];
    for name in names {
        // Every edit brings at most one new letter and takes at most one.
        let named = letters(name);
        let most = (set & !named).count_ones().max((named & !set).count_ones());
        if most as usize > limit {
            continue;
        }
        other.clear();
        other.extend(name.chars());
        let found = (rows.distance(&written, &other, limit), name);
        if found.0 <= limit && best.is_none_or(|best| found < best) {
            limit = found.0;
            best = Some(found);
        }
    }
    best.map(|(_, name)| name)
}

/// The set of characters of a text, a bit each; some share one.
fn letters(text: &str) -> u64 {
    text.chars()
        .fold(0, |set, c| set | 1 << (u32::from(c) % 64))
}

/// Edits (insert, delete, replace, swap of neighbours) from `a` to `b`; `limit + 1` when more than `limit`.
pub fn edit_distance(a: &str, b: &str, limit: usize) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    Rows::default().distance(&a, &b, limit)
}

/// The last rows of the table edits are counted in, kept from one pair of texts to the next.
#[derive(Default)]
struct Rows {
    before: Vec<usize>,
    previous: Vec<usize>,
    row: Vec<usize>,
}

impl Rows {
    fn distance(&mut self, a: &[char], b: &[char], limit: usize) -> usize {
        if a.len().abs_diff(b.len()) > limit {
            return limit + 1;
        }
        let Rows {
            before,
            previous,
            row,
        } = self;
        previous.clear();
        previous.extend(0..=b.len());
        for i in 1..=a.len() {
            row.clear();
            row.resize(b.len() + 1, i);
            for j in 1..=b.len() {
                let replace = previous[j - 1] + usize::from(a[i - 1] != b[j - 1]);
                row[j] = replace.min(previous[j] + 1).min(row[j - 1] + 1);
                if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                    row[j] = row[j].min(before[j - 2] + 1);
                }
            }
            if row.iter().all(|&cost| cost > limit) {
                return limit + 1;
            }
            std::mem::swap(before, previous);
            std::mem::swap(previous, row);
        }
        previous[b.len()].min(limit + 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_of_a_spreadsheet_have_letters() {
        for (n, name) in [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ"), (702, "AAA")] {
            assert_eq!(column_letters(n), name);
        }
    }

    #[test]
    fn edit_distance_counts_a_swap_of_neighbours_as_one() {
        for (a, b, distance) in [
            ("sucrse", "sucrose", 1),
            ("gelatine", "gelatin", 1),
            ("agra", "agar", 1),
            ("", "ab", 2),
            ("milk", "salt", 3),
        ] {
            assert_eq!(edit_distance(a, b, 4), distance, "{a} {b}");
        }
    }

    #[test]
    fn the_nearest_of_all_names_is_offered_in_whatever_order_they_come() {
        let names = ["sucralose", "sucrose", "source", "glucose", "crème", "a"];
        for typed in [
            "sucrse", "sucrose", "glucsoe", "creme", "surcose", "b", "ab", "",
        ] {
            let limit = (typed.chars().count() / 3).clamp(1, 4);
            let one_by_one = (names.iter())
                .map(|name| (edit_distance(typed, name, limit), *name))
                .filter(|(distance, _)| *distance <= limit)
                .min()
                .map(|(_, name)| name);
            assert_eq!(nearest(typed, names), one_by_one, "{typed}");
            assert_eq!(
                nearest(typed, names.into_iter().rev()),
                one_by_one,
                "{typed}"
            );
        }
    }

    #[test]
    fn a_message_marks_the_place_under_the_text() {
        let problem = Diagnostic::new("F003", "mix.csv", "no ingredient is called `sucrse`")
            .at(2, 1)
            .excerpt("sucrse,100", 6)
            .help("the nearest name is `sucrose`");
        let text = problem.to_string();
        assert!(text.starts_with("mix.csv:2:1: error[F003]: no ingredient"));
        assert!(text.contains("2 | sucrse,100\n  | ^^^^^^\n  = help: the nearest name"));
    }
}
