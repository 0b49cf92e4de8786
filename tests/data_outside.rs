//! The catalogue against figures published elsewhere; expected numbers are typed from the source each row names.

use tamis::formula::{Part, Profile, Tastes};
use tamis::load::{Files, catalogue};
use tamis::model::{Catalogue, Ingredient, Named, Value};
use tamis::physics::energy;

fn shipped() -> Catalogue {
    catalogue(&Files::embedded()).unwrap_or_else(|problems| panic!("{problems}"))
}

fn rows(text: &str) -> Vec<Vec<String>> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let rows: Vec<Vec<String>> = reader
        .records()
        .map(|r| {
            r.expect("well-formed table")
                .iter()
                .map(String::from)
                .collect()
        })
        .collect();
    assert!(
        rows.iter().all(|r| !r[r.len() - 1].is_empty()),
        "each row names its source"
    );
    rows
}

fn number(cell: &str) -> f64 {
    cell.parse().expect("a number")
}

fn ingredient<'a>(c: &'a Catalogue, id: &str) -> &'a Ingredient {
    c.ingredient(c.key(id).unwrap_or_else(|| panic!("no ingredient {id}")))
}

/// A value and what it was expected to be, one line for the list of disagreements.
fn differs(
    id: &str,
    property: &str,
    found: impl std::fmt::Debug,
    expected: impl std::fmt::Debug,
) -> String {
    format!("{id} {property}: catalogue {found:?}, source {expected:?}")
}

fn none(disagreements: Vec<String>) {
    assert!(disagreements.is_empty(), "{}", disagreements.join("\n"));
}

#[test]
fn composition_equals_the_cell_of_the_data_set() {
    let c = shipped();
    let table = rows(include_str!("literature/composition.csv"));
    assert!(table.len() >= 40);
    none(
        table
            .iter()
            .filter_map(|row| {
                let [id, property, cell, unit, source, locator] = &row[..] else {
                    panic!("six cells")
                };
                let found = ingredient(&c, id)
                    .all(property)
                    .find(|v| v.source == *source && v.locator == *locator);
                // Copied by script, so equal to the last digit.
                let same =
                    found.is_some_and(|v| v.typical == Some(number(cell)) && v.unit == *unit);
                (!same).then(|| differs(id, property, found.map(|v| v.typical), cell))
            })
            .collect(),
    );
}

/// Standard atomic weights, abridged. Source: IUPAC, Commission on Isotopic Abundances and Atomic Weights.
const ATOMIC_WEIGHTS: [(&str, f64); 7] = [
    ("C", 12.011),
    ("H", 1.008),
    ("O", 15.999),
    ("Na", 22.990),
    ("K", 39.098),
    ("Ca", 40.078),
    ("Cl", 35.45),
];

/// Molar mass of a plain formula such as `C12H22O11`, g/mol.
fn of_formula(formula: &str) -> f64 {
    let mut rest = formula;
    let mut sum = 0.0;
    while !rest.is_empty() {
        let end = rest[1..]
            .find(|c: char| !c.is_lowercase())
            .map_or(rest.len(), |n| n + 1);
        let (symbol, after) = rest.split_at(end);
        let digits = after
            .find(|c: char| !c.is_ascii_digit())
            .unwrap_or(after.len());
        let count = after[..digits].parse().unwrap_or(1.0);
        let weight = ATOMIC_WEIGHTS.iter().find(|(s, _)| *s == symbol);
        sum += count * weight.expect("a listed element").1;
        rest = &after[digits..];
    }
    sum
}

#[test]
fn molar_masses_follow_from_the_formula() {
    let c = shipped();
    let table = rows(include_str!("literature/molar-masses.csv"));
    assert!(table.len() >= 20);
    let mut wrong = vec![];
    for row in &table {
        let (id, typed) = (&row[0], number(&row[2]));
        // The typed figure is rounded to 0.001.
        assert!(
            (of_formula(&row[1]) - typed).abs() < 0.001,
            "{id}: formula {}",
            of_formula(&row[1])
        );
        let found = ingredient(&c, id).number("molar_mass");
        // 0.03 g/mol covers handbooks with older atomic weights and two decimals.
        if !found.is_some_and(|m| (m - typed).abs() < 0.03) {
            wrong.push(differs(id, "molar_mass", found, typed));
        }
    }
    none(wrong);
}

