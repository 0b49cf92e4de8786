//! Keeping the formula of an option as a file.

use std::path::Path;

use super::args::Args;
use super::writer::{inputs, save};
use crate::answer::{Amount, Answer, SwapOut};
use crate::diagnostic::{Diagnostic, Problems};
use crate::formula::weighed;

/// Writes the formula an answer offers; a file that is there stays unless the person said otherwise.
///
/// Errors: `K001` where the answer offers no formula or not so many, `K002` where the file is there,
/// and what writing says.
pub(super) fn write(args: &Args, path: &Path, answer: &Answer) -> Result<(), Problems> {
    let lines = offered(answer, args.option)?;
    if path.exists() && !args.overwrite {
        let message = "the file is there and stays as it is";
        return Err(Diagnostic::new("K002", path.display().to_string(), message)
            .help("name another file, or add --overwrite")
            .into());
    }
    save(path, &inputs(args), &csv(lines))
}

/// The lines of the option with this number, from 1; of an assessment its own.
fn offered(answer: &Answer, option: usize) -> Result<&[Amount], Problems> {
    let none = |message: String, help: &str| {
        Problems::from(Diagnostic::new("K001", "--write", message).help(help))
    };
    let of = |swap: &SwapOut| swap.options.len();
    let swap = match answer {
        Answer::Assessment(assessment) => return Ok(&assessment.formula),
        Answer::Formula(formula) => return Ok(&formula.formula),
        Answer::Swap(swap) => Some(swap),
        Answer::Asked(asked) => asked.swap.as_ref(),
        _ => None,
    };
    let Some(swap) = swap.filter(|swap| of(swap) > 0) else {
        return Err(none(
            "the answer has no formula to keep".into(),
            "ask for a swap or a change of a formula",
        ));
    };
    match swap.options.iter().find(|o| o.rank == option) {
        Some(found) => Ok(&found.formula),
        None => Err(none(
            format!("there is no option {option}"),
            &format!("--option takes 1 to {}", of(swap)),
        )),
    }
}

/// As a formula file that is read back as it stands.
pub(super) fn csv(lines: &[Amount]) -> String {
    let rows = lines
        .iter()
        .map(|a| format!("{},{}\n", a.id, weighed(a.grams)));
    std::iter::once("ingredient,grams\n".to_string())
        .chain(rows)
        .collect()
}
