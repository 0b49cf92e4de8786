//! Sources, properties, own data, checks and exports, as text.

use super::own;
use super::page::{Page, cited, pad};
use crate::answer::{CheckedOut, ExportedOut, OwnOut, PropertiesOut, SourcesOut, StartedOut};

/// The sources with how many values each has, or every value of one kind.
pub fn sources(page: &mut Page, s: &SourcesOut) {
    if s.kind.is_some() {
        return values(page, s);
    }
    let all: usize = s.kinds.iter().map(|k| k.values).sum();
    for k in &s.kinds {
        page.line(&format!(
            "{} {:>7} {:>4.0} %",
            pad(k.kind.word(), 16),
            k.values,
            100.0 * k.values as f64 / all as f64
        ));
    }
    page.gap();
    for source in &s.sources {
        page.labelled(
            &format!("{} ", pad(&source.id, 28)),
            &format!(
                "{}, {} values. {} {} {}",
                source.kind, source.values, source.citation, source.year, source.address
            ),
        );
    }
}

/// Values, a line each, with the place they are stated at.
fn values(page: &mut Page, s: &SourcesOut) {
    for stated in &s.values {
        let v = &stated.value;
        let middle = match (v.low, v.high) {
            (Some(low), Some(high)) => Some((low + high) / 2.0),
            (low, high) => low.or(high),
        };
        let figure = v.typical.or(middle);
        let figure = figure.map_or(v.text.clone(), |f| format!("{f} {}", v.unit));
        page.line(&format!(
            "{}:{} {} {} {figure} {}",
            stated.file,
            stated.line,
            stated.ingredient,
            v.property,
            cited(&v.source, &v.locator)
        ));
    }
}

/// The properties, by group.
pub fn properties(page: &mut Page, p: &PropertiesOut) {
    let mut group = "";
    for p in &p.properties {
        if p.group != group {
            group = &p.group;
            page.gap();
            page.head(group);
        }
        let unit = match p.unit.as_str() {
            "" => String::new(),
            unit => format!(" [{unit}]"),
        };
        page.labelled(
            &format!("  {} ", pad(&p.id, 34)),
            &format!("{}{unit}", p.meaning),
        );
    }
}

/// What own data is in use.
pub fn own(page: &mut Page, o: &OwnOut) {
    let Some(folder) = &o.folder else {
        page.line("No own data is in use.");
        let usual = own::usual().map_or(String::new(), |f| {
            format!(" It is found by itself in {}.", f.display())
        });
        page.labelled(
            "",
            &format!("`tamis own --init DIR` starts some, --own DIR or TAMIS_OWN names it.{usual}"),
        );
        return;
    };
    page.labelled("own data: ", folder);
    page.line(&format!("  values        {}", o.values));
    page.line(&format!("  prices        {} {}", o.prices, o.currency));
    let ingredients = o.ingredients.iter().map(|i| match i.parts {
        0 => i.id.clone(),
        parts => format!("{} (of {parts} parts)", i.id),
    });
    let ingredients: Vec<String> = ingredients.collect();
    page.labelled("  ingredients   ", &or_none(&ingredients));
    page.labelled("  shelf         ", &or_none(&o.shelf));
    own::overruled(page, &o.overruled);
}

fn or_none(list: &[String]) -> String {
    match list.is_empty() {
        true => "none".into(),
        false => list.join(", "),
    }
}

/// Own data started.
pub fn started(page: &mut Page, s: &StartedOut) {
    for table in &s.tables {
        let said = match table.new {
            true => "new",
            false => "there, untouched",
        };
        page.labelled(
            &format!("{} ", pad(&table.name, 16)),
            &format!("{}; {said}", table.meaning),
        );
    }
    page.gap();
    page.labelled(
        "",
        &format!("Name the folder with --own {0} or TAMIS_OWN={0}.", s.folder),
    );
}

/// That every check of the data holds.
pub fn checked(page: &mut Page, c: &CheckedOut) {
    for note in &c.notes {
        page.line(note);
    }
    page.line(&format!(
        "{} ingredients, {} rules: every check holds{}",
        c.ingredients,
        c.rules,
        match c.notes.len() {
            0 => String::new(),
            found => format!(", {found} to be looked at"),
        }
    ));
}

/// What was written to a file.
pub fn exported(page: &mut Page, e: &ExportedOut) {
    page.line(&format!(
        "{}: {} ingredients, {} values as {}",
        e.file, e.ingredients, e.values, e.format
    ));
}
