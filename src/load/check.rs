//! Checks of meaning: what each must hold of the data, as a list.

use std::collections::{HashMap, HashSet};

use super::files::Files;
use super::sweetness;
use crate::diagnostic::Diagnostic;
use crate::model::{Catalogue, Ingredient, PropertyKind, Row, RuleKind, Value};

/// One check: what must hold, and the function that finds where it does not.
pub type Check = (
    &'static str,
    &'static str,
    fn(&Catalogue) -> Vec<Diagnostic>,
);

/// Every check with the code its findings carry.
pub const CHECKS: &[Check] = &[
    (
        "D040",
        "every number lies within its property's bounds",
        out_of_bounds,
    ),
    ("D041", "low <= typical <= high", disordered),
    (
        "D042",
        "a choice property uses one of its words",
        unknown_choice,
    ),
    (
        "D043",
        "a condition uses keys its property declares",
        unknown_condition,
    ),
    (
        "D044",
        "no value stands twice with the same condition and source",
        duplicate_values,
    ),
    (
        "D045",
        "the parts of an ingredient close to 100 +- 1 g",
        closure,
    ),
    (
        "D046",
        "single sugars do not exceed the total",
        sugars_above_total,
    ),
    (
        "D047",
        "sugars do not exceed the carbohydrate of the same data set",
        sugars_above_carbohydrate,
    ),
    (
        "D048",
        "a hydrate's water agrees with its formula",
        hydrate_water,
    ),
    (
        "D049",
        "every ingredient states its allergens",
        allergens_missing,
    ),
    (
        "D050",
        "a listed origin has its allergen row",
        origin_without_allergen,
    ),
    ("D051", "CAS numbers have their check digit", cas_digit),
    ("D052", "every source is used", unused_sources),
    (
        "D053",
        "a rule can be reached: nothing it asks for excludes itself",
        unreachable_rules,
    ),
    (
        "D054",
        "two swap rules for the same pair and job agree in direction",
        contradictory_swaps,
    ),
    ("D055", "words of one table do not clash", clashing_words),
    ("D056", "an ingredient states its diet", diet_missing),
    (
        "D057",
        "a property is looked for in families that exist",
        unknown_family,
    ),
    (
        "D058",
        "every sugar and polyol has its sweetness in a mixture",
        sweetness::ratio_missing,
    ),
    (
        "D059",
        "the sweetness of a syrup agrees with its sugars or its row says why not",
        sweetness::apart_from_its_sugars,
    ),
];

/// Runs every check of [`CHECKS`].
pub fn check(catalogue: &Catalogue, files: &Files) -> Vec<Diagnostic> {
    CHECKS
        .iter()
        .flat_map(|(_, _, run)| run(catalogue))
        .map(|problem| {
            match files
                .text(&problem.place.file)
                .and_then(|text| text.lines().nth(problem.place.line.wrapping_sub(1)))
            {
                Some(line) => problem.excerpt(line, 1),
                None => problem,
            }
        })
        .collect()
}

fn at(row: &Row, code: &'static str, message: String) -> Diagnostic {
    Diagnostic::new(code, row.file.clone(), message).at(row.line, 0)
}

fn every_value(catalogue: &Catalogue) -> impl Iterator<Item = (&Ingredient, &Value)> {
    catalogue
        .ingredients
        .iter()
        .flat_map(|i| i.values.iter().map(move |v| (i, v)))
}

fn out_of_bounds(catalogue: &Catalogue) -> Vec<Diagnostic> {
    let mut found = vec![];
    for (i, v) in every_value(catalogue) {
        let Some(p) = catalogue.property(&v.property) else {
            continue;
        };
        if let Some((least, greatest)) = v.range()
            && (least < p.low || greatest > p.high)
        {
            found.push(
                at(
                    &v.row,
                    "D040",
                    format!(
                        "{} of {} is {least} to {greatest} {}, outside {} to {}",
                        p.id, i.id, p.unit, p.low, p.high
                    ),
                )
                .help("check the unit and the decimal point"),
            );
        }
    }
    found
}

fn disordered(catalogue: &Catalogue) -> Vec<Diagnostic> {
    every_value(catalogue)
        .filter(|(_, v)| {
            let stated: Vec<f64> = [v.low, v.typical, v.high].into_iter().flatten().collect();
            stated.windows(2).any(|pair| pair[0] > pair[1])
        })
        .map(|(i, v)| {
            at(
                &v.row,
                "D041",
                format!(
                    "{} of {} is not in the order low, typical, high",
                    v.property, i.id
                ),
            )
            .help("swap the numbers")
        })
        .collect()
}

