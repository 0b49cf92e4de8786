//! Every derivation of `formula::DERIVATIONS` against worked cases, and that none replaces a stated value.

use tamis::formula::{DERIVATIONS, Figure, Origin, Part, Profile, Tastes};
use tamis::load::{Files, catalogue};
use tamis::model::{Commonness, Ingredient, Row, Value};

/// One row of `literature/derivations.csv`.
struct Case {
    rule: String,
    ingredient: Ingredient,
    part: Part,
    /// What the rule gives; `None` where it must not run.
    expected: Option<f64>,
    tolerance: f64,
    source: String,
}

fn value(property: &str, number: f64) -> Value {
    Value {
        property: property.into(),
        condition: String::new(),
        low: None,
        typical: Some(number),
        high: None,
        text: String::new(),
        unit: String::new(),
        source: "invented".into(),
        locator: String::new(),
        note: String::new(),
        own: false,
        row: Row::default(),
    }
}

fn cases() -> Vec<Case> {
    let mut reader =
        csv::Reader::from_reader(include_str!("literature/derivations.csv").as_bytes());
    let case = |record: csv::StringRecord| {
        let number = |text: &str| text.parse::<f64>().expect("a number");
        let inputs = record[3].split(';').map(|pair| {
            let (property, figure) = pair.split_once('=').expect("property=number");
            assert!(Part::parse(property).is_some(), "no part {property}");
            value(property, number(figure))
        });
        Case {
            rule: record[0].into(),
            ingredient: Ingredient {
                // As the data put the families.
                groups: match &record[1] {
                    "milk" | "milk-powder" => vec!["milk-family".into()],
                    "stabiliser" | "gelling-agent" => vec!["gum-family".into()],
                    _ => vec![],
                },
                id: "case".into(),
                name: "case".into(),
                family: record[1].into(),
                form: String::new(),
                origin: record[2].split(';').map(str::to_string).collect(),
                functions: vec![],
                e_number: String::new(),
                cas: vec![],
                note: String::new(),
                commonness: Commonness::default(),
                names: vec![],
                values: inputs.collect(),
                allergens: vec![],
                parts: vec![],
                own: false,
                row: Row::default(),
            },
            part: Part::parse(&record[4]).expect("a part"),
            expected: (&record[5] != "none").then(|| number(&record[5])),
            tolerance: number(&record[6]),
            source: record[7].into(),
        }
    };
    reader
        .records()
        .map(|r| case(r.expect("well-formed table")))
        .collect()
}

/// The figure, when the rule of the case gave it.
fn given(case: &Case) -> Option<Figure> {
    let profile = Profile::of(&case.ingredient, &Tastes::default());
    let figure = profile.figure(case.part).copied();
    figure.filter(|f| matches!(f.origin, Origin::Rule(rule) if rule == case.rule))
}

#[test]
fn each_rule_gives_what_its_worked_cases_say() {
    for case in cases() {
        assert!(!case.source.is_empty(), "{} names no source", case.rule);
        let found = given(&case).map(|f| f.typical);
        let fits = match (found, case.expected) {
            (Some(found), Some(expected)) => (found - expected).abs() <= case.tolerance,
            (found, expected) => found == expected,
        };
        assert!(
            fits,
            "{} on {:?}: {found:?}, expected {:?} ({})",
            case.rule, case.part, case.expected, case.source
        );
    }
}

#[test]
fn no_rule_lacks_a_worked_case() {
    let cases = cases();
    for rule in DERIVATIONS {
        let worked = |c: &Case| c.rule == rule.id && c.expected.is_some();
        assert!(cases.iter().any(worked), "{} has no case", rule.id);
    }
    for case in &cases {
        let known = DERIVATIONS.iter().any(|rule| rule.id == case.rule);
        assert!(known, "no rule is called {}", case.rule);
    }
}

#[test]
fn a_range_holds_its_typical_figure() {
    for case in cases() {
        if let Some(f) = given(&case) {
            assert!(f.low <= f.typical && f.typical <= f.high, "{}", case.rule);
        }
    }
}

#[test]
fn no_rule_replaces_what_is_stated() {
    // The worked cases with the result stated otherwise; `energy_eu` and the like are no properties a row can state.
    for mut case in cases() {
        let Some(expected) = case.expected else {
            continue;
        };
        let stated = (expected * 0.5 + 1.0).min(99.0);
        case.ingredient.values.push(value(case.part.id(), stated));
        let profile = Profile::of(&case.ingredient, &Tastes::default());
        let figure = profile.figure(case.part).expect("it is stated");
        assert_eq!(
            figure.origin,
            Origin::Row(case.ingredient.values.len() - 1),
            "{}",
            case.rule
        );
        assert_eq!(figure.typical, stated, "{}", case.rule);
    }
}

#[test]
fn no_rule_replaces_a_shipped_value() {
    let c = catalogue(&Files::embedded()).expect("shipped data load");
    for i in &c.ingredients {
        let profile = Profile::of(i, &Tastes::default());
        for v in i.values.iter().filter(|v| v.figure().is_some()) {
            let Some(part) = Part::parse(&v.property) else {
                continue;
            };
            let origin = profile.figure(part).map(|f| f.origin);
            assert!(
                matches!(origin, Some(Origin::Row(n)) if i.values[n].property == v.property),
                "{} {}: {origin:?}",
                i.id,
                v.property
            );
        }
    }
}
