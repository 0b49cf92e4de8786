//! The grammar of questions: `data/grammar/terms.csv`, `frames.csv` and `prior.csv`.

use super::assemble::table;
use super::files::Files;
use crate::diagnostic::{Diagnostic, Problems};
use crate::model::grammar::{Element, FrameRow, Grammar, KINDS, TermRow};

/// Reads the grammar of questions.
///
/// Errors: every problem of form, a pattern that is none.
pub fn grammar(files: &Files) -> Result<Grammar, Problems> {
    let mut problems: Vec<Diagnostic> = vec![];
    let mut grammar = Grammar::default();
    let columns = ["name", "pattern", "cost", "examples", "counters"];
    if let Some(t) = table(files, "data/grammar/terms.csv", &columns, &mut problems) {
        for r in &t.records {
            let Some(pattern) = Element::all(t.get(r, "pattern")) else {
                problems.push(t.cell_problem("D006", r, "pattern", "a slot is not closed"));
                continue;
            };
            grammar.terms.push(TermRow {
                name: t.own(r, "name"),
                pattern,
                cost: t.number(r, "cost", &mut problems).unwrap_or(0.0),
                examples: t.list(r, "examples"),
                counters: t.list(r, "counters"),
            });
        }
    }
    let columns = [
        "kind",
        "needs",
        "may",
        "cost",
        "scene",
        "most",
        "example",
        "canonical",
    ];
    if let Some(t) = table(files, "data/grammar/frames.csv", &columns, &mut problems) {
        for r in &t.records {
            let words = |text: &str| text.split_whitespace().map(str::to_string).collect();
            let one_of = |text: &str| text.split('|').map(str::to_string).collect();
            let example = (t.own(r, "example"), t.own(r, "canonical"));
            grammar.frames.push(FrameRow {
                kind: t.own(r, "kind"),
                needs: t.get(r, "needs").split_whitespace().map(one_of).collect(),
                may: words(t.get(r, "may")),
                cost: t.number(r, "cost", &mut problems).unwrap_or(0.0),
                scene: t.number(r, "scene", &mut problems).unwrap_or(0.0),
                most: t.number(r, "most", &mut problems).unwrap_or(0.0),
                example,
            });
        }
    }
    let columns = ["sign", "kind", "weight"];
    if let Some(t) = table(files, "data/grammar/prior.csv", &columns, &mut problems) {
        for r in &t.records {
            let Some(kind) = KINDS.iter().position(|k| *k == t.get(r, "kind")) else {
                problems.push(t.cell_problem("D006", r, "kind", "no such kind of question"));
                continue;
            };
            let weight = t.number(r, "weight", &mut problems).unwrap_or(0.0);
            let sign = grammar.prior.entry(t.own(r, "sign")).or_default();
            sign.push((kind, weight));
        }
    }
    match problems.is_empty() {
        true => Ok(grammar),
        false => Err(Problems(problems)),
    }
}
