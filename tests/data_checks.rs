//! Every check of the data finds the break made for it, and the shipped data has none.

use tamis::load::{CHECKS, Files, catalogue, check};

/// The shipped text of a file.
fn text(path: &str) -> String {
    Files::embedded().text(path).unwrap_or_default().to_string()
}

/// A file with records added at its end.
fn with(path: &str, records: &str) -> (String, String) {
    (path.into(), text(path) + records)
}

/// A file without the lines that start so.
fn without(path: &str, start: &str) -> (String, String) {
    let kept: String = text(path)
        .lines()
        .filter(|line| !line.starts_with(start))
        .map(|line| format!("{line}\n"))
        .collect();
    assert_ne!(kept, text(path), "no line of {path} starts with {start}");
    (path.into(), kept)
}

/// A file with one piece of text replaced.
fn changed(path: &str, from: &str, to: &str) -> (String, String) {
    assert!(text(path).contains(from), "{path} does not hold {from}");
    (path.into(), text(path).replacen(from, to, 1))
}

/// One deliberate break per check: what is wrong with it is said by the code's own description.
fn breaks() -> Vec<(&'static str, (String, String))> {
    let polyol = "data/values/polyol.csv";
    vec![
        (
            "D040",
            with(polyol, "glycerol,glass_transition,,,900,,C,memory,,\n"),
        ),
        (
            "D041",
            with(polyol, "glycerol,ph,concentration=1 %,7,5,8,pH,memory,,\n"),
        ),
        (
            "D042",
            with(polyol, "glycerol,freeze_thaw,,,excellent,,,memory,,\n"),
        ),
        (
            "D043",
            with(polyol, "glycerol,ph,colour=red,,7,,pH,memory,,\n"),
        ),
        (
            "D044",
            with(
                polyol,
                "glycerol,bloom,,,1,,g,memory,,\nglycerol,bloom,,,2,,g,memory,,\n",
            ),
        ),
        (
            "D045",
            with(polyol, "glycerol,fat,,,50,,g/100 g,memory,,\n"),
        ),
        (
            "D046",
            with(
                polyol,
                "glycerol,sugars,,,1,,g/100 g,usda-sr28,row,\nglycerol,sucrose,,,50,,g/100 g,usda-sr28,row,\n",
            ),
        ),
        (
            "D047",
            with(
                polyol,
                "glycerol,sugars,,,50,,g/100 g,usda-sr28,row,\nglycerol,carbohydrate_available,,,9,,g/100 g,usda-sr28,row,\n",
            ),
        ),
        (
            "D048",
            changed(
                "data/values/acid.csv",
                "citric-acid-monohydrate,water,,,8.57",
                "citric-acid-monohydrate,water,,,18.57",
            ),
        ),
        // A hydrate whose id does not say so, and one that does but has no molar mass to check it by.
        (
            "D048",
            changed(
                "data/values/salt.csv",
                "calcium-lactate,water,,,29.22",
                "calcium-lactate,water,,,9.22",
            ),
        ),
        (
            "D048",
            changed(
                "data/values/sugar.csv",
                "trehalose-dihydrate,molar_mass,form=dihydrate",
                "trehalose-dihydrate,molar_mass,",
            ),
        ),
        ("D049", without("data/allergens.csv", "water,")),
        ("D050", without("data/allergens.csv", "hazelnut,hazelnut,")),
        (
            "D051",
            changed("data/ingredients.csv", "57-50-1", "57-50-2"),
        ),
        (
            "D052",
            with(
                "data/sources.csv",
                "nobody-1900,paper,\"Nobody, Unread\",1900,\n",
            ),
        ),
        ("D053", with("data/rules/caution.toml", IMPOSSIBLE)),
        ("D054", with("data/rules/swap.toml", CONTRARY)),
        (
            "D055",
            (
                "data/words/test.csv".into(),
                "word,meaning\ncup,240 mL\nCup,a trophy\n".into(),
            ),
        ),
        ("D056", without("data/diets.csv", "water,")),
        (
            "D057",
            changed(
                "schema/properties.csv",
                "composition,all,Total lipid",
                "composition,oils,Total lipid",
            ),
        ),
        (
            "D058",
            changed(
                "data/values/sugar.csv",
                "use=mixture; of=tagatose",
                "use=mixture; of=nothing",
            ),
        ),
        (
            "D059",
            changed(
                "data/values/glucose-syrup.csv",
                "high-fructose-syrup-42,relative_sweetness,basis=dry,,1,",
                "high-fructose-syrup-42,relative_sweetness,basis=dry,,1.5,",
            ),
        ),
    ]
}

const IMPOSSIBLE: &str = r#"
[[rule]]
id = "never-both"
kind = "caution"
when = "in is sucrose and in is fructose"
severity = "watch"
topic = "test"
text = "Cannot happen."
"#;

const CONTRARY: &str = r#"
[[rule]]
id = "one-for-one"
kind = "swap"
out = "sucrose"
in = ["glycerol"]
dose = { low = 0.9, typical = 1.0, high = 1.1 }
jobs = ["humectant"]

[[rule]]
id = "two-for-one"
kind = "swap"
out = "sucrose"
in = ["glycerol"]
dose = { low = 1.9, typical = 2.0, high = 2.1 }
jobs = ["humectant"]
"#;

#[test]
fn the_shipped_data_has_no_findings() {
    let files = Files::embedded();
    let catalogue = catalogue(&files).unwrap_or_else(|problems| panic!("{problems}"));
    let found: Vec<String> = check(&catalogue, &files)
        .iter()
        .map(ToString::to_string)
        .collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn each_break_is_found_by_its_check() {
    for (code, (path, text)) in breaks() {
        let files = Files::embedded().with(&path, text);
        let catalogue = catalogue(&files).unwrap_or_else(|problems| panic!("{code}: {problems}"));
        let found = check(&catalogue, &files);
        assert!(
            found.iter().any(|problem| problem.code == code),
            "the break of {code} is not found; found {:?}",
            found.iter().map(|p| p.code).collect::<Vec<_>>()
        );
        for problem in found {
            assert!(problem.help.is_some(), "{} offers no way out", problem.code);
        }
    }
}

#[test]
fn no_check_lacks_a_break() {
    let mut broken: Vec<&str> = breaks().iter().map(|(code, _)| *code).collect();
    broken.dedup();
    let checks: Vec<&str> = CHECKS.iter().map(|(code, _, _)| *code).collect();
    assert_eq!(checks, broken);
}
