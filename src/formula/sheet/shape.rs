//! Which form a text has: a table parted by commas, semicolons, bars or tabs, or lines as people write them.

use std::sync::LazyLock;

use regex::{Captures, Regex};

use super::amount::Pen;
use super::columns::{is_entry, is_header};
use super::grid::Grid;

/// Spaces between two cells of an aligned line.
static SPACES: LazyLock<Regex> = LazyLock::new(|| Regex::new(r" {2,}").expect("a valid shape"));

/// A line whose only comma is that of a number with a unit or nothing behind it.
static DECIMAL: LazyLock<Regex> = LazyLock::new(|| {
    Regex::new(r"^[^,]*[^\d,]\s?\d+,\d+(?:\s?\p{L}+)?\s*$").expect("a valid shape")
});

/// Lines looked at to tell.
const SAMPLE: usize = 60;
/// Lines among which a header may stand.
const HEADER_WITHIN: usize = 20;
/// Bytes looked at; a longer line is none of a formula.
const LONGEST: usize = 100_000;

/// The sign that parts the cells of a text; `None` for lines.
pub(super) fn delimiter(text: &str, pen: &Pen) -> Option<u8> {
    let mut lines = text
        .split_inclusive('\n')
        .filter(|line| !line.trim().is_empty());
    let mut sample: String = lines.by_ref().take(SAMPLE).collect();
    if sample.len() > LONGEST {
        let end = (0..=LONGEST).rev().find(|n| sample.is_char_boundary(*n));
        sample.truncate(end.unwrap_or(0));
    }
    let grids: Vec<(u8, Grid)> = [b'\t', b'|', b';', b',']
        .into_iter()
        .filter(|sign| sample.contains(char::from(*sign)))
        .map(|sign| (sign, Grid::of_text("", &sample, sign)))
        .collect();
    let headed = grids.iter().find(|(_, grid)| {
        let mut first = grid.lines.iter().take(HEADER_WITHIN);
        first.any(|line| is_header(line, pen.words))
    });
    // "sunflower oil 4,0 l": a decimal comma parts no cells.
    let commas = sample.lines().filter(|line| line.contains(','));
    let (decimal, parting): (Vec<&str>, Vec<&str>) =
        commas.partition(|line| DECIMAL.is_match(line));
    let cut = decimal.len() > parting.len();
    let entered = || {
        grids
            .iter()
            .filter(|(sign, _)| *sign != b',' || !cut)
            .find(|(_, grid)| mostly(grid, |grid, n| is_entry(&grid.lines[n], pen), 6))
    };
    let regular = || {
        grids.iter().find(|(sign, grid)| {
            let width = grid.lines.last().map_or(0, |line| line.width);
            let same = |grid: &Grid, n: usize| grid.lines[n].width == width;
            *sign != b',' && width > 1 && grid.lines.len() > 2 && mostly(grid, same, 8)
        })
    };
    headed
        .or_else(entered)
        .or_else(regular)
        .map(|(sign, _)| *sign)
}

/// A text whose columns are aligned by spaces, with a tab for the last of the spaces before each cell so
/// that every cell keeps its place; `None` where few lines have three cells or more.
pub(super) fn aligned(text: &str, pen: &Pen) -> Option<String> {
    let parted = |line: &str| {
        let start = line.len() - line.trim_start().len();
        let spaces = |found: &Captures<'_>| format!("{}\t", &found[0][1..]);
        format!(
            "{}{}",
            &line[..start],
            SPACES.replace_all(&line[start..], spaces)
        )
    };
    // A line that begins right of where the names of the others end has no name.
    let mut ends: Vec<usize> = text
        .lines()
        .filter_map(|line| {
            let start = line.len() - line.trim_start().len();
            let gap = SPACES.find_at(line, start)?;
            Some(line[..gap.start()].chars().count())
        })
        .collect();
    ends.sort_unstable();
    let names_end = ends.get(ends.len() / 2).copied().unwrap_or(usize::MAX);
    let placed = |line: &str| {
        let start = line.len() - line.trim_start().len();
        match start > names_end && line[start..].split_whitespace().count() > 1 {
            true => format!("\t{}", parted(&line[start..])),
            false => parted(line),
        }
    };
    let tabbed: String = text.split_inclusive('\n').map(placed).collect();
    let sample: String = tabbed.split_inclusive('\n').take(SAMPLE).collect();
    if sample.len() > LONGEST {
        return None;
    }
    let grid = Grid::of_text("", &sample, b'\t');
    let wide = |grid: &Grid, n: usize| grid.lines[n].filled().count() >= 3;
    let headed = grid
        .lines
        .iter()
        .take(HEADER_WITHIN)
        .any(|line| is_header(line, pen.words));
    let entered = mostly(&grid, |grid, n| is_entry(&grid.lines[n], pen), 5);
    (mostly(&grid, wide, 5) && (headed || entered)).then_some(tabbed)
}

/// Whether of ten records so many are so.
fn mostly(grid: &Grid, so: impl Fn(&Grid, usize) -> bool, of_ten: usize) -> bool {
    let many = (0..grid.lines.len()).filter(|n| so(grid, *n)).count();
    many > 0 && many * 10 >= grid.lines.len() * of_ten
}
