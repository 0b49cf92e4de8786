//! A person's own tables: the folder they stand in, what it may hold, and what they were read as.

use std::collections::{BTreeMap, BTreeSet};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::Path;

use super::assemble::{own_tables, owner, rows};
use super::files::Files;
use super::plain;
use crate::diagnostic::{Diagnostic, Problems, nearest};
use crate::model::{AllergenRow, Ingredient, OTHERS, PRICE, Presence, SourceKind, Value, fold};

/// Every own table with the columns it cannot do without, the further ones, and what it is for.
pub const TABLES: &[OwnTable] = &[
    OwnTable {
        name: "values.csv",
        meaning: "own values and prices; the unit is the property's, that of a price such as EUR/kg",
        needed: &["ingredient", "property", "typical", "unit"],
        further: &[
            "condition",
            "low",
            "high",
            "source",
            "locator",
            "date",
            "note",
        ],
    },
    OwnTable {
        name: "ingredients.csv",
        meaning: "own ingredients; families and functions as `tamis show` prints them",
        needed: &["id", "name", "family", "functions"],
        further: &["groups", "form", "origin", "e_number", "cas", "note"],
    },
    OwnTable {
        name: "parts.csv",
        meaning: "what an own ingredient is put together from, in grams",
        needed: &["ingredient", "part", "grams"],
        further: &["note"],
    },
    OwnTable {
        name: "names.csv",
        meaning: "further names",
        needed: &["ingredient", "name"],
        further: &["kind", "region"],
    },
    OwnTable {
        name: "allergens.csv",
        meaning: "allergens: contains, may contain, unknown; `others,none by nature` says the list is complete",
        needed: &["ingredient", "substance", "presence"],
        further: &["list", "source", "locator", "date"],
    },
    OwnTable {
        name: "diets.csv",
        meaning: "vegan and vegetarian yes or no, gluten, lactose",
        needed: &["ingredient"],
        further: &[
            "vegan",
            "vegetarian",
            "gluten",
            "lactose_state",
            "source",
            "locator",
            "date",
            "note",
        ],
    },
    OwnTable {
        name: "shelf.csv",
        meaning: "what stands on the shelf, for --from-shelf",
        needed: &["ingredient"],
        further: &["note"],
    },
];

/// Largest own table read, bytes; a larger file is none.
const LARGEST: u64 = 50_000_000;

/// One table an own folder may hold.
#[derive(Debug, Clone, Copy)]
pub struct OwnTable {
    /// File name below the folder.
    pub name: &'static str,
    /// What it holds, in words.
    pub meaning: &'static str,
    /// Columns without which a row says nothing.
    pub needed: &'static [&'static str],
    /// Columns that may be there.
    pub further: &'static [&'static str],
}

impl OwnTable {
    /// The header line of an empty table.
    pub fn header(&self) -> String {
        let columns: Vec<&str> = self.needed.iter().chain(self.further).copied().collect();
        columns.join(",") + "\n"
    }
}

/// The columns the table `name` cannot do without.
pub(super) fn needed(name: &str) -> &'static [&'static str] {
    TABLES
        .iter()
        .find(|t| t.name == name)
        .map_or(&[], |t| t.needed)
}

/// The texts of a person's own tables.
#[derive(Debug, Clone)]
pub struct Own {
    /// The folder, as it was named.
    pub folder: String,
    /// Text by the path it was read at.
    texts: BTreeMap<String, String>,
}

impl Own {
    /// The tables in `folder`.
    ///
    /// Errors: `I001` where the folder or a table cannot be read or is not UTF-8, `D064` for a CSV
    /// file that is none of [`TABLES`].
    pub fn read(folder: &Path) -> Result<Self, Problems> {
        let mut own = Own {
            folder: folder.display().to_string(),
            texts: BTreeMap::new(),
        };
        let mut problems = vec![];
        own.read_below(folder, "", &mut problems);
        if problems.is_empty() {
            Ok(own)
        } else {
            Err(Problems(problems))
        }
    }

    /// Tables by name, as if read from `folder`.
    ///
    /// Errors: `D064` as for [`Own::read`].
    pub fn of(folder: &str, tables: &[(&str, &str)]) -> Result<Self, Problems> {
        let mut own = Own {
            folder: folder.to_string(),
            texts: BTreeMap::new(),
        };
        let mut problems = vec![];
        for (name, text) in tables {
            own.take(name, text.to_string(), &mut problems);
        }
        if problems.is_empty() {
            Ok(own)
        } else {
            Err(Problems(problems))
        }
    }

