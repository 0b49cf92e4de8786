//! A formula named on the command line: a file in any form, a built-in one, or standard input.

use std::io::{BufRead, IsTerminal, Read, Write};
use std::path::Path;

use super::writer::save;
use crate::diagnostic::{Diagnostic, Problems};
use crate::engine::{Engine, ReadOptions};
use crate::formula::{Formula, LARGEST};
use crate::load::opened;
use crate::model::fold;

/// Reads the formula a person named. On a terminal a name that can mean several things is asked for.
///
/// Errors: what cannot be read, and every problem of the formula.
pub(super) fn read(engine: &Engine, path: &Path, batch: Option<f64>) -> Result<Formula, Problems> {
    let written = path.display().to_string();
    let (name, sheet) = parted(&written);
    let bytes = bytes(engine, name)?;
    let mut options = ReadOptions {
        sheet,
        batch,
        ..ReadOptions::default()
    };
    loop {
        match engine.formula_with(name, &bytes, &options) {
            Ok(formula) => return Ok(formula),
            Err(problems) if name != "-" && at_terminal() => {
                if !choose(engine, &problems, &mut options)? {
                    return Err(problems);
                }
                offer_to_write(engine, name, &bytes, &problems, &options)?;
            }
            Err(problems) => return Err(problems),
        }
    }
}

/// `mix.xlsx#Base` is the sheet `Base` of `mix.xlsx`.
fn parted(written: &str) -> (&str, Option<String>) {
    match written.rsplit_once('#') {
        Some((file, sheet)) if !Path::new(written).exists() && !sheet.is_empty() => {
            (file, Some(sheet.to_string()))
        }
        _ => (written, None),
    }
}

fn bytes(engine: &Engine, name: &str) -> Result<Vec<u8>, Problems> {
    // One byte more than the largest formula tells that a file is too large, without reading it all.
    let most = LARGEST as u64 + 1;
    let mut bytes = vec![];
    let read = match name {
        "-" => std::io::stdin().take(most).read_to_end(&mut bytes),
        _ => opened(Path::new(name)).and_then(|file| file.take(most).read_to_end(&mut bytes)),
    };
    let Err(error) = read else { return Ok(bytes) };
    // A formula that comes with the program is known by its name.
    let wanted = fold(name.trim_end_matches(".csv"));
    let built_in = engine.shipped().find(|(known, _)| fold(known) == wanted);
    if let (Some((_, text)), std::io::ErrorKind::NotFound) = (built_in, error.kind()) {
        return Ok(text.as_bytes().to_vec());
    }
    let known: Vec<&str> = engine.shipped().map(|(known, _)| known).collect();
    let problem = Diagnostic::new("I001", name, format!("cannot be read: {error}"));
    Err(problem
        .help(format!(
            "name a file with a line per ingredient, or one of {}",
            known.join(", ")
        ))
        .into())
}

fn at_terminal() -> bool {
    std::io::stdin().is_terminal() && std::io::stderr().is_terminal()
}

/// Asks a line at the terminal; empty where nothing was typed.
fn asked(question: &str) -> String {
    let mut out = anstream::stderr().lock();
    let _ = write!(out, "{question}");
    let _ = out.flush();
    let mut answer = String::new();
    let read = std::io::stdin().lock().read_line(&mut answer);
    read.map_or(String::new(), |_| answer.trim().to_string())
}

/// Offers to write what was chosen into the file, in place of the names that can mean several things.
/// Only a text file is offered, and only its lines that were asked about are touched.
///
/// Errors: what writing says.
fn offer_to_write(
    engine: &Engine,
    name: &str,
    bytes: &[u8],
    problems: &Problems,
    options: &ReadOptions,
) -> Result<(), Problems> {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return Ok(());
    };
    if !Path::new(name).is_file() || asked(&format!("Write this into {name}? [y/N] ")) != "y" {
        return Ok(());
    }
    let mut lines: Vec<String> = text.split_inclusive('\n').map(str::to_string).collect();
    for problem in &problems.0 {
        let typed = problem.message.split('`').nth(1).unwrap_or_default();
        let key = options.picks.get(&fold(typed));
        let line = lines.get_mut(problem.place.line.saturating_sub(1));
        if let (Some(key), Some(line)) = (key, line) {
            *line = line.replacen(typed, &engine.catalogue.ingredient(*key).id, 1);
        }
    }
    save(Path::new(name), &[], &lines.concat())
}