#[test]
fn names_and_limits_of_the_standard_for_sugars_hold() {
    let c = shipped();
    let mut wrong = vec![];
    for row in rows(include_str!("literature/terms.csv")) {
        let (term, id, property) = (&row[0], &row[1], &row[2]);
        let reached = match c.named(term) {
            Named::One(key) => vec![key],
            Named::Several(keys) => keys,
            Named::Unknown => vec![],
        };
        if !reached.contains(&c.key(id).expect("a known id")) {
            wrong.push(format!("`{term}` does not reach {id}"));
        }
        let profile = Profile::of(ingredient(&c, id), &Tastes::default());
        let found = Part::parse(property)
            .and_then(|part| profile.figure(part))
            .map(|f| f.typical);
        if !found.is_some_and(|x| (number(&row[3])..=number(&row[4])).contains(&x)) {
            wrong.push(differs(id, property, found, (&row[3], &row[4])));
        }
    }
    none(wrong);
}

#[test]
fn additive_numbers_are_those_of_the_international_numbering_system() {
    let c = shipped();
    let mut wrong = vec![];
    for row in rows(include_str!("literature/numbers.csv")) {
        let digits: String = ingredient(&c, &row[1])
            .e_number
            .chars()
            .skip_while(|c| !c.is_ascii_digit())
            .take_while(char::is_ascii_digit)
            .collect();
        if digits != row[0] {
            wrong.push(differs(&row[1], "number", digits, &row[0]));
        }
    }
    none(wrong);
}

/// Jobs of the trade that no functional class of additives names, since they are done by foods.
const JOBS_OF_FOODS: [&str; 10] = [
    "enzyme",
    "fat source",
    "flavour",
    "freezing point depressant",
    "liquid",
    "milk solids source",
    "nutrient",
    "protein source",
    "water binder",
    "whipping agent",
];

#[test]
fn functions_are_classes_of_the_codex_or_jobs_of_foods() {
    let classes = rows(include_str!("literature/functional-classes.csv"));
    let known = |f: &&str| classes.iter().any(|row| row[0] == **f) || JOBS_OF_FOODS.contains(f);
    let c = shipped();
    none(
        c.functions()
            .iter()
            .filter(|f| !known(f))
            .map(|f| format!("`{f}` is neither"))
            .collect(),
    );
}

#[test]
fn energy_follows_annex_xiv() {
    let c = shipped();
    let mut wrong = vec![];
    for row in rows(include_str!("literature/energy-factors.csv")) {
        let (id, kcal, kilojoules) = (&row[1], number(&row[2]), number(&row[3]));
        let i = ingredient(&c, id);
        // Each stands for 100 g of its class, so 100 g give the factor times 100.
        let derived = Profile::of(i, &Tastes::default()).number(Part::EnergyEu);
        if (derived - 100.0 * kcal).abs() > 0.5 {
            wrong.push(differs(id, "energy", derived, 100.0 * kcal));
        }
        let stated = i
            .all("energy_factor")
            .find(|v| v.condition("jurisdiction") == Some("EU"));
        if let Some(v) = stated
            && v.figure() != Some(kcal)
        {
            wrong.push(differs(id, "energy_factor", v.figure(), kcal));
        }
        let pair = match row[0].as_str() {
            "polyols" => (energy::EU.polyols, energy::EU_KILOJOULES.polyols),
            "fat" => (energy::EU.fat, energy::EU_KILOJOULES.fat),
            "alcohol (ethanol)" => (energy::EU.alcohol, energy::EU_KILOJOULES.alcohol),
            "organic acid" => (
                energy::EU.organic_acids,
                energy::EU_KILOJOULES.organic_acids,
            ),
            "erythritol" => (energy::EU.erythritol, energy::EU_KILOJOULES.erythritol),
            _ => (energy::EU.carbohydrate, energy::EU_KILOJOULES.carbohydrate),
        };
        if pair != (kcal, kilojoules) {
            wrong.push(differs(&row[0], "factor", pair, (kcal, kilojoules)));
        }
    }
    none(wrong);
}

#[test]
fn emulsifier_starch_and_fat_figures_meet_the_published_ranges() {
    let c = shipped();
    let table = rows(include_str!("literature/ranges.csv"));
    for (property, least) in [
        ("hlb", 8),
        ("gelatinisation_temperature", 6),
        ("iodine_value", 8),
        ("melting_range", 4),
    ] {
        assert!(table.iter().filter(|row| row[1] == property).count() >= least);
    }
    none(
        table
            .iter()
            .filter_map(|row| {
                let (id, property) = (&row[0], &row[1]);
                let found = ingredient(&c, id).value(property).and_then(Value::range);
                // Lots differ, so two ranges agree when they share a figure.
                let agree = found
                    .is_some_and(|(low, high)| low <= number(&row[3]) && high >= number(&row[2]));
                (!agree).then(|| differs(id, property, found, (&row[2], &row[3])))
            })
            .collect(),
    );
}
