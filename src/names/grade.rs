//! From a name and a figure to the grade meant: the one listed, one worked out between two that
//! are, or the nearest with how far it is off.

use super::figure::Figure;
use super::syrup_name::SyrupName;
use super::{derived_row, syrup};
use crate::model::{
    Catalogue, Grade, Ingredient, IngredientKey, Source, SourceKind, SyrupKind, Value,
};

/// The source that values worked out between two grades name.
pub const RULE: &str = "grade-between";
/// What it says.
const CITATION: &str = "Rule: x = xa + (xb - xa)(g - ga)/(gb - ga) for the grade g between the listed grades a and b: the mass balance of a blend of both; ga <= g <= gb; the figures of the two listed grades";
/// What the DE of a syrup may be.
const DES: std::ops::RangeInclusive<f64> = 5.0..=97.0;

/// A grade found for a figure.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Graded {
    /// The ingredient.
    pub key: IngredientKey,
    /// What has to be told; empty where the grade is the one typed.
    pub said: String,
}

/// The source of what is worked out between two grades.
pub fn source() -> Source {
    Source {
        id: RULE.into(),
        kind: SourceKind::Derived,
        citation: CITATION.into(),
        year: String::new(),
        address: String::new(),
    }
}

/// The grade a figure asks for, of the things a name may mean, likeliest first. `Err` where the
/// figure cannot be: why, and the way out.
pub(super) fn graded(
    catalogue: &Catalogue,
    heads: &[IngredientKey],
    figure: &Figure,
) -> Result<Option<Graded>, (String, String)> {
    let counted = (figure.unit.as_ref()).and_then(|unit| catalogue.naming.counted.get(unit));
    let unit = counted.map(|counted| counted.of.as_str());
    let number = figure.number * counted.map_or(1.0, |counted| counted.times);
    // A bare number beside a glucose syrup is its DE.
    let bare = unit.is_none() && !figure.percent && !figure.beside && DES.contains(&number);
    if unit == Some("de") || bare {
        let found = syrup_of(catalogue, heads, figure)?;
        if found.is_some() || !bare {
            return Ok(found);
        }
    }
    for head in heads {
        let id = catalogue.ingredient(*head).id.as_str();
        for grade in &catalogue.naming.grades {
            let Some(own) = grade.figure(id) else {
                continue;
            };
            let fits = match unit {
                Some(unit) => grade.unit == unit,
                None => grade.bare && plausible(grade, number),
            };
            if fits {
                return Ok(Some(choose(catalogue, grade, (id, own), number)));
            }
        }
    }
    Ok(None)
}

/// Whether a number with no unit can be a figure of this grade.
fn plausible(grade: &Grade, number: f64) -> bool {
    let figures = || grade.members().map(|(_, figure)| *figure);
    let anchors = || {
        grade
            .low
            .iter()
            .chain(&grade.high)
            .map(|(_, figure)| *figure)
    };
    let least = figures().chain(anchors()).fold(f64::INFINITY, f64::min);
    let most = figures().chain(anchors()).fold(0.0, f64::max);
    // `0 %` is said of what holds under one per cent.
    let none = number == 0.0 && least < 1.0;
    // A share of a thing is never more than all of it.
    let whole = if most <= 100.0 { 100.0 } else { f64::INFINITY };
    none || (least * 0.5..=(most * 1.5).min(whole)).contains(&number)
}

/// A glucose syrup of a DE: of the kind the first head is of.
fn syrup_of(
    catalogue: &Catalogue,
    heads: &[IngredientKey],
    figure: &Figure,
) -> Result<Option<Graded>, (String, String)> {
    let kinds = [SyrupKind::Dried, SyrupKind::Maltodextrin, SyrupKind::Liquid];
    let kind = heads.iter().find_map(|head| {
        let id = &catalogue.ingredient(*head).id;
        let of = |kind: &SyrupKind| {
            let rest = id.strip_prefix(kind.stem())?;
            rest.parse::<f64>().ok()
        };
        kinds.into_iter().find(|kind| of(kind).is_some())
    });
    let Some(kind) = kind else { return Ok(None) };
    let name = SyrupName {
        kind,
        dextrose_equivalent: (figure.number * 10.0).round() / 10.0,
    };
    let key = define_syrup(catalogue, &name)?;
    let range = figure.typed.contains(['-', '–', '/']) || figure.typed.contains("to");
    let said = match range {
        true => format!("the middle of DE {}", figure.typed),
        false => String::new(),
    };
    Ok(Some(Graded { key, said }))
}

/// The syrup of a name: the curated one, or one worked out. `Err` where none can have the name.
pub(super) fn define_syrup(
    catalogue: &Catalogue,
    name: &SyrupName,
) -> Result<IngredientKey, (String, String)> {
    if let Some(key) = catalogue.key(&name.id()) {
        return Ok(key);
    }
    if let Some(fault) = syrup::fault(name) {
        return Err(fault);
    }
    match syrup::worked_out(name, catalogue) {
        Some(made) => Ok(catalogue.define(made)),
        None => Err((
            format!("nothing is known of {}", name.name()),
            "name a syrup that `tamis find` shows".into(),
        )),
    }
}

