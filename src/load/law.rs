//! What the law permits, how it names and counts things, and who is akin to whom: `data/permissions.csv`,
//! `relatives.csv`, `food-categories.csv`, `additives.csv`, `law-words.csv`, `law-bases.csv`,
//! `constituents.csv` and `intakes.csv`.

use super::assemble::table;
use super::files::Files;
use super::table::{Record, Table};
use crate::diagnostic::{Diagnostic, Problems};
use crate::model::Catalogue;
use crate::model::fold;
use crate::model::law::{
    AdditiveName, Basis, Constituent, FoodCategory, Intake, Law, LawWord, Permission, Relative,
};

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
                group: t.own(r, "group"),
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
                year: t.own(r, "year"),
                in_force_as_of: t.own(r, "in_force_as_of"),
                note: t.own(r, "note"),
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

/// Reads how the law names and counts things, and the words of questions about it.
///
/// Errors: every problem of form, a source that is none, an ingredient that is none.
pub fn law_words(files: &Files, catalogue: &Catalogue) -> Result<Law, Problems> {
    let mut problems: Vec<Diagnostic> = vec![];
    let mut law = Law::default();
    let columns = ["classes", "jurisdiction", "category"];
    if let Some(t) = table(files, "data/food-categories.csv", &columns, &mut problems) {
        law.categories
            .extend(t.records.iter().map(|r| FoodCategory {
                classes: t.list(r, "classes"),
                jurisdiction: t.own(r, "jurisdiction"),
                category: t.own(r, "category"),
            }));
    }
    let columns = ["name", "substances", "e_number"];
    if let Some(t) = table(files, "data/additives.csv", &columns, &mut problems) {
        law.names.extend(t.records.iter().map(|r| {
            AdditiveName {
                name: fold(t.get(r, "name")),
                substances: (t.get(r, "substances").split('|'))
                    .map(str::to_string)
                    .collect(),
                e_number: t.own(r, "e_number"),
            }
        }));
    }
    let columns = ["word", "meaning", "detail"];
    if let Some(t) = table(files, "data/law-words.csv", &columns, &mut problems) {
        law.words.extend(t.records.iter().map(|r| LawWord {
            word: t.own(r, "word"),
            meaning: t.own(r, "meaning"),
            detail: t.own(r, "detail"),
        }));
    }
    let columns = ["substance", "basis", "share", "source"];
    if let Some(t) = table(files, "data/law-bases.csv", &columns, &mut problems) {
        for r in &t.records {
            sourced(&t, r, "source", catalogue, &mut problems);
            law.bases.push(Basis {
                substance: t.own(r, "substance"),
                basis: t.own(r, "basis"),
                share: t.number(r, "share", &mut problems).unwrap_or(1.0),
            });
        }
    }
    let columns = ["ingredient", "substance", "low", "high", "source"];
    if let Some(t) = table(files, "data/constituents.csv", &columns, &mut problems) {
        for r in &t.records {
            sourced(&t, r, "source", catalogue, &mut problems);
            ingredient(&t, r, "ingredient", catalogue, &mut problems);
            let low = t.number(r, "low", &mut problems).unwrap_or(0.0);
            let high = t.number(r, "high", &mut problems).unwrap_or(100.0);
            law.constituents.push(Constituent {
                ingredient: t.own(r, "ingredient"),
                substance: t.own(r, "substance"),
                percent: (low, high),
                source: t.own(r, "source"),
            });
        }
    }
    let columns = ["ingredients", "name", "quantity", "value", "body", "source"];
    if let Some(t) = table(files, "data/intakes.csv", &columns, &mut problems) {
        for r in &t.records {
            sourced(&t, r, "source", catalogue, &mut problems);
            ingredient(&t, r, "ingredients", catalogue, &mut problems);
            law.intakes.push(Intake {
                ingredients: t.list(r, "ingredients"),
                name: t.own(r, "name"),
                quantity: t.own(r, "quantity"),
                milligrams: t.number(r, "value", &mut problems).unwrap_or(0.0),
                condition: t.own(r, "condition"),
                body: t.own(r, "body"),
                source: t.own(r, "source"),
                locator: t.own(r, "locator"),
            });
        }
    }
    match problems.is_empty() {
        true => Ok(law),
        false => Err(Problems(problems)),
    }
}

/// Every id of a cell must be an ingredient.
fn ingredient(
    t: &Table<'_>,
    r: &Record,
    column: &str,
    catalogue: &Catalogue,
    problems: &mut Vec<Diagnostic>,
) {
    for id in t.list(r, column) {
        if catalogue.key(&id).is_none() {
            let problem = t.cell_problem(
                "D011",
                r,
                column,
                format!("no ingredient has the id `{id}`"),
            );
            problems.push(problem.help("one of data/ingredients.csv"));
        }
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
