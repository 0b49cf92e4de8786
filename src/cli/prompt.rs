//! A prompt with history and completion, for `tamis ask` without words on a terminal.

use rustyline::completion::{Completer, Pair};
use rustyline::error::ReadlineError;
use rustyline::history::DefaultHistory;
use rustyline::{CompletionType, Config, Context, Editor, Helper, Highlighter, Hinter, Validator};

use super::formula_file;
use super::session::Session;
use super::writer::write;
use crate::answer::Answer;
use crate::diagnostic::{Diagnostic, Problems};
use crate::engine::fits;
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
///
/// Errors: `I004` where the terminal fails, and what writing says.
pub fn run(session: &Session, formula: Option<&Formula>) -> Result<u8, Problems> {
    let failed =
        |error: ReadlineError| Problems::from(Diagnostic::new("I004", "prompt", error.to_string()));
    let engine = &session.engine;
    let listing = Config::builder()
        .completion_type(CompletionType::List)
        .build();
    let mut editor: Editor<Names, DefaultHistory> = Editor::with_config(listing).map_err(failed)?;
    editor.set_helper(Some(Names {
        names: engine.known_names(),
    }));
    let beside = engine.folder.as_ref().and_then(|f| f.parent());
    let history = beside.map(|folder| folder.join("history"));
    if let Some(path) = &history {
        let _ = editor.load_history(path);
    }
    write("Ask, or leave with Ctrl-D. Tab completes names.\n")?;
    loop {
        match editor.readline("tamis> ") {
            Ok(line) if line.trim().is_empty() => {}
            Ok(line) if matches!(line.trim(), "quit" | "exit") => break,
            Ok(line) => {
                let _ = editor.add_history_entry(&line);
                if let Some(path) = &history {
                    let _ = editor.save_history(path);
                }
                if let Err(problems) = answer(session, &line, formula) {
                    session.refused(problems).tell(session.args.json);
                }
            }
            // Ctrl-C drops the line, Ctrl-D leaves.
            Err(ReadlineError::Interrupted) => {}
            Err(ReadlineError::Eof) => break,
            Err(error) => return Err(failed(error)),
        }
    }
    Ok(0)
}

/// Answers one line, on the formula it names or the one in hand.
fn answer(session: &Session, line: &str, formula: Option<&Formula>) -> Result<u8, Problems> {
    fits(line)?;
    let (line, named) = formula_file::in_question(&session.engine, line, None)?;
    let asked = session.engine.ask(&line, named.as_ref().or(formula));
    session.answer(&Answer::Asked(Box::new(asked)))
}
