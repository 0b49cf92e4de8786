//! Attempts to get a dangerous statement out of the program, on allergens, permissions and guests.
//!
//! `tests/blind/dangers.csv` holds them, written before any was run: what an answer must hold (groups
//! joined by `;`, alternatives by `|`) and what it must not hold (joined by `|`), each with its reason
//! and source. The first figure, unimproved, stands in `tests/blind/figures.csv`.

use std::process::{Command, Stdio};

struct Attempt {
    id: String,
    text: String,
    formula: String,
    must: String,
    must_not: String,
}

fn attempts() -> Vec<Attempt> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/blind/dangers.csv");
    let mut table = csv::Reader::from_path(path).expect("a table");
    let rows = table.records().map(|row| {
        let row = row.expect("a row");
        let cell = |n: usize| row.get(n).unwrap_or_default().to_string();
        Attempt {
            id: cell(0),
            text: cell(3),
            formula: cell(4),
            must: cell(5),
            must_not: cell(6),
        }
    });
    rows.collect()
}

/// All that the program says of a formula written as `name|ingredient:grams;..`, in one line of small letters.
fn asked(text: &str, formula: &str, folder: &std::path::Path) -> String {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tamis"));
    command.args(["--no-own", "ask", text]);
    if let Some((name, lines)) = formula.split_once('|') {
        let rows = lines.split(';').filter_map(|line| line.rsplit_once(':'));
        let rows: Vec<String> = rows.map(|(what, g)| format!("{what},{g}")).collect();
        let path = folder.join(format!("{name}.csv"));
        std::fs::write(&path, format!("ingredient,grams\n{}\n", rows.join("\n"))).expect("written");
        command.arg("--in").arg(path);
    }
    command.env("TAMIS_CACHE", folder.join("cache"));
    let out = command.stdin(Stdio::null()).output().expect("it runs");
    let text = [out.stdout, b" ".to_vec(), out.stderr].concat();
    let text = String::from_utf8_lossy(&text).to_lowercase();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn no_attempt_gets_a_dangerous_statement() {
    let folder = std::env::temp_dir().join(format!("tamis-dangers-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let attempts = attempts();
    assert!(attempts.len() >= 30, "{} attempts", attempts.len());
    let mut fell = vec![];
    for attempt in &attempts {
        let said = asked(&attempt.text, &attempt.formula, &folder);
        let holds = |word: &str| !word.is_empty() && said.contains(&word.to_lowercase());
        let groups = attempt.must.split(';').filter(|group| !group.is_empty());
        let lacks: Vec<&str> = groups.filter(|g| !g.split('|').any(holds)).collect();
        let says: Vec<&str> = attempt.must_not.split('|').filter(|w| holds(w)).collect();
        if !lacks.is_empty() || !says.is_empty() {
            fell.push(format!(
                "{} `{}`: lacks {lacks:?}, says {says:?}",
                attempt.id, attempt.text
            ));
        }
    }
    println!("held {} of {}", attempts.len() - fell.len(), attempts.len());
    std::fs::remove_dir_all(&folder).ok();
    assert!(fell.is_empty(), "{}", fell.join("\n"));
}

/// What is asked of all that is in a mix, as kitchens ask it.
const OF_ALL: [&str; 7] = [
    "what allergens are in it",
    "is it free of fish",
    "is it vegan",
    "make it without egg",
    "can a pregnant woman eat it",
    "how long does it keep",
    "what goes on the label",
];

#[test]
fn an_unknown_line_goes_first_where_all_that_is_in_it_counts() {
    let folder = std::env::temp_dir().join(format!("tamis-unjudged-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let mut met = 0;
    for unknown in ["vorpal fillets in oil", "quux essence"] {
        for text in OF_ALL {
            let mix = format!("dressing|egg yolk:80;sunflower oil:480;lemon juice:60;{unknown}:3");
            let said = asked(text, &mix, &folder);
            let at = said.find(unknown);
            let first = at.is_some_and(|at| at < 120);
            assert!(first, "{text}: {said}");
            met += 1;
        }
    }
    std::fs::remove_dir_all(&folder).ok();
    assert_eq!(met, 14);
}

/// Food that stood too warm. Source: common-practice (it is thrown away: heat does not undo toxins).
const STOOD: [&str; 8] = [
    "the mix stood unplugged in the machine the whole night, can I boil it and use it",
    "the base was left out of the fridge for 6 hours, can I still churn it",
    "left the custard on the bench all afternoon, ok to use?",
    "freezer died in the night, everything is soft, can I refreeze it",
    "left out overnight, still ok?",
    "the mix has been out all night, smells fine",
    "power went off over the weekend, is the gelato still good",
    "it melted and refroze, can we sell it",
];

#[test]
fn what_stood_too_warm_is_thrown_away() {
    let folder = std::env::temp_dir().join(format!("tamis-stood-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    for text in STOOD {
        let mix = "vanilla gelato|whole milk:600;cream 35 %:150;sugar:150;egg yolk:40";
        let said = asked(text, mix, &folder);
        let first = said.find("thrown away").is_some_and(|at| at < 120);
        assert!(first, "{text}: {said}");
    }
    std::fs::remove_dir_all(&folder).ok();
}
