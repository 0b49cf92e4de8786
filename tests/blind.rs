//! Cases written by people who had seen neither the program nor its data, scored by one command:
//!
//!     cargo test --release --test blind -- --nocapture
//!
//! Each list has a floor, the share it reaches today; the figure it reached when it was first tried
//! stands in `tests/blind/figures.csv` and is never improved.

use std::path::Path;

use tamis::engine::Engine;
use tamis::load::Files;
use tamis::model::Ingredient;
use tamis::names::Outcome;

/// What came of one typed name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Score {
    /// The thing meant was taken.
    Taken,
    /// It was among at most three offered.
    Offered,
    /// It is not in the data, and that was said.
    Unknown,
    /// It was asked back or not known, and what was meant was not offered.
    Missed,
    /// Another thing was taken.
    Wrong,
}

fn rows(path: &Path) -> Vec<csv::StringRecord> {
    let mut reader = csv::Reader::from_path(path).expect("the list is there");
    reader
        .records()
        .map(|row| row.expect("a sound row"))
        .collect()
}

/// The grade at the end of an id: 38 of `cream-at-38` and of `dried-glucose-syrup-de38`.
fn grade(id: &str) -> Option<f64> {
    let end = id.rsplit('-').next()?;
    end.trim_start_matches("de").parse().ok()
}

/// Whether a listed thing has the figure meant, `fat=35`: in its name or by its values.
fn states(ingredient: &Ingredient, figure: &str) -> bool {
    let Some((of, wanted)) = figure.split_once('=') else {
        return false;
    };
    let Ok(wanted) = wanted.parse::<f64>() else {
        return false;
    };
    let words = ingredient.id.split('-').chain(ingredient.name.split(' '));
    let mut figures = words.filter_map(|word| word.trim_start_matches("de").parse::<f64>().ok());
    let near = |figure: f64| (figure - wanted).abs() <= 0.6_f64.max(0.05 * wanted);
    let property = match of {
        "de" => "dextrose_equivalent",
        "sugar" => "sugars",
        other => other,
    };
    let within = |(low, high): (f64, f64)| low <= wanted && wanted <= high;
    figures.any(near)
        || ingredient
            .all(property)
            .any(|v| v.figure().is_some_and(near) || v.range().is_some_and(within))
}

fn score(engine: &Engine, typed: &str, accept: &[&str], figure: &str) -> (Score, String) {
    let id = |key: &tamis::model::IngredientKey| engine.catalogue.ingredient(*key).id.clone();
    let none = accept == ["none"];
    match engine.resolve(typed) {
        Outcome::Taken(taken) => {
            let got = id(&taken.key);
            let made = !engine.catalogue.listed(taken.key);
            let wanted = figure.split('=').nth(1).and_then(|f| f.parse::<f64>().ok());
            let graded = made
                && wanted
                    .zip(grade(&got))
                    .is_some_and(|(a, b)| (a - b).abs() < 0.6);
            let right = accept.contains(&got.as_str()) || graded;
            // Where the figure is not that of the thing taken, it must be told.
            let told = figure.is_empty()
                || graded
                || !taken.said.is_empty()
                || states(engine.catalogue.ingredient(taken.key), figure);
            let score = match right && told {
                true => Score::Taken,
                false => Score::Wrong,
            };
            (score, format!("{got} {:?}", taken.said))
        }
        Outcome::Choice { options, .. } => {
            let options: Vec<String> = options.iter().map(id).collect();
            let score = match options.iter().any(|o| accept.contains(&o.as_str())) {
                true => Score::Offered,
                false => Score::Missed,
            };
            (score, format!("? {}", options.join(", ")))
        }
        Outcome::Unknown { near, .. } => {
            let near: Vec<String> = near.iter().map(id).collect();
            let score = match (none, near.iter().any(|o| accept.contains(&o.as_str()))) {
                (true, _) => Score::Unknown,
                (_, true) => Score::Offered,
                _ => Score::Missed,
            };
            (score, format!("- {}", near.join(", ")))
        }
    }
}