fn unknown_choice(catalogue: &Catalogue) -> Vec<Diagnostic> {
    let mut found = vec![];
    for (i, v) in every_value(catalogue) {
        if let Some(PropertyKind::Choice(words)) = catalogue.property(&v.property).map(|p| &p.kind)
            && !words.contains(&v.text)
        {
            found.push(
                at(
                    &v.row,
                    "D042",
                    format!("{} of {} is `{}`", v.property, i.id, v.text),
                )
                .help(format!("one of {}", words.join(", "))),
            );
        }
    }
    found
}

fn unknown_condition(catalogue: &Catalogue) -> Vec<Diagnostic> {
    let mut found = vec![];
    for (i, v) in every_value(catalogue) {
        let Some(p) = catalogue.property(&v.property) else {
            continue;
        };
        for pair in v
            .condition
            .split(';')
            .map(str::trim)
            .filter(|pair| !pair.is_empty())
        {
            let known = pair
                .split_once('=')
                .is_some_and(|(key, _)| p.conditions.iter().any(|c| c == key.trim()));
            if !known {
                found.push(
                    at(
                        &v.row,
                        "D043",
                        format!("{} of {} has the condition `{pair}`", p.id, i.id),
                    )
                    .help(match p.conditions.is_empty() {
                        true => "this property takes no condition".to_string(),
                        false => format!("write key=value with one of {}", p.conditions.join(", ")),
                    }),
                );
            }
        }
    }
    found
}

fn duplicate_values(catalogue: &Catalogue) -> Vec<Diagnostic> {
    let mut seen: HashSet<(&str, &str, &str, &str, &str)> = HashSet::new();
    every_value(catalogue)
        .filter(|(i, v)| !seen.insert((&i.id, &v.property, &v.condition, &v.source, &v.locator)))
        .map(|(i, v)| {
            at(
                &v.row,
                "D044",
                format!(
                    "{} of {} stands twice with source {}",
                    v.property, i.id, v.source
                ),
            )
            .help("delete one of the two rows")
        })
        .collect()
}

/// The parts that add up when no carbohydrate figure is stated.
pub const SINGLE_PARTS: [&str; 32] = [
    "sucrose",
    "glucose",
    "fructose",
    "galactose",
    "lactose",
    "maltose",
    "trehalose",
    "isomaltulose",
    "allulose",
    "tagatose",
    "higher_saccharides",
    "starch",
    "fibre",
    "sorbitol",
    "mannitol",
    "xylitol",
    "erythritol",
    "maltitol",
    "lactitol",
    "isomalt",
    "glycerol",
    "citric_acid",
    "malic_acid",
    "tartaric_acid",
    "lactic_acid",
    "acetic_acid",
    "sodium_chloride",
    "potassium_chloride",
    "calcium_chloride",
    "sodium_bicarbonate",
    "trisodium_citrate",
    "dipotassium_phosphate",
];

/// Where a sum over several properties is to be put right: at the own value that changed it, else
/// at the ingredient.
fn changed<'a>(i: &'a Ingredient, properties: &[&str]) -> &'a Row {
    let mut own = i
        .values
        .iter()
        .filter(|v| v.own && properties.contains(&v.property.as_str()));
    own.next().map_or(&i.row, |v| &v.row)
}

/// The parts of a proximate analysis beside those of [`SINGLE_PARTS`].
const PROXIMATE: [&str; 8] = [
    "fat",
    "water",
    "protein",
    "ash",
    "alcohol",
    "carbohydrate_by_difference",
    "carbohydrate_available",
    "organic_acids",
];

