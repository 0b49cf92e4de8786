//! Where the text of the knowledge base comes from: the program itself, or a folder.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::path::Path;

use super::own::Own;
use super::plain;
use crate::diagnostic::{Diagnostic, Problems};

mod embedded {
    include!(concat!(env!("OUT_DIR"), "/embedded.rs"));
}

/// Between the version of the knowledge base and that of the own tables.
const OWN: &str = "-own-";

/// The text files of one knowledge base, by path below its root.
#[derive(Debug, Clone)]
pub struct Files {
    texts: BTreeMap<String, Cow<'static, str>>,
    /// Changes whenever any text changes.
    pub version: String,
    /// The person's own tables, laid over the rest.
    own: Option<Own>,
}

impl Files {
    /// The files the program was built with.
    pub fn embedded() -> Self {
        Files {
            texts: embedded::FILES
                .iter()
                .map(|(path, text)| (path.to_string(), Cow::Borrowed(*text)))
                .collect(),
            version: embedded::HASH.to_string(),
            own: None,
        }
    }

    /// The files below `root`, which must hold `data/` and `schema/`.
    ///
    /// Errors: `I001` for a folder or file that cannot be read or is not UTF-8.
    pub fn folder(root: &Path) -> Result<Self, Problems> {
        let mut texts = BTreeMap::new();
        let mut problems = vec![];
        for top in ["data", "schema"] {
            read(root, &root.join(top), &mut texts, &mut problems);
        }
        if problems.is_empty() {
            Ok(Files {
                texts,
                version: "folder".into(),
                own: None,
            })
        } else {
            Err(Problems(problems))
        }
    }

    /// The same files with one text replaced or added; for tests of the checks.
    pub fn with(mut self, path: &str, text: impl Into<String>) -> Self {
        self.texts.insert(path.to_string(), Cow::Owned(text.into()));
        self.version = "changed".into();
        self
    }

    /// The same with a person's own tables laid over.
    pub fn with_own(mut self, own: Own) -> Self {
        let (folder, texts) = own.stamps();
        self.version = format!("{}{OWN}{folder:016x}-{texts:016x}", self.version);
        self.own = Some(own);
        self
    }

    /// The person's own tables.
    pub fn own(&self) -> Option<&Own> {
        self.own.as_ref()
    }

    /// What the versions of these files with other texts in the same own folder begin with; `None`
    /// without own tables.
    pub fn own_versions(&self) -> Option<&str> {
        let (start, stamps) = self.version.split_once(OWN)?;
        let (folder, _) = stamps.split_once('-')?;
        Some(&self.version[..start.len() + OWN.len() + folder.len() + 1])
    }

    /// The text of one file.
    pub fn text(&self, path: &str) -> Option<&str> {
        let built_in = self.texts.get(path).map(|text| text.as_ref());
        built_in.or_else(|| self.own.as_ref()?.text(path))
    }

    /// Paths below `folder` with this ending, sorted.
    pub fn below<'a>(
        &'a self,
        folder: &'a str,
        ending: &'a str,
    ) -> impl Iterator<Item = (&'a str, &'a str)> + 'a {
        self.texts
            .iter()
            .filter(move |(path, _)| path.starts_with(folder) && path.ends_with(ending))
            .map(|(path, text)| (path.as_str(), text.as_ref()))
    }
}

fn read(
    root: &Path,
    folder: &Path,
    texts: &mut BTreeMap<String, Cow<'static, str>>,
    problems: &mut Vec<Diagnostic>,
) {
    let entries = match std::fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) => {
            problems.push(
                Diagnostic::new(
                    "I001",
                    folder.display().to_string(),
                    format!("cannot be read: {error}"),
                )
                .help("name a folder that holds `data/` and `schema/`"),
            );
            return;
        }
    };
    for path in entries.flatten().map(|entry| entry.path()) {
        if path.is_dir() {
            read(root, &path, texts, problems);
        } else if matches!(
            path.extension().and_then(|e| e.to_str()),
            Some("csv" | "toml")
        ) {
            let name = path
                .strip_prefix(root)
                .unwrap_or(&path)
                .to_string_lossy()
                .replace('\\', "/");
            match plain::opened(&path).and_then(std::io::read_to_string) {
                Ok(text) => {
                    texts.insert(name, Cow::Owned(text));
                }
                Err(error) => problems.push(
                    Diagnostic::new("I001", name, format!("cannot be read: {error}"))
                        .help("save the file as UTF-8"),
                ),
            }
        }
    }
}