/// Asks which of several things each name means; whether anything was chosen.
fn choose(
    engine: &Engine,
    problems: &Problems,
    options: &mut ReadOptions,
) -> Result<bool, Problems> {
    let others = problems.0.iter().any(|problem| problem.choices.is_empty());
    if others {
        return Ok(false);
    }
    let mut chosen = false;
    for problem in &problems.0 {
        let typed = problem.message.split('`').nth(1).unwrap_or_default();
        if options.picks.contains_key(&fold(typed)) {
            continue;
        }
        let mut question = format!("{}\n", problem.message);
        for (n, choice) in problem.choices.iter().enumerate() {
            question.push_str(&format!("  {}  {}\n", n + 1, choice.name));
        }
        question.push_str("Which? ");
        let number = asked(&question).parse::<usize>().ok();
        let choice = number.and_then(|n| problem.choices.get(n.checked_sub(1)?));
        let Some(key) = choice.and_then(|choice| engine.catalogue.key(&choice.id)) else {
            return Ok(false);
        };
        options.picks.insert(fold(typed), key);
        chosen = true;
    }
    Ok(chosen)
}

/// Words before the name of a formula that only lead to it.
const LEADING: [&str; 9] = ["in", "for", "of", "to", "from", "into", "the", "my", "our"];
/// Endings of files that may be formulas.
const ENDINGS: [&str; 6] = [".csv", ".txt", ".tsv", ".xlsx", ".xls", ".ods"];

/// A question without the formula it names, and that formula: a file of the current folder or one
/// that comes with the program, as in `swap the milk in hazelnut-gelato`.
///
/// Errors: every problem of the formula.
pub(super) fn in_question(
    engine: &Engine,
    text: &str,
    batch: Option<f64>,
) -> Result<(String, Option<Formula>), Problems> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let bare = |word: &str| {
        word.trim_matches(['?', ',', ';', '!', '"', '\''])
            .to_string()
    };
    let is_file = |word: &str| {
        let ends = |ending: &&str| word.to_lowercase().ends_with(*ending);
        ENDINGS.iter().any(ends) && Path::new(word).is_file()
    };
    let known: Vec<(String, usize)> = engine
        .shipped()
        .map(|(name, _)| (fold(name), name.split('-').count()))
        .collect();
    for start in 0..words.len() {
        let named = known.iter().find_map(|(name, count)| {
            // `hazelnut-gelato` is one word, `hazelnut gelato` two.
            let spans = [1, *count].into_iter().filter(|n| start + n <= words.len());
            spans.into_iter().find_map(|n| {
                let span = words[start..start + n].iter().map(|w| bare(w));
                let span = span.collect::<Vec<_>>().join(" ");
                (fold(&span) == *name).then(|| (name.replace(' ', "-"), n))
            })
        });
        let file = is_file(&bare(words[start])).then(|| (bare(words[start]), 1));
        let Some((name, taken)) = file.or(named) else {
            continue;
        };
        let formula = read(engine, Path::new(&name), batch)?;
        let mut before = start;
        while before > 0 && LEADING.contains(&words[before - 1].to_lowercase().as_str()) {
            before -= 1;
        }
        let rest = words[..before].iter().chain(&words[start + taken..]);
        return Ok((rest.copied().collect::<Vec<_>>().join(" "), Some(formula)));
    }
    Ok((text.to_string(), None))
}
