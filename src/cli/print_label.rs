//! A label draft as text: the list, the table, the statements, and what has to be asked.

use super::page::{Page, cited, pad, right};
use crate::answer::{LabelOut, NutrientOut};
use crate::formula::weighed;

/// Names of those that do not state a figure, in the short form.
const NAMED: usize = 3;

/// The draft; with `why` the rules, factors and sources behind it.
pub fn print(page: &mut Page, label: &LabelOut, why: bool) {
    page.head(&label.summary);
    page.labelled("", &label.draft);
    page.gap();
    page.labelled("  ", &label.ingredients);
    if !label.contains.is_empty() {
        page.labelled("  ", &label.contains);
    }
    for part in label.parts.iter().filter(|p| !p.left_out.is_empty()) {
        let grams = weighed(part.grams);
        page.labelled(
            "  ",
            &format!("(left out: {grams} g {}: {})", part.name, part.left_out),
        );
    }
    page.gap();
    table(page, label);
    if !label.notices.is_empty() {
        page.gap();
        for notice in &label.notices {
            let judge = match notice.judge.as_str() {
                "" => String::new(),
                judge => format!(" ({judge})"),
            };
            let text = format!(
                "\"{}\", {}{judge}: {}",
                notice.text, notice.place, notice.because
            );
            page.labelled("  must say ", &text);
            if why {
                page.labelled("           ", &cited(&notice.source, &notice.locator));
            }
        }
    }
    page.gap();
    for ask in &label.ask {
        page.labelled("  ask  ", ask);
    }
    page.labelled("  not in this draft: ", &label.not_in_draft.join(", "));
    if why {
        reasons(page, label);
    }
}

fn table(page: &mut Page, label: &LabelOut) {
    let heads: Vec<String> = (label.bases.iter())
        .map(|basis| match basis.as_str() {
            "serving" => format!("per serving, {} g", weighed(label.serving_g)),
            other => format!("per {other}"),
        })
        .collect();
    let name = |n: &NutrientOut| format!("{}{}", "  ".repeat(n.indent), n.label);
    let first = label
        .nutrition
        .iter()
        .map(|n| name(n).chars().count())
        .max();
    let first = first.unwrap_or(0).max(9) + 2;
    let widths: Vec<usize> = (0..heads.len())
        .map(|n| {
            let cells = label.nutrition.iter().filter_map(|row| row.shown.get(n));
            let widest = cells.map(|c| c.chars().count()).max().unwrap_or(0);
            widest.max(heads[n].chars().count()) + 2
        })
        .collect();
    let daily = label.nutrition.iter().any(|n| n.daily_percent.is_some());
    let mut head = format!("  {}", pad("nutrition", first));
    for (text, width) in heads.iter().zip(&widths) {
        head += &right(text, *width);
    }
    if daily {
        head += "  % daily value";
    }
    page.line(&head);
    for row in &label.nutrition {
        let mut line = format!("  {}", pad(&name(row), first));
        for (text, width) in row.shown.iter().zip(&widths) {
            line += &right(text, *width);
        }
        if let Some(percent) = row.daily_percent {
            line += &right(&format!("{percent:.0} %"), 8);
        }
        page.line(&line);
    }
    let open = label.nutrition.iter().filter(|n| n.per_100_g.is_none());
    let (bare, open): (Vec<_>, Vec<_>) = open.partition(|n| n.not_stated_by.is_empty());
    if !bare.is_empty() {
        let names: Vec<&str> = bare.iter().map(|n| n.label.as_str()).collect();
        page.labelled("  ", &format!("no data here hold {}", names.join(", ")));
    }
    for row in open {
        let named = row.not_stated_by.iter().take(NAMED).map(String::as_str);
        let mut named = named.collect::<Vec<_>>().join(", ");
        if row.not_stated_by.len() > NAMED {
            named += &format!(" and {} more", row.not_stated_by.len() - NAMED);
        }
        let least = match row.at_least_per_100_g {
            0.0 => String::new(),
            least => format!(", at least {} {} per 100 g", weighed(least), row.unit),
        };
        page.labelled("  ", &format!("{} is not known{least}: {named}", row.label));
    }
}

fn reasons(page: &mut Page, label: &LabelOut) {
    page.gap();
    page.head("How it was made");
    for rule in &label.rules {
        let text = format!("{} {}", rule.text, cited(&rule.source, &rule.locator));
        page.labelled(&format!("  {}: ", rule.rule), &text);
    }
    for allergen in label.allergens.iter().filter(|a| !a.condition.is_empty()) {
        let who = allergen.ingredients.join(", ");
        let text = format!("{} in {who}: {}", allergen.substance, allergen.condition);
        page.labelled("  exempt only where this holds: ", &text);
    }
    page.gap();
    page.head("Energy, per 100 g");
    for part in &label.energy {
        let per = |factor: Option<f64>, unit: &str| {
            factor.map(|f| format!("{f} {unit}/g = {:.1} {unit}", f * part.grams_per_100_g))
        };
        let both = [per(part.kj_per_g, "kJ"), per(part.kcal_per_g, "kcal")];
        let both: Vec<String> = both.into_iter().flatten().collect();
        let text = format!(
            "{} g {}: {} {}",
            weighed(part.grams_per_100_g),
            part.component,
            both.join(", "),
            cited(&part.source, &part.locator)
        );
        page.labelled("  ", &text);
    }
    page.gap();
    page.head("Figures before rounding, per 100 g");
    for row in &label.nutrition {
        let more = match row.may_be_more_by {
            more if more > 0.0 => format!(
                ", up to {} more from {}",
                weighed(more),
                row.not_stated_by.join(", ")
            ),
            _ => String::new(),
        };
        let text = format!(
            "{} {}{more} {}",
            weighed(row.at_least_per_100_g),
            row.unit,
            cited(&row.source, &row.locator)
        );
        page.labelled(&format!("  {}: ", row.label), &text);
    }
}
