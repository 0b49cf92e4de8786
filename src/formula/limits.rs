//! How much a formula file may hold.

use super::recipe::LARGEST;
use crate::diagnostic::{Diagnostic, Problems};
use crate::load::Table;

/// Lines a formula file may have; a kitchen's have fewer than fifty.
pub const MOST_LINES: usize = 1_000;

/// Characters the name of an ingredient may have there; the longest known has fewer than a hundred.
pub const LONGEST_NAME: usize = 200;

/// Whether a formula file holds so little that each of its lines can be looked at. What is no text
/// at all, or too large, is left to [`super::Formula::read`].
///
/// Errors: `F012` for too many lines, `F013` for each name that is too long.
pub fn within_limits(file: &str, bytes: &[u8]) -> Result<(), Problems> {
    let Some(text) = (bytes.len() <= LARGEST)
        .then(|| std::str::from_utf8(bytes).ok())
        .flatten()
    else {
        return Ok(());
    };
    let lines = text.lines().count();
    if lines > MOST_LINES {
        let message = format!("the file has {lines} lines; at most {MOST_LINES} are read");
        return Err(Diagnostic::new("F012", file, message)
            .help("a formula has a line per ingredient: add up the lines of the same one")
            .into());
    }
    // Any other problem is told when the file is read.
    let table = Table::read(file, text, &["ingredient"], &mut vec![]);
    let mut problems = vec![];
    for record in &table.records {
        let length = table.get(record, "ingredient").chars().count();
        if length > LONGEST_NAME {
            let message =
                format!("the name has {length} characters; at most {LONGEST_NAME} are read");
            problems.push(
                table
                    .cell_problem("F013", record, "ingredient", message)
                    .help(
                        "write the name alone; what else there is to say goes into a column `note`",
                    ),
            );
        }
    }
    if problems.is_empty() {
        Ok(())
    } else {
        Err(Problems(problems))
    }
}
