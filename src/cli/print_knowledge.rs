//! Profiles, hits, comparisons, sources and properties, as text.

use std::collections::BTreeMap;

use comfy_table::{ColumnConstraint, ContentArrangement, Table, presets};

use super::page::{Page, cited, pad};
use super::print_assessment::findings;
use super::{brief, own};
use crate::answer::{AllergenOut, ComparedRow, Comparison, Hits, ProfileOut, ValueOut};
use crate::engine::figure;
use crate::model::OTHERS;

/// Matches up to which a person sees them all at a glance.
const FACETED: usize = 5;
/// Sorts shown of a facet.
const FACETS: usize = 8;

/// One ingredient.
pub fn profile(page: &mut Page, p: &ProfileOut) {
    page.head(&format!("{}  ({})", p.name, p.id));
    brief::names(page, &p.assumed, &[]);
    let form = if p.form.is_empty() {
        String::new()
    } else {
        format!(", {}", p.form)
    };
    let origin = match p.origin.is_empty() {
        true => String::new(),
        false => format!("; from {}", p.origin.join(", ")),
    };
    let what = format!("{}{form}{origin}; {}", p.family, p.functions.join(", "));
    page.labelled("  ", &what);
    let numbers: Vec<&str> = std::iter::once(p.e_number.as_str())
        .chain(p.cas.iter().map(String::as_str))
        .filter(|n| !n.is_empty())
        .collect();
    if !numbers.is_empty() {
        page.labelled("  ", &numbers.join(", "));
    }
    if !p.names.is_empty() {
        page.labelled("  also: ", &p.names.join(", "));
    }
    if !p.note.is_empty() {
        page.labelled("  note: ", &p.note);
    }
    if !p.parts.is_empty() {
        let parts: Vec<String> = p
            .parts
            .iter()
            .map(|(id, percent)| format!("{percent:.1} % {id}"))
            .collect();
        page.labelled("  of: ", &parts.join(", "));
    }
    allergens(page, &p.allergens);
    values(page, &p.values);
}

/// Values, the name of a property said once.
fn values(page: &mut Page, values: &[ValueOut]) {
    let mut last = "";
    for v in values {
        let name = if v.property == last { "" } else { &v.property };
        last = &v.property;
        let condition = if v.condition.is_empty() {
            String::new()
        } else {
            format!(" ({})", v.condition)
        };
        let standing = match (v.own, v.overruled) {
            (true, _) if v.source != "own" => "; own value",
            (_, true) => "; built in, the own value goes before it",
            _ => "",
        };
        let note = if v.note.is_empty() {
            standing.to_string()
        } else {
            format!("{standing}; {}", v.note)
        };
        page.labelled(
            &format!("  {} ", pad(&name.replace('_', " "), 28)),
            &format!(
                "{}{condition} {}{note}",
                figure(v),
                cited(&v.source, &v.locator)
            ),
        );
    }
}

/// The allergen statements, one line per name of a list; what of it is meant stands beside it.
pub fn allergens(page: &mut Page, stated: &[AllergenOut]) {
    let mut lines: Vec<(&AllergenOut, Vec<&str>)> = vec![];
    for a in stated {
        let same = |(b, _): &&mut (&AllergenOut, Vec<&str>)| {
            (&a.list, &a.allergen, &a.presence, &a.source, &a.locator)
                == (&b.list, &b.allergen, &b.presence, &b.source, &b.locator)
        };
        match lines.iter_mut().find(same) {
            Some((_, substances)) if substances.contains(&a.substance.as_str()) => {}
            Some((_, substances)) => substances.push(&a.substance),
            None => lines.push((a, vec![&a.substance])),
        }
    }
    for (a, substances) in lines {
        let list = match a.list.as_str() {
            "" => String::new(),
            list => format!("{list}: "),
        };
        let named = match substances.as_slice() {
            [one] if *one == a.allergen => String::new(),
            some => format!(" ({})", some.join(", ")),
        };
        let what = if a.substance == "none" {
            "no listed allergen by nature; cross-contact is not covered".to_string()
        } else if a.substance == OTHERS {
            format!("{} what else a list names", a.presence)
        } else {
            format!("{} {}{named}", a.presence, a.allergen)
        };
        page.labelled(
            "  allergen: ",
            &format!("{list}{what} {}", cited(&a.source, &a.locator)),
        );
    }
}

/// A value with its source.
pub fn sourced(v: &ValueOut) -> String {
    format!("{} {}", figure(v), cited(&v.source, &v.locator))
}