fn closure(catalogue: &Catalogue) -> Vec<Diagnostic> {
    let mut found = vec![];
    // What is put together from parts closes where they do.
    for i in catalogue.ingredients.iter().filter(|i| i.parts.is_empty()) {
        let of = |property: &str| i.number(property).unwrap_or(0.0);
        let known = |property: &str| i.number(property).is_some();
        // Syrups by DE get their saccharides by a rule; pure emulsifiers and intense sweeteners have no proximate analysis.
        let dosed_in_milligrams =
            i.family == "intense-sweetener" && !SINGLE_PARTS.iter().any(|part| known(part));
        let exempt =
            known("dextrose_equivalent") || of("emulsifier_content") >= 99.0 || dosed_in_milligrams;
        let carbohydrate = if known("carbohydrate_by_difference") {
            of("carbohydrate_by_difference")
        } else if known("carbohydrate_available") {
            of("carbohydrate_available") + of("fibre") + of("organic_acids")
        } else if exempt {
            continue;
        } else {
            SINGLE_PARTS.iter().map(|part| of(part)).sum()
        };
        let sum =
            of("water") + of("fat") + of("protein") + of("ash") + of("alcohol") + carbohydrate;
        // No label tells water: what an own sheet leaves untold widens the doubt instead.
        if i.own && !known("water") && sum > 0.0 && sum < 99.0 {
            continue;
        }
        if !(99.0..=101.0).contains(&sum) {
            let own = i.own || i.values.iter().any(|v| v.own);
            found.push(
                at(
                    changed(i, &[&PROXIMATE[..], &SINGLE_PARTS].concat()),
                    "D045",
                    format!("the parts of {} add up to {sum:.1} g", i.id),
                )
                .help(match own {
                    true => {
                        "state water, fat, protein and carbohydrate_by_difference from one sheet so that they make 100 g"
                    }
                    false => "take all parts from one row of one data set, or name the missing part",
                }),
            );
        }
    }
    found
}

const SUGARS: [&str; 10] = [
    "sucrose",
    "glucose",
    "fructose",
    "galactose",
    "lactose",
    "maltose",
    "trehalose",
    "isomaltulose",
    "allulose",
    "tagatose",
];

fn sugars_above_total(catalogue: &Catalogue) -> Vec<Diagnostic> {
    let mut found = vec![];
    for i in &catalogue.ingredients {
        let Some(total) = i.value("sugars") else {
            continue;
        };
        let figure = total.figure().unwrap_or(0.0);
        let single: f64 = SUGARS
            .iter()
            .filter_map(|s| i.value(s))
            .filter(|v| v.source == total.source && v.locator == total.locator)
            .filter_map(Value::figure)
            .sum();
        // Within one row; 3 % and 0.6 g cover the rounding of five analyses.
        if single > figure * 1.03 + 0.6 {
            found.push(
                at(
                    &total.row,
                    "D046",
                    format!(
                        "the single sugars of {} add up to {single:.1} g, the total is {figure} g",
                        i.id
                    ),
                )
                .help("check the row in the data set"),
            );
        }
    }
    found
}

fn sugars_above_carbohydrate(catalogue: &Catalogue) -> Vec<Diagnostic> {
    let mut found = vec![];
    for i in &catalogue.ingredients {
        for definition in ["carbohydrate_by_difference", "carbohydrate_available"] {
            let (Some(sugars), Some(carbohydrate)) = (i.value("sugars"), i.value(definition))
            else {
                continue;
            };
            let same_row =
                sugars.source == carbohydrate.source && sugars.locator == carbohydrate.locator;
            let (s, c) = (
                sugars.figure().unwrap_or(0.0),
                carbohydrate.figure().unwrap_or(0.0),
            );
            // Sugars are analysed, carbohydrate may be a difference: 5 % and 1 g are let pass.
            if same_row && s > c * 1.05 + 1.0 {
                found.push(
                    at(
                        &sugars.row,
                        "D047",
                        format!("{} has {s} g sugars in {c} g carbohydrate", i.id),
                    )
                    .help("check both in the data set"),
                );
            }
        }
    }
    found
}

/// Hydrates by the word that ends their id or stands in the form of their molar mass, with the
/// water molecules of one formula. Source: by definition of the prefixes.
const HYDRATES: [(&str, f64); 9] = [
    ("hemihydrate", 0.5),
    ("monohydrate", 1.0),
    ("dihydrate", 2.0),
    ("trihydrate", 3.0),
    ("tetrahydrate", 4.0),
    ("pentahydrate", 5.0),
    ("hexahydrate", 6.0),
    ("heptahydrate", 7.0),
    ("decahydrate", 10.0),
];

