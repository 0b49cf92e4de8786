//! A formula file of any form as rows: a name as typed and an amount. Knows no ingredient.

mod amount;
mod aside;
mod book;
mod bracket;
mod cell;
mod columns;
mod decode;
mod figure;
mod grid;
mod guard;
mod lines;
mod reading;
mod shape;
mod table;
mod words;

use amount::{Pen, What};
use columns::Columns;
use decode::{Decoded, decode};
use figure::{Marks, thousandths, unspaced};
use grid::Grid;
use lines::Written;
use table::Table;
use words::Kind;

use crate::diagnostic::{Diagnostic, Place, Problems};
use crate::formula::LARGEST;

pub use words::Words;

/// Most lines a formula has.
pub const MOST_LINES: usize = 500;
/// Most characters the name of an ingredient has.
pub const LONGEST_NAME: usize = 200;
/// Most columns of a table that are looked at.
const MOST_COLUMNS: usize = 100;
/// Largest amount of one line, in its unit.
const LARGEST_AMOUNT: f64 = 1e9;

/// A line of a formula as a person wrote it.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Where its name stands; in a spreadsheet the file is `mix.xlsx#Base!A7` and the line 0.
    pub place: Place,
    /// Where its amount stands, or should.
    pub amount_place: Place,
    /// The line of text shown below a problem.
    pub excerpt: String,
    /// The name as typed, without the amount; empty where only an amount is written.
    pub typed: String,
    /// How much.
    pub amount: Amount,
    /// What was noted beside it.
    pub note: String,
    /// The heading it stands under, such as `For the base`.
    pub part: String,
    /// It reads like prose: what is no ingredient in it is no line of the formula.
    pub prose: bool,
    /// A per cent behind the name that is its grade or its amount, and the name without it.
    pub share: Option<(String, f64)>,
    /// What the lines around it make of it.
    pub block: Block,
}

/// Where a line stands among those that empty lines and rules part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Block {
    /// Among others.
    #[default]
    Within,
    /// An empty line or a rule stands before it, and a line with an amount right below.
    Opens,
    /// It is the first line, and an empty line or a rule follows it.
    Above,
}

/// How much of an ingredient a row asks for.
#[derive(Debug, Clone, PartialEq)]
pub enum Amount {
    /// A mass or a volume; one figure has `low` = `high`.
    Measure {
        /// The least.
        low: f64,
        /// The most.
        high: f64,
        /// What it is counted in.
        unit: Unit,
    },
    /// Per cent of the batch.
    Percent(f64),
    /// A count: of `piece` where it is said, such as `sheet`, else of the ingredient itself.
    Pieces {
        /// The least.
        low: f64,
        /// The most.
        high: f64,
        /// The thing counted, in its plain form; it may also be the last word of the name.
        piece: String,
    },
    /// As much as the cook likes.
    ToTaste,
    /// Nothing is said.
    Missing,
}

/// A unit of mass or volume.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Unit {
    /// Grams in one.
    Gram(f64),
    /// Millilitres in one.
    Millilitre(f64),
}

impl Unit {
    /// How many of another unit it is; `None` between mass and volume.
    fn ratio(self, other: Unit) -> Option<f64> {
        match (self, other) {
            (Unit::Gram(a), Unit::Gram(b)) | (Unit::Millilitre(a), Unit::Millilitre(b)) => {
                Some(a / b)
            }
            _ => None,
        }
    }

    /// Whether an amount in it is to be kept rather than the same amount in another unit. An ounce
    /// beside a volume may be a fluid one, so that only metric masses are.
    fn outweighs(self, other: Unit) -> bool {
        match (self, other) {
            (Unit::Gram(factor), Unit::Millilitre(_)) => factor.log10().fract() == 0.0,
            _ => false,
        }
    }
}

/// What a formula file says.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sheet {
    /// Its title, where it has one.
    pub title: String,
    /// Its lines, in the order written.
    pub rows: Vec<Row>,
    /// What was left aside, such as `a total: Sum 1000 g`, and where.
    pub unread: Vec<(Place, String)>,
    /// Its form, such as `semicolon CSV, Windows-1252`.
    pub form: String,
    /// The weight of the batch, where a line beside the ingredients says it, g.
    pub batch: Option<f64>,
    /// How its figures were taken, where they could be read otherwise.
    pub said: Vec<String>,
    /// Lines that speak of another line's amount, which was not found.
    pub unsure: Vec<String>,
}

