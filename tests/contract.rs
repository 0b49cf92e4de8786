//! The JSON every face gives: fields keep their names and types, and the same input the same bytes.

use serde_json::Value;

mod program;

use program::{Ran, formula, run};

/// What a field holds.
#[derive(Clone, Copy)]
enum Is {
    Text,
    Number,
    /// A number, or null where it cannot be computed or is not stated.
    MaybeNumber,
    Count,
    Flag,
    Texts,
    /// A list of objects with these fields.
    Each(&'static [Field]),
    /// An object with these fields.
    Has(&'static [Field]),
    /// An object, or null.
    MaybeHas(&'static [Field]),
    /// An object of any keys whose values are numbers.
    Numbers,
    /// An object of any keys whose values are objects with these fields.
    EachNamed(&'static [Field]),
}

type Field = (&'static str, Is);

use Is::{Count, Each, EachNamed, Flag, Has, MaybeHas, MaybeNumber, Number, Numbers, Text, Texts};

const VALUE: &[Field] = &[
    ("property", Text),
    ("condition", Text),
    ("low", MaybeNumber),
    ("typical", MaybeNumber),
    ("high", MaybeNumber),
    ("unit", Text),
    ("source", Text),
    ("locator", Text),
    ("kind", Text),
];

const PROFILE: &[Field] = &[
    ("id", Text),
    ("name", Text),
    ("family", Text),
    ("form", Text),
    ("functions", Texts),
    (
        "allergens",
        Each(&[
            ("list", Text),
            ("allergen", Text),
            ("presence", Text),
            ("source", Text),
        ]),
    ),
    ("values", Each(VALUE)),
];

const HITS: &[Field] = &[
    ("total", Count),
    (
        "hits",
        Each(&[
            ("id", Text),
            ("name", Text),
            ("family", Text),
            ("values", Numbers),
        ]),
    ),
    ("unknown", Texts),
];

const STEP: &[Field] = &[
    ("rule", Text),
    ("phase", Text),
    ("text", Text),
    ("ingredients", Texts),
    ("because", Text),
    ("source", Text),
    ("locator", Text),
];

const FINDING: &[Field] = &[
    ("id", Text),
    ("severity", Text),
    ("text", Text),
    ("source", Text),
];

const ASSESSMENT: &[Field] = &[
    ("batch_g", Number),
    (
        "composition",
        Has(&[
            ("water_percent", Number),
            ("fat_percent", Number),
            ("protein_percent", Number),
            ("sugars_percent", Number),
            ("lactose_percent", Number),
            ("alcohol_percent", Number),
            ("total_solids_percent", Number),
            ("msnf_percent", Number),
        ]),
    ),
    ("sweetness_percent", Number),
    ("sweetness_trade_percent", Number),
    ("freezing_point_celsius", MaybeNumber),
    (
        "frozen_water",
        Each(&[("celsius", Number), ("percent", Number)]),
    ),
    ("water_activity_20_celsius", MaybeNumber),
    ("energy_kcal_per_100_g", Number),
    ("stabiliser_percent", Number),
    ("emulsifier_percent", Number),
    ("allergens", Texts),
    ("process", Each(STEP)),
    ("findings", Each(FINDING)),
    (
        "uncertainty",
        EachNamed(&[("plus_minus", Number), ("model", Number), ("mostly", Texts)]),
    ),
];

const AMOUNT: &[Field] = &[("id", Text), ("name", Text), ("grams", Number)];

const OPTION: &[Field] = &[
    ("rank", Count),
    ("ingredients", Each(AMOUNT)),
    ("removed", Each(AMOUNT)),
    ("balanced", Each(AMOUNT)),
    ("before", MaybeHas(ASSESSMENT)),
    ("after", MaybeHas(ASSESSMENT)),
    ("formula", Each(AMOUNT)),
    (
        "kept",
        Each(&[
            ("property", Text),
            ("before", Number),
            ("after", Number),
            ("tolerance", Number),
            ("asked", Flag),
        ]),
    ),
    (
        "changed",
        Each(&[
            ("property", Text),
            ("before", Number),
            ("after", Number),
            ("asked", Flag),
        ]),
    ),
    (
        "reasons",
        Each(&[("rule", Text), ("text", Text), ("source", Text)]),
    ),
    ("process", Each(STEP)),
    ("cautions", Each(FINDING)),
    ("confidence", MaybeNumber),
];

const SWAP: &[Field] = &[
    ("understood", Text),
    ("kind", Text),
    ("options", Each(OPTION)),
    (
        "why_none",
        Each(&[
            ("constraint", Text),
            ("text", Text),
            ("nearest", MaybeNumber),
        ]),
    ),
];

const ASKED: &[Field] = &[("understood", Text), ("kind", Text)];

fn check(path: &str, value: &Value, is: Is, wrong: &mut Vec<String>) {
    let right = match is {
        Text => value.is_string(),
        Number => value.is_number(),
        MaybeNumber => value.is_number() || value.is_null(),
        Count => value.is_u64(),
        Flag => value.is_boolean(),
        Texts => value
            .as_array()
            .is_some_and(|list| list.iter().all(Value::is_string)),
        Numbers => value
            .as_object()
            .is_some_and(|o| o.values().all(Value::is_number)),
        Each(fields) => {
            let list = value.as_array();
            for (n, item) in list.into_iter().flatten().enumerate() {
                check(&format!("{path}[{n}]"), item, Has(fields), wrong);
            }
            list.is_some()
        }
        EachNamed(fields) => {
            let object = value.as_object();
            for (name, item) in object.into_iter().flatten() {
                check(&format!("{path}.{name}"), item, Has(fields), wrong);
            }
            object.is_some()
        }
        MaybeHas(fields) => {
            if !value.is_null() {
                check(path, value, Has(fields), wrong);
            }
            true
        }
        Has(fields) => {
            for (name, is) in fields {
                match value.get(name) {
                    Some(field) => check(&format!("{path}.{name}"), field, *is, wrong),
                    None => wrong.push(format!("{path}.{name} is missing")),
                }
            }
            value.is_object()
        }
    };
    if !right {
        let text = value.to_string();
        wrong.push(format!(
            "{path} is {}",
            text.chars().take(60).collect::<String>()
        ));
    }
}

/// The answer of a command, which must be JSON and nothing else, the same twice, and of this shape.
fn answer(args: &[&str], code: i32, fields: &'static [Field]) -> Value {
    let with_json: Vec<&str> = args.iter().copied().chain(["--json"]).collect();
    let Ran {
        code: left,
        out,
        err,
    } = run(&with_json);
    let what = args.join(" ");
    assert_eq!(left, Some(code), "{what}: {err}");
    assert_eq!(err, "", "{what}");
    assert!(out.ends_with("}\n"), "{what}");
    let value: Value = serde_json::from_str(&out).unwrap_or_else(|e| panic!("{what}: {e}"));
    let mut wrong = vec![];
    check("", &value, Has(fields), &mut wrong);
    assert!(wrong.is_empty(), "{what}:\n{}", wrong.join("\n"));
    assert_eq!(run(&with_json).out, out, "{what}: not the same twice");
    value
}

#[test]
fn an_ingredient_has_its_fields() {
    for id in ["sucrose", "guar-gum", "whole-milk", "almond", "water"] {
        let value = answer(&["show", id], 0, PROFILE);
        assert_eq!(value["id"], id);
    }
}

#[test]
fn a_search_has_its_fields() {
    let value = answer(&["find", "fat > 40 % and vegan"], 0, HITS);
    assert!(value["understood"].is_string());
    let hits = value["hits"].as_array().expect("a list");
    assert!(
        hits.iter()
            .all(|h| h["values"]["fat"].as_f64() > Some(40.0))
    );
    assert!(value["total"].as_u64() >= Some(hits.len() as u64));
    let none = answer(&["find", "fat > 99 % and fat < 1 %"], 1, HITS);
    assert_eq!(none["total"], 0);
}

#[test]
fn a_comparison_has_its_fields() {
    let value = answer(
        &["compare", "agar-powder", "gelatin-powder"],
        0,
        &[
            ("ingredients", Texts),
            ("names", Texts),
            (
                "rows",
                Each(&[("property", Text), ("name", Text), ("unit", Text)]),
            ),
        ],
    );
    for row in value["rows"].as_array().expect("a list") {
        assert_eq!(row["values"].as_array().map(Vec::len), Some(2));
    }
}

#[test]
fn an_assessment_has_its_fields() {
    for name in [
        "sour-cherry-sorbet",
        "hazelnut-gelato",
        "sunflower-seed-base",
    ] {
        let value = answer(&["assess", &formula(name)], 0, ASSESSMENT);
        let composition = &value["composition"];
        let part = |name: &str| composition[name].as_f64().expect("a number");
        let all = part("water_percent") + part("total_solids_percent") + part("alcohol_percent");
        // Solids are what is neither water nor alcohol.
        assert!((all - 100.0).abs() < 0.01, "{name}: {all}");
        let frozen = value["frozen_water"].as_array().expect("a list");
        for pair in frozen.windows(2) {
            assert!(pair[0]["celsius"].as_f64() > pair[1]["celsius"].as_f64());
            assert!(pair[0]["percent"].as_f64() <= pair[1]["percent"].as_f64());
        }
        assert!(
            !value["uncertainty"]
                .as_object()
                .expect("an object")
                .is_empty()
        );
    }
}

#[test]
fn a_swap_has_its_fields() {
    let mix = formula("sour-cherry-sorbet");
    let wish = [
        "swap",
        &mix,
        "--replace",
        "sucrose",
        "--keep",
        "sweetness",
        "--lower",
        "freezing_point",
        "--at-most",
        "2",
    ];
    let value = answer(&wish, 0, SWAP);
    assert_eq!(value["kind"], "swap");
    let options = value["options"].as_array().expect("a list");
    assert!(!options.is_empty());
    for (n, option) in options.iter().enumerate() {
        assert_eq!(option["rank"], n + 1);
        assert!(!option["reasons"].as_array().expect("a list").is_empty());
    }
    // By the rules of a job rather than by numbers.
    answer(&["swap", &mix, "--replace", "guar-gum"], 0, SWAP);
}

#[test]
fn a_swap_that_cannot_be_says_why() {
    let mix = formula("sour-cherry-sorbet");
    let wish = [
        "swap",
        &mix,
        "--replace",
        "sucrose",
        "--at-least",
        "sweetness 60",
        "--not-over",
        "sugars 1",
        "--shelf",
        "dextrose-monohydrate",
    ];
    let value = answer(&wish, 1, SWAP);
    assert!(value["options"].as_array().expect("a list").is_empty());
    assert!(!value["why_none"].as_array().expect("a list").is_empty());
}

#[test]
fn an_adjustment_has_its_fields() {
    let mix = formula("hazelnut-gelato");
    let value = answer(&["adjust", &mix, "--target", "sweetness 18"], 0, SWAP);
    assert_eq!(value["kind"], "adjust");
}

#[test]
fn an_answer_in_words_has_the_field_its_kind_says() {
    let mix = formula("sour-cherry-sorbet");
    let table: &[(&[&str], i32, &str, &'static [Field])] = &[
        (
            &["ask", "hydration temperature of guar gum"],
            0,
            "lookup",
            &[("profile", Each(PROFILE))],
        ),
        (&["ask", "find fat > 40 % and vegan"], 0, "search", HITS),
        (
            &["ask", "difference between agar and gelatin"],
            0,
            "compare",
            &[("comparison", Has(&[("ingredients", Texts)]))],
        ),
        (
            &["ask", "can I use agar instead of gelatin"],
            0,
            "swap",
            SWAP,
        ),
        (
            &["ask", "make it 10 % less sweet", "--in", &mix],
            0,
            "adjust",
            SWAP,
        ),
        (
            &["ask", "how do I add guar gum without lumps"],
            0,
            "how-to",
            &[("steps", Each(STEP))],
        ),
        (
            &["ask", "why is my sorbet icy", "--in", &mix],
            0,
            "diagnose",
            &[(
                "causes",
                Each(&[
                    ("rule", Text),
                    ("cause", Text),
                    ("verdict", Text),
                    ("fix", Text),
                    ("because", Text),
                    ("source", Text),
                ]),
            )],
        ),
        (
            &["ask", "fat of cream"],
            1,
            "ask-back",
            &[("readings", Each(&[("understood", Text)])), ("ask", Text)],
        ),
        (&["ask", "blue elephants"], 1, "nothing", &[("ask", Text)]),
    ];
    for (args, code, kind, fields) in table {
        let value = answer(args, *code, ASKED);
        assert_eq!(value["kind"], *kind, "{args:?}");
        let mut wrong = vec![];
        check("", &value, Has(fields), &mut wrong);
        assert!(wrong.is_empty(), "{args:?}:\n{}", wrong.join("\n"));
    }
}

#[test]
fn a_reading_offered_is_understood_when_asked() {
    let value = answer(&["ask", "fat of cream"], 1, ASKED);
    for reading in value["readings"].as_array().expect("a list") {
        let words = reading["understood"].as_str().expect("text");
        let again = answer(&["ask", words], 0, ASKED);
        assert_eq!(again["understood"], words);
    }
}

#[test]
fn exit_codes_tell_answered_nothing_found_and_bad_input() {
    let mix = formula("sour-cherry-sorbet");
    for (args, code) in [
        (vec!["assess", mix.as_str()], 0),
        (vec!["find", "carob"], 0),
        (vec!["show", "sucrose"], 0),
        (vec!["check"], 0),
        (vec!["--version"], 0),
        (vec!["--help"], 0),
        (vec!["find", "qqqqqqqqqq"], 1),
        (vec!["ask", "blue elephants"], 1),
        (vec!["show", "xyzzyq"], 2),
        (vec!["assess"], 2),
        (vec!["no-such-command"], 2),
    ] {
        let ran = run(&args);
        assert_eq!(ran.code, Some(code), "{args:?}: {}{}", ran.out, ran.err);
        assert_eq!(ran.out.is_empty(), code == 2, "{args:?}");
        assert_eq!(ran.err.is_empty(), code != 2, "{args:?}");
    }
}

#[test]
fn a_reader_that_goes_away_is_no_error() {
    use std::process::{Command, Stdio};
    let mut child = Command::new(env!("CARGO_BIN_EXE_tamis"))
        .args(["export", "--format", "json"])
        .env("TAMIS_CACHE", program::cache())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program runs");
    drop(child.stdout.take());
    let output = child.wait_with_output().expect("it ends");
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
    assert_eq!(output.status.code(), Some(0));
}

#[test]
fn a_formula_from_standard_input_is_assessed_alike() {
    let path = formula("sour-cherry-sorbet");
    let text = std::fs::read(&path).expect("the formula");
    let from_file: Value =
        serde_json::from_str(&run(&["assess", &path, "--json"]).out).expect("JSON");
    let ran = program::ran(
        program::tamis()
            .args(["assess", "-", "--json"])
            .write_stdin(text),
    );
    let mut from_input: Value = serde_json::from_str(&ran.out).expect("JSON");
    // A name from standard input tells nothing of the dish.
    for told in ["name", "summary", "dish"] {
        from_input[told] = from_file[told].clone();
    }
    assert_eq!(from_input, from_file);
}