fn hydrate_water(catalogue: &Catalogue) -> Vec<Diagnostic> {
    const WATER: f64 = 18.015;
    let mut found = vec![];
    for i in &catalogue.ingredients {
        let by_form = i.all("molar_mass").find_map(|v| {
            let form = v.condition("form")?;
            let (_, n) = HYDRATES.iter().find(|(word, _)| *word == form)?;
            Some((*n, v.figure()?))
        });
        let by_id = HYDRATES.iter().find(|(word, _)| {
            let before = i.id.strip_suffix(word);
            before.is_some_and(|b| b.ends_with('-'))
        });
        let (Some((n, molar)), Some(water)) = (by_form, i.value("water")) else {
            if let Some((word, _)) = by_id {
                found.push(
                    at(
                        &i.row,
                        "D048",
                        format!("{} lacks its water or the molar mass of the {word}", i.id),
                    )
                    .help(format!(
                        "add both to data/values/{}.csv, molar_mass with the condition form={word}",
                        i.family
                    )),
                );
            }
            continue;
        };
        let expected = 100.0 * n * WATER / molar;
        let stated = water.figure().unwrap_or(0.0);
        if (stated - expected).abs() > 0.3 {
            found.push(
                at(
                    &water.row,
                    "D048",
                    format!(
                        "{} states {stated} g water, its formula {expected:.2} g",
                        i.id
                    ),
                )
                .help("water of a hydrate = 18.015 n / molar mass of the hydrate"),
            );
        }
    }
    found
}

fn allergens_missing(catalogue: &Catalogue) -> Vec<Diagnostic> {
    let missing = catalogue
        .ingredients
        .iter()
        .filter(|i| i.allergens.is_empty() && !i.own);
    missing
        .map(|i| {
            at(&i.row, "D049", format!("{} has no allergen row", i.id)).help(
                "state what it contains, or `none,none by nature` for a single unlisted origin",
            )
        })
        .collect()
}

fn origin_without_allergen(catalogue: &Catalogue) -> Vec<Diagnostic> {
    let listed: HashSet<&str> = catalogue
        .allergen_lists
        .iter()
        .map(|row| row.substance.as_str())
        .collect();
    let mut found = vec![];
    for i in &catalogue.ingredients {
        for origin in &i.origin {
            let words: Vec<&str> = origin.split([' ', ',', '(', ')']).collect();
            for substance in listed.iter().filter(|s| words.contains(s) || origin == **s) {
                // "coconut milk", "oat milk": the plant names the milk.
                let plant_milk = *substance == "milk"
                    && !["cow", "goat", "sheep", "buffalo", "milk"].contains(&words[0]);
                if !plant_milk && !i.allergens.iter().any(|row| row.substance == *substance) {
                    found.push(
                        at(
                            &i.row,
                            "D050",
                            format!(
                                "{} comes from {origin} and has no allergen row for {substance}",
                                i.id
                            ),
                        )
                        .help(match i.own {
                            true => "add the row to allergens.csv",
                            false => "add the row to data/allergens.csv",
                        }),
                    );
                }
            }
        }
    }
    found
}

fn cas_digit(catalogue: &Catalogue) -> Vec<Diagnostic> {
    let right = |cas: &str| {
        let digits: Vec<u32> = cas.chars().filter_map(|c| c.to_digit(10)).collect();
        let Some((check, rest)) = digits.split_last() else {
            return false;
        };
        rest.iter().rev().zip(1..).map(|(d, n)| d * n).sum::<u32>() % 10 == *check
    };
    let mut found = vec![];
    for i in &catalogue.ingredients {
        for cas in i.cas.iter().filter(|cas| !right(cas)) {
            found.push(
                at(
                    &i.row,
                    "D051",
                    format!("the CAS number {cas} of {} fails its check digit", i.id),
                )
                .help("look the number up again"),
            );
        }
    }
    found
}

fn unused_sources(catalogue: &Catalogue) -> Vec<Diagnostic> {
    let mut used: HashSet<&str> = every_value(catalogue)
        .map(|(_, v)| v.source.as_str())
        .collect();
    used.extend(catalogue.rules.iter().map(|r| r.source.as_str()));
    used.extend(catalogue.naming.pieces.iter().map(|p| p.source.as_str()));
    used.extend(catalogue.permissions.iter().map(|p| p.source.as_str()));
    used.extend(catalogue.labels.sources.iter().map(String::as_str));
    used.extend(catalogue.relatives.iter().map(|r| r.source.as_str()));
    used.extend(catalogue.law.intakes.iter().map(|i| i.source.as_str()));
    used.extend(catalogue.classes.ranges.iter().map(|r| r.source.as_str()));
    let steps = catalogue.sequences.steps.iter();
    used.extend(steps.map(|s| s.source.as_str()));
    let keeping = catalogue.sequences.keeping.iter();
    used.extend(keeping.map(|k| k.source.as_str()));
    used.extend(catalogue.allergen_lists.iter().map(|r| r.source.as_str()));
    used.extend(
        catalogue
            .ingredients
            .iter()
            .flat_map(|i| i.allergens.iter().map(|a| a.source.as_str())),
    );
    let unused = catalogue
        .sources
        .values()
        .filter(|s| s.kind.needs_locator() && !used.contains(s.id.as_str()));
    unused
        .map(|s| {
            Diagnostic::new(
                "D052",
                "data/sources.csv",
                format!("no row uses the source `{}`", s.id),
            )
            .help("delete it")
        })
        .collect()
}

