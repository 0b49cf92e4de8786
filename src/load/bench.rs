//! `data/bench/*.csv`: how finely things are weighed, and what is written down at the bench.

use super::assemble::table;
use super::files::Files;
use crate::diagnostic::{Diagnostic, Problems, nearest};
use crate::model::bench::{Bench, Measure, Scale};
use crate::model::{Catalogue, DishKind};

/// Reads both tables for an indexed catalogue.
///
/// Errors: every problem of form, and a family or kind of dish that is none (`D090`).
pub fn bench(files: &Files, catalogue: &Catalogue) -> Result<Bench, Problems> {
    let mut problems: Vec<Diagnostic> = vec![];
    let mut bench = Bench::default();
    let families = catalogue.families();
    let kinds = DishKind::ALL
        .iter()
        .map(|(_, word)| *word)
        .collect::<Vec<_>>();
    let columns = ["family", "step_g", "source"];
    if let Some(t) = table(files, "data/bench/scales.csv", &columns, &mut problems) {
        for r in &t.records {
            let family = t.own(r, "family");
            if !family.is_empty() && !families.contains(&family.as_str()) {
                let message = format!("`{family}` is no family");
                let near = nearest(&family, families.iter().copied());
                let help = near.map_or("one of the families".into(), |n| format!("`{n}` is near"));
                let problem = t.cell_problem("D090", r, "family", message);
                problems.push(problem.help(help));
            }
            if let Some(step) = t.number(r, "step_g", &mut problems) {
                bench.scales.push(Scale { family, step });
            }
        }
    }
    let columns = ["kind", "what", "unit", "source"];
    if let Some(t) = table(files, "data/bench/measures.csv", &columns, &mut problems) {
        for r in &t.records {
            let kind = t.own(r, "kind");
            if !kind.is_empty() && !kinds.contains(&kind.as_str()) {
                let message = format!("`{kind}` is no kind of dish");
                let problem = t.cell_problem("D090", r, "kind", message);
                problems.push(problem.help(format!("one of {}", kinds.join(", "))));
            }
            bench.measures.push(Measure {
                kind,
                what: t.own(r, "what"),
                unit: t.own(r, "unit"),
            });
        }
    }
    match problems.is_empty() {
        true => Ok(bench),
        false => Err(Problems(problems)),
    }
}
