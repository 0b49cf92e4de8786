//! Own ingredients put together from others: what their parts make of them.
//!
//! Composition adds up by mass, an allergen of a part is one of the whole, the whole hydrates
//! where its last part does, and what is not known of a part is not known of the whole.

use std::collections::BTreeMap;

use super::assemble::{named, own_tables, owner, rows};
use super::files::Files;
use super::own::{lay, leave_open};
use super::table::Table;
use crate::diagnostic::Diagnostic;
use crate::model::{AllergenRow, Ingredient, Presence, Property, PropertyKind, Row, Value};

/// The rule every value of a whole names.
const RULE: &str = "blend-sum";
/// Groups of properties that parts decide, so that nothing else may be stated of the whole.
const DECIDED: [&str; 2] = ["composition", "sweetness"];
/// States of a whole by the gravest of its parts, gravest first.
const STATES: [(&str, [&str; 4]); 4] = [
    ("vegan", ["no", "depends", "yes", ""]),
    ("vegetarian", ["no", "depends", "yes", ""]),
    (
        "gluten",
        ["contains", "may contain", "depends", "none by nature"],
    ),
    (
        "lactose_state",
        ["contains", "trace", "depends", "none by nature"],
    ),
];

/// Reads `parts.csv` and fills in what the parts decide.
pub(super) fn read(
    files: &Files,
    ingredients: &mut BTreeMap<String, Ingredient>,
    properties: &[Property],
    problems: &mut Vec<Diagnostic>,
) {
    let before = problems.len();
    let tables = own_tables(files, "parts.csv", problems);
    let mut wholes: BTreeMap<String, Vec<(String, f64)>> = BTreeMap::new();
    let mut places: BTreeMap<String, Row> = BTreeMap::new();
    for (t, r) in rows(&tables) {
        let part = named(t, r, "part", ingredients, problems);
        let grams = weight(t, r, problems);
        let Some(whole) = owner(t, r, ingredients, problems) else {
            continue;
        };
        if !whole.own {
            problems.push(
                t.cell_problem(
                    "D061",
                    r,
                    "ingredient",
                    format!("`{}` is built in and has no parts", whole.id),
                )
                .help(
                    "give an own ingredient of another id in ingredients.csv, and its parts here",
                ),
            );
            continue;
        }
        places.entry(whole.id.clone()).or_insert(t.row(r));
        if let (Some(part), Some(grams)) = (part, grams) {
            wholes
                .entry(whole.id.clone())
                .or_default()
                .push((part, grams));
        }
    }
    // Each whole after those it holds.
    while let Some(id) = wholes
        .iter()
        .find(|(_, parts)| parts.iter().all(|(part, _)| !wholes.contains_key(part)))
        .map(|(id, _)| id.clone())
    {
        let parts = wholes.remove(&id).unwrap_or_default();
        let place = places.remove(&id).unwrap_or_default();
        put_together(&id, parts, place, ingredients, properties, problems);
    }
    if problems.len() > before {
        return;
    }
    for id in wholes.keys() {
        let place = places.remove(id).unwrap_or_default();
        problems.push(
            Diagnostic::new("D062", place.file, format!("`{id}` is a part of itself"))
                .at(place.line, 0)
                .help("take it out of its parts, or out of theirs"),
        );
    }
}

fn weight(t: &Table<'_>, r: &super::Record, problems: &mut Vec<Diagnostic>) -> Option<f64> {
    let before = problems.len();
    let grams = t.number(r, "grams", problems);
    if problems.len() == before && grams.is_none_or(|g| g <= 0.0) {
        problems.push(
            t.cell_problem("D063", r, "grams", "a part weighs more than nothing")
                .help("write its grams, or delete the row"),
        );
    }
    grams.filter(|g| *g > 0.0)
}

