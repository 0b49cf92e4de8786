//! A CSV text as records whose cells know their line and column.

use std::collections::HashMap;

use super::lines::Lines;
use crate::diagnostic::Diagnostic;
use crate::model::{Row, SourceKind};

/// One record of a table.
#[derive(Debug, Clone)]
pub struct Record {
    cells: Vec<String>,
    /// Line the record starts on, from 1.
    pub line: usize,
}

/// A CSV text read whole; problems of form are collected, not fatal.
#[derive(Debug, Clone)]
pub struct Table<'a> {
    file: &'a str,
    lines: Lines<'a>,
    columns: HashMap<String, usize>,
    /// The records below the header.
    pub records: Vec<Record>,
    /// It is one of the person's own tables.
    pub own: bool,
}

/// What parts the cells of a header that is no comma-separated one.
fn parted_by(header: &csv::StringRecord) -> Option<&'static str> {
    let parted = [(';', "semicolons"), ('\t', "tabs")];
    let found = parted
        .into_iter()
        .find(|(sign, _)| header.len() == 1 && header[0].contains(*sign));
    found.map(|(_, word)| word)
}

impl<'a> Table<'a> {
    /// Reads `text`, which must have at least the columns `wanted`. A byte-order mark, Windows
    /// line ends, quoted commas and empty lines are no problem; short or long records are.
    pub fn read(
        file: &'a str,
        text: &'a str,
        wanted: &[&str],
        problems: &mut Vec<Diagnostic>,
    ) -> Self {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let mut table = Table {
            file,
            lines: Lines::of(text),
            columns: HashMap::new(),
            records: vec![],
            own: false,
        };
        let mut reader = csv::ReaderBuilder::new()
            .flexible(true)
            .has_headers(false)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let mut width = 0;
        // Records of any width in UTF-8 text cannot fail to be CSV.
        for record in reader.records().flatten() {
            let line = record.position().map_or(1, |p| first_line(text, p));
            if record.iter().all(str::is_empty) {
                continue;
            }
            if table.columns.is_empty() {
                width = record.len();
                table.columns = record
                    .iter()
                    .enumerate()
                    .map(|(n, name)| (name.to_lowercase(), n))
                    .collect();
                if let Some(parted) = parted_by(&record) {
                    problems.push(
                        table
                            .problem(
                                "D002",
                                line,
                                1,
                                format!("the cells are parted by {parted}, not by commas"),
                            )
                            .help(format!(
                                "save the table with commas between the cells and points in the numbers: {}, then 500.5 and not 500,5",
                                wanted.join(",")
                            )),
                    );
                    return table;
                }
                for name in wanted
                    .iter()
                    .filter(|name| !table.columns.contains_key(**name))
                {
                    problems.push(
                        table
                            .problem("D002", line, 1, format!("the column `{name}` is missing"))
                            .help(format!("the first line must name {}", wanted.join(","))),
                    );
                }
                continue;
            }
            if record.len() > width && record.iter().skip(width).any(|cell| !cell.is_empty()) {
                problems.push(
                    table
                        .problem(
                            "D003",
                            line,
                            1,
                            format!("the record has {} cells, the header {width}", record.len()),
                        )
                        .help("put a cell that holds a comma in double quotes"),
                );
                continue;
            }
            table.records.push(Record {
                cells: record.iter().map(str::to_string).collect(),
                line,
            });
        }
        if table.columns.is_empty() {
            problems.push(
                Diagnostic::new("D004", file, "the file is empty")
                    .help(format!("the first line must name {}", wanted.join(","))),
            );
        }
        table
    }

    /// Whether the header has this column.
    pub fn has(&self, column: &str) -> bool {
        self.columns.contains_key(column)
    }

