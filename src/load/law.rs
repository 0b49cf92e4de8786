//! `data/permissions.csv` and `data/relatives.csv`.

use super::assemble::table;
use super::files::Files;
use super::table::{Record, Table};
use crate::diagnostic::{Diagnostic, Problems};
use crate::model::Catalogue;
use crate::model::law::{Permission, Relative};

/// Reads what the law permits and who is akin to whom.
///
/// Errors: every problem of form, and a source that is none.
pub fn law(
    files: &Files,
    catalogue: &Catalogue,
) -> Result<(Vec<Permission>, Vec<Relative>), Problems> {
    let mut problems: Vec<Diagnostic> = vec![];
    let (mut permissions, mut relatives) = (vec![], vec![]);
    let columns = [
        "substance",
        "jurisdiction",
        "food_category",
        "category_name",
        "status",
        "limit",
        "unit",
        "text",
        "locator",
    ];
    if let Some(t) = table(files, "data/permissions.csv", &columns, &mut problems) {
        for r in &t.records {
            sourced(&t, r, "text", catalogue, &mut problems);
            permissions.push(Permission {
                substance: t.own(r, "substance"),
                jurisdiction: t.own(r, "jurisdiction"),
                category: t.own(r, "food_category"),
                category_name: t.own(r, "category_name"),
                status: t.own(r, "status"),
                limit: t.number(r, "limit", &mut problems),
                unit: t.own(r, "unit"),
                basis: t.own(r, "basis"),
                condition: t.own(r, "condition"),
                source: t.own(r, "text"),
                locator: t.own(r, "locator"),
                in_force_as_of: t.own(r, "in_force_as_of"),
            });
        }
    }
    let columns = [
        "allergen",
        "relative",
        "direction",
        "rate_low",
        "rate_high",
        "source",
        "locator",
    ];
    if let Some(t) = table(files, "data/relatives.csv", &columns, &mut problems) {
        for r in &t.records {
            sourced(&t, r, "source", catalogue, &mut problems);
            let low = t.number(r, "rate_low", &mut problems);
            let high = t.number(r, "rate_high", &mut problems);
            relatives.push(Relative {
                allergen: t.own(r, "allergen"),
                relative: t.own(r, "relative"),
                both_ways: t.get(r, "direction") != "one way",
                rate: low.map(|low| (low, high.unwrap_or(100.0))),
                bond: t.own(r, "bond"),
                source: t.own(r, "source"),
                locator: t.own(r, "locator"),
            });
        }
    }
    match problems.is_empty() {
        true => Ok((permissions, relatives)),
        false => Err(Problems(problems)),
    }
}

fn sourced(
    t: &Table<'_>,
    r: &Record,
    column: &str,
    catalogue: &Catalogue,
    problems: &mut Vec<Diagnostic>,
) {
    let source = t.get(r, column);
    if !catalogue.sources.contains_key(source) {
        let problem = t.cell_problem("D009", r, column, format!("no source is `{source}`"));
        problems.push(problem.help("one of data/sources.csv"));
    }
}