fn put_together(
    id: &str,
    grams: Vec<(String, f64)>,
    place: Row,
    ingredients: &mut BTreeMap<String, Ingredient>,
    properties: &[Property],
    problems: &mut Vec<Diagnostic>,
) {
    for (part, _) in &grams {
        ingredients.get_mut(part).into_iter().for_each(leave_open);
    }
    let all: f64 = grams.iter().map(|(_, g)| g).sum();
    let shares: Vec<(String, f64)> = grams.into_iter().map(|(p, g)| (p, g / all)).collect();
    let parts: Vec<(&Ingredient, f64)> = shares
        .iter()
        .filter_map(|(part, share)| Some((ingredients.get(part)?, *share)))
        .collect();
    let Some(whole) = ingredients.get(id) else {
        return;
    };
    let decided = |property: &str| {
        let group = properties.iter().find(|p| p.id == property);
        group.is_some_and(|p| DECIDED.contains(&p.group.as_str()))
    };
    for value in whole.values.iter().filter(|v| decided(&v.property)) {
        let message = format!(
            "the {} of `{id}` comes from its parts",
            value.property.replace('_', " ")
        );
        problems.push(
            Diagnostic::new("D061", value.row.file.clone(), message)
                .at(value.row.line, 0)
                .help("delete the row here, or the parts in parts.csv"),
        );
    }
    let mut values: Vec<Value> = properties
        .iter()
        .filter(|p| decided(&p.id) && p.unit.ends_with("/100 g"))
        .filter_map(|p| sum(p, &parts))
        .collect();
    values.extend(hydration(&parts));
    values.extend(
        STATES
            .iter()
            .filter_map(|(p, words)| state(p, words, &parts)),
    );
    let allergens = allergens(&parts);
    if let Some(whole) = ingredients.get_mut(id) {
        for mut value in values {
            value.row = place.clone();
            lay(value, &mut whole.values);
        }
        whole.allergens.extend(allergens);
        whole.parts = shares;
    }
}

fn value(property: &str, unit: &str) -> Value {
    Value {
        property: property.to_string(),
        condition: String::new(),
        low: None,
        typical: None,
        high: None,
        text: String::new(),
        unit: unit.to_string(),
        source: RULE.into(),
        locator: String::new(),
        note: String::new(),
        own: false,
        row: Row::default(),
    }
}

/// The sum by mass, where every part states the property.
fn sum(p: &Property, parts: &[(&Ingredient, f64)]) -> Option<Value> {
    let (mut typical, mut low, mut high) = (0.0, 0.0, 0.0);
    for (part, share) in parts.iter().filter(|_| p.kind == PropertyKind::Number) {
        let stated = part.value(&p.id)?;
        let (least, greatest) = stated.range()?;
        typical += share * stated.figure()?;
        low += share * least;
        high += share * greatest;
    }
    let ranged = high - low > 1e-9;
    Some(Value {
        typical: Some(typical),
        low: ranged.then_some(low),
        high: ranged.then_some(high),
        ..value(&p.id, &p.unit)
    })
}

/// The temperature of the part that hydrates last.
fn hydration(parts: &[(&Ingredient, f64)]) -> Option<Value> {
    let stated = parts.iter().filter_map(|(part, _)| {
        let value = part.value("hydration_temperature")?;
        Some((part, value, value.figure()?))
    });
    let (part, last, _) = stated.max_by(|a, b| a.2.total_cmp(&b.2))?;
    Some(Value {
        low: last.low,
        typical: last.typical,
        high: last.high,
        note: format!("that of {}, the highest of its parts", part.name),
        ..value("hydration_temperature", &last.unit)
    })
}

/// The gravest state of the parts; nothing where a part does not state it and none is gravest.
fn state(property: &str, gravest_first: &[&str], parts: &[(&Ingredient, f64)]) -> Option<Value> {
    let stated: Vec<Option<&str>> = parts.iter().map(|(p, _)| p.text(property)).collect();
    let gravest = stated.iter().any(|s| *s == gravest_first.first().copied());
    if stated.contains(&None) && !gravest {
        return None;
    }
    let word = gravest_first.iter().find(|w| stated.contains(&Some(*w)))?;
    Some(Value {
        text: word.to_string(),
        ..value(property, "")
    })
}

/// What any part holds or may hold. An exemption stands only where all that hold the substance have
/// it, and the whole has none by nature only where every part has none.
fn allergens(parts: &[(&Ingredient, f64)]) -> Vec<AllergenRow> {
    let mut out: Vec<AllergenRow> = vec![];
    for (part, _) in parts {
        for row in &part.allergens {
            let silent = row.presence == Presence::NoneByNature;
            let exempt = row.presence == Presence::Exempt;
            let same = |r: &AllergenRow| {
                (&r.substance, r.presence, &r.list) == (&row.substance, row.presence, &row.list)
            };
            let holds = |p: &Ingredient| p.allergens.iter().any(|r| r.substance == row.substance);
            let shared = parts
                .iter()
                .all(|(p, _)| !holds(p) || p.allergens.iter().any(same));
            if !silent && (!exempt || shared) && !out.iter().any(same) {
                out.push(AllergenRow {
                    source: RULE.into(),
                    locator: part.name.clone(),
                    ..row.clone()
                });
            }
        }
    }
    if out.is_empty() {
        out.push(AllergenRow {
            substance: "none".into(),
            presence: Presence::NoneByNature,
            list: String::new(),
            source: RULE.into(),
            locator: String::new(),
            condition: String::new(),
        });
    }
    out
}