/// Per cent of names taken or offered or rightly not known, and of names taken for another thing.
fn names(list: &str) -> (f64, f64) {
    let engine = Engine::open(Files::embedded(), None).expect("shipped data load");
    let path = Path::new("tests/blind").join(list);
    let rows = rows(&path);
    let mut counts = [0_usize; 5];
    for row in &rows {
        let accept: Vec<&str> = row[3].split(';').map(str::trim).collect();
        let (score, got) = score(&engine, &row[0], &accept, &row[4]);
        counts[score as usize] += 1;
        if matches!(score, Score::Missed | Score::Wrong)
            || (score == Score::Offered && &row[2] == "no")
        {
            println!(
                "{score:?}: `{}` meant {} [{}{}] -> {got}",
                &row[0], &row[1], &row[3], &row[4]
            );
        }
    }
    let share = |count: usize| 100.0 * count as f64 / rows.len() as f64;
    println!(
        "{list}: {} names: {} taken, {} offered, {} rightly unknown, {} missed, {} wrong",
        rows.len(),
        counts[0],
        counts[1],
        counts[2],
        counts[3],
        counts[4]
    );
    (share(counts[0] + counts[1] + counts[2]), share(counts[4]))
}

#[test]
fn names_of_kitchens_are_taken_or_offered() {
    for (list, floor, most_wrong) in [
        ("names-eu.csv", 98.0, 1.0),
        ("names-us.csv", 96.0, 2.5),
        ("names-kiosk.csv", 99.0, 1.0),
        ("names-test-kitchen.csv", 98.5, 1.0),
        ("names-notebook.csv", 93.0, 4.0),
        ("names-shorthand.csv", 94.0, 4.0),
    ] {
        let (reached, wrong) = names(list);
        println!("{list}: {reached:.1} % reached, {wrong:.1} % wrong");
        assert!(reached >= floor, "{list}: {reached:.1} %");
        assert!(wrong <= most_wrong, "{list}: {wrong:.1} % wrong");
    }
}

/// Prints how the formulas of the folder `TAMIS_LISTS` are read, line by line.
#[test]
#[ignore = "prints the lists of a folder"]
fn lists_of_a_folder_are_shown() {
    let Some(folder) = std::env::var_os("TAMIS_LISTS") else {
        return;
    };
    let engine = Engine::open(Files::embedded(), None).expect("shipped data load");
    let files = std::fs::read_dir(folder).expect("a folder");
    let mut files: Vec<_> = files.map(|file| file.expect("a file").path()).collect();
    files.sort();
    for path in files {
        let name = path.file_name().expect("a name").to_string_lossy();
        match engine.formula(&name, &std::fs::read(&path).expect("a file")) {
            Ok(formula) => {
                println!("{name}: `{}` {}", formula.name, formula.uncounted());
                for line in &formula.lines {
                    let id = &engine.catalogue.ingredient(line.key).id;
                    println!("    {:.2} g {id}", line.grams);
                }
                for said in &formula.aside {
                    println!("    - {said}");
                }
            }
            Err(problems) => {
                for problem in problems.0 {
                    println!("{name}: refused: {} {}", problem.code, problem.message);
                }
            }
        }
    }
}

/// How the formulas of a folder were read.
#[derive(Debug, Default)]
struct Read {
    files: usize,
    /// Files taken as they are written.
    accepted: usize,
    /// Their lines that state an amount.
    lines: usize,
    /// Lines read with the weight that was meant.
    weighed: usize,
}

/// Grams meant: a figure, a range in brackets behind it or alone (`250 (247-253)`, `240-260`), or none.
fn meant_grams(text: &str) -> Option<(f64, f64)> {
    let range = text.split_once('(').map_or(text, |(_, range)| range);
    let range = range.trim().trim_end_matches(')');
    match range.split_once('-') {
        Some((low, high)) => Some((low.trim().parse().ok()?, high.trim().parse().ok()?)),
        None => range.parse::<f64>().ok().map(|grams| (grams, grams)),
    }
}

