//! One run of the program: what was typed, and the engine opened for it.

use std::path::{Path, PathBuf};

use serde::Serialize;

use super::args::{Args, Command};
use super::page::Page;
use super::refusal::Refusal;
use super::writer::write;
use super::{formula_file, keep, own, print, progress};
use crate::answer::Answer;
use crate::diagnostic::Problems;
use crate::engine::{Engine, versions};
use crate::formula::Formula;
use crate::load::Files;

/// What was typed, and the engine opened for it.
pub struct Session<'a> {
    /// What was typed.
    pub args: &'a Args,
    /// Answers.
    pub engine: Engine,
}

impl<'a> Session<'a> {
    /// Opens the engine on the data that the arguments name.
    ///
    /// Errors: every problem of the data.
    pub fn open(args: &'a Args) -> Result<Self, Refusal> {
        let (files, cache) = match data_folder(args) {
            Some(folder) => (Files::folder(folder).map_err(Refusal::unread)?, None),
            None => (Files::embedded(), cache_folder()),
        };
        let versions = versions(Some(&files));
        let engine = own::open(args, files, cache.as_deref())
            .map_err(|problems| Refusal { problems, versions })?;
        let engine = match progress::watch() {
            Some(watch) => engine.watched(watch),
            None => engine,
        };
        Ok(Session { args, engine })
    }

    /// The formula a person named.
    ///
    /// Errors: what cannot be read, and every problem of the formula.
    pub fn formula(&self, path: &Path) -> Result<Formula, Problems> {
        formula_file::read(&self.engine, path, self.args.batch)
    }

    /// Gives an answer: its formula kept where that is asked, then JSON or text; the exit code.
    ///
    /// Errors: what writing says.
    pub fn answer(&self, answer: &Answer) -> Result<u8, Problems> {
        self.give(answer, |page| print::answer(page, answer, self.args.why))
    }

    /// The same, with a text of the command's own.
    ///
    /// Errors: what writing says.
    pub fn give(&self, answer: &Answer, text: impl FnOnce(&mut Page)) -> Result<u8, Problems> {
        if let Some(path) = &self.args.write {
            keep::write(self.args, path, answer)?;
        }
        self.tell(answer, text)?;
        Ok(answer.exit_code())
    }

    /// Prints an answer as JSON or as text.
    fn tell(&self, answer: &Answer, text: impl FnOnce(&mut Page)) -> Result<(), Problems> {
        if self.args.json {
            return write(&json(&self.engine.stamped(answer)));
        }
        let mut page = Page::new();
        text(&mut page);
        if let (true, Some(folder)) = (print::rests_on_own_data(answer), self.engine.own()) {
            page.gap();
            page.labelled("own data: ", folder);
        }
        write(&page.text())
    }

    /// Problems with the versions of the data they arose on.
    pub fn refused(&self, problems: Problems) -> Refusal {
        Refusal {
            problems,
            versions: self.engine.versions(),
        }
    }
}

/// The folder of data that is named in place of what is built in.
fn data_folder(args: &Args) -> Option<&PathBuf> {
    match &args.command {
        Command::Check(flags) => args.data.as_ref().or(flags.folder.as_ref()),
        _ => args.data.as_ref(),
    }
}

/// `TAMIS_CACHE`, else the person's cache folder of the system.
fn cache_folder() -> Option<PathBuf> {
    if let Some(folder) = std::env::var_os("TAMIS_CACHE") {
        return (!folder.is_empty()).then(|| PathBuf::from(folder));
    }
    directories::ProjectDirs::from("", "", "tamis").map(|dirs| dirs.cache_dir().to_path_buf())
}

/// As JSON, indented, with a line end.
pub fn json(answer: &impl Serialize) -> String {
    serde_json::to_string_pretty(answer)
        .map(|text| text + "\n")
        .unwrap_or_default()
}
