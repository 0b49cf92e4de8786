//! A table as cells that know their place, from delimited text or a spreadsheet. Knows no header.

use super::MOST_COLUMNS;
use crate::diagnostic::{CellPlace, Place};

/// One cell.
#[derive(Debug, Clone, Default)]
pub(super) struct Cell {
    pub text: String,
    /// A number of a spreadsheet: its point is a decimal point.
    pub exact: bool,
    /// Character of the line it begins at, from 1; of a spreadsheet its column, from 1.
    pub column: usize,
}

/// One record.
#[derive(Debug, Clone, Default)]
pub(super) struct Line {
    /// Line of the text or row of the spreadsheet, from 1.
    pub number: usize,
    /// What is shown below a problem.
    pub excerpt: String,
    pub cells: Vec<Cell>,
    /// Cells up to the last that is not empty, those beyond the ones kept included.
    pub width: usize,
}

/// The records of a table; none is empty.
#[derive(Debug, Clone, Default)]
pub(super) struct Grid {
    pub file: String,
    /// The sheet of a spreadsheet it is.
    pub sheet: Option<String>,
    /// What parts the cells of a text.
    pub delimiter: Option<u8>,
    pub lines: Vec<Line>,
    /// The record whose quote is not closed, so that it takes in all lines below it.
    pub unclosed: Option<Line>,
}

impl Line {
    /// The text of a cell; empty where the record is short.
    pub(super) fn text(&self, column: Option<usize>) -> &str {
        let cell = column.and_then(|n| self.cells.get(n));
        cell.map_or("", |cell| cell.text.as_str())
    }

    /// The cells that hold anything.
    pub(super) fn filled(&self) -> impl Iterator<Item = (usize, &Cell)> {
        let cells = self.cells.iter().enumerate();
        cells.filter(|(_, cell)| !cell.text.is_empty())
    }
}

impl Grid {
    /// Where the cell number `n` of a record stands, or would stand.
    pub(super) fn place(&self, line: &Line, n: usize) -> Place {
        match &self.sheet {
            Some(sheet) => Place {
                file: self.file.clone(),
                cell: Some(CellPlace {
                    sheet: sheet.clone(),
                    row: line.number,
                    column: n,
                }),
                ..Place::default()
            },
            None => Place {
                file: self.file.clone(),
                line: line.number,
                column: match line.cells.get(n) {
                    Some(cell) => cell.column,
                    None => line.excerpt.chars().count() + 1,
                },
                cell: None,
            },
        }
    }

    /// The records of a text, whose lines end in `\n`.
    pub(super) fn of_text(file: &str, text: &str, delimiter: u8) -> Grid {
        let mut reader = csv::ReaderBuilder::new()
            .flexible(true)
            .has_headers(false)
            .delimiter(delimiter)
            .from_reader(text.as_bytes());
        let mut grid = Grid {
            file: file.to_string(),
            sheet: None,
            delimiter: Some(delimiter),
            ..Grid::default()
        };
        let mut record = csv::StringRecord::new();
        // The byte and the line reached by counting line ends.
        let (mut byte, mut number) = (0, 1);
        // Records of any width in UTF-8 text cannot fail to be CSV.
        while let Ok(true) = reader.read_record(&mut record) {
            // The reader stands at the end of the record before, with the empty lines still ahead.
            let start = record.position().map_or(0, |p| p.byte() as usize);
            let blank = text[start..].bytes().take_while(|b| *b == b'\n').count();
            let start = start + blank;
            number += text[byte..start].matches('\n').count();
            byte = start;
            let excerpt = text[start..].lines().next().unwrap_or_default();
            let columns = columns(excerpt, delimiter);
            let cells: Vec<Cell> = record
                .iter()
                .enumerate()
                .take(MOST_COLUMNS)
                .map(|(n, cell)| Cell {
                    text: cell.trim().to_string(),
                    exact: false,
                    column: columns.get(n).copied().unwrap_or(1),
                })
                .collect();
            let filled = record.iter().enumerate();
            let last = filled.filter(|(_, cell)| !cell.trim().is_empty()).last();
            let Some((last, _)) = last else { continue };
            grid.lines.push(Line {
                number,
                excerpt: excerpt.to_string(),
                cells,
                width: last + 1,
            });
        }
        let last = grid.lines.last().map_or(&[][..], |line| &line.cells);
        if last.iter().any(|cell| cell.text.contains('\n'))
            && text[byte..].matches('"').count() % 2 == 1
        {
            grid.unclosed = grid.lines.pop();
        }
        grid
    }
}

/// The character, from 1, at which each cell of a line begins, quotes and spaces passed over.
fn columns(line: &str, delimiter: u8) -> Vec<usize> {
    let mut out = vec![];
    let (mut quoted, mut begun) = (false, false);
    let mut last = 0;
    for (n, c) in line.chars().enumerate() {
        last = n + 1;
        if c == '"' {
            quoted = !quoted;
        } else if c == char::from(delimiter) && !quoted {
            if !begun {
                out.push(n + 1);
            }
            begun = false;
        } else if !begun && !c.is_whitespace() {
            begun = true;
            out.push(n + 1);
        }
        if out.len() > MOST_COLUMNS {
            return out;
        }
    }
    if !begun {
        out.push(last + 1);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_knows_where_it_begins() {
        for (line, starts) in [
            ("a,b,c", &[1, 3, 5][..]),
            ("\"x, y\", 3", &[2, 9]),
            ("a,,5", &[1, 3, 4]),
            ("a,", &[1, 3]),
            (",5", &[1, 2]),
        ] {
            assert_eq!(columns(line, b','), starts, "{line}");
        }
    }

    #[test]
    fn a_record_knows_its_line() {
        let text = "a;b\n\n\n1;2\n\"3\n\";4\n;\n5;6";
        let grid = Grid::of_text("m.csv", text, b';');
        let lines: Vec<usize> = grid.lines.iter().map(|line| line.number).collect();
        assert_eq!(lines, [1, 4, 5, 8]);
    }
}