/// Reads a formula file of any form; `sheet` is the one wanted of a spreadsheet.
///
/// Errors: every problem of [`gather`].
pub fn read(
    file: &str,
    sheet: Option<&str>,
    bytes: &[u8],
    words: &Words,
) -> Result<Sheet, Problems> {
    let mut problems = vec![];
    let read = gather(file, sheet, bytes, words, &mut problems);
    match read {
        Some(sheet) if problems.is_empty() => Ok(sheet),
        _ => Err(Problems(problems)),
    }
}

/// Reads a formula file as far as it can be read, so that its names can be looked up before all
/// problems are told. A row whose amount is a problem is there with [`Amount::Missing`].
///
/// Problems: no text (`F001`), too large (`F002`), a negative or unreadable amount (`F006`, `F007`), an
/// unknown unit (`F008`), no line with an ingredient (`F010`), a decimal comma that cuts an amount in
/// two (`F011`), too many lines (`F012`), a name too long (`F013`), a number that can be read two ways
/// (`F014`), no column that is plainly the amount (`F015`), a spreadsheet that cannot be read
/// (`F016`), no such sheet (`F017`), a quote that is not closed (`F020`), a record wider than the header (`D003`).
pub fn gather(
    file: &str,
    sheet: Option<&str>,
    bytes: &[u8],
    words: &Words,
    problems: &mut Vec<Diagnostic>,
) -> Option<Sheet> {
    let read = match source(file, sheet, bytes) {
        Ok(Source::Book(grid)) => of_book(&grid, words, problems),
        Ok(Source::Text(decoded)) => of_text(file, &decoded, words, problems),
        Err(problem) => {
            problems.push(problem);
            return None;
        }
    };
    if read.rows.is_empty() && problems.is_empty() {
        let message = "no line names an ingredient with an amount";
        let help = "add a line such as sucrose,120";
        problems.push(Diagnostic::new("F010", file, message).help(help));
    }
    Some(read)
}

/// What a file is, before its rows are looked for.
enum Source {
    Book(Grid),
    Text(Decoded),
}

fn source(file: &str, sheet: Option<&str>, bytes: &[u8]) -> Result<Source, Diagnostic> {
    if bytes.len() > LARGEST {
        let megabytes = LARGEST / 1_000_000;
        let message =
            format!("the file has more than {megabytes} MB; a formula has a line per ingredient");
        return Err(Diagnostic::new("F002", file, message)
            .help("name a file with the columns ingredient,grams"));
    }
    if book::is_book(bytes) {
        let grid = book::read(file, sheet, bytes)?;
        few(file, grid.lines.len())?;
        return Ok(Source::Book(grid));
    }
    if let Some(sheet) = sheet {
        let message = format!("the file is no spreadsheet; it has no sheet `{sheet}`");
        let help = format!("write {file} alone");
        return Err(Diagnostic::new("F017", file, message).help(help));
    }
    let decoded = decode(file, bytes)?;
    let lines = decoded.text.lines().filter(|line| !line.trim().is_empty());
    few(file, lines.take(MOST_LINES + 1).count())?;
    Ok(Source::Text(decoded))
}

fn few(file: &str, lines: usize) -> Result<(), Diagnostic> {
    if lines <= MOST_LINES {
        return Ok(());
    }
    let message = format!("the file has more than {MOST_LINES} lines");
    let help = "a formula has a line per ingredient; leave out what is none";
    Err(Diagnostic::new("F012", file, message).help(help))
}

fn of_book(grid: &Grid, words: &Words, problems: &mut Vec<Diagnostic>) -> Sheet {
    let name = grid.sheet.as_deref().unwrap_or_default();
    let mut sheet = Sheet {
        form: format!("spreadsheet, sheet {name}"),
        ..Sheet::default()
    };
    let cells = grid.lines.iter().flat_map(|line| &line.cells);
    let texts = cells.filter(|cell| !cell.exact);
    let pen = Pen {
        words,
        marks: Marks::of(texts.map(|cell| cell.text.as_str()), Marks::Open),
        unspaced: false,
    };
    of_grid(grid, pen, &mut sheet, problems);
    sheet
}