fn unreachable_rules(catalogue: &Catalogue) -> Vec<Diagnostic> {
    use crate::model::{Expr, Group, Subject, Test};
    let mut found = vec![];
    for rule in &catalogue.rules {
        let Expr::All(parts) = &rule.when else {
            continue;
        };
        let mut is: HashMap<Subject, &str> = HashMap::new();
        for part in parts {
            let Expr::Test(Test::Is(subject, Group::Ingredient(id))) = part else {
                continue;
            };
            if let Some(other) = is.insert(*subject, id)
                && other != id
            {
                found.push(
                    at(
                        &rule.row,
                        "D053",
                        format!(
                            "rule `{}` asks one ingredient to be both {other} and {id}",
                            rule.id
                        ),
                    )
                    .help("join the two with `or`"),
                );
            }
        }
        for (n, part) in parts.iter().enumerate() {
            if parts[n + 1..].iter().any(|other| {
                *other == Expr::Not(Box::new(part.clone()))
                    || *part == Expr::Not(Box::new(other.clone()))
            }) {
                found.push(
                    at(
                        &rule.row,
                        "D053",
                        format!("rule `{}` asks for a thing and its contrary", rule.id),
                    )
                    .help("drop one of the two"),
                );
            }
        }
    }
    found
}

fn contradictory_swaps(catalogue: &Catalogue) -> Vec<Diagnostic> {
    let mut found = vec![];
    for (n, a) in catalogue.rules.iter().enumerate() {
        let RuleKind::Swap {
            out,
            newcomers,
            dose,
            jobs,
            ..
        } = &a.kind
        else {
            continue;
        };
        for b in &catalogue.rules[n + 1..] {
            let RuleKind::Swap {
                out: o,
                newcomers: c,
                dose: d,
                jobs: j,
                ..
            } = &b.kind
            else {
                continue;
            };
            let same = out == o
                && newcomers == c
                && a.when == b.when
                && jobs.iter().any(|job| j.contains(job));
            if same && (dose.high < d.low || d.high < dose.low) {
                found.push(
                    at(
                        &b.row,
                        "D054",
                        format!(
                            "rules `{}` and `{}` give doses that do not overlap",
                            a.id, b.id
                        ),
                    )
                    .help("state the condition under which each holds"),
                );
            }
        }
    }
    found
}

fn clashing_words(catalogue: &Catalogue) -> Vec<Diagnostic> {
    let mut seen: HashMap<(&str, String), &str> = HashMap::new();
    let mut found = vec![];
    for w in &catalogue.words {
        let file = format!("data/words/{}.csv", w.table);
        if let Some(other) = seen.insert((&w.table, crate::model::fold(&w.word)), &w.meaning)
            && other != w.meaning
        {
            found.push(
                Diagnostic::new(
                    "D055",
                    file,
                    format!("`{}` means both `{other}` and `{}`", w.word, w.meaning),
                )
                .help("keep one meaning, or make it a choice in data/names.csv"),
            );
        }
    }
    found
}

fn diet_missing(catalogue: &Catalogue) -> Vec<Diagnostic> {
    let mut found = vec![];
    // Of an own ingredient a diet may be left open; then it is not known.
    for i in catalogue.ingredients.iter().filter(|i| !i.own) {
        for property in ["vegan", "vegetarian", "gluten", "lactose_state"] {
            if i.text(property).is_none() {
                found.push(
                    at(
                        &i.row,
                        "D056",
                        format!("{} does not state `{property}`", i.id),
                    )
                    .help("write `depends` where the origin must be asked"),
                );
            }
        }
    }
    found
}

fn unknown_family(catalogue: &Catalogue) -> Vec<Diagnostic> {
    let families = catalogue.families();
    let mut found = vec![];
    for p in &catalogue.properties {
        for family in p.families.named() {
            if !families.contains(&family.as_str()) {
                found.push(
                    Diagnostic::new(
                        "D057",
                        "schema/properties.csv",
                        format!("{} is looked for in no known family `{family}`", p.id),
                    )
                    .help("write `all`, `all but a;b`, or family ids separated by `;`"),
                );
            }
        }
    }
    found
}