/// Ingredients found.
pub fn hits(page: &mut Page, h: &Hits) {
    if !h.understood.is_empty() {
        page.labelled("understood: ", &h.understood);
    }
    if h.total == 0 {
        page.line("Nothing found.");
        if !h.nearest.is_empty() {
            page.labelled("nearest: ", &h.nearest.join(", "));
        }
    } else {
        page.line(&format!(
            "{} found{}",
            h.total,
            if h.total > h.hits.len() {
                format!(", the first {}", h.hits.len())
            } else {
                String::new()
            }
        ));
        hit_table(page, h);
        for hit in &h.hits {
            own::overruled(page, &hit.overruled);
        }
        if h.total > FACETED {
            facet(page, "by family: ", &h.families);
            facet(page, "by function: ", &h.functions);
        }
    }
    if !h.unknown.is_empty() {
        let some: Vec<&str> = h.unknown.iter().take(12).map(String::as_str).collect();
        let more = if h.unknown.len() > some.len() {
            format!(" and {} more", h.unknown.len() - some.len())
        } else {
            String::new()
        };
        page.labelled("not known for: ", &format!("{}{more}", some.join(", ")));
    }
    if !h.caution.is_empty() {
        page.labelled("caution: ", &h.caution);
    }
    brief::names(page, &h.assumed, &[]);
}

/// The ingredients found, with the figures asked about.
fn hit_table(page: &mut Page, h: &Hits) {
    let properties: Vec<&String> = h
        .hits
        .iter()
        .flat_map(|hit| hit.values.keys().chain(hit.texts.keys()))
        .fold(vec![], |mut all, p| {
            if !all.contains(&p) {
                all.push(p);
            }
            all
        });
    let mut table = plain(page.width());
    let mut head = vec!["id".to_string(), "family".to_string()];
    head.extend(properties.iter().map(|p| p.replace('_', " ")));
    head.push(String::new());
    table.set_header(head);
    for hit in &h.hits {
        let mut row = vec![hit.id.clone(), hit.family.clone()];
        row.extend(properties.iter().map(|p| {
            hit.values
                .get(*p)
                .map(|v| format!("{v}"))
                .or_else(|| hit.texts.get(*p).cloned())
                .unwrap_or_default()
        }));
        row.push(hit.why.clone());
        table.add_row(row);
    }
    // An id is copied from here: it is not broken over lines.
    let longest = h.hits.iter().map(|hit| hit.id.len()).max().unwrap_or(0);
    if 2 * longest < page.width()
        && let Some(ids) = table.column_mut(0)
    {
        ids.set_constraint(ColumnConstraint::ContentWidth);
    }
    lines(page, &table);
}

/// How many of the matches are of each sort, the largest first.
fn facet(page: &mut Page, head: &str, counts: &BTreeMap<String, usize>) {
    if counts.len() < 2 {
        return;
    }
    let mut counts: Vec<(&String, &usize)> = counts.iter().collect();
    counts.sort_by_key(|(name, count)| (std::cmp::Reverse(**count), (*name).clone()));
    let some: Vec<String> = (counts.iter().take(FACETS))
        .map(|(name, count)| format!("{name} {count}"))
        .collect();
    let more = match counts.len().saturating_sub(FACETS) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    page.labelled(head, &format!("{}{more}", some.join(", ")));
}

/// Ingredients side by side.
pub fn comparison(page: &mut Page, c: &Comparison) {
    let all: Vec<&ComparedRow> = c.rows.iter().collect();
    table_of(page, c, &all, true);
    findings(page, "Together in one mix", &c.together);
    brief::names(page, &c.assumed, &[]);
    own::overruled(page, &c.overruled);
}

/// Some rows of a comparison, without their sources.
pub fn rows(page: &mut Page, c: &Comparison, rows: &[&ComparedRow]) {
    table_of(page, c, rows, false);
}

fn table_of(page: &mut Page, c: &Comparison, rows: &[&ComparedRow], sources: bool) {
    let mut table = plain(page.width());
    table.set_header(std::iter::once(String::new()).chain(c.names.iter().cloned()));
    for row in rows {
        let cell = |v: &Option<ValueOut>| {
            v.as_ref().map_or("not known".to_string(), |v| {
                let told = match v.condition.as_str() {
                    "" => String::new(),
                    condition => format!(" ({condition})"),
                };
                match sources {
                    true => format!("{}{told} {}", figure(v), cited(&v.source, "")),
                    false => format!("{}{told}", figure(v)),
                }
            })
        };
        table.add_row(std::iter::once(row.name.clone()).chain(row.values.iter().map(cell)));
    }
    lines(page, &table);
}

fn plain(width: usize) -> Table {
    let mut table = Table::new();
    table
        .load_style(presets::NOTHING)
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width(width as u16);
    table
}

fn lines(page: &mut Page, table: &Table) {
    for line in table.lines() {
        page.line(&line);
    }
}
