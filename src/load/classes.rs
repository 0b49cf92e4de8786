//! `data/classes.csv`, `class-ranges.csv`, `class-words.csv` and `class-signs.csv`: what a dish is.

use super::assemble::table;
use super::files::Files;
use crate::condition;
use crate::diagnostic::{Diagnostic, Problems};
use crate::model::class::{ClassRange, ClassSign, ClassWord, Classes, DishClass};
use crate::model::{Catalogue, fold};

/// Classes of words that are no classes of dishes.
const WORDS_ALONE: [&str; 2] = ["link", "none"];

/// Reads what is known of dishes for an indexed catalogue.
///
/// Errors: every problem of form, a class that is none, a source that is none, a condition that does
/// not read.
pub fn classes(files: &Files, catalogue: &Catalogue) -> Result<Classes, Problems> {
    let mut problems: Vec<Diagnostic> = vec![];
    let mut out = Classes::default();
    let columns = ["class", "name", "kind", "serving_celsius", "parent", "note"];
    if let Some(t) = table(files, "data/classes.csv", &columns, &mut problems) {
        for r in &t.records {
            out.list.push(DishClass {
                id: t.own(r, "class"),
                name: t.own(r, "name"),
                kind: t.own(r, "kind"),
                serving_celsius: t.number(r, "serving_celsius", &mut problems),
                parent: t.own(r, "parent"),
                note: t.own(r, "note"),
            });
        }
    }
    let known = |class: &str| out.list.iter().any(|c| c.id == class);
    let (mut ranges, mut words, mut signs) = (vec![], vec![], vec![]);
    let columns = [
        "class",
        "property",
        "low",
        "high",
        "unit",
        "condition",
        "source",
    ];
    if let Some(t) = table(files, "data/class-ranges.csv", &columns, &mut problems) {
        for r in &t.records {
            if !known(t.get(r, "class")) {
                problems.push(no_class(t.cell_problem("D070", r, "class", "")));
            }
            if !catalogue.sources.contains_key(t.get(r, "source")) {
                let message = format!("no source is `{}`", t.get(r, "source"));
                let problem = t.cell_problem("D009", r, "source", message);
                problems.push(problem.help("one of data/sources.csv"));
            }
            let mut number = |column| t.number(r, column, &mut problems);
            ranges.push(ClassRange {
                low: number("low"),
                typical: number("typical"),
                high: number("high"),
                class: t.own(r, "class"),
                property: t.own(r, "property"),
                unit: t.own(r, "unit"),
                condition: t.own(r, "condition"),
                source: t.own(r, "source"),
                locator: t.own(r, "locator"),
                note: t.own(r, "note"),
            });
        }
    }
    if let Some(t) = table(
        files,
        "data/class-words.csv",
        &["word", "class", "weight"],
        &mut problems,
    ) {
        for r in &t.records {
            let class = t.get(r, "class");
            if !known(class) && !WORDS_ALONE.contains(&class) {
                problems.push(no_class(t.cell_problem("D070", r, "class", "")));
            }
            let word = t.get(r, "word");
            words.push(ClassWord {
                word: fold(word),
                class: class.to_string(),
                weight: t.number(r, "weight", &mut problems).unwrap_or(0.0) as u8,
                ends: word.starts_with('-'),
            });
        }
    }
    let columns = ["class", "condition", "weight", "because"];
    if let Some(t) = table(files, "data/class-signs.csv", &columns, &mut problems) {
        for r in &t.records {
            if !known(t.get(r, "class")) {
                problems.push(no_class(t.cell_problem("D070", r, "class", "")));
            }
            match condition::parse(t.get(r, "condition"), catalogue) {
                Ok(when) => signs.push(ClassSign {
                    class: t.own(r, "class"),
                    when,
                    weight: t.number(r, "weight", &mut problems).unwrap_or(0.0) as u8,
                    because: t.own(r, "because"),
                }),
                Err(problem) => {
                    let told = t.cell_problem("D071", r, "condition", problem.message.clone());
                    problems.push(told.help_opt(problem.help));
                }
            }
        }
    }
    signs.sort_by_key(|sign| std::cmp::Reverse(sign.weight));
    out.ranges = ranges;
    out.words = words;
    out.signs = signs;
    match problems.is_empty() {
        true => Ok(out),
        false => Err(Problems(problems)),
    }
}

fn no_class(mut problem: Diagnostic) -> Diagnostic {
    problem.message = "no class of dishes is called that".into();
    problem.help("one of data/classes.csv")
}