    /// Takes a text by its name below the folder; a formula may lie beside the tables.
    fn take(&mut self, name: &str, text: String, problems: &mut Vec<Diagnostic>) {
        let place = format!("{}/{name}", self.folder);
        if name.starts_with("values/") || TABLES.iter().any(|t| t.name == name) {
            self.texts.insert(place, text);
        } else if !is_formula(&text) {
            problems.push(no_table(place, name));
        }
    }

    fn read_below(&mut self, folder: &Path, below: &str, problems: &mut Vec<Diagnostic>) {
        let unreadable = |place: String, error: std::io::Error| {
            Diagnostic::new("I001", place, format!("cannot be read: {error}"))
        };
        let entries = match std::fs::read_dir(folder) {
            Ok(entries) => entries,
            Err(error) => {
                let help = format!("`tamis own --init {}` starts own data", folder.display());
                problems.push(unreadable(folder.display().to_string(), error).help(help));
                return;
            }
        };
        for path in entries.flatten().map(|entry| entry.path()) {
            let file = path
                .file_name()
                .map_or(String::new(), |n| n.to_string_lossy().into_owned());
            if below.is_empty() && file == "values" && path.is_dir() {
                self.read_below(&path, "values/", problems);
            }
            if !file.to_lowercase().ends_with(".csv") || path.is_dir() {
                continue;
            }
            let name = format!("{below}{file}");
            let place = || format!("{}/{name}", self.folder);
            if path.metadata().is_ok_and(|m| m.len() > LARGEST) {
                problems.push(
                    Diagnostic::new("I001", place(), "is too large to be a table")
                        .help("an own table has a row per value; keep other files elsewhere"),
                );
                continue;
            }
            match plain::opened(&path).and_then(std::io::read_to_string) {
                Ok(text) => self.take(&name, text, problems),
                Err(error) => {
                    problems.push(unreadable(place(), error).help("save the file as UTF-8"));
                }
            }
        }
    }

    /// Path and text of every file of the table `name`; `values.csv` may also be a folder of files.
    pub(super) fn tables<'a>(
        &'a self,
        name: &'a str,
    ) -> impl Iterator<Item = (&'a str, &'a str)> + 'a {
        let meant = move |path: &str| {
            let below = path
                .strip_prefix(self.folder.as_str())
                .map_or("", |p| p.trim_start_matches('/'));
            below == name || (name == "values.csv" && below.starts_with("values/"))
        };
        self.texts
            .iter()
            .filter(move |(path, _)| meant(path))
            .map(|(path, text)| (path.as_str(), text.as_str()))
    }

    /// The text read at a path.
    pub fn text(&self, path: &str) -> Option<&str> {
        self.texts.get(path).map(String::as_str)
    }

    /// Two numbers: one of the folder, one that changes whenever any text does.
    pub(super) fn stamps(&self) -> (u64, u64) {
        let stamp = |what: &dyn Fn(&mut DefaultHasher)| {
            let mut hasher = DefaultHasher::new();
            what(&mut hasher);
            hasher.finish()
        };
        (
            stamp(&|h| self.folder.hash(h)),
            stamp(&|h| self.texts.hash(h)),
        )
    }
}

/// Whether a text begins as a formula does; formulas may lie beside own tables.
fn is_formula(text: &str) -> bool {
    let header = text.trim_start_matches('\u{feff}').lines().next();
    let columns: Vec<String> = header
        .unwrap_or("")
        .split(',')
        .map(|c| c.trim().to_lowercase())
        .collect();
    let has = |name: &str| columns.iter().any(|c| c == name);
    has("ingredient") && has("grams") && !has("part")
}

fn no_table(place: String, file: &str) -> Diagnostic {
    let names: Vec<&str> = TABLES.iter().map(|t| t.name).collect();
    let near = nearest(file, names.iter().copied())
        .map_or(String::new(), |n| format!("the nearest is `{n}`; "));
    Diagnostic::new("D064", place, format!("no own table is called `{file}`")).help(format!(
        "{near}own tables are {}; a formula has the columns ingredient,grams",
        names.join(", ")
    ))
}

