//! The first line of an answer: what a cook asked to know, in her words, with the number.

use super::swapping::number;
use crate::answer::{
    Amount, Asked, Assessment, Cause, ChangedOut, Comparison, ConflictOut, FindingOut, FoundHit,
    Hits, KeptOut, OptionOut, PlanStepOut, ProfileOut, SwapOut, ValueOut, Verdict,
};
use crate::formula::{Formula, weighed};
use crate::model::{Dial, Firmness, Severity, capital};

/// How many things a first line names before it only counts.
const NAMED: usize = 3;
/// Share of the water frozen at -18 C from which a mix is taken to be one that freezes, and below which
/// it no longer does, %. Source: common-practice.
const FREEZES: f64 = 55.0;
const LIQUID: f64 = 35.0;
/// A step warmer than this is one of heating, C.
const WARM: f64 = 30.0;
/// A step shorter than this is no wait, minutes.
const WAIT: f64 = 30.0;
/// How many moved figures a first line tells.
const MOVED: usize = 2;

/// `62 g dextrose and 20 g water`.
pub(super) fn amounts(amounts: &[Amount]) -> String {
    let each: Vec<String> = amounts
        .iter()
        .map(|a| format!("{} g {}", weighed(a.grams.abs()), a.name))
        .collect();
    joined(&each)
}

/// A first line that tells what of the formula no figure counts.
pub(super) fn with_uncounted(summary: String, formula: &Formula) -> String {
    match formula.uncounted() {
        said if said.is_empty() => summary,
        said => format!("{summary} {said}"),
    }
}

/// `a, b and c`.
pub(super) fn joined(each: &[String]) -> String {
    match each {
        [] => String::new(),
        [one] => one.clone(),
        [some @ .., last] => format!("{} and {last}", some.join(", ")),
    }
}

/// `freezing point -3.1 -> -3.5 C`.
fn moved(change: &ChangedOut) -> Option<String> {
    let dial = Dial::parse(&change.property)?;
    Some(format!(
        "{} {} -> {} {}",
        dial.name(),
        told_figure(dial, change.before),
        told_figure(dial, change.after),
        dial.unit()
    ))
}

/// A figure of the mix as a cook reads it: to the digits its doubt leaves.
pub fn told_figure(dial: Dial, figure: f64) -> String {
    match dial {
        Dial::FreezingPoint => format!("{figure:.1}"),
        Dial::FrozenAt18 | Dial::FrozenAt12 => format!("{figure:.0}"),
        _ => number(dial, figure),
    }
}

/// What was asked for, which an answer need not tell again as its own doing.
#[derive(Clone, Copy)]
pub(super) enum Asking<'a> {
    /// Something goes.
    Swap,
    /// Something was added, id and grams, or a mark is to be met.
    Adjust(&'a [(String, f64)]),
}

/// What an option does, in a sentence: what comes in for what, and what that moves.
fn of_option(option: &OptionOut, asking: Asking<'_>) -> String {
    let mut comes = option.ingredients.clone();
    let mut goes = option.removed.clone();
    for balanced in &option.balanced {
        let side = if balanced.grams > 0.0 {
            &mut comes
        } else {
            &mut goes
        };
        side.push(balanced.clone());
    }
    let mut given = vec![];
    if let Asking::Adjust(added) = asking {
        for (id, grams) in added.iter().filter(|(_, grams)| *grams > 0.0) {
            if let Some(amount) = comes.iter_mut().find(|a| a.id == *id) {
                given.push(Amount {
                    grams: *grams,
                    ..amount.clone()
                });
                amount.grams -= grams;
            }
        }
        comes.retain(|a| a.grams.abs() > 1e-6);
        goes.extend(comes.extract_if(.., |a| a.grams < 0.0));
    }
    let exchange = match (comes.is_empty(), goes.is_empty(), asking) {
        (true, true, _) => "leave the rest as it is".to_string(),
        (true, false, _) => format!("take out {}", amounts(&goes)),
        (false, true, _) => format!("add {}", amounts(&comes)),
        (false, false, Asking::Adjust(_)) => {
            format!("take out {}, add {}", amounts(&goes), amounts(&comes))
        }
        (false, false, Asking::Swap) if option.ingredients.is_empty() => {
            format!("take out {}, add {}", amounts(&goes), amounts(&comes))
        }
        (false, false, Asking::Swap) => format!("use {} for {}", amounts(&comes), amounts(&goes)),
    };
    let exchange = match given.is_empty() {
        true => capital(&exchange),
        false => format!("With {}: {exchange}", amounts(&given)),
    };
    let asked = option.changed.iter().filter(|c| c.asked);
    let mut said: Vec<String> = asked.filter_map(moved).collect();
    // What moved, though by less than is felt, is told with its figures.
    let shown = |k: &KeptOut, figure: f64| {
        Dial::parse(&k.property).map_or(String::new(), |dial| told_figure(dial, figure))
    };
    let asked_kept = || option.kept.iter().filter(|k| k.asked);
    let still = asked_kept().filter(|k| shown(k, k.before) == shown(k, k.after));
    let kept: Vec<String> = still
        .filter_map(|k| Some(Dial::parse(&k.property)?.name().to_string()))
        .collect();
    let hardly = asked_kept().filter(|k| shown(k, k.before) != shown(k, k.after));
    said.extend(hardly.filter_map(|k| {
        moved(&ChangedOut {
            property: k.property.clone(),
            before: k.before,
            after: k.after,
            asked: true,
        })
    }));
    if !kept.is_empty() {
        let hold = if kept.len() > 1 { "hold" } else { "holds" };
        said.push(format!("{} {hold}", joined(&kept)));
    }
    if said.is_empty() {
        said = option
            .changed
            .iter()
            .filter_map(moved)
            .take(MOVED)
            .collect();
    }
    if said.is_empty() && !option.jobs.is_empty() {
        said.push(format!("it takes over: {}", option.jobs.join(", ")));
    }
    match said.is_empty() {
        true => format!("{exchange}."),
        false => format!("{exchange}. {}.", capital(&said.join("; "))),
    }
}