    /// The cell of a column; empty when the record is short or the column missing.
    pub fn get<'r>(&self, record: &'r Record, column: &str) -> &'r str {
        self.columns
            .get(column)
            .and_then(|&n| record.cells.get(n))
            .map_or("", String::as_str)
    }

    /// Whether a column stands right after another.
    pub fn follows(&self, column: &str, other: &str) -> bool {
        let place = |name| self.columns.get(name).copied();
        place(column)
            .zip(place(other))
            .is_some_and(|(c, o)| c == o + 1)
    }

    /// The cell as an owned string.
    pub fn own(&self, record: &Record, column: &str) -> String {
        self.get(record, column).to_string()
    }

    /// The source of a record; own tables need not name theirs.
    pub fn source<'r>(&self, record: &'r Record) -> &'r str {
        match self.get(record, "source") {
            "" if self.own => SourceKind::Own.word(),
            source => source,
        }
    }

    /// Where in its source a record stands; in own tables its date stands there too.
    pub fn locator(&self, record: &Record) -> String {
        let said = [self.get(record, "locator"), self.get(record, "date")];
        let said: Vec<&str> = said.into_iter().filter(|text| !text.is_empty()).collect();
        said.join(", ")
    }

    /// A cell that holds a list separated by `;`.
    pub fn list(&self, record: &Record, column: &str) -> Vec<String> {
        self.get(record, column)
            .split(';')
            .map(str::trim)
            .filter(|s| !s.is_empty())
            .map(str::to_string)
            .collect()
    }

    /// A number cell; `None` when empty, a problem when it is no finite number.
    pub fn number(
        &self,
        record: &Record,
        column: &str,
        problems: &mut Vec<Diagnostic>,
    ) -> Option<f64> {
        let cell = self.get(record, column);
        if cell.is_empty() {
            return None;
        }
        match cell.parse::<f64>() {
            Ok(number) if number.is_finite() => Some(number),
            _ => {
                problems.push(
                    self.cell_problem("D005", record, column, format!("`{cell}` is not a number"))
                        .help("write digits with a decimal point, such as 12.5"),
                );
                None
            }
        }
    }

    /// Where a record was read.
    pub fn row(&self, record: &Record) -> Row {
        Row {
            file: self.file.to_string(),
            line: record.line,
        }
    }

    /// A problem at one cell of a record, with the line shown and the cell marked.
    pub fn cell_problem(
        &self,
        code: &'static str,
        record: &Record,
        column: &str,
        message: impl Into<String>,
    ) -> Diagnostic {
        let cell = self.get(record, column);
        let line = self.lines.line(record.line);
        let index = self.columns.get(column).copied().unwrap_or(0);
        self.problem(
            code,
            record.line,
            cell_column(line, index, cell),
            message.into(),
        )
        .excerpt(line, cell.chars().count().max(1))
    }

    fn problem(
        &self,
        code: &'static str,
        line: usize,
        column: usize,
        message: String,
    ) -> Diagnostic {
        Diagnostic::new(code, self.file, message)
            .at(line, column)
            .excerpt(self.lines.line(line), 1)
    }
}

/// The line a record starts on. The reader stands at the end of the record before: the line feed of
/// a `\r\n` and empty lines still lie ahead of it.
fn first_line(text: &str, position: &csv::Position) -> usize {
    let rest = text.as_bytes().get(position.byte() as usize..);
    let ends = rest.unwrap_or_default().iter();
    let skipped = ends.take_while(|byte| matches!(byte, b'\r' | b'\n'));
    position.line() as usize + skipped.filter(|byte| **byte == b'\n').count()
}

/// The character column, from 1, at which the cell number `index` of a line starts.
fn cell_column(line: &str, index: usize, cell: &str) -> usize {
    let (mut quoted, mut commas) = (false, 0);
    let mut start = 0;
    for (n, c) in line.chars().enumerate() {
        match c {
            _ if commas == index => {
                start = n;
                break;
            }
            '"' => quoted = !quoted,
            ',' if !quoted => commas += 1,
            _ => {}
        }
        start = n + 1;
    }
    // Skip an opening quote and spaces before the cell's first character.
    let rest: String = line.chars().skip(start).collect();
    let lead = rest
        .find(cell)
        .filter(|_| !cell.is_empty())
        .map_or(0, |byte| rest[..byte].chars().count());
    start + 1 + lead
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_record_knows_its_line_whatever_ends_the_lines() {
        for end in ["\n", "\r\n"] {
            let text = ["a,b", "1,2", "", "", "\"3\n\",4", "5,6"].join(end);
            let table = Table::read("t.csv", &text, &["a"], &mut vec![]);
            let lines: Vec<usize> = table.records.iter().map(|r| r.line).collect();
            assert_eq!(lines, [2, 5, 7], "{end:?}");
        }
    }

    #[test]
    fn a_cell_knows_its_column() {
        for (line, index, cell, column) in [
            ("a,b,c", 0, "a", 1),
            ("a,b,c", 2, "c", 5),
            ("\"x, y\",3", 1, "3", 8),
            ("\"x, y\",3", 0, "x, y", 2),
            ("a", 3, "", 2),
        ] {
            assert_eq!(cell_column(line, index, cell), column, "{line} {index}");
        }
    }
}