/// Puts a value to the others: an own one before the first that is built in of its property.
pub(super) fn lay(value: Value, values: &mut Vec<Value>) {
    let built_in = |v: &Value| v.property == value.property && !v.own;
    let place = values.iter().position(built_in).filter(|_| value.own);
    values.insert(place.unwrap_or(values.len()), value);
}

/// Own ingredients of a family or with a job that nothing built in has: no search and no swap would
/// find them.
pub(super) fn misfits(ingredients: &BTreeMap<String, Ingredient>, problems: &mut Vec<Diagnostic>) {
    let built_in = || ingredients.values().filter(|i| !i.own);
    let families: BTreeSet<&str> = built_in().map(|i| i.family.as_str()).collect();
    let jobs: BTreeSet<&str> = built_in()
        .flat_map(|i| i.functions.iter().map(String::as_str))
        .collect();
    for i in ingredients.values().filter(|i| i.own) {
        if !i
            .id
            .chars()
            .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
        {
            let message = format!("`{}` is no id", i.id);
            let id = fold(&i.id).replace(' ', "-");
            problems.push(
                Diagnostic::new("D066", i.row.file.clone(), message)
                    .at(i.row.line, 1)
                    .help(format!(
                        "an id has small letters, digits and hyphens, such as `{id}`; the name is free"
                    )),
            );
        }
        let asked = std::iter::once(("family", i.family.as_str(), &families))
            .chain(i.functions.iter().map(|f| ("job", f.as_str(), &jobs)));
        for (what, word, known) in asked.filter(|(_, w, known)| !w.is_empty() && !known.contains(w))
        {
            let list = || known.iter().copied().collect::<Vec<_>>().join(", ");
            let help = nearest(word, known.iter().copied()).map_or_else(
                || format!("one of {}", list()),
                |n| format!("the nearest is `{n}`"),
            );
            let message = format!("no {what} is called `{word}`");
            problems.push(
                Diagnostic::new("D065", i.row.file.clone(), message)
                    .at(i.row.line, 0)
                    .help(help),
            );
        }
    }
}

/// An own ingredient whose statements do not say that they are complete gets one that says so:
/// what is not stated is not known, and nobody is told it is not there.
pub(super) fn leave_open(ingredient: &mut Ingredient) {
    let complete = |row: &AllergenRow| {
        [OTHERS, "none"].contains(&row.substance.as_str()) && row.presence == Presence::NoneByNature
    };
    let through_parts = !ingredient.parts.is_empty();
    if ingredient.own && !through_parts && !ingredient.allergens.iter().any(complete) {
        ingredient.allergens.push(AllergenRow {
            substance: OTHERS.into(),
            presence: Presence::Unknown,
            list: String::new(),
            source: SourceKind::Own.word().into(),
            locator: String::new(),
            condition: String::new(),
        });
    }
}

/// The unit of all prices, such as `EUR/kg`; a problem for each that is in another one.
pub(super) fn currency(
    ingredients: &BTreeMap<String, Ingredient>,
    problems: &mut Vec<Diagnostic>,
) -> Option<String> {
    let prices = || {
        let values = ingredients.values().flat_map(|i| &i.values);
        values.filter(|v| v.property == PRICE)
    };
    let first = prices().min_by_key(|v| (&v.row.file, v.row.line))?;
    for price in prices().filter(|v| v.unit != first.unit) {
        let message = format!(
            "a price in {}, while {}:{} has one in {}",
            price.unit, first.row.file, first.row.line, first.unit
        );
        problems.push(
            Diagnostic::new("D060", price.row.file.clone(), message)
                .at(price.row.line, 0)
                .help("write all prices in one currency per kilogram"),
        );
    }
    Some(first.unit.clone())
}

/// What stands on the shelf, by id, sorted, each once.
pub(super) fn shelf(
    files: &Files,
    ingredients: &mut BTreeMap<String, Ingredient>,
    problems: &mut Vec<Diagnostic>,
) -> Vec<String> {
    let tables = own_tables(files, "shelf.csv", problems);
    let mut ids: Vec<String> = rows(&tables)
        .filter_map(|(t, r)| Some(owner(t, r, ingredients, problems)?.id.clone()))
        .collect();
    ids.sort_unstable();
    ids.dedup();
    ids
}
