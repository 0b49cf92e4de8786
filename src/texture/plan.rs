//! The process in a few lines: what to blend dry with how much sugar, how hot the whole mix must
//! get and may get, what goes in cold.

use super::process::Step;
use crate::formula::{MixView, weighed};
use crate::model::Ingredient;
use crate::model::rule::Span;

/// Properties that name a temperature an ingredient must reach, and work without a rule.
const REACHED: [&str; 3] = [
    "hydration_temperature",
    "gelatinisation_temperature",
    "activation_temperature",
];
/// Below this nothing is heated for its own sake, C.
const COLD: f64 = 45.0;

/// One line of the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanLine {
    /// One of the phases of a process.
    pub phase: String,
    /// What to do, with grams and temperatures of this mix.
    pub text: String,
    /// Temperature, C.
    pub celsius: Option<f64>,
}

/// A temperature the mix must reach, or must not pass, for somebody.
struct Mark {
    who: String,
    celsius: f64,
}

/// The plan of a mix, from the steps its ingredients call for.
pub fn plan(view: &MixView<'_>, steps: &[Step]) -> Vec<PlanLine> {
    let lines = [
        dry_blend(view, steps),
        Some(heat(view, steps)),
        chill(steps, "cool", "cool to"),
        chill(steps, "age", "age at"),
        cold(view, steps),
    ];
    lines.into_iter().flatten().collect()
}

fn named(view: &MixView<'_>, names: &[String]) -> Vec<(String, f64)> {
    let merged = view.formula.merged();
    let lines = merged.lines.iter().map(|line| {
        let ingredient = view.assessor.catalogue.ingredient(line.key);
        (ingredient.name.clone(), line.grams)
    });
    lines.filter(|(name, _)| names.contains(name)).collect()
}

fn list(amounts: &[(String, f64)]) -> String {
    let each = amounts
        .iter()
        .map(|(name, grams)| format!("{} g {name}", weighed(*grams)));
    each.collect::<Vec<_>>().join(" + ")
}

/// What is blended dry, with how much of the sugar.
fn dry_blend(view: &MixView<'_>, steps: &[Step]) -> Option<PlanLine> {
    let carried: Vec<(&Step, Span)> = steps
        .iter()
        .filter_map(|step| Some((step, step.carrier?)))
        .collect();
    let names: Vec<String> = carried
        .iter()
        .flat_map(|(step, _)| step.ingredients.clone())
        .collect();
    let powders = named(view, &names);
    let grams: f64 = powders.iter().map(|(_, grams)| grams).sum();
    let least = carried.iter().map(|(_, c)| c.low).reduce(f64::max)? * grams;
    let most = carried.iter().map(|(_, c)| c.high).reduce(f64::max)? * grams;
    let merged = view.formula.merged();
    let sugars = merged
        .lines
        .iter()
        .map(|line| (view.assessor.catalogue.ingredient(line.key), line.grams))
        .filter(|(ingredient, _)| dry_sugar(ingredient));
    let sugar = sugars.max_by(|a, b| a.1.total_cmp(&b.1));
    let with = match sugar {
        None => "no dry sugar is in the mix: wet them out in oil or spirit, or under a high shear"
            .to_string(),
        Some((ingredient, held)) if held <= least => {
            format!("with all the {} ({} g)", ingredient.name, weighed(held))
        }
        Some((ingredient, held)) => format!(
            "with {} to {} g of the {}",
            weighed(least),
            weighed(most.min(held)),
            ingredient.name
        ),
    };
    (grams > 0.0).then(|| PlanLine {
        phase: "premix".into(),
        text: format!(
            "blend {} dry {with}; rain it into the cold liquid under shear",
            list(&powders)
        ),
        celsius: None,
    })
}

/// A sugar or dried syrup that pours.
fn dry_sugar(ingredient: &Ingredient) -> bool {
    matches!(ingredient.family.as_str(), "sugar" | "glucose-syrup")
        && ingredient.does("sweetener")
        && !matches!(ingredient.form.as_str(), "liquid" | "syrup" | "paste")
}

