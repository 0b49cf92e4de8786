//! What each module may import, kept against the sources.
//!
//! Paths are read as text: `crate::module` wherever it stands outside a comment.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// Every module with the modules it imports. A module stands below all that it imports.
const LAYERS: &[(&str, &[&str])] = &[
    ("diagnostic", &[]),
    ("model", &[]),
    ("condition", &["diagnostic", "model"]),
    ("physics", &["model"]),
    ("names", &["diagnostic", "model", "physics"]),
    ("load", &["diagnostic", "model", "condition"]),
    ("index", &["diagnostic", "model"]),
    ("store", &["diagnostic", "model", "load", "index"]),
    (
        "formula",
        &[
            "diagnostic",
            "model",
            "condition",
            "physics",
            "names",
            "load",
        ],
    ),
    ("texture", &["model", "condition", "physics", "formula"]),
    (
        "swap",
        &["model", "condition", "physics", "formula", "texture"],
    ),
    ("query", &["diagnostic", "model", "condition", "names"]),
    ("answer", &["diagnostic", "model"]),
    ("label", &["model", "formula", "answer"]),
    (
        "engine",
        &[
            "diagnostic",
            "model",
            "condition",
            "physics",
            "names",
            "load",
            "index",
            "store",
            "formula",
            "texture",
            "swap",
            "query",
            "answer",
            "label",
        ],
    ),
    (
        "cli",
        &["diagnostic", "model", "load", "formula", "answer", "engine"],
    ),
];

/// Imports of which only these names are meant.
const NARROW: &[(&str, &str, &[&str])] = &[
    // Of a name only its letters and, for a syrup, its DE are judged; no problem is told here.
    ("names", "diagnostic", &["edit_distance"]),
    ("names", "physics", &["syrup"]),
    // The words of formula files stand in a table of the data; nothing else of the loader concerns it.
    ("formula", "load", &["Files", "Table"]),
    ("formula", "names", &["Names", "Outcome", "Taken"]),
    // A question knows a name by its words; what it means beyond that is the engine's affair.
    ("query", "names", &["syrup_named"]),
    ("engine", "names", &["Names", "Outcome", "Taken", "self"]),
    ("store", "load", &["Files", "self"]),
    ("store", "index", &["Index"]),
    ("engine", "load", &["Files", "check", "critical", "notes"]),
    ("cli", "load", &["Files", "Own", "TABLES", "opened"]),
];

fn sources() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

fn rust_files(folder: &Path, out: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("the sources are there") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            rust_files(&path, out);
        } else if path.extension().is_some_and(|e| e == "rs") {
            out.push(path);
        }
    }
    out.sort();
}

/// Module name and files of each module below `src/`.
fn modules() -> BTreeMap<String, Vec<PathBuf>> {
    let mut out = BTreeMap::new();
    for entry in std::fs::read_dir(sources()).expect("the sources are there") {
        let path = entry.expect("an entry").path();
        let name = path.file_stem().and_then(|s| s.to_str()).expect("a name");
        if matches!(name, "lib" | "main") {
            continue;
        }
        let mut files = vec![];
        if path.is_dir() {
            rust_files(&path, &mut files);
        } else {
            files.push(path.clone());
        }
        out.entry(name.to_string())
            .or_insert_with(Vec::new)
            .extend(files);
    }
    out
}

/// The text without comments.
fn code(path: &Path) -> String {
    let text = std::fs::read_to_string(path).expect("UTF-8");
    let bare = |line: &str| {
        let end = line.find("//").unwrap_or(line.len());
        line[..end].to_string()
    };
    text.lines().map(bare).collect::<Vec<_>>().join("\n")
}

/// Word of letters, digits and `_` that `text` starts with.
fn word(text: &str) -> &str {
    let end = text
        .find(|c: char| !c.is_alphanumeric() && c != '_')
        .unwrap_or(text.len());
    &text[..end]
}

