//! Own data on the command line: where it is looked for, started, named and shown.

use std::path::{Path, PathBuf};

use super::args::Args;
use super::page::{Page, pad};
use super::writer::{create, failed, write};
use crate::answer::OverruledOut;
use crate::diagnostic::{Diagnostic, Problems};
use crate::engine::Engine;
use crate::load::{Files, Own, TABLES};

/// Opens the knowledge base with the own data there is.
///
/// Errors: every problem of the own data; `--no-own` runs without it.
pub fn open(args: &Args, files: Files, cache: Option<&Path>) -> Result<Engine, Problems> {
    let Some(folder) = folder(args) else {
        return Engine::open(files, cache);
    };
    let laid = Own::read(&folder).and_then(|own| Engine::open(files.with_own(own), cache));
    laid.map_err(|mut problems| {
        problems.0.push(
            Diagnostic::new(
                "I004",
                folder.display().to_string(),
                "this own data is not used until all of it can be",
            )
            .help("put the above right, or leave own data out with --no-own"),
        );
        problems
    })
}

/// `--own`, else `TAMIS_OWN`, else the usual folder where there is one.
pub fn folder(args: &Args) -> Option<PathBuf> {
    if args.no_own {
        return None;
    }
    if let Some(folder) = &args.own {
        return Some(folder.clone());
    }
    if let Some(folder) = std::env::var_os("TAMIS_OWN") {
        return (!folder.is_empty()).then(|| PathBuf::from(folder));
    }
    usual().filter(|folder| folder.is_dir())
}

/// The folder own data is looked for in when none is named.
fn usual() -> Option<PathBuf> {
    directories::ProjectDirs::from("", "", "tamis").map(|dirs| dirs.config_dir().join("own"))
}

/// Writes empty tables into a folder; none that is there is touched.
pub fn init(folder: &Path) -> Result<u8, Problems> {
    std::fs::create_dir_all(folder).map_err(|error| failed(folder, &error))?;
    let mut page = Page::new();
    for table in TABLES {
        let path = folder.join(table.name);
        let said = match create(&path, &table.header())? {
            true => "new",
            false => "there, untouched",
        };
        page.labelled(
            &format!("{} ", pad(table.name, 16)),
            &format!("{}; {said}", table.meaning),
        );
    }
    page.gap();
    page.labelled(
        "",
        &format!(
            "Name the folder with --own {0} or TAMIS_OWN={0}.",
            folder.display()
        ),
    );
    write(&page.text())?;
    Ok(0)
}

/// Says which own data an answer used.
pub fn named(page: &mut Page, engine: &Engine) {
    if let Some(folder) = engine.own() {
        page.gap();
        page.labelled("own data: ", folder);
    }
}

/// What own data is in use.
pub fn show(page: &mut Page, engine: &Engine) {
    let Some(folder) = engine.own() else {
        page.line("No own data is in use.");
        let usual = usual().map_or(String::new(), |f| {
            format!(" It is found by itself in {}.", f.display())
        });
        page.labelled(
            "",
            &format!("`tamis own --init DIR` starts some, --own DIR or TAMIS_OWN names it.{usual}"),
        );
        return;
    };
    page.labelled("own data: ", folder);
    let catalogue = &engine.catalogue;
    let values = || {
        let all = catalogue.ingredients.iter();
        all.flat_map(|i| i.values.iter().filter(|v| v.own))
    };
    let price = |v: &&crate::model::Value| v.property == crate::model::PRICE;
    let currency = values().find(price).map_or("", |v| v.unit.as_str());
    page.line(&format!(
        "  values        {}",
        values().filter(|v| !price(v)).count()
    ));
    page.line(&format!(
        "  prices        {} {currency}",
        values().filter(price).count()
    ));
    let own: Vec<String> = catalogue
        .ingredients
        .iter()
        .filter(|i| i.own)
        .map(|i| match i.parts.is_empty() {
            true => i.id.clone(),
            false => format!("{} (of {} parts)", i.id, i.parts.len()),
        })
        .collect();
    page.labelled("  ingredients   ", &or_none(&own));
    page.labelled("  shelf         ", &or_none(&catalogue.shelf));
    overruled(page, &engine.overruled(&catalogue.ingredients));
}

fn or_none(list: &[String]) -> String {
    if list.is_empty() {
        "none".into()
    } else {
        list.join(", ")
    }
}

/// Own values beside the built-in ones they go before.
pub fn overruled(page: &mut Page, all: &[OverruledOut]) {
    for o in all {
        let property = o.own.property.replace('_', " ");
        let condition = match o.own.condition.as_str() {
            "" => String::new(),
            condition => format!(" ({condition})"),
        };
        page.labelled(
            "own value: ",
            &format!(
                "{} {property}{condition} is {}; {}",
                o.ingredient,
                super::print_knowledge::sourced(&o.own),
                built_in(o)
            ),
        );
    }
}

/// `the built-in one is 65 g/100 g [usda-sr28, NDB 12177]`.
fn built_in(o: &OverruledOut) -> String {
    let all: Vec<String> = o
        .built_in
        .iter()
        .map(super::print_knowledge::sourced)
        .collect();
    match all.as_slice() {
        [one] => format!("the built-in one is {one}"),
        all => format!("the built-in ones are {}", all.join(", ")),
    }
}

/// The shelf of the own data, by id.
pub fn shelf(engine: &Engine) -> Result<Vec<String>, Problems> {
    if engine.catalogue.shelf.is_empty() {
        return Err(
            Diagnostic::new("S004", "shelf", "no shelf is stated in own data")
                .help("list it in shelf.csv of the own data, or name it with --shelf")
                .into(),
        );
    }
    Ok(engine.catalogue.shelf.clone())
}
