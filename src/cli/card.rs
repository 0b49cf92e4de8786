//! An ingredient on a card: what it is, how much of it goes in, at what temperature, by which figures.

use super::page::{Page, pad};
use crate::answer::{AllergenOut, ProfileOut, ValueOut};
use crate::engine::figure;
use crate::model::{OTHERS, Presence, capital};

/// Doses and temperatures on a card.
const EACH: usize = 4;
/// Width of the labels.
const LABEL: usize = 13;
/// The property that is a dose, and the unit of a temperature.
const DOSE: &str = "use_level";
const CELSIUS: &str = "C";

/// What a cook needs to know of an ingredient, without its headline.
pub fn body(page: &mut Page, p: &ProfileOut) {
    super::brief::names(page, &p.assumed, &[]);
    if !p.note.is_empty() {
        page.labelled("  ", &p.note);
    }
    let first = firsts(&p.values);
    let dosed: Vec<&ValueOut> = of(&first, |v| v.property == DOSE);
    let warm: Vec<&ValueOut> = of(&first, |v| v.unit == CELSIUS);
    let used = |v: &ValueOut| v.property == DOSE || v.unit == CELSIUS;
    let (said, figures): (Vec<&ValueOut>, Vec<&ValueOut>) = (first.iter().copied())
        .filter(|v| v.telling && !used(v))
        .partition(|v| v.text.contains(' '));
    row(page, "Dose", &told(&dosed, false));
    row(page, "Temperature", &told(&warm, true));
    for v in &said {
        row(page, &capital(&kind(v)), &told(&[*v], false));
    }
    row(page, "Figures", &told(&figures, true));
    row(page, "Allergens", &allergens(&p.allergens));
    let shown = dosed.len() + warm.len() + said.len() + figures.len();
    if let Some(rest @ 1..) = p.values.len().checked_sub(shown) {
        page.line(&format!(
            "  {rest} more values, all with their sources: --why"
        ));
    }
}

/// The first value of each property under each condition.
fn firsts(values: &[ValueOut]) -> Vec<&ValueOut> {
    let mut first: Vec<&ValueOut> = vec![];
    for v in values.iter().filter(|v| !v.overruled) {
        let same = |o: &&ValueOut| o.property == v.property && o.condition == v.condition;
        if !first.iter().any(same) {
            first.push(v);
        }
    }
    first
}

fn of<'v>(values: &[&'v ValueOut], so: impl Fn(&ValueOut) -> bool) -> Vec<&'v ValueOut> {
    let found = values.iter().copied().filter(|v| so(v));
    found.take(EACH).collect()
}

fn row(page: &mut Page, label: &str, texts: &[String]) {
    if !texts.is_empty() {
        page.labelled(&format!("  {} ", pad(label, LABEL)), &texts.join("; "));
    }
}

/// What a property is called where its unit stands beside it: `setting` of `setting_temperature`.
fn kind(v: &ValueOut) -> String {
    let name = v.property.replace('_', " ");
    match v.unit == CELSIUS {
        true => name.trim_end_matches(" temperature").to_string(),
        false => name,
    }
}

/// A value and the condition it holds under: `0.25 g/100 g (frozen)`; without its unit where the next has
/// the same.
fn with_condition(v: &ValueOut, next: Option<&&ValueOut>) -> String {
    let condition = v.condition.replace("use=", "").replace('=', " ");
    let condition = condition.replace(';', ", ");
    let whole = figure(v);
    let again = next.is_some_and(|next| next.unit == v.unit && !v.unit.is_empty());
    let short = whole.strip_suffix(&v.unit).filter(|_| again);
    let told = short.map_or(whole.as_str(), str::trim_end);
    match condition.is_empty() {
        true => told.to_string(),
        false => format!("{told} ({condition})"),
    }
}

/// Values in a row, each with what it is called where that is not the label.
fn told(values: &[&ValueOut], named: bool) -> Vec<String> {
    let texts = values.iter().enumerate().map(|(n, v)| {
        let text = with_condition(v, values.get(n + 1));
        match named {
            true => format!("{} {text}", kind(v)),
            false => text,
        }
    });
    texts.collect()
}

/// What is stated of allergens, each kind of statement once; how each list names it stands in the long
/// answer. An exemption is of one list and names it.
fn allergens(stated: &[AllergenOut]) -> Vec<String> {
    let mut kinds: Vec<(Presence, Vec<String>)> = vec![];
    for a in stated {
        let substance = match (a.substance.as_str(), a.presence) {
            (OTHERS, _) => "what else a list names".to_string(),
            (substance, Presence::Exempt) => format!("{substance} ({})", a.list),
            (substance, _) => substance.to_string(),
        };
        match kinds
            .iter_mut()
            .find(|(presence, _)| *presence == a.presence)
        {
            Some((_, substances)) if substances.contains(&substance) => {}
            Some((_, substances)) => substances.push(substance),
            None => kinds.push((a.presence, vec![substance])),
        }
    }
    let told = kinds.iter().map(|(presence, substances)| match presence {
        Presence::NoneByNature => {
            "no listed allergen by nature; cross-contact is not covered".to_string()
        }
        Presence::Unknown => format!("not known: {}", substances.join(", ")),
        _ => format!("{presence} {}", substances.join(", ")),
    });
    told.collect()
}
