//! `data/fats.csv`: whose curve stands for the fat of an origin.

use super::assemble::table;
use super::files::Files;
use crate::diagnostic::{Diagnostic, Problems, nearest};
use crate::model::{Catalogue, FatOrigin};

/// Reads the fats by origin, in the order they are looked for.
///
/// Errors: an ingredient or a source that is none.
pub fn fats(files: &Files, catalogue: &Catalogue) -> Result<Vec<FatOrigin>, Problems> {
    let mut problems: Vec<Diagnostic> = vec![];
    let mut fats = vec![];
    let columns = ["origin", "ingredient", "source", "note"];
    if let Some(t) = table(files, "data/fats.csv", &columns, &mut problems) {
        for r in &t.records {
            let (id, source) = (t.get(r, "ingredient"), t.get(r, "source"));
            if catalogue.key(id).is_none() {
                let ids = catalogue.ingredients.iter().map(|i| i.id.as_str());
                let near = nearest(id, ids).map(|n| format!("the nearest id is `{n}`"));
                let message = format!("no ingredient has the id `{id}`");
                problems.push(
                    t.cell_problem("D011", r, "ingredient", message)
                        .help_opt(near),
                );
            }
            if !catalogue.sources.contains_key(source) {
                let message = format!("no source has the id `{source}`");
                problems.push(
                    t.cell_problem("D012", r, "source", message)
                        .help("write memory, common-practice, or an id of data/sources.csv"),
                );
            }
            fats.push(FatOrigin {
                origin: t.own(r, "origin"),
                stands_in: id.to_string(),
            });
        }
    }
    match problems.is_empty() {
        true => Ok(fats),
        false => Err(Problems(problems)),
    }
}
