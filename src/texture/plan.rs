//! The process in a few lines: what to blend dry with how much sugar, how hot the whole mix must
//! get and may get, what goes in cold.

use super::process::Step;
use crate::condition::Mix;
use crate::formula::{Line, MixView, Part, weighed};
use crate::model::rule::Span;
use crate::model::{DishKind, Ingredient};

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
    /// Whom it concerns, by name; empty for the whole mix.
    names: Vec<String>,
}

/// The plan of a mix, from the steps its ingredients call for.
pub fn plan(view: &MixView<'_>, steps: &[Step]) -> Vec<PlanLine> {
    let gel = view.kind() == DishKind::Gel;
    let lines = [
        dry_blend(view, steps),
        apart(view, steps),
        Some(heat(view, steps)),
        before_set(view, steps),
        chill(steps, "cool", "cool to"),
        chill(steps, "age", if gel { "set at" } else { "age at" }),
        cold(view, steps),
    ];
    lines.into_iter().flatten().collect()
}

/// Those a phase concerns, by name.
fn of_phase(steps: &[Step], phase: &str) -> Vec<String> {
    let of_phase = steps.iter().filter(|step| step.phase == phase);
    of_phase.flat_map(|step| step.ingredients.clone()).collect()
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
    let dry = merged
        .lines
        .iter()
        .map(|line| (view.assessor.catalogue.ingredient(line.key), line.grams))
        .filter_map(|(ingredient, grams)| Some((carrier_rank(ingredient)?, ingredient, grams)));
    // A sugar before another dry ingredient, and the most plentiful of its kind.
    let carrier = dry.min_by(|a, b| a.0.cmp(&b.0).then(b.2.total_cmp(&a.2)));
    let what = list(&powders);
    let text = match carrier {
        None => format!(
            "nothing dry to carry {what} is in the mix: slurry it in 3 to 5 parts of oil, glycerol or spirit, or rain it in slowly under high shear"
        ),
        Some((_, ingredient, held)) => {
            let with = match held <= least {
                true => format!("with all the {} ({} g)", ingredient.name, weighed(held)),
                false => format!(
                    "with {} to {} g of the {}",
                    weighed(least),
                    weighed(most.min(held)),
                    ingredient.name
                ),
            };
            format!("blend {what} dry {with}; rain it into the cold liquid under shear")
        }
    };
    (grams > 0.0).then(|| PlanLine {
        phase: "premix".into(),
        text,
        celsius: None,
    })
}

/// Families that pour dry and dissolve, those that part gum grains best first.
const CARRIERS: [&str; 5] = ["sugar", "glucose-syrup", "polyol", "fibre", "milk-powder"];

/// How well an ingredient carries a gum in a dry blend, 0 the best; `None` where it cannot.
fn carrier_rank(ingredient: &Ingredient) -> Option<usize> {
    let dry = !matches!(ingredient.form.as_str(), "liquid" | "syrup" | "paste");
    CARRIERS
        .iter()
        .position(|family| dry && ingredient.family == *family)
}

/// What is cooked by itself before it may meet the rest.
fn apart(view: &MixView<'_>, steps: &[Step]) -> Option<PlanLine> {
    let found = named(view, &of_phase(steps, APART));
    let celsius = steps
        .iter()
        .filter(|step| step.phase == APART)
        .filter_map(|step| Some(step.celsius?.typical))
        .reduce(f64::max)?;
    (!found.is_empty()).then(|| PlanLine {
        phase: APART.into(),
        text: format!("{} to {celsius:.0} C, then cool it", list(&found)),
        celsius: Some(celsius),
    })
}

/// The phase of what is cooked by itself.
const APART: &str = "cook apart";

