//! How much the shipped data knows and how well it is founded.

use std::collections::{BTreeMap, BTreeSet};

use tamis::formula::{Part, Profile, Tastes};
use tamis::load::{Files, catalogue};
use tamis::model::{Catalogue, SourceKind, Value};

fn shipped() -> Catalogue {
    catalogue(&Files::embedded()).unwrap_or_else(|problems| panic!("{problems}"))
}

/// Value rows, without the diet states, which stand in a table of their own.
fn values(c: &Catalogue) -> impl Iterator<Item = &Value> {
    c.ingredients
        .iter()
        .flat_map(|i| &i.values)
        .filter(|v| c.property(&v.property).is_some_and(|p| p.group != "diet"))
}

fn functional(c: &Catalogue, v: &Value) -> bool {
    c.property(&v.property)
        .is_some_and(|p| p.group != "composition")
}

fn percent<'a>(
    c: &Catalogue,
    rows: impl Iterator<Item = &'a Value>,
    counts: fn(SourceKind) -> bool,
) -> f64 {
    let (mut n, mut of) = (0.0, 0.0);
    for v in rows {
        of += 1.0;
        n += f64::from(u8::from(counts(c.kind(&v.source))));
    }
    100.0 * n / of
}

#[test]
fn there_are_enough_ingredients_and_properties() {
    let c = shipped();
    assert!(
        c.ingredients.len() >= 450,
        "{} ingredients",
        c.ingredients.len()
    );
    let used: BTreeSet<&str> = values(&c).map(|v| v.property.as_str()).collect();
    assert!(used.len() >= 60, "{} properties in use", used.len());
}

#[test]
fn most_values_are_published() {
    let c = shipped();
    let share = percent(&c, values(&c), SourceKind::published);
    assert!(share >= 60.0, "{share:.1} % of all values are published");
}

#[test]
fn most_functional_values_are_published() {
    let c = shipped();
    let share = percent(
        &c,
        values(&c).filter(|v| functional(&c, v)),
        SourceKind::published,
    );
    assert!(
        share >= 49.0,
        "{share:.1} % of the functional values are published"
    );
}

#[test]
fn at_most_a_quarter_is_recalled() {
    let c = shipped();
    let share = percent(&c, values(&c), |kind| kind == SourceKind::Memory);
    assert!(share <= 25.0, "{share:.1} % of all values are recalled");
}

/// Families with the properties a developer decides by.
fn critical() -> BTreeMap<String, Vec<String>> {
    let mut out: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut reader = csv::Reader::from_reader(include_str!("../schema/critical.csv").as_bytes());
    for record in reader.records() {
        let record = record.expect("well-formed table");
        out.entry(record[0].to_string())
            .or_default()
            .push(record[1].to_string());
    }
    out
}

#[test]
fn every_family_names_a_few_critical_properties() {
    let c = shipped();
    let critical = critical();
    let named: Vec<&str> = critical.keys().map(String::as_str).collect();
    assert_eq!(named, c.families());
    for (family, properties) in &critical {
        assert!((3..=8).contains(&properties.len()), "{family}");
        for p in properties {
            assert!(c.property(p).is_some(), "{family}: no property {p}");
        }
    }
}

#[test]
fn critical_properties_are_known_in_each_family() {
    let c = shipped();
    let mut short = vec![];
    for (family, properties) in &critical() {
        let (mut of, mut missing) = (0, vec![]);
        for i in c.ingredients.iter().filter(|i| i.family == *family) {
            let profile = Profile::of(i, &Tastes::default());
            for p in properties {
                of += 1;
                // Known when a row states it, or a named rule derives it.
                let derived = Part::parse(p).is_some_and(|part| profile.figure(part).is_some());
                if i.value(p).is_none() && !derived {
                    missing.push(format!("{} {p}", i.id));
                }
            }
        }
        if 100 * (of - missing.len()) < 95 * of {
            short.push(format!(
                "{family}: {} of {of} missing: {}",
                missing.len(),
                missing.join(", ")
            ));
        }
    }
    assert!(short.is_empty(), "{}", short.join("\n"));
}

#[test]
fn a_plain_word_reaches_one_ingredient_or_a_small_choice() {
    use tamis::model::Named;
    let c = shipped();
    // Source: words people type, from public cooking questions; at most five to choose from.
    const WORDS: &[&str] = &[
        "sugar",
        "milk",
        "cream",
        "butter",
        "glucose",
        "dextrose",
        "corn syrup",
        "cornflour",
        "corn flour",
        "cornstarch",
        "icing sugar",
        "golden syrup",
        "treacle",
        "jelly",
        "gelatine",
        "agar",
        "carob",
        "pectin",
        "cocoa",
        "chocolate",
        "coconut milk",
        "coconut cream",
        "oat milk",
        "soy milk",
        "almond milk",
        "lecithin",
        "stevia",
        "monk fruit",
        "vinegar",
        "salt",
        "egg",
        "yolk",
        "honey",
        "oil",
        "flour",
        "starch",
        "vanilla",
        "rum",
        "lemon",
        "glucose syrup",
        "brown sugar",
        "kirsch",
        "sour cherry",
        "molasses",
        "carrageenan",
        "gum",
    ];
    for word in WORDS {
        let reached = match c.named(word) {
            Named::One(_) => 1,
            Named::Several(keys) => keys.len(),
            Named::Unknown => 0,
        };
        assert!((1..=5).contains(&reached), "`{word}` reaches {reached}");
    }
    for (word, id) in [
        ("sugar", "sucrose"),
        ("golden syrup", "golden-syrup"),
        ("cornstarch", "maize-starch"),
        ("egg", "whole-egg"),
        ("yolk", "egg-yolk"),
        ("salt", "table-salt"),
        ("icing sugar", "icing-sugar"),
        ("sour cherry puree", "sour-cherry-puree"),
        ("honey", "honey"),
    ] {
        assert_eq!(
            c.named(word),
            Named::One(c.key(id).expect("a known id")),
            "{word}"
        );
    }
}
