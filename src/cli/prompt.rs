//! A prompt with history and completion, for `tamis ask` without words on a terminal.

use std::io::Write as _;

use rustyline::completion::{Completer, Pair};
use rustyline::error::ReadlineError;
use rustyline::history::DefaultHistory;
use rustyline::{CompletionType, Config, Context, Editor, Helper, Highlighter, Hinter, Validator};

use crate::answer::Answer;
use crate::diagnostic::{Diagnostic, Problems};
use crate::engine::{Engine, fits};
use crate::formula::Formula;

/// Candidates offered at once.
const OFFERED: usize = 12;

#[derive(Helper, Highlighter, Hinter, Validator)]
struct Names {
    names: Vec<String>,
}

impl Completer for Names {
    type Candidate = Pair;

    fn complete(
        &self,
        line: &str,
        position: usize,
        _: &Context<'_>,
    ) -> rustyline::Result<(usize, Vec<Pair>)> {
        // Names have spaces: the longest run of words before the cursor that begins a name counts.
        let typed = &line[..position];
        let starts = std::iter::once(0).chain(typed.match_indices(' ').map(|(at, _)| at + 1));
        for start in starts {
            let begun = typed[start..].to_lowercase();
            let found: Vec<Pair> = self
                .names
                .iter()
                .filter(|name| !begun.is_empty() && name.to_lowercase().starts_with(&begun))
                .take(OFFERED)
                .map(|name| Pair {
                    display: name.clone(),
                    replacement: name.clone(),
                })
                .collect();
            if !found.is_empty() {
                return Ok((start, found));
            }
        }
        Ok((position, vec![]))
    }
}

/// Asks and answers until the person leaves.
pub fn run(
    engine: &Engine,
    formula: Option<&Formula>,
    json: bool,
    why: bool,
) -> Result<u8, Problems> {
    let failed =
        |error: ReadlineError| Problems::from(Diagnostic::new("I004", "prompt", error.to_string()));
    let mut names: Vec<String> = engine
        .catalogue
        .ingredients
        .iter()
        .flat_map(|i| [i.id.clone(), i.name.clone()])
        .collect();
    names.extend(engine.catalogue.properties.iter().map(|p| p.id.clone()));
    names.sort();
    names.dedup();
    let listing = Config::builder()
        .completion_type(CompletionType::List)
        .build();
    let mut editor: Editor<Names, DefaultHistory> = Editor::with_config(listing).map_err(failed)?;
    editor.set_helper(Some(Names { names }));
    let history = engine
        .folder
        .as_ref()
        .and_then(|f| f.parent())
        .map(|f| f.join("history"));
    if let Some(path) = &history {
        let _ = editor.load_history(path);
    }
    super::write("Ask, or leave with Ctrl-D. Tab completes names.\n")?;
    loop {
        match editor.readline("tamis> ") {
            Ok(line) if line.trim().is_empty() => {}
            Ok(line) if matches!(line.trim(), "quit" | "exit") => break,
            Ok(line) => {
                let _ = editor.add_history_entry(&line);
                if let Some(path) = &history {
                    let _ = editor.save_history(path);
                }
                if let Err(long) = fits(&line) {
                    let _ = writeln!(anstream::stderr(), "{long}");
                    continue;
                }
                let (line, named) = match super::formula_file::in_question(engine, &line, None) {
                    Ok(read) => read,
                    Err(problems) => {
                        let _ = writeln!(anstream::stderr(), "{problems}");
                        continue;
                    }
                };
                let answer = Answer::Asked(Box::new(engine.ask(&line, named.as_ref().or(formula))));
                let text = if json {
                    super::json(&engine.stamped(&answer))
                } else {
                    let mut page = super::page::Page::new();
                    super::print(&mut page, &answer, why);
                    page.text()
                };
                super::write(&text)?;
            }
            // Ctrl-C drops the line, Ctrl-D leaves.
            Err(ReadlineError::Interrupted) => {}
            Err(ReadlineError::Eof) => break,
            Err(error) => return Err(failed(error)),
        }
    }
    Ok(0)
}