/// Names behind `crate::module`: one, or those in braces.
fn names(rest: &str) -> Vec<String> {
    let Some(rest) = rest.strip_prefix("::") else {
        return vec!["self".into()];
    };
    match rest.strip_prefix('{') {
        Some(list) => list[..list.find('}').unwrap_or(list.len())]
            .split(',')
            .map(|n| word(n.trim()).to_string())
            .filter(|n| !n.is_empty())
            .collect(),
        None => vec![word(rest).to_string()],
    }
}

/// Module and name of every `crate::module::name` in a text.
fn imports(text: &str) -> Vec<(String, Vec<String>)> {
    text.match_indices("crate::")
        .filter(|(at, _)| !text[..*at].ends_with(|c: char| c.is_alphanumeric() || c == '_'))
        .map(|(at, path)| {
            let rest = &text[at + path.len()..];
            let module = word(rest);
            (module.to_string(), names(&rest[module.len()..]))
        })
        .collect()
}

fn allowed(module: &str) -> Option<&'static [&'static str]> {
    LAYERS.iter().find(|(m, _)| *m == module).map(|(_, a)| *a)
}

#[test]
fn every_module_has_its_layer_and_stands_above_what_it_imports() {
    let there: BTreeSet<String> = modules().into_keys().collect();
    let listed: BTreeSet<String> = LAYERS.iter().map(|(m, _)| m.to_string()).collect();
    assert_eq!(there, listed);
    let place = |m: &str| LAYERS.iter().position(|(name, _)| *name == m);
    for (module, imports) in LAYERS {
        for import in *imports {
            assert!(
                place(import) < place(module),
                "{module} imports {import}, which stands above it"
            );
        }
    }
}

#[test]
fn modules_import_only_what_their_layer_allows() {
    let mut wrong = vec![];
    for (module, files) in modules() {
        let allowed = allowed(&module).unwrap_or_default();
        for file in files {
            for (import, names) in imports(&code(&file)) {
                if import == module {
                    continue;
                }
                if !allowed.contains(&import.as_str()) {
                    wrong.push(format!("{}: crate::{import}", file.display()));
                }
                let narrow = NARROW
                    .iter()
                    .find(|(m, i, _)| *m == module && *i == import)
                    .map(|(.., names)| *names);
                for name in names {
                    if narrow.is_some_and(|n| !n.contains(&name.as_str())) {
                        wrong.push(format!("{}: crate::{import}::{name}", file.display()));
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "not allowed:\n{}", wrong.join("\n"));
}

#[test]
fn no_layer_is_allowed_more_than_it_uses() {
    let mut idle = vec![];
    let files = modules();
    for (module, allowed) in LAYERS {
        let used: BTreeSet<String> = files[*module]
            .iter()
            .flat_map(|file| imports(&code(file)))
            .map(|(import, _)| import)
            .collect();
        let unused = allowed.iter().filter(|a| !used.contains(**a));
        idle.extend(unused.map(|a| format!("{module} no longer imports {a}")));
    }
    assert!(idle.is_empty(), "tighten the table:\n{}", idle.join("\n"));
}

#[test]
fn imports_are_written_so_that_they_can_be_read_here() {
    let mut wrong = vec![];
    for file in modules().into_values().flatten() {
        let text = code(&file);
        let (body, _) = text.split_once("#[cfg(test)]").unwrap_or((&text, ""));
        let top = file.parent() == Some(&sources()) || file.ends_with("mod.rs");
        for pattern in ["crate::{", "use crate;", "crate as ", "super::super::super"] {
            if text.contains(pattern) {
                wrong.push(format!("{}: {pattern}", file.display()));
            }
        }
        // From the root of a module `super` is the crate, past this test.
        if top && body.contains("super::") {
            wrong.push(format!("{}: super::", file.display()));
        }
        if !top && body.contains("super::super") {
            wrong.push(format!("{}: super::super", file.display()));
        }
    }
    assert!(
        wrong.is_empty(),
        "write crate::module::name:\n{}",
        wrong.join("\n")
    );
}