/// Whether a mix that froze still does.
fn sane(option: &OptionOut) -> bool {
    let cold = |a: &Option<Box<Assessment>>| -> Option<f64> {
        let frozen = a
            .as_ref()?
            .frozen_water
            .iter()
            .find(|f| f.celsius == -18.0)?;
        Some(frozen.percent)
    };
    match (cold(&option.before), cold(&option.after)) {
        (Some(was), Some(is)) => was < FREEZES || is >= LIQUID,
        (Some(was), None) => was < FREEZES,
        _ => true,
    }
}

/// A swap or an adjustment with its sentences.
pub(super) fn told(mut out: SwapOut, asking: Asking<'_>) -> SwapOut {
    let before = out.options.len();
    out.options.retain(sane);
    if out.options.is_empty() && before > 0 {
        out.why_none.insert(
            0,
            ConflictOut {
                constraint: "sane".into(),
                text: "only a recipe that no longer freezes would do".into(),
                nearest: None,
            },
        );
    }
    for option in out.options.iter_mut().chain(&mut out.nearest) {
        option.summary = of_option(option, asking);
    }
    out.summary = of_swap(&out);
    out
}

/// The first line of a swap or an adjustment.
fn of_swap(swap: &SwapOut) -> String {
    let still: Vec<String> = swap
        .left
        .iter()
        .filter(|left| left.still_in)
        .map(|left| left.name.clone())
        .collect();
    if !still.is_empty() {
        return format!(
            "No: {} would still be in it; nothing known takes the place.",
            joined(&still)
        );
    }
    // What is only taken out, and did what nothing left in the mix does.
    let undone = swap
        .left
        .iter()
        .filter(|left| !left.still_in && !left.job.is_empty());
    let undone: Vec<String> = undone
        .map(|left| {
            format!(
                "nothing in it takes over what {} did ({})",
                left.name, left.job
            )
        })
        .collect();
    match swap.options.first() {
        Some(first) => {
            let mut line = first.summary.clone();
            if !undone.is_empty() {
                line.push_str(&format!(" Check: {}.", undone.join("; ")));
            }
            let stop = |caution: &&FindingOut| caution.severity == Severity::Stop;
            if let Some(stop) = first.cautions.iter().find(stop) {
                line.push_str(&format!(" STOP: {}", stop.text));
            }
            line
        }
        None => match swap.why_none.first() {
            Some(why) if swap.proof.is_none() && swap.why_none.len() == 1 => {
                format!("No: {}.", why.text.trim_end_matches('.'))
            }
            Some(why) => format!(
                "Nothing does all of that: {}.",
                why.text.trim_end_matches('.')
            ),
            None => "Nothing is known that could take the place.".into(),
        },
    }
}

/// A value in words: `75 to 85 C`.
pub fn figure(value: &ValueOut) -> String {
    if !value.text.is_empty() {
        return value.text.clone();
    }
    let n = |x: f64| {
        let text = format!("{x:.3}");
        text.trim_end_matches('0').trim_end_matches('.').to_string()
    };
    let number = match (value.low, value.typical, value.high) {
        (Some(low), Some(typical), Some(high)) if low < high => {
            format!("{} ({} to {})", n(typical), n(low), n(high))
        }
        (_, Some(typical), _) => n(typical),
        (Some(low), None, Some(high)) => format!("{} to {}", n(low), n(high)),
        (Some(low), None, None) => format!("at least {}", n(low)),
        (None, None, Some(high)) => format!("at most {}", n(high)),
        (None, None, None) => "?".into(),
    };
    format!("{number} {}", value.unit).trim_end().to_string()
}

