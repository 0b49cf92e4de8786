//! How complete the knowledge is, as text, Markdown or CSV.

use std::fmt::Write as _;

use super::page::{Page, pad, right};
use crate::answer::{Completeness, FamilyOut, PropertyKnown};

/// What the counts mean, in words.
const MEANING: &str = "Known: a row states it or a named rule derives it. Unknown: it applies and \
nothing is known. Not applicable: the family has no use for it (column `families` of \
schema/properties.csv).";

/// One line per family with its critical properties, then the share known by group; or one family in full.
pub fn text(page: &mut Page, c: &Completeness) {
    if let [family] = c.families.as_slice() {
        return one(page, family);
    }
    page.head("Critical properties known, and those short of 100 %");
    for f in &c.families {
        let label = format!(
            "{} {} {} %  ",
            pad(&f.family, 18),
            right(&f.ingredients.to_string(), 3),
            right(&f.critical_percent.to_string(), 4)
        );
        page.labelled(&label, &critical(f));
    }
    page.gap();
    page.head("Share known of what applies, %");
    // A column of one figure only is said in words; it would not fit beside the others.
    let everywhere = |group: &str, share: usize| {
        let mut shares = c.families.iter().filter_map(|f| f.group_percent(group));
        shares.all(|s| s == share)
    };
    let (full, rest): (Vec<&str>, Vec<&str>) =
        (groups(c).into_iter()).partition(|g| everywhere(g, 100));
    let (none, groups): (Vec<&str>, Vec<&str>) = rest.into_iter().partition(|g| everywhere(g, 0));
    let head: Vec<String> = groups.iter().map(|g| right(g, width(g))).collect();
    page.line(&format!("{} {}", pad("", 17), head.join(" ")));
    for f in &c.families {
        let cells: Vec<String> = (groups.iter())
            .map(|g| right(&percent(f.group_percent(g)), width(g)))
            .collect();
        page.line(&format!("{} {}", pad(&f.family, 17), cells.join(" ")));
    }
    for (label, groups) in [("known in full: ", full), ("not known at all: ", none)] {
        if !groups.is_empty() {
            page.labelled(label, &groups.join(", "));
        }
    }
    page.gap();
    page.labelled(
        "",
        &format!("{MEANING} A dash: nothing of the group applies. `tamis completeness FAMILY` shows one family in full."),
    );
}

fn one(page: &mut Page, f: &FamilyOut) {
    page.head(&format!(
        "{}: {} ingredients, {} values, critical properties {} % known",
        f.family, f.ingredients, f.values, f.critical_percent
    ));
    page.labelled("critical: ", &critical(f));
    for (title, list) in states(f) {
        page.gap();
        page.labelled(&format!("{title}: "), &list);
    }
}

/// The states with their properties; those known for some carry their counts.
fn states(f: &FamilyOut) -> [(&'static str, String); 5] {
    let list = |of: &dyn Fn(&PropertyKnown) -> bool, counted: bool| {
        let names: Vec<String> = (f.properties.iter())
            .filter(|p| of(p))
            .map(|p| match counted {
                true => format!("{} {}/{}", p.property, p.known(), f.ingredients),
                false => p.property.clone(),
            })
            .collect();
        match names.is_empty() {
            true => "nothing".to_string(),
            false => names.join(", "),
        }
    };
    [
        (
            "known for all",
            list(&|p| p.known() == f.ingredients, false),
        ),
        (
            "known for some",
            list(&|p| p.known() > 0 && p.unknown > 0, true),
        ),
        (
            "known, not applicable to the others",
            list(&|p| p.known() > 0 && p.not_applicable > 0, true),
        ),
        ("unknown", list(&|p| p.unknown == f.ingredients, false)),
        (
            "not applicable",
            list(&|p| p.not_applicable == f.ingredients, false),
        ),
    ]
}

/// The critical properties; a share stands behind those not known for all.
fn critical(f: &FamilyOut) -> String {
    let one = |p: &PropertyKnown| match p.known() == f.ingredients {
        true => p.property.clone(),
        false => format!("{} {} %", p.property, 100 * p.known() / f.ingredients),
    };
    f.critical().map(one).collect::<Vec<_>>().join(", ")
}

/// Groups of the schema that apply to any family, in its order, each once.
fn groups(c: &Completeness) -> Vec<&str> {
    let mut out: Vec<&str> = vec![];
    let schema = c.families.first().map_or(&[][..], |f| &f.properties);
    for p in schema {
        let group = p.group.as_str();
        let applies = |f: &FamilyOut| f.group_percent(group).is_some();
        if !out.contains(&group) && c.families.iter().any(applies) {
            out.push(group);
        }
    }
    out
}

fn width(group: &str) -> usize {
    group.len().max(4)
}

fn percent(share: Option<usize>) -> String {
    share.map_or("-".into(), |n| n.to_string())
}

/// The whole as a document.
pub fn markdown(c: &Completeness) -> String {
    let mut out = format!(
        "# How complete the knowledge is\n\nWritten by `tamis completeness --format markdown`; do not edit. {MEANING}\n\n\
         ## Critical properties\n\n| family | ingredients | known | critical properties, with those short of 100 % |\n|---|--:|--:|---|\n"
    );
    for f in &c.families {
        let _ = writeln!(
            out,
            "| {} | {} | {} % | {} |",
            f.family,
            f.ingredients,
            f.critical_percent,
            critical(f)
        );
    }
    let groups = groups(c);
    let _ = write!(
        out,
        "\n## Share known of what applies, %\n\n| family | {} |\n|---|{}\n",
        groups.join(" | "),
        "--:|".repeat(groups.len())
    );
    for f in &c.families {
        let cells: Vec<String> = groups.iter().map(|g| percent(f.group_percent(g))).collect();
        let _ = writeln!(out, "| {} | {} |", f.family, cells.join(" | "));
    }
    out.push_str("\n## Family by property\n");
    for f in &c.families {
        let _ = writeln!(out, "\n### {}, {} ingredients\n", f.family, f.ingredients);
        for (title, list) in states(f) {
            let _ = writeln!(out, "- {title}: {list}");
        }
    }
    out
}

/// One row per family and property.
pub fn csv(c: &Completeness) -> String {
    let mut out =
        String::from("family,property,group,critical,stated,derived,unknown,not_applicable\n");
    for f in &c.families {
        for p in &f.properties {
            let critical = if p.critical { "yes" } else { "no" };
            let _ = writeln!(
                out,
                "{},{},{},{critical},{},{},{},{}",
                f.family, p.property, p.group, p.stated, p.derived, p.unknown, p.not_applicable
            );
        }
    }
    out
}
