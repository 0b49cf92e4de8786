//! The text of every problem that reading the data can report, against `tests/errors/D*.txt`.
//!
//! A file there holds what is done to the shipped data, `---`, and the expected text.

use std::collections::BTreeSet;
use std::path::PathBuf;

use tamis::diagnostic::Problems;
use tamis::load::{CHECKS, Files, Own, catalogue};

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/errors")
}

/// Code and text of every golden file, sorted.
fn golden() -> Vec<(String, String)> {
    let mut found: Vec<(String, String)> = std::fs::read_dir(folder())
        .expect("the folder is there")
        .map(|entry| entry.expect("a readable entry").path())
        .filter_map(|path| {
            let code = path.file_stem()?.to_str()?.to_string();
            let ours = code.starts_with('D') && path.extension()? == "txt";
            ours.then(|| (code, std::fs::read_to_string(&path).expect("UTF-8")))
        })
        .collect();
    found.sort();
    found
}

/// The shipped files after the change a golden file describes in its first line.
fn changed(input: &str) -> Result<Files, Problems> {
    let (order, text) = input.split_once('\n').unwrap_or((input, ""));
    let files = Files::embedded();
    Ok(match order.split_once(' ') {
        // Own tables, each below its name.
        Some(("own", folder)) => {
            let tables: Vec<(&str, &str)> = text
                .split("== ")
                .filter_map(|block| block.split_once('\n'))
                .collect();
            files.with_own(Own::of(folder, &tables)?)
        }
        // Below the header, so that the line number does not move with the data.
        Some(("insert", path)) => {
            let whole = files.text(path).unwrap_or_default().to_string();
            let (header, rest) = whole.split_once('\n').expect("a header");
            files.with(path, format!("{header}\n{text}{rest}"))
        }
        Some(("replace", path)) => files.with(path, text),
        Some(("without", path)) => {
            let root = tempfile::tempdir().expect("a folder to write to");
            for folder in ["data", "schema"] {
                for (name, text) in files.below(folder, "") {
                    let file = root.path().join(name);
                    std::fs::create_dir_all(file.parent().expect("a parent")).expect("writable");
                    if name != path {
                        std::fs::write(file, text).expect("writable");
                    }
                }
            }
            Files::folder(root.path()).unwrap_or_else(|problems| panic!("{problems}"))
        }
        _ => panic!("`{order}` is neither insert, replace, without nor own"),
    })
}

#[test]
fn problems_read_as_written_down() {
    let mut differ = String::new();
    for (code, text) in golden() {
        let (input, expected) = text.split_once("---\n").expect("input --- expected");
        let read = changed(input).and_then(|files| catalogue(&files));
        let problems = read.expect_err("a problem");
        let told = problems
            .0
            .iter()
            .find(|problem| problem.code == code)
            .unwrap_or_else(|| panic!("{code} is not reported: {problems}"));
        if format!("{told}\n") != expected {
            differ += &format!("=== {code}\n{told}\n");
        }
    }
    assert!(differ.is_empty(), "reported otherwise:\n{differ}");
}

#[test]
fn no_code_lacks_a_golden_text() {
    let source = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("src/load");
    let mut codes = BTreeSet::new();
    for entry in std::fs::read_dir(source).expect("the sources are there") {
        let path = entry.expect("an entry").path();
        if path.ends_with("siblings.rs") {
            // What it tells are notes, no problems; `tests/rules.rs` keeps them.
            continue;
        }
        let text = std::fs::read_to_string(path).expect("UTF-8");
        for (at, _) in text.match_indices("\"D0") {
            let code = &text[at + 1..at + 5];
            if code[1..].chars().all(|c| c.is_ascii_digit()) {
                codes.insert(code.to_string());
            }
        }
    }
    for (code, ..) in CHECKS {
        codes.remove(*code);
    }
    let golden: BTreeSet<String> = golden().into_iter().map(|(code, _)| code).collect();
    assert_eq!(codes, golden);
}

#[test]
fn every_problem_offers_a_way_out() {
    for (code, text) in golden() {
        let (_, expected) = text.split_once("---\n").expect("input --- expected");
        assert!(expected.contains("= help: "), "{code}");
    }
}