/// The first line of a look-up: the value that is used, under its condition.
pub(super) fn of_values(profile: &ProfileOut, name: impl Fn(&str) -> String) -> String {
    let Some(value) = profile.values.iter().find(|v| !v.overruled) else {
        return format!("That is not known of {}.", profile.name);
    };
    let condition = match value.condition.as_str() {
        "" => String::new(),
        condition => format!(" ({})", condition.replace('=', " ").replace(';', ", ")),
    };
    let own = if value.own { ", your own value" } else { "" };
    format!(
        "{}: {} {}{condition}{own}.",
        profile.name,
        name(&value.property),
        figure(value)
    )
}

/// The first line about an ingredient: what it is and does.
pub(super) fn of_profile(profile: &ProfileOut) -> String {
    let number = match profile.e_number.as_str() {
        "" => String::new(),
        number => format!(", {number}"),
    };
    let form = match profile.form.as_str() {
        "" => String::new(),
        form => format!("{form}, "),
    };
    let jobs: Vec<String> = profile.functions.iter().take(NAMED).cloned().collect();
    format!(
        "{}{number}: {form}{}; {}.",
        profile.name,
        profile.family.replace('-', " "),
        joined(&jobs)
    )
}

/// The first line of a search.
pub(super) fn of_hits(hits: &Hits) -> String {
    let named = |hit: &FoundHit| hit.name.clone();
    match hits.total {
        0 => match hits.nearest.is_empty() {
            true => "Nothing is known that does all of that.".into(),
            false => format!("Nothing found; the nearest: {}.", hits.nearest.join(", ")),
        },
        1 => format!(
            "{}, and nothing else known here.",
            capital(&named(&hits.hits[0]))
        ),
        total => {
            let first: Vec<String> = hits.hits.iter().take(NAMED).map(named).collect();
            let first = capital(&joined(&first));
            match total > NAMED {
                true => format!("{first} first, of {total} found."),
                false => format!("{first}."),
            }
        }
    }
}

/// The first line of a comparison: where they are furthest apart.
pub(super) fn of_comparison(comparison: &Comparison) -> String {
    let names = joined(&comparison.names);
    let [first, second] = comparison.names.as_slice() else {
        return format!("{names} side by side:");
    };
    let apart = comparison.rows.iter().find_map(|row| {
        let [Some(a), Some(b)] = row.values.as_slice() else {
            return None;
        };
        let differ = (a.typical, a.low, a.high, &a.text) != (b.typical, b.low, b.high, &b.text);
        differ.then(|| (row.name.clone(), figure(a), figure(b)))
    });
    match apart {
        Some((property, a, b)) => format!("{property}: {first} {a}, {second} {b}."),
        None => format!("No figure known of both {names} tells them apart."),
    }
}

/// The first line about a fault: the likeliest cause and its fix in grams.
pub(super) fn of_causes(causes: &[Cause]) -> String {
    let Some(first) = causes.first() else {
        return "No cause is on file for that.".into();
    };
    let symptom = capital(&first.symptom);
    let shown = match first.shown_by.as_str() {
        "" => String::new(),
        by => format!(" ({by})"),
    };
    let likely = match first.verdict {
        Verdict::Found => "most likely",
        Verdict::PossibleHere => "possibly",
        Verdict::Untested | Verdict::NotFound => "often",
    };
    let fix = match first.grams.is_empty() {
        true => format!("{}.", first.fix.trim_end_matches('.')),
        false => {
            let edits = first.grams.iter();
            let edits: Vec<String> = edits
                .map(|a| {
                    let sign = if a.grams < 0.0 { "less" } else { "more" };
                    format!("{} g {sign} {}", weighed(a.grams.abs()), a.name)
                })
                .collect();
            format!("Try {}.", joined(&edits))
        }
    };
    let cause = first.cause.trim_end_matches('.');
    format!("{symptom}: {likely} {}{shown}. {fix}", lower(cause))
}

/// The first line about a process: how many steps and the heat that serves all.
pub(super) fn of_steps(asked: &Asked) -> String {
    if !asked.plan.is_empty() {
        return of_plan(&asked.plan);
    }
    if asked.steps.is_empty() {
        return "No rule of process is known for that.".into();
    }
    let heat = asked.steps.iter().filter_map(|s| s.celsius);
    let hottest = heat.fold(f64::NEG_INFINITY, f64::max);
    let heat = match hottest.is_finite() {
        true if hottest > WARM => format!(", heated to {hottest:.0} C"),
        _ => String::new(),
    };
    let first = &asked.steps[0];
    match asked.steps.len() {
        1 => first.text.clone(),
        steps => format!("{steps} steps{heat}; first: {}", first.text),
    }
}