fn choose(catalogue: &Catalogue, grade: &Grade, head: (&str, f64), number: f64) -> Graded {
    let off = |figure: f64| (figure - number).abs();
    let key = |id: &str| {
        catalogue
            .key(id)
            .expect("members of a grade are ingredients")
    };
    let taken = |id: &str| Graded {
        key: key(id),
        said: String::new(),
    };
    if off(head.1) <= grade.tolerance / 2.0 {
        return taken(head.0);
    }
    let nearest = |members: &mut dyn Iterator<Item = &(String, f64)>| {
        let mut best: Option<(String, f64)> = None;
        for (id, figure) in members {
            if best
                .as_ref()
                .is_none_or(|(_, other)| off(*figure) < off(*other))
            {
                best = Some((id.clone(), *figure));
            }
        }
        best
    };
    // What stands apart keeps its own kind: a rum of another strength is no gin.
    let own = [(head.0.to_string(), head.1)];
    let within: &[(String, f64)] = match grade.apart {
        true => &own,
        false => &grade.line,
    };
    let line = grade.low.iter().chain(within).chain(&grade.high);
    let line: Vec<(String, f64)> = line.cloned().collect();
    let members = match grade.apart {
        true => nearest(&mut [(head.0.to_string(), head.1)].iter()),
        false => nearest(&mut grade.members()),
    };
    let (id, figure) = members.unwrap_or((head.0.to_string(), head.1));
    if off(figure) <= grade.tolerance {
        let unit = catalogue.naming.say(&grade.unit);
        let said = match off(figure) > grade.tolerance / 2.0 {
            true => format!("{figure} {unit} for {number}"),
            false => String::new(),
        };
        return Graded {
            key: key(&id),
            said,
        };
    }
    let below = line.iter().rfind(|(_, figure)| *figure <= number);
    let above = line.iter().find(|(_, figure)| *figure >= number);
    // What stands apart and loses its water lies beyond its own figure on the same line.
    let thickened = grade.beyond.is_some_and(|most| number <= most) && line.len() == 2;
    let (below, above) = match (below, above) {
        (Some(_), None) if thickened => (line.first(), line.last()),
        ends => ends,
    };
    if let (true, Some(below), Some(above)) = (grade.between, below, above) {
        let made = between(catalogue, grade, head.0, below, above, number);
        let name = |id: &str| catalogue.ingredient(key(id)).name.clone();
        let said = match number > above.1 {
            true => format!("worked out from {} less water", name(&above.0)),
            false => format!(
                "worked out between {} and {}",
                name(&below.0),
                name(&above.0)
            ),
        };
        return Graded {
            key: catalogue.define(made),
            said,
        };
    }
    let unit = catalogue.naming.say(&grade.unit);
    let said = format!(
        "{} is the nearest grade known, {figure} {unit} for {number}",
        catalogue.ingredient(key(&id)).name,
    );
    Graded {
        key: key(&id),
        said,
    }
}

/// An ingredient on the line between two grades.
fn between(
    catalogue: &Catalogue,
    grade: &Grade,
    head: &str,
    below: &(String, f64),
    above: &(String, f64),
    number: f64,
) -> Ingredient {
    let get = |id: &str| {
        let key = catalogue
            .key(id)
            .expect("members of a grade are ingredients");
        catalogue.ingredient(key)
    };
    let (a, b) = (get(&below.0), get(&above.0));
    let share = (number - below.1) / (above.1 - below.1);
    let nearest = match grade.apart {
        true => get(head),
        false if share < 0.5 => a,
        false => b,
    };
    let ends: Vec<&str> = grade
        .low
        .iter()
        .chain(&grade.high)
        .map(|(id, _)| id.as_str())
        .collect();
    let mut values = vec![];
    for property in &catalogue.properties {
        let row = |i: &Ingredient| i.value(&property.id).cloned();
        // What only thins or strengthens holds none of what it does not state.
        let none = |i: &Ingredient| {
            let amount = property.unit.ends_with("/100 g");
            (ends.contains(&i.id.as_str()) && amount).then_some((0.0, 0.0, 0.0))
        };
        let figure = |i: &Ingredient| {
            let value = row(i).filter(|v| v.condition.is_empty() && !v.own);
            let stated = value.and_then(|v| {
                let (low, high) = v.range()?;
                Some((v.figure()?, low, high))
            });
            stated.or_else(|| none(i))
        };
        let near = row(nearest);
        match (figure(a), figure(b), near) {
            (Some(x), Some(y), Some(near)) => {
                let on = |x: f64, y: f64| {
                    let figure = x + (y - x) * share;
                    (figure.max(0.0) * 100.0).round() / 100.0
                };
                values.push(Value {
                    low: Some(on(x.1, y.1).min(on(x.0, y.0))),
                    typical: Some(on(x.0, y.0)),
                    high: Some(on(x.2, y.2).max(on(x.0, y.0))),
                    text: String::new(),
                    source: RULE.into(),
                    locator: format!("derived: between {} and {}", a.name, b.name),
                    note: String::new(),
                    row: derived_row(),
                    ..near
                });
            }
            (_, _, Some(near)) if near.text.is_empty() && !near.condition.is_empty() => {
                values.push(near);
            }
            (_, _, Some(near)) if !near.text.is_empty() => values.push(near),
            _ => {}
        }
    }
    let mut allergens = nearest.allergens.clone();
    for row in a.allergens.iter().chain(&b.allergens) {
        if row.substance != "none" && !allergens.contains(row) {
            allergens.push(row.clone());
        }
    }
    let plain = |name: &str| {
        let bare = name.split([',', '(']).next().unwrap_or(name);
        bare.trim().to_string()
    };
    let (id, name) = match grade.apart {
        true => (format!("{head}-at-{number}"), plain(&nearest.name)),
        false => (format!("{}-at-{number}", grade.id), String::new()),
    };
    let said = grade.name.replace("{name}", &name);
    Ingredient {
        id,
        name: said.replace("{}", &number.to_string()),
        note: format!(
            "Not listed: worked out between {} and {}. The pack goes first.",
            a.name, b.name
        ),
        names: vec![],
        values,
        allergens,
        parts: vec![],
        own: false,
        row: derived_row(),
        ..nearest.clone()
    }
}