fn of_text(file: &str, decoded: &Decoded, words: &Words, problems: &mut Vec<Diagnostic>) -> Sheet {
    let text = decoded.text.as_str();
    let open = Pen {
        words,
        marks: Marks::Open,
        unspaced: false,
    };
    let delimiter = shape::delimiter(text, &open);
    // Columns that spaces align are a table too.
    let aligned = match delimiter {
        None => shape::aligned(text, &open),
        Some(_) => None,
    };
    let (text, delimiter) = match &aligned {
        Some(aligned) => (aligned.as_str(), Some(b'\t')),
        None => (text, delimiter),
    };
    let words = words.spoken_in(text);
    let words = words.as_ref();
    let open = Pen { words, ..open };
    let batch = text.lines().find_map(|line| batch_in(line, &open));
    let form = match delimiter {
        Some(_) if aligned.is_some() => "table aligned by spaces",
        Some(b'\t') => "tab-separated table",
        Some(b';') => "semicolon CSV",
        Some(b'|') => "table with bars",
        Some(_) => "comma CSV",
        None => "lines of text",
    };
    let mut sheet = Sheet {
        form: format!("{form}, {}", decoded.encoding),
        batch,
        ..Sheet::default()
    };
    let Some(delimiter) = delimiter else {
        let lines: Vec<Written> = text
            .lines()
            .enumerate()
            .map(|(n, line)| Written {
                text: line.to_string(),
                excerpt: line.to_string(),
                place: Place {
                    file: file.to_string(),
                    line: n + 1,
                    column: 1,
                    cell: None,
                },
            })
            .collect();
        let pen = Pen {
            words,
            marks: sheet.marks(Marks::of(text.lines(), Marks::Open), text),
            unspaced: unspaced(text),
        };
        lines::read(&lines, &pen, &mut sheet, problems);
        return sheet;
    };
    let grid = Grid::of_text(file, text, delimiter);
    // Where commas part the cells, a point is the decimal mark.
    let assumed = match delimiter {
        b',' => Marks::Point,
        _ => Marks::Open,
    };
    let cells = grid.lines.iter().flat_map(|line| &line.cells);
    let marks = Marks::of(cells.map(|cell| cell.text.as_str()), assumed);
    let pen = Pen {
        words,
        marks: sheet.marks(marks, text),
        unspaced: false,
    };
    of_grid(&grid, pen, &mut sheet, problems);
    sheet
}

impl Sheet {
    /// How a file writes its decimals; where no figure shows it, figures of kilograms and litres with
    /// three places do, which is told.
    fn marks(&mut self, shown: Marks, text: &str) -> Marks {
        let Some((marks, figure)) = thousandths(text).filter(|_| shown == Marks::Open) else {
            return shown;
        };
        self.said.push(format!(
            "`{figure}`: its three places were taken as decimals, as kilograms and litres are written"
        ));
        marks
    }
}

/// The weight of the batch that a line such as `# batch size: 12 kg` tells, g.
fn batch_in(line: &str, pen: &Pen) -> Option<f64> {
    let words = line.char_indices().filter(|(at, c)| {
        let before = line[..*at].chars().next_back();
        c.is_alphabetic() && before.is_none_or(|c| !c.is_alphanumeric())
    });
    words.map(|(at, _)| &line[at..]).find_map(|line| {
        let begun = pen.words.begins(Kind::Yield, line);
        let batch = begun > 0 && pen.words.detail(Kind::Total, &line[..begun]).is_some();
        let rest = line[begun..].trim_start_matches([':', '=', ' ', ',', '\t', ';']);
        let taken = pen.amount(rest, true).filter(|_| batch)?;
        match taken.what {
            What::Unit(Unit::Gram(factor)) => Some(taken.low * factor),
            _ => None,
        }
    })
}

/// A table by its columns; where it has but one, its lines.
fn of_grid(grid: &Grid, pen: Pen, sheet: &mut Sheet, problems: &mut Vec<Diagnostic>) {
    if let Some(line) = &grid.unclosed {
        let message = "a double quote is not closed, and takes in the lines below".to_string();
        let place = grid.place(line, 0);
        let help = "close the quote after the cell";
        problems.push(cell::problem("F020", message, &place, &line.excerpt, 1).help(help));
    }
    let single = grid.lines.iter().all(|line| line.filled().count() < 2);
    if single {
        let lines: Vec<Written> = grid
            .lines
            .iter()
            .flat_map(|line| line.filled().map(move |(n, cell)| (line, n, cell)))
            .map(|(line, n, cell)| Written {
                text: cell.text.clone(),
                excerpt: line.excerpt.clone(),
                place: grid.place(line, n),
            })
            .collect();
        return lines::read(&lines, &pen, sheet, problems);
    }
    match Columns::of(grid, &pen) {
        Some(columns) => Table::new(grid, columns, pen).read(sheet, problems),
        None => problems.push(table::unplain(grid)),
    }
}
