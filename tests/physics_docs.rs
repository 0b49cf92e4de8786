//! Every public equation says what it is, in what units, where it holds and where it comes from.

#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;

/// The four labels, in the order in which they stand.
const LABELS: [&str; 4] = ["Equation:", "Units:", "Valid:", "Source:"];

/// Public functions that compute nothing: constructors, look-ups, and a second reading of an
/// equation that is documented beside them.
const NOT_EQUATIONS: &[&str] = &[
    "new",
    "id",
    "from_id",
    "index",
    "constants",
    "molar_mass",
    "origin",
    "glass",
    "solubility",
    "compatibility",
    "us_polyol",
    "add",
    "add_water",
    "add_of_molar_mass",
    "add_glucan",
    "add_osmolyte",
    "add_osmoles",
    "water_grams",
    "solid_grams",
    "frozen",
    "curve",
];

fn files() -> Vec<(String, String)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("src/physics");
    let mut files: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .map(|path| {
            (
                path.display().to_string(),
                fs::read_to_string(&path).unwrap(),
            )
        })
        .collect();
    files.sort();
    assert!(files.len() >= 12, "{}", files.len());
    files
}

fn sources() -> BTreeSet<String> {
    let mut reader = csv::Reader::from_reader(include_bytes!("literature/sources.csv").as_slice());
    reader
        .records()
        .map(|record| record.unwrap()[0].to_owned())
        .collect()
}

/// Public items with the comment above them.
fn items(text: &str) -> Vec<(String, String)> {
    let mut items = Vec::new();
    let mut comment = String::new();
    for line in text.lines().map(str::trim) {
        if let Some(words) = line.strip_prefix("///") {
            comment.push_str(words);
            comment.push('\n');
        } else if line.starts_with("#[") {
            // An attribute stands between a comment and its item.
        } else {
            if line.starts_with("pub ") {
                items.push((line.to_owned(), comment.clone()));
            }
            comment.clear();
        }
    }
    items
}

fn name_after<'a>(line: &'a str, keyword: &str) -> Option<&'a str> {
    let rest = line.split_once(keyword)?.1;
    rest.split(|c: char| !(c.is_alphanumeric() || c == '_'))
        .next()
}

/// The words of a text that look like source ids: lower case with a hyphen and ending in a number.
fn ids(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| !(c.is_ascii_alphanumeric() || c == '-' || c == '.'))
        .map(|word| word.trim_matches('.'))
        .filter(|word| {
            word.starts_with(|c: char| c.is_ascii_lowercase())
                && word.contains('-')
                && word.ends_with(|c: char| c.is_ascii_digit())
        })
}

#[test]
fn every_public_equation_carries_its_four_labels() {
    for (path, text) in files() {
        for (line, comment) in items(&text) {
            let Some(name) = name_after(&line, "fn ") else {
                continue;
            };
            if NOT_EQUATIONS.contains(&name) {
                continue;
            }
            let places: Vec<_> = LABELS.iter().map(|label| comment.find(label)).collect();
            assert!(
                places.iter().all(Option::is_some),
                "{path}: {name} lacks a label"
            );
            assert!(
                places.windows(2).all(|pair| pair[0] < pair[1]),
                "{path}: {name}, order"
            );
        }
    }
}

#[test]
fn every_source_label_names_a_listed_source() {
    let sources = sources();
    for (path, text) in files() {
        for (line, comment) in items(&text) {
            let Some((_, named)) = comment.split_once("Source:") else {
                continue;
            };
            let known = named
                .split(|c: char| !(c.is_ascii_alphanumeric() || c == '-' || c == '.'))
                .any(|word| sources.contains(word.trim_matches('.')))
                || named.contains("the origin of each");
            assert!(known, "{path}: {line}: {named}");
        }
    }
}

#[test]
fn every_public_number_names_its_source() {
    for (path, text) in files() {
        for (line, comment) in items(&text) {
            if line.contains("const ") && line.contains(": f64 =") {
                assert!(
                    comment.contains("Source:") || comment.contains("Exact"),
                    "{path}: {line}"
                );
            }
        }
    }
}

#[test]
fn every_id_in_the_code_is_listed() {
    let sources = sources();
    for (path, text) in files() {
        for line in text.lines() {
            let quoted = line.contains("origin") || line.contains('"') || line.contains("//");
            for id in ids(line).filter(|_| quoted) {
                // Not ids: a range or a temperature written with a hyphen.
                let ends_in_year_or_version = id.rsplit('-').next().is_some_and(|end| {
                    end.len() == 4 && end.starts_with(['1', '2']) || end.contains('.')
                });
                if ends_in_year_or_version {
                    assert!(sources.contains(id), "{path}: {id} in {line}");
                }
            }
        }
    }
}
