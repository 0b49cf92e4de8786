//! Questions in a cook's words, each with the one reading a sensible cook means.
//!
//! `tests/questions/*.csv` holds them by kind. A question is right when its canonical form is the
//! label's, letter by letter. Ids ending in 3, 6 or 9 are held out: never used to improve the reader.

use std::collections::BTreeMap;
use std::path::Path;
use std::time::Instant;

use tamis::load::{self, Files};
use tamis::model::Catalogue;
use tamis::query::{Read, print, read};

/// Least share of questions read exactly, and the promise of the reader.
const LEAST_ACCURACY: f64 = 0.95;

struct Labelled {
    id: String,
    kind: String,
    text: String,
    canonical: String,
}

impl Labelled {
    fn held_out(&self) -> bool {
        self.id.ends_with(['3', '6', '9'])
    }
}

fn catalogue() -> Catalogue {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let files = Files::folder(root).expect("the data can be read");
    load::catalogue(&files).expect("the data is sound")
}

fn questions() -> Vec<Labelled> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/questions");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .expect("the questions are there")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "csv"))
        .collect();
    paths.sort();
    let mut out = vec![];
    for path in paths {
        let mut rows = csv::Reader::from_path(&path).expect("a table");
        for row in rows.records() {
            let row = row.expect("a row");
            out.push(Labelled {
                id: row[0].to_string(),
                kind: row[1].to_string(),
                text: row[2].to_string(),
                canonical: row[3].to_string(),
            });
        }
    }
    out
}

/// What came of a question: `ask`, `nothing`, or the canonical form.
fn outcome(read: &Read) -> String {
    match read {
        Read::One(reading) => print(&reading.question),
        Read::Several { .. } => "ask".to_string(),
        Read::Nothing { .. } => "nothing".to_string(),
    }
}

#[test]
fn questions_are_read_exactly_or_asked_back() {
    let catalogue = catalogue();
    let questions = questions();
    let mut scores: BTreeMap<(bool, String), (usize, usize)> = BTreeMap::new();
    let mut misread = vec![];
    let mut wrong = 0;
    for question in &questions {
        let read = read(&question.text, &catalogue);
        let came = outcome(&read);
        let right = came == question.canonical;
        let score = scores
            .entry((question.held_out(), question.kind.clone()))
            .or_default();
        score.0 += usize::from(right);
        score.1 += 1;
        if right {
            continue;
        }
        wrong += 1;
        let hidden = question.held_out() && std::env::var_os("SHOW_HELD_OUT").is_none();
        let line = if hidden {
            format!("{} (held out)", question.id)
        } else {
            format!(
                "{} `{}`\n    meant {}\n    read  {came}",
                question.id, question.text, question.canonical
            )
        };
        println!("{line}");
        if matches!(read, Read::One(_)) {
            misread.push(question.id.clone());
        }
    }
    let mut totals: BTreeMap<bool, (usize, usize)> = BTreeMap::new();
    for ((held_out, kind), (right, all)) in &scores {
        let set = if *held_out { "held out" } else { "tuned on" };
        println!("{set}  {kind:<10} {right}/{all}");
        let total = totals.entry(*held_out).or_default();
        total.0 += right;
        total.1 += all;
    }
    for (held_out, (right, all)) in &totals {
        let set = if *held_out { "held out" } else { "tuned on" };
        let percent = 100.0 * *right as f64 / *all as f64;
        println!("{set}  all        {right}/{all} = {percent:.1} %");
    }
    println!("read in silence and wrong: {misread:?}");
    assert!(questions.len() >= 300, "{} questions", questions.len());
    let accuracy = 1.0 - wrong as f64 / questions.len() as f64;
    assert!(accuracy >= LEAST_ACCURACY, "{accuracy:.3}");
    assert!(misread.is_empty(), "wrong and not asked back: {misread:?}");
}

/// Run with `cargo test --release --test questions -- --ignored --nocapture`.
#[test]
#[ignore = "prints times, which no test asserts"]
fn time_per_question() {
    let catalogue = catalogue();
    let questions = questions();
    let mut micros: Vec<u128> = questions
        .iter()
        .map(|question| {
            let start = Instant::now();
            std::hint::black_box(read(&question.text, &catalogue));
            start.elapsed().as_micros()
        })
        .collect();
    micros.sort_unstable();
    println!(
        "{} questions: half within {} us, all within {} us",
        micros.len(),
        micros[micros.len() / 2],
        micros[micros.len() - 1]
    );
}

/// Prints what comes of each line of the file named in `QUESTIONS`.
#[test]
#[ignore = "a look at readings"]
fn show() {
    let catalogue = catalogue();
    let path = std::env::var("QUESTIONS").expect("a file of questions");
    let text = std::fs::read_to_string(path).expect("the file");
    for line in text.lines() {
        let read = read(line, &catalogue);
        println!("{line}\n    {}", outcome(&read));
        println!("    {read:?}");
    }
}
