//! Texts with the kind of question each is, to train the reader's prior on: the labelled questions, the
//! requests of the blind lists learned from, those of `requests.csv`, written for this, and the examples of
//! the frames.

use std::collections::BTreeSet;
use std::path::Path;

use tamis::query::Example;

/// Lists of requests that were learned from, and what their kinds are called here; the others are mixed.
const LISTS: [&str; 3] = ["requests", "requests-third", "requests-fourth"];
const CALLED: [(&str, &str); 4] = [
    ("swap", "swap"),
    ("adjust", "adjust"),
    ("fault", "diagnose"),
    ("process", "how-to"),
];
/// The kinds of the labels that are called otherwise.
const LABELLED: [(&str, &str); 2] = [("find", "search"), ("legal", "law")];

/// All examples, each text once.
pub fn examples() -> Vec<Example> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests");
    let mut all = vec![];
    let questions = std::fs::read_dir(root.join("questions")).expect("the questions");
    let mut paths: Vec<_> = questions
        .map(|entry| entry.expect("a file").path())
        .collect();
    paths.sort();
    for path in paths
        .iter()
        .filter(|p| p.extension().is_some_and(|e| e == "csv"))
    {
        for row in rows(path) {
            if let Some(kind) = labelled(&row[3]) {
                all.push((row[2].to_string(), kind, false));
            }
        }
    }
    for list in LISTS {
        for row in rows(&root.join("blind").join(list).join("cases.csv")) {
            let called = CALLED.iter().find(|(kind, _)| *kind == &row[3]);
            all.extend(
                called.map(|(_, kind)| (row[2].to_string(), kind.to_string(), !row[1].is_empty())),
            );
        }
    }
    for row in rows(&root.join("kinds/requests.csv")) {
        all.push((row[0].to_string(), row[1].to_string(), &row[2] == "yes"));
    }
    for row in rows(&root.join("../data/grammar/frames.csv")) {
        let (text, canonical) = (&row[6], &row[7]);
        let kind = labelled(canonical).filter(|_| !text.is_empty());
        all.extend(kind.map(|kind| (text.to_string(), kind, false)));
    }
    let mut said = BTreeSet::new();
    all.retain(|(text, ..)| said.insert(text.to_lowercase()));
    let examples = all.into_iter();
    examples
        .map(|(text, kind, scene)| Example { text, scene, kind })
        .collect()
}

fn rows(path: &Path) -> Vec<csv::StringRecord> {
    let reader = csv::Reader::from_path(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    reader
        .into_records()
        .map(|row| row.expect("a row"))
        .collect()
}

/// The kind a label begins with; a batch alone is a kind of its own. `None` where it asks back.
fn labelled(label: &str) -> Option<String> {
    let first = label.split(['/', '&']).next()?.trim();
    let word = first.split([' ', ';']).next()?;
    let called = LABELLED.iter().find(|(said, _)| *said == word);
    let kind = called.map_or(word, |(_, kind)| kind);
    Some(match first.starts_with("adjust scale") {
        true => "scale".to_string(),
        false => kind.to_string(),
    })
}
