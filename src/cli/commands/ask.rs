//! `tamis ask`: a question in words.

use std::io::IsTerminal;
use std::path::PathBuf;

use crate::answer::Answer;
use crate::cli::session::Session;
use crate::cli::{formula_file, prompt};
use crate::diagnostic::{Diagnostic, Problems};
use crate::engine::fits;

/// Answer a question in words
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Examples:\n  tamis ask \"swap sugar keeping sweetness and lowering freezing point\" --in mix.csv\n  tamis ask \"why is my sorbet icy\" --in mix.csv\n  tamis ask    (a prompt, on a terminal)"
)]
pub struct Flags {
    /// The question, at most 2,000 characters
    pub words: Vec<String>,
    /// The formula it is about: a CSV file with the columns ingredient,grams, or the name of one that comes with the program
    #[arg(long = "in", value_name = "FORMULA.csv")]
    pub formula: Option<PathBuf>,
}

/// Answers a question, or opens a prompt on a terminal.
pub fn run(session: &Session, flags: &Flags) -> Result<u8, Problems> {
    let base = flags.formula.as_ref().map(|path| session.formula(path));
    let base = base.transpose()?;
    if flags.words.is_empty() {
        if std::io::stdin().is_terminal() {
            return prompt::run(session, base.as_ref());
        }
        return Err(Diagnostic::new("Q001", "question", "no question was asked")
            .help("such as tamis ask \"can I use agar instead of gelatin\"")
            .into());
    }
    let text = flags.words.join(" ");
    fits(&text)?;
    let (text, base) = match base {
        Some(base) => (text, Some(base)),
        None => formula_file::in_question(&session.engine, &text, session.args.batch)?,
    };
    let asked = session.engine.ask(&text, base.as_ref());
    session.answer(&Answer::Asked(Box::new(asked)))
}