/// How it is made in one line: the temperature that decides, how many steps, the longest wait, and
/// what else is watched.
pub(super) fn of_plan(plan: &[PlanStepOut]) -> String {
    let stop = plan.iter().find(|step| step.phase == "stop");
    let work = plan
        .iter()
        .filter(|s| s.phase != "stop" && s.phase != "caution");
    let keyed: Vec<&PlanStepOut> = work.clone().filter(|s| !s.key.is_empty()).collect();
    let heats = keyed.iter().filter(|s| s.phase == "heat");
    let hottest = |a: &&&PlanStepOut, b: &&&PlanStepOut| {
        let celsius = |step: &PlanStepOut| step.celsius.unwrap_or(f64::NEG_INFINITY);
        celsius(b).total_cmp(&celsius(a))
    };
    let decides = heats.min_by(hottest).or(keyed.first());
    let said = match decides {
        None => "Nothing here is known to need heat of its own".to_string(),
        Some(step) => capital(&step.key),
    };
    let longest = (work
        .clone()
        .filter_map(|s| Some((s.minutes?, s.phase.as_str()))))
    .filter(|(minutes, _)| *minutes >= WAIT)
    .max_by(|a, b| a.0.total_cmp(&b.0));
    let longest = longest.map_or(String::new(), |(minutes, phase)| {
        let time = match minutes >= 120.0 {
            true => format!("{:.0} h", minutes / 60.0),
            false => format!("{minutes:.0} min"),
        };
        format!(", longest wait about {time} ({phase})")
    });
    let steps = match work.filter(|s| s.phase != "store").count() {
        1 => "1 step".to_string(),
        steps => format!("{steps} steps"),
    };
    let others = keyed
        .iter()
        .filter(|s| decides.is_none_or(|d| !std::ptr::eq(**s, *d)));
    let others: Vec<&str> = others.map(|s| s.key.as_str()).collect();
    let others = match others.is_empty() {
        true => String::new(),
        false => format!(" {}.", capital(&others.join("; "))),
    };
    let told = format!("{said}; {steps}{longest}.{others}");
    match stop {
        Some(stop) => format!("{} {told}", stop.text),
        None => told,
    }
}

/// The verdict on a formula: how it scoops where it is frozen, else the figure furthest from usual.
pub(super) fn of_assessment(a: &Assessment) -> String {
    let class = match a.dish.name.as_str() {
        "" => String::new(),
        class if a.name.to_lowercase().contains(&class.to_lowercase()) => String::new(),
        class => format!(" (taken as {class})"),
    };
    let name = format!("{}{class}", capital(&a.name));
    if let Some(softness) = &a.softness {
        let scoops = match (softness.at_minus_18, softness.scoops_from_celsius) {
            (Firmness::Spoonable, _) => "it scoops straight from the freezer".to_string(),
            (Firmness::Soft, _) => "it may not hold its shape".to_string(),
            (_, Some(celsius)) => format!("it scoops from about {celsius:.0} C"),
            (_, None) => "it scoops at no usual temperature".to_string(),
        };
        let ice = softness.frozen_percent_at_minus_18;
        return format!(
            "{name}: {} at -18 C ({ice:.0} % of the water is ice); {scoops}.",
            softness.at_minus_18
        );
    }
    match a.departures.first() {
        Some(worst) => format!(
            "{name}: {} {:.1} {}, usual {}.",
            worst.name,
            worst.figure,
            worst.unit,
            usual(worst.low, worst.high)
        ),
        None if a.dish.class.is_empty() => format!(
            "{name}: no class of dish is told by its name or figures; {:.1} % solids, {:.1} % fat, {:.1} % sugars.",
            a.composition.total_solids_percent,
            a.composition.fat_percent,
            a.composition.sugars_percent
        ),
        None => format!("{name}: nothing here is unusual for it."),
    }
}

/// `22 to 28`, `at most 9`.
pub fn usual(low: Option<f64>, high: Option<f64>) -> String {
    match (low, high) {
        (Some(low), Some(high)) => format!("{low} to {high}"),
        (Some(low), None) => format!("at least {low}"),
        (None, Some(high)) => format!("at most {high}"),
        (None, None) => "not known".into(),
    }
}

/// A sentence as part of another; an abbreviation keeps its capitals.
pub(super) fn lower(text: &str) -> String {
    let mut letters = text.chars();
    let (first, rest) = (letters.next(), letters.as_str());
    match first {
        Some(first) if !rest.starts_with(char::is_uppercase) => {
            first.to_lowercase().chain(rest.chars()).collect()
        }
        _ => text.to_string(),
    }
}
