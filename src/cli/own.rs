//! Own data on the command line: where it is looked for, and own values beside built-in ones.

use std::path::{Path, PathBuf};

use super::args::Args;
use super::page::Page;
use crate::answer::OverruledOut;
use crate::diagnostic::{Diagnostic, Problems};
use crate::engine::Engine;
use crate::load::{Files, Own};

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
pub fn usual() -> Option<PathBuf> {
    directories::ProjectDirs::from("", "", "tamis").map(|dirs| dirs.config_dir().join("own"))
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