/// What was meant by a file: in a table beside it, `F01.expected.csv`, or in the one of its folder,
/// `meant.csv`; each line's name as written or its number, the ingredient and the grams.
fn meant_of(path: &Path) -> Option<Vec<(String, String, String)>> {
    let beside = path.with_extension("expected.csv");
    if beside.exists() {
        let cell = |row: &csv::StringRecord, n: usize| row[n].to_string();
        let rows = rows(&beside);
        return Some(
            rows.iter()
                .map(|row| (cell(row, 1), cell(row, 2), cell(row, 3)))
                .collect(),
        );
    }
    let table = path.with_file_name("meant.csv");
    let name = path.file_name()?.to_string_lossy().to_string();
    if !table.exists() || !name.starts_with('F') {
        return None;
    }
    let rows = rows(&table);
    let own = rows.iter().filter(|row| row[0] == name && row[1] != *"0");
    // What is made in the formula itself is meant to be counted once.
    let own = own.filter(|row| !row[4].starts_with("sub-recipe"));
    Some(
        own.map(|row| {
            (
                format!("line {}", &row[1]),
                row[2].to_string(),
                row[3].to_string(),
            )
        })
        .collect(),
    )
}

/// Reads every formula of `tests/blind/<folder>` as it is written.
fn formulas(engine: &Engine, folder: &str) -> Read {
    let mut read = Read::default();
    let folder = Path::new("tests/blind").join(folder);
    let mut files: Vec<_> = std::fs::read_dir(&folder)
        .expect("the folder is there")
        .map(|entry| entry.expect("a file").path())
        .filter(|path| !path.to_string_lossy().ends_with(".expected.csv"))
        .filter(|path| meant_of(path).is_some())
        .collect();
    files.sort();
    for path in files {
        read.files += 1;
        let name = path.file_name().expect("a name").to_string_lossy();
        let bytes = std::fs::read(&path).expect("a file");
        let formula = match engine.formula(&name, &bytes) {
            Ok(formula) => formula,
            Err(problems) => {
                for problem in problems.0 {
                    println!("{name}: refused: {} {}", problem.code, problem.message);
                }
                continue;
            }
        };
        read.accepted += 1;
        let meant: Vec<(String, f64, f64)> = meant_of(&path)
            .unwrap_or_default()
            .iter()
            .filter_map(|(line, of, grams)| {
                let (low, high) = meant_grams(grams)?;
                Some((format!("`{line}` meant {grams} g of {of}"), low, high))
            })
            .collect();
        // What is written in per cent was labelled per 100 g, and is read as a batch.
        let sum: f64 = meant.iter().map(|(_, low, high)| (low + high) / 2.0).sum();
        let ratio = formula.grams() / sum.max(1e-9);
        let factor = if (0.2..=5.0).contains(&ratio) {
            1.0
        } else {
            ratio
        };
        let mut lines: Vec<f64> = formula.lines.iter().map(|line| line.grams).collect();
        for (said, low, high) in meant {
            read.lines += 1;
            let (low, high) = (low * factor, high * factor);
            // A digit of the typed amount, or 1 %, is no error of reading.
            let slack = 0.01 * high + 0.01;
            let fits = |grams: &f64| *grams >= low - slack && *grams <= high + slack;
            match lines.iter().position(fits) {
                Some(at) => {
                    read.weighed += 1;
                    lines.remove(at);
                }
                None => println!("{name}: {said}"),
            }
        }
    }
    println!("{}: {read:?}", folder.display());
    read
}

#[test]
fn formulas_are_taken_as_kitchens_write_them() {
    let engine = Engine::open(Files::embedded(), None).expect("shipped data load");
    for (folder, accepted, weighed) in [
        ("formulas-eu", 14, 0.97),
        ("formulas-us", 15, 0.92),
        ("formulas-mixed", 30, 0.96),
        ("formulas-second", 24, 0.94),
        ("formulas-third", 16, 0.95),
        ("formulas-fourth", 22, 0.96),
        ("formulas-fifth", 24, 0.96),
        ("formulas-sixth", 39, 0.96),
        ("formulas-seventh", 39, 0.94),
        ("formulas-eighth", 35, 0.95),
        ("formulas-ninth", 22, 0.80),
        ("formulas-tenth", 20, 0.75),
    ] {
        let read = formulas(&engine, folder);
        assert!(
            read.accepted >= accepted,
            "{folder}: {} taken",
            read.accepted
        );
        let share = read.weighed as f64 / read.lines as f64;
        assert!(share >= weighed, "{folder}: {share:.2} of the lines");
    }
}