/// How hot the whole mix must get, and how hot it may.
fn heat(view: &MixView<'_>, steps: &[Step]) -> PlanLine {
    let late: Vec<String> = [of_phase(steps, COLD_PHASE), of_phase(steps, WARM_PHASE)].concat();
    // What goes in cold neither needs the heat of the rest nor bounds it.
    let heated =
        |mark: &Mark| mark.names.is_empty() || mark.names.iter().any(|n| !late.contains(n));
    let mut needs: Vec<Mark> = steps
        .iter()
        .filter_map(|step| Some(mark(step, step.reach?)))
        .filter(heated)
        .collect();
    let ruled: Vec<&String> = steps
        .iter()
        .filter(|step| step.reach.is_some())
        .flat_map(|step| &step.ingredients)
        .collect();
    let merged = view.formula.merged();
    for line in &merged.lines {
        let ingredient = view.assessor.catalogue.ingredient(line.key);
        let excused = ruled.contains(&&ingredient.name)
            || late.contains(&ingredient.name)
            || ingredient.text("cold_soluble") == Some("yes");
        if excused {
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
                names: vec![ingredient.name.clone()],
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
        .filter_map(|step| Some(mark(step, step.limit?)))
        .filter(heated);
    let limit = limits.min_by(|a, b| a.celsius.total_cmp(&b.celsius));
    let each = |needs: &[Mark]| {
        let each = needs
            .iter()
            .map(|n| format!("{} {:.0} C", n.who, n.celsius));
        each.collect::<Vec<_>>().join(", ")
    };
    let hottest = needs.first().map(|n| n.celsius);
    let what = match named(view, &late).is_empty() {
        true => "the whole mix",
        false if of_phase(steps, WARM_PHASE).is_empty() => "everything but what is added cold",
        false => "everything but what is stirred in before it sets",
    };
    let text = match (hottest, &limit) {
        (None, None) => "no ingredient here is known to need heat of its own".to_string(),
        (None, Some(limit)) => format!("not above {:.0} C ({})", limit.celsius, limit.who),
        (Some(reach), None) => format!("{what} to {reach:.0} C: {}", each(&needs)),
        (Some(reach), Some(limit)) if reach <= limit.celsius => format!(
            "{what} to {reach:.0} C, not above {:.0} C ({}): {}",
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
    let text = match carried(view, &needs, &late) {
        Some(carried) => format!("{text}; {carried}"),
        None => text,
    };
    PlanLine {
        phase: "heat".into(),
        text: format!("{text}. Heat treatment by your local code comes on top"),
        celsius: hottest,
    }
}

/// Water a heated gum is dissolved in at least, and gelatin, parts per part. Source: common-practice.
const ROOM: f64 = 20.0;
const ROOM_GELATIN: f64 = 8.0;
/// Share of water from which an ingredient is a liquid that can carry a heat step, %. Source: common-practice.
const LIQUID: f64 = 45.0;

/// Which liquid carries the heat, where most of the water goes in cold; what to do where none can.
fn carried(view: &MixView<'_>, needs: &[Mark], late: &[String]) -> Option<String> {
    let water = |key| view.assessor.profile(key).number(Part::Water) / 100.0;
    let merged = view.formula.merged();
    let name = |key| &view.assessor.catalogue.ingredient(key).name;
    let (cold, warm): (Vec<&Line>, Vec<&Line>) = merged
        .lines
        .iter()
        .partition(|l| late.contains(name(l.key)));
    let sum = |lines: &[&Line]| -> f64 { lines.iter().map(|l| l.grams * water(l.key)).sum() };
    let (cold, hot) = (sum(&cold), sum(&warm));
    if needs.is_empty() || cold <= hot {
        return None;
    }
    let who: Vec<String> = needs.iter().flat_map(|n| n.names.clone()).collect();
    let takes = |l: &Line| {
        let ingredient = view.assessor.catalogue.ingredient(l.key);
        let melts = ingredient.value("bloom").is_some();
        let parts = if melts { ROOM_GELATIN } else { ROOM };
        if who.contains(&ingredient.name) {
            parts * l.grams
        } else {
            0.0
        }
    };
    let room: f64 = merged.lines.iter().map(takes).sum();
    let mut liquids: Vec<&&Line> = warm
        .iter()
        .filter(|l| 100.0 * water(l.key) >= LIQUID && !who.contains(name(l.key)))
        .collect();
    liquids.sort_by(|a, b| b.grams.total_cmp(&a.grams));
    let liquids: Vec<(String, f64)> = liquids
        .iter()
        .map(|l| (name(l.key).clone(), l.grams))
        .collect();
    if liquids.is_empty() || hot < room {
        let lack = match liquids.is_empty() {
            true => "no liquid that may be heated is left to carry it".to_string(),
            false => format!("the {} is too little to carry it", list(&liquids)),
        };
        return Some(format!(
            "{lack}: put {} g of water or milk in place of as much of what is not heated and heat {} in that, or take a gum that hydrates cold",
            weighed(if liquids.is_empty() { room } else { room - hot }),
            who.join(", ")
        ));
    }
    Some(format!("the {} carries it", list(&liquids)))
}

fn mark(step: &Step, celsius: f64) -> Mark {
    Mark {
        who: match step.ingredients.is_empty() {
            true => step.text.clone(),
            false => step.ingredients.join(", "),
        },
        celsius,
        names: step.ingredients.clone(),
    }
}

/// A phase that has a temperature; of several steps the one that takes longest holds.
fn chill(steps: &[Step], phase: &str, verb: &str) -> Option<PlanLine> {
    let steps: Vec<&Step> = steps
        .iter()
        .filter(|step| step.phase == phase && step.celsius.is_some())
        .collect();
    let least = |step: &Step| step.minutes.map_or(0.0, |m| m.low);
    let step = steps
        .iter()
        .rev()
        .max_by(|a, b| least(a).total_cmp(&least(b)))?;
    let celsius = step.celsius?.typical;
    let other_times = steps.iter().any(|s| s.minutes != step.minutes);
    let time = match step.minutes {
        Some(m) if m.high >= 120.0 => format!(
            ", {:.0} to {:.0} h{}",
            m.low / 60.0,
            m.high / 60.0,
            match (other_times, step.ingredients.is_empty()) {
                (false, _) => String::new(),
                (true, true) => " (the longest of the times below holds)".into(),
                (true, false) => format!(
                    " ({}: the longest of the times below holds)",
                    step.ingredients.join(", ")
                ),
            }
        ),
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
    let cooked = of_phase(steps, APART);
    let late = marked(named(view, &of_phase(steps, COLD_PHASE)), &cooked);
    (!late.is_empty()).then(|| PlanLine {
        phase: COLD_PHASE.into(),
        text: format!(
            "{}, then {}",
            list(&late),
            match view.kind() {
                DishKind::Frozen => "blend again",
                _ => "stir smooth",
            }
        ),
        celsius: None,
    })
}

/// Amounts with a word at those that are cooked by themselves first.
fn marked(mut amounts: Vec<(String, f64)>, cooked: &[String]) -> Vec<(String, f64)> {
    for (name, _) in amounts.iter_mut().filter(|(name, _)| cooked.contains(name)) {
        name.push_str(" (cooked first)");
    }
    amounts
}

/// The phases of what is not heated with the rest: into a cold mix, or into one that is to set.
const COLD_PHASE: &str = "add cold";
const WARM_PHASE: &str = "add warm";
/// How far above its setting temperature a gel still takes something in, C. Source: common-practice.
const BEFORE_IT_SETS: f64 = 10.0;

/// What goes into a gel before it sets, and above which temperature.
fn before_set(view: &MixView<'_>, steps: &[Step]) -> Option<PlanLine> {
    let late = marked(
        named(view, &of_phase(steps, WARM_PHASE)),
        &of_phase(steps, APART),
    );
    let ingredients = view.ingredients();
    let sets = ingredients.iter().filter_map(|i| {
        let (_, highest) = i.value("setting_temperature")?.range()?;
        Some((&i.name, highest))
    });
    let hottest = sets.max_by(|a, b| a.1.total_cmp(&b.1));
    let warm = hottest.map(|(_, sets)| sets + BEFORE_IT_SETS);
    let before = match hottest {
        Some((agent, sets)) => format!(
            "with the mix still above {:.0} C ({agent} sets up to {sets:.0} C)",
            sets + BEFORE_IT_SETS
        ),
        None => "before the mix sets".into(),
    };
    (!late.is_empty()).then(|| PlanLine {
        phase: WARM_PHASE.into(),
        text: format!(
            "{} at room temperature or warmer, {before}; then fill at once and chill without stirring: a set gel is not blended again",
            list(&late)
        ),
        celsius: warm,
    })
}
