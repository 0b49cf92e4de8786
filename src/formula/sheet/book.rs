//! Spreadsheets as cells. What a cell shows is kept, formulas are not looked at.

use std::io::Cursor;
use std::panic::{AssertUnwindSafe, catch_unwind};

use calamine::{Data, DataRef, Reader, Sheets, Xlsx, open_workbook_auto_from_rs};

use super::grid::{Cell, Grid, Line};
use super::guard;
use super::{MOST_COLUMNS, MOST_LINES};
use crate::diagnostic::Diagnostic;
use crate::model::fold;

/// What a zip archive (XLSX, ODS) and a compound file (XLS) begin with.
const ZIP: &[u8] = b"PK\x03\x04";
const COMPOUND: &[u8] = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1";

type Book<'b> = Sheets<Cursor<&'b [u8]>>;

/// Whether bytes are those of a spreadsheet.
pub(super) fn is_book(bytes: &[u8]) -> bool {
    bytes.starts_with(ZIP) || bytes.starts_with(COMPOUND)
}

/// The cells of one sheet: the one wanted, or the first that holds anything.
///
/// Errors: `F016` where the spreadsheet cannot be read, `F017` where it has no such sheet.
pub(super) fn read(file: &str, wanted: Option<&str>, bytes: &[u8]) -> Result<Grid, Diagnostic> {
    // The reader of spreadsheets is not proof against every damaged file.
    let read = catch_unwind(AssertUnwindSafe(|| sheet(file, wanted, bytes)));
    read.unwrap_or_else(|_| Err(unreadable(file)))
}

fn unreadable(file: &str) -> Diagnostic {
    Diagnostic::new("F016", file, "the spreadsheet cannot be read")
        .help("save it as XLSX without a password, or as CSV")
}

fn sheet(file: &str, wanted: Option<&str>, bytes: &[u8]) -> Result<Grid, Diagnostic> {
    let may_be_opened = match bytes.starts_with(ZIP) {
        true => guard::zip(bytes),
        false => guard::compound(bytes),
    };
    if !may_be_opened {
        return Err(unreadable(file));
    }
    let mut book: Book =
        open_workbook_auto_from_rs(Cursor::new(bytes)).map_err(|_| unreadable(file))?;
    let names = book.sheet_names();
    let chosen: Vec<&String> = match wanted {
        None => names.iter().collect(),
        Some(wanted) => {
            let exact = names.iter().find(|name| *name == wanted);
            let near = || names.iter().find(|name| fold(name) == fold(wanted));
            let Some(name) = exact.or_else(near) else {
                let message = format!("no sheet is called `{wanted}`");
                let help = format!("its sheets are {}", names.join(", "));
                return Err(Diagnostic::new("F017", file, message).help(help));
            };
            vec![name]
        }
    };
    let mut grid = Grid::default();
    for name in chosen {
        grid = Grid {
            file: file.to_string(),
            sheet: Some(name.clone()),
            lines: lines(&mut book, name).ok_or_else(|| unreadable(file))?,
            ..Grid::default()
        };
        if !grid.lines.is_empty() {
            break;
        }
    }
    Ok(grid)
}

/// The rows of a sheet that hold anything, one more than a formula has at most.
fn lines(book: &mut Book, name: &str) -> Option<Vec<Line>> {
    let mut lines = Lines::default();
    if let Sheets::Xlsx(book) = book {
        return streamed(book, name);
    }
    let range = book.worksheet_range(name).ok()?;
    let (first_row, first_column) = range.start().unwrap_or_default();
    for (row, column, value) in range.used_cells() {
        let at = (row + first_row as usize, column + first_column as usize);
        if lines.full() {
            break;
        }
        lines.put(at, cell(value, false));
    }
    Some(lines.done())
}

/// The rows of an XLSX sheet, cell by cell: a stray cell far away costs nothing, and the format tells
/// which numbers are shown as per cent.
fn streamed(book: &mut Xlsx<Cursor<&[u8]>>, name: &str) -> Option<Vec<Line>> {
    let mut reader = book.worksheet_cells_reader(name).ok()?;
    let styles = reader.styles();
    let percent: Vec<bool> = styles
        .iter()
        .map(|style| {
            let format = style.number_format.as_ref();
            format.is_some_and(|format| format.format_code.contains('%'))
        })
        .collect();
    let mut lines = Lines::default();
    while let Some((found, style)) = reader.next_cell_with_style_id().ok()? {
        let (row, column) = found.get_position();
        let value = match found.get_value() {
            DataRef::SharedString(text) => Data::String(text.to_string()),
            value => Data::from(value.clone()),
        };
        if lines.full() {
            break;
        }
        let shown = percent.get(style).copied().unwrap_or(false);
        lines.put((row as usize, column as usize), cell(&value, shown));
    }
    Some(lines.done())
}

/// Rows being put together from cells in any order of columns.
#[derive(Default)]
struct Lines(Vec<Line>);

impl Lines {
    fn full(&self) -> bool {
        self.0.len() > MOST_LINES
    }

    fn put(&mut self, (row, column): (usize, usize), cell: Cell) {
        if cell.text.is_empty() || column >= MOST_COLUMNS {
            return;
        }
        if self.0.last().is_none_or(|line| line.number != row + 1) {
            self.0.push(Line {
                number: row + 1,
                ..Line::default()
            });
        }
        let Some(line) = self.0.last_mut() else {
            return;
        };
        if line.cells.len() <= column {
            line.cells.resize(column + 1, Cell::default());
        }
        line.width = line.width.max(column + 1);
        line.cells[column] = Cell {
            column: column + 1,
            ..cell
        };
    }

    fn done(mut self) -> Vec<Line> {
        for line in &mut self.0 {
            let texts: Vec<&str> = line.filled().map(|(_, cell)| cell.text.as_str()).collect();
            line.excerpt = texts.join(" | ");
        }
        self.0
    }
}

/// A cell as it is shown; `percent` where its number is shown as one.
fn cell(value: &Data, percent: bool) -> Cell {
    let exact = matches!(value, Data::Int(_) | Data::Float(_));
    let text = match value {
        Data::Float(number) if percent => format!("{}%", rounded(number * 100.0)),
        Data::Int(number) if percent => format!("{}%", number.saturating_mul(100)),
        Data::Float(number) => number.to_string(),
        Data::Int(number) => number.to_string(),
        Data::String(text) => text.trim().to_string(),
        Data::Bool(yes) => yes.to_string(),
        Data::DateTime(date) => format!("date {date}"),
        Data::DateTimeIso(date) | Data::DurationIso(date) => format!("date {date}"),
        Data::Error(error) => error.to_string(),
        Data::Empty => String::new(),
    };
    Cell {
        text,
        exact,
        column: 0,
    }
}

/// Without the noise that multiplying a decimal leaves: 0.29 * 100.
fn rounded(number: f64) -> f64 {
    (number * 1e9).round() / 1e9
}