/// How hot the whole mix must get, and how hot it may.
fn heat(view: &MixView<'_>, steps: &[Step]) -> PlanLine {
    let mut needs: Vec<Mark> = steps
        .iter()
        .filter_map(|step| Some(mark(step, step.reach?)))
        .collect();
    let ruled: Vec<&String> = steps
        .iter()
        .filter(|step| step.reach.is_some())
        .flat_map(|step| &step.ingredients)
        .collect();
    let merged = view.formula.merged();
    for line in &merged.lines {
        let ingredient = view.assessor.catalogue.ingredient(line.key);
        if ruled.contains(&&ingredient.name) || ingredient.text("cold_soluble") == Some("yes") {
            continue;
        }
        // What is typical, else the safe end of the range.
        let highest = REACHED
            .iter()
            .filter_map(|property| {
                let value = ingredient.value(property)?;
                value.typical.or(value.range().map(|(_, high)| high))
            })
            .reduce(f64::max);
        if let Some(celsius) = highest.filter(|c| *c > COLD) {
            needs.push(Mark {
                who: ingredient.name.clone(),
                celsius,
            });
        }
    }
    needs.sort_by(|a, b| {
        b.celsius
            .total_cmp(&a.celsius)
            .then_with(|| a.who.cmp(&b.who))
    });
    let limits = steps
        .iter()
        .filter_map(|step| Some(mark(step, step.limit?)));
    let limit = limits.min_by(|a, b| a.celsius.total_cmp(&b.celsius));
    let each = |needs: &[Mark]| {
        let each = needs
            .iter()
            .map(|n| format!("{} {:.0} C", n.who, n.celsius));
        each.collect::<Vec<_>>().join(", ")
    };
    let hottest = needs.first().map(|n| n.celsius);
    let text = match (hottest, &limit) {
        (None, None) => "no ingredient here is known to need heat of its own".to_string(),
        (None, Some(limit)) => format!("not above {:.0} C ({})", limit.celsius, limit.who),
        (Some(reach), None) => format!("the whole mix to {reach:.0} C: {}", each(&needs)),
        (Some(reach), Some(limit)) if reach <= limit.celsius => format!(
            "the whole mix to {reach:.0} C, not above {:.0} C ({}): {}",
            limit.celsius,
            limit.who,
            each(&needs)
        ),
        (Some(_), Some(limit)) => {
            let apart: Vec<&Mark> = needs.iter().filter(|n| n.celsius > limit.celsius).collect();
            let names: Vec<String> = apart
                .iter()
                .map(|n| format!("{} ({:.0} C)", n.who, n.celsius))
                .collect();
            format!(
                "no one heat serves: first {} in part of the liquid; below {:.0} C before {} goes in",
                names.join(", "),
                limit.celsius,
                limit.who
            )
        }
    };
    PlanLine {
        phase: "heat".into(),
        text: format!("{text}. Heat treatment by your local code comes on top"),
        celsius: hottest,
    }
}

fn mark(step: &Step, celsius: f64) -> Mark {
    Mark {
        who: match step.ingredients.is_empty() {
            true => step.text.clone(),
            false => step.ingredients.join(", "),
        },
        celsius,
    }
}

/// A phase of the whole mix that has a temperature.
fn chill(steps: &[Step], phase: &str, verb: &str) -> Option<PlanLine> {
    let step = steps
        .iter()
        .filter(|step| step.phase == phase && step.ingredients.is_empty())
        .find(|step| step.celsius.is_some())?;
    let celsius = step.celsius?.typical;
    let time = match step.minutes {
        Some(m) if m.high >= 120.0 => format!(", {:.0} to {:.0} h", m.low / 60.0, m.high / 60.0),
        _ => String::new(),
    };
    Some(PlanLine {
        phase: phase.into(),
        text: format!("{verb} {celsius:.0} C{time}"),
        celsius: Some(celsius),
    })
}

/// What goes in cold.
fn cold(view: &MixView<'_>, steps: &[Step]) -> Option<PlanLine> {
    let names: Vec<String> = steps
        .iter()
        .filter(|step| step.phase == "add cold")
        .flat_map(|step| step.ingredients.clone())
        .collect();
    let late = named(view, &names);
    (!late.is_empty()).then(|| PlanLine {
        phase: "add cold".into(),
        text: format!("{}, then blend again", list(&late)),
        celsius: None,
    })
}
