//! The tables put together into one catalogue.

use std::collections::{BTreeMap, HashMap};

use super::files::Files;
use super::groups;
use super::own;
use super::parts;
use super::rules;
use super::table::Table;
use crate::diagnostic::{Diagnostic, Problems, nearest};
use crate::model::{
    AllergenList, AllergenRow, Catalogue, Commonness, Families, Ingredient, Name, PRICE, Presence,
    Property, PropertyKind, Source, SourceKind, Value, Word, fold,
};

/// Reads every file into a catalogue.
///
/// Errors: all problems of form and reference (`D0xx`), each at its place. Checks of meaning,
/// such as closure, are in [`super::check`].
pub fn catalogue(files: &Files) -> Result<Catalogue, Problems> {
    let mut problems = vec![];
    let mut catalogue = Catalogue::default();
    catalogue.properties = properties(files, &mut problems);
    catalogue.sources = sources(files, &mut problems);
    catalogue.words = words(files, &mut problems);
    let mut ingredients = ingredients(files, &mut problems);
    catalogue.groups = groups::read(files, &mut ingredients, &mut problems);
    own::misfits(&ingredients, &mut problems);
    names(files, &mut ingredients, &mut problems);
    allergens(files, &mut ingredients, &catalogue.sources, &mut problems);
    catalogue.allergen_lists = allergen_lists(files, &catalogue.sources, &mut problems);
    let by_id: HashMap<&str, &Property> = catalogue
        .properties
        .iter()
        .map(|p| (p.id.as_str(), p))
        .collect();
    values(
        files,
        &mut ingredients,
        &by_id,
        &catalogue.sources,
        &mut problems,
    );
    diets(files, &mut ingredients, &catalogue.sources, &mut problems);
    let currency = own::currency(&ingredients, &mut problems);
    parts::read(
        files,
        &mut ingredients,
        &catalogue.properties,
        &mut problems,
    );
    ingredients.values_mut().for_each(own::leave_open);
    catalogue.shelf = own::shelf(files, &mut ingredients, &mut problems);
    let price = catalogue.properties.iter_mut().find(|p| p.id == PRICE);
    if let (Some(price), Some(currency)) = (price, currency) {
        price.unit = currency;
    }
    catalogue.ingredients = ingredients.into_values().collect();
    let mut catalogue = catalogue.indexed();
    catalogue.rules = rules::read(files, &catalogue, &mut problems);
    if let Err(found) = of_texts(files, &mut catalogue) {
        problems.extend(found.0);
    }
    if problems.is_empty() {
        Ok(catalogue)
    } else {
        Err(Problems(problems))
    }
}

/// Reads what stands in texts that are read anew at each start, and in no store: how names vary, what
/// dishes are and how they are made, what the law permits.
///
/// Errors: every problem of each of them.
pub fn of_texts(files: &Files, catalogue: &mut Catalogue) -> Result<(), Problems> {
    let mut problems: Vec<Diagnostic> = vec![];
    match super::classes(files, catalogue) {
        Ok(classes) => catalogue.classes = classes,
        Err(found) => problems.extend(found.0),
    }
    match super::sequences(files, catalogue) {
        Ok(sequences) => catalogue.sequences = sequences,
        Err(found) => problems.extend(found.0),
    }
    match super::law(files, catalogue) {
        Ok((permissions, relatives)) => {
            catalogue.permissions = permissions;
            catalogue.relatives = relatives;
        }
        Err(found) => problems.extend(found.0),
    }
    match super::fats(files, catalogue) {
        Ok(fats) => catalogue.fats = fats,
        Err(found) => problems.extend(found.0),
    }
    match super::bench(files, catalogue) {
        Ok(bench) => catalogue.bench = bench,
        Err(found) => problems.extend(found.0),
    }
    match super::labels(files, catalogue) {
        Ok(labels) => catalogue.labels = labels,
        Err(found) => problems.extend(found.0),
    }
    match super::law_words(files, catalogue) {
        Ok(law) => catalogue.law = law,
        Err(found) => problems.extend(found.0),
    }
    match super::grammar(files) {
        Ok(grammar) => catalogue.grammar = grammar,
        Err(found) => problems.extend(found.0),
    }
    match super::naming(files, catalogue) {
        Ok(naming) => catalogue.naming = naming,
        Err(found) => problems.extend(found.0),
    }
    match problems.is_empty() {
        true => Ok(()),
        false => Err(Problems(problems)),
    }
}

pub(super) fn table<'a>(
    files: &'a Files,
    path: &'a str,
    wanted: &[&str],
    problems: &mut Vec<Diagnostic>,
) -> Option<Table<'a>> {
    match files.text(path) {
        Some(text) => Some(Table::read(path, text, wanted, problems)),
        None => {
            problems.push(
                Diagnostic::new("D006", path, "the file is missing")
                    .help(format!("write it with the first line {}", wanted.join(","))),
            );
            None
        }
    }
}

/// The table at `path`, then the person's own tables of that name.
fn tables<'a>(
    files: &'a Files,
    path: &'a str,
    wanted: &[&str],
    problems: &mut Vec<Diagnostic>,
) -> Vec<Table<'a>> {
    let mut found: Vec<Table<'a>> = table(files, path, wanted, problems).into_iter().collect();
    found.extend(own_tables(
        files,
        path.trim_start_matches("data/"),
        problems,
    ));
    found
}

/// The person's own tables of a name; one that lacks a column has no records.
pub(super) fn own_tables<'a>(
    files: &'a Files,
    name: &'a str,
    problems: &mut Vec<Diagnostic>,
) -> Vec<Table<'a>> {
    let mut found = vec![];
    let texts = files.own().into_iter().flat_map(|own| own.tables(name));
    for (path, text) in texts {
        let needed = own::needed(name);
        let mut table = Table::read(path, text, needed, problems);
        table.own = true;
        if !needed.iter().all(|column| table.has(column)) {
            table.records.clear();
        }
        found.push(table);
    }
    found
}

/// Every record with its table.
pub(super) fn rows<'t, 'a>(
    tables: &'t [Table<'a>],
) -> impl Iterator<Item = (&'t Table<'a>, &'t super::Record)> {
    tables
        .iter()
        .flat_map(|t| t.records.iter().map(move |r| (t, r)))
}

fn properties(files: &Files, problems: &mut Vec<Diagnostic>) -> Vec<Property> {
    let Some(t) = table(
        files,
        "schema/properties.csv",
        &[
            "id",
            "name",
            "unit",
            "kind",
            "low",
            "high",
            "choices",
            "conditions",
            "group",
            "families",
            "meaning",
        ],
        problems,
    ) else {
        return vec![];
    };
    let mut out: Vec<Property> = vec![];
    for r in &t.records {
        let kind = match t.get(r, "kind") {
            "number" => PropertyKind::Number,
            "text" => PropertyKind::Text,
            "choice" => PropertyKind::Choice(t.list(r, "choices")),
            other => {
                problems.push(
                    t.cell_problem(
                        "D007",
                        r,
                        "kind",
                        format!("`{other}` is no kind of property"),
                    )
                    .help("one of number, text, choice"),
                );
                continue;
            }
        };
        if out.iter().any(|p| p.id == t.get(r, "id")) {
            problems.push(
                t.cell_problem(
                    "D008",
                    r,
                    "id",
                    format!("the property `{}` stands twice", t.get(r, "id")),
                )
                .help("delete one of the two rows"),
            );
        }
        out.push(Property {
            id: t.own(r, "id"),
            name: t.own(r, "name"),
            unit: t.own(r, "unit"),
            kind,
            low: t.number(r, "low", problems).unwrap_or(f64::NEG_INFINITY),
            high: t.number(r, "high", problems).unwrap_or(f64::INFINITY),
            conditions: t
                .get(r, "conditions")
                .split_whitespace()
                .map(str::to_string)
                .collect(),
            group: t.own(r, "group"),
            families: Families::parse(t.get(r, "families")),
            meaning: t.own(r, "meaning"),
        });
    }
    out
}

fn sources(files: &Files, problems: &mut Vec<Diagnostic>) -> BTreeMap<String, Source> {
    let Some(t) = table(
        files,
        "data/sources.csv",
        &["id", "kind", "citation", "year", "address"],
        problems,
    ) else {
        return BTreeMap::new();
    };
    let mut out = BTreeMap::new();
    if let Some(own) = files.own() {
        let source = Source {
            id: SourceKind::Own.word().into(),
            kind: SourceKind::Own,
            citation: format!("Own data in {}", own.folder),
            year: String::new(),
            address: String::new(),
        };
        out.insert(source.id.clone(), source);
    }
    for r in &t.records {
        let Some(kind) = SourceKind::parse(t.get(r, "kind")) else {
            let words: Vec<&str> = SourceKind::ALL.iter().map(|(_, w)| *w).collect();
            problems.push(
                t.cell_problem(
                    "D009",
                    r,
                    "kind",
                    format!("`{}` is no kind of source", t.get(r, "kind")),
                )
                .help(format!("one of {}", words.join(", "))),
            );
            continue;
        };
        let source = Source {
            id: t.own(r, "id"),
            kind,
            citation: t.own(r, "citation"),
            year: t.own(r, "year"),
            address: t.own(r, "address"),
        };
        if out.insert(source.id.clone(), source).is_some() {
            problems.push(
                t.cell_problem(
                    "D008",
                    r,
                    "id",
                    format!("the source `{}` stands twice", t.get(r, "id")),
                )
                .help("delete one of the two rows"),
            );
        }
    }
    out
}

fn words(files: &Files, problems: &mut Vec<Diagnostic>) -> Vec<Word> {
    let mut out = vec![];
    for (path, text) in files.below("data/words/", ".csv") {
        let t = Table::read(path, text, &["word", "meaning"], problems);
        let name = path
            .trim_start_matches("data/words/")
            .trim_end_matches(".csv");
        for r in &t.records {
            out.push(Word {
                table: name.to_string(),
                word: t.own(r, "word"),
                meaning: t.own(r, "meaning"),
                detail: t.own(r, "detail"),
            });
        }
    }
    super::degrees::spread(&mut out);
    out
}

fn ingredients(files: &Files, problems: &mut Vec<Diagnostic>) -> BTreeMap<String, Ingredient> {
    let tables = tables(
        files,
        "data/ingredients.csv",
        &[
            "id",
            "name",
            "family",
            "form",
            "origin",
            "functions",
            "e_number",
            "cas",
            "note",
        ],
        problems,
    );
    let mut out = BTreeMap::new();
    for (t, r) in rows(&tables) {
        for column in ["id", "name", "family", "functions"] {
            if t.get(r, column).is_empty() {
                problems.push(
                    t.cell_problem("D010", r, column, format!("`{column}` is empty"))
                        .help(match column {
                            "id" => "write an id in kebab-case",
                            "name" => "write the name people know it by",
                            "family" => "write the family, the name of its file in data/values",
                            _ => "write what it does, most important first, separated by `;`",
                        }),
                );
            }
        }
        let ingredient = Ingredient {
            id: t.own(r, "id"),
            name: t.own(r, "name"),
            family: t.own(r, "family"),
            groups: if t.own { t.list(r, "groups") } else { vec![] },
            form: t.own(r, "form"),
            origin: t.list(r, "origin"),
            functions: t.list(r, "functions"),
            e_number: t.own(r, "e_number"),
            cas: t.list(r, "cas"),
            note: t.own(r, "note"),
            commonness: Commonness::parse(t.get(r, "commonness")),
            names: vec![],
            values: vec![],
            allergens: vec![],
            parts: vec![],
            own: t.own,
            row: t.row(r),
        };
        if t.own && out.contains_key(&ingredient.id) {
            problems.push(
                t.cell_problem(
                    "D008",
                    r,
                    "id",
                    format!("the ingredient `{}` is there already", ingredient.id),
                )
                .help(
                    "delete the row and write what differs into values.csv, or choose another id",
                ),
            );
            continue;
        }
        if out.insert(ingredient.id.clone(), ingredient).is_some() {
            problems.push(
                t.cell_problem(
                    "D008",
                    r,
                    "id",
                    format!("the ingredient `{}` stands twice", t.get(r, "id")),
                )
                .help("delete one of the two rows"),
            );
        }
    }
    out
}

/// The ingredient a row names, or a problem with the nearest id. Own tables may use any name.
pub(super) fn owner<'m>(
    t: &Table<'_>,
    r: &super::Record,
    ingredients: &'m mut BTreeMap<String, Ingredient>,
    problems: &mut Vec<Diagnostic>,
) -> Option<&'m mut Ingredient> {
    let id = named(t, r, "ingredient", ingredients, problems)?;
    ingredients.get_mut(&id)
}

/// The id a cell means, or a problem with the nearest id.
pub(super) fn named(
    t: &Table<'_>,
    r: &super::Record,
    column: &str,
    ingredients: &BTreeMap<String, Ingredient>,
    problems: &mut Vec<Diagnostic>,
) -> Option<String> {
    let typed = t.get(r, column);
    if ingredients.contains_key(typed) {
        return Some(typed.to_string());
    }
    let meant = if t.own {
        by_name(typed, ingredients)
    } else {
        vec![]
    };
    let help = match meant[..] {
        [id] => return Some(id.to_string()),
        [] => nearest(typed, ingredients.keys().map(String::as_str))
            .map(|n| format!("the nearest id is `{n}`")),
        _ => Some(format!(
            "it can mean {}: write one of them",
            meant.join(", ")
        )),
    };
    problems.push(
        t.cell_problem(
            "D011",
            r,
            column,
            format!("no ingredient has the id `{typed}`"),
        )
        .help_opt(help),
    );
    None
}

/// The ids of all that have this name; own ones before those built in.
fn by_name<'i>(typed: &str, ingredients: &'i BTreeMap<String, Ingredient>) -> Vec<&'i str> {
    let folded = fold(typed);
    let has = |i: &&Ingredient| {
        let names = i.names.iter().map(|n| n.name.as_str());
        let mut names = names.chain([i.id.as_str(), i.name.as_str()]);
        !folded.is_empty() && names.any(|name| fold(name) == folded)
    };
    let found: Vec<&Ingredient> = ingredients.values().filter(has).collect();
    let own = found.iter().any(|i| i.own);
    let kept = found.into_iter().filter(|i| i.own || !own);
    kept.map(|i| i.id.as_str()).collect()
}

fn known_source(
    t: &Table<'_>,
    r: &super::Record,
    sources: &BTreeMap<String, Source>,
    problems: &mut Vec<Diagnostic>,
) {
    let id = t.source(r);
    match sources.get(id) {
        None => {
            let help = nearest(id, sources.keys().map(String::as_str))
                .map(|n| format!("the nearest source is `{n}`"));
            problems.push(
                t.cell_problem("D012", r, "source", format!("no source has the id `{id}`"))
                    .help_opt(help.or(Some(match t.own {
                        true => {
                            "leave it empty, and say in `locator` where the value stands".into()
                        }
                        false => "add it to data/sources.csv".into(),
                    }))),
            );
        }
        Some(source) if source.kind.needs_locator() && t.get(r, "locator").is_empty() => {
            problems.push(
                t.cell_problem("D013", r, "source", format!("a value from `{id}` must say where it stands there"))
                    .help("fill `locator` with the table, section, page or row; use source `memory` where it was not looked up"),
            );
        }
        Some(_) => {}
    }
}

fn names(
    files: &Files,
    ingredients: &mut BTreeMap<String, Ingredient>,
    problems: &mut Vec<Diagnostic>,
) {
    let tables = tables(
        files,
        "data/names.csv",
        &["ingredient", "name", "kind", "region"],
        problems,
    );
    for (t, r) in rows(&tables) {
        let kind = match t.get(r, "kind") {
            "" if t.own => "synonym",
            kind => kind,
        };
        let name = Name {
            name: t.own(r, "name"),
            kind: kind.to_string(),
            region: t.own(r, "region"),
        };
        if let Some(ingredient) = owner(t, r, ingredients, problems) {
            ingredient.names.push(name);
        }
    }
}

/// Diet states stand in a table of their own, one row per ingredient; each cell becomes a value.
const DIETS: [&str; 4] = ["vegan", "vegetarian", "gluten", "lactose_state"];

fn diets(
    files: &Files,
    ingredients: &mut BTreeMap<String, Ingredient>,
    sources: &BTreeMap<String, Source>,
    problems: &mut Vec<Diagnostic>,
) {
    let tables = tables(
        files,
        "data/diets.csv",
        &[
            "ingredient",
            "vegan",
            "vegetarian",
            "gluten",
            "lactose_state",
            "source",
            "locator",
            "note",
        ],
        problems,
    );
    for (t, r) in rows(&tables) {
        known_source(t, r, sources, problems);
        let Some(ingredient) = owner(t, r, ingredients, problems) else {
            continue;
        };
        for diet in DIETS.iter().filter(|diet| !t.get(r, diet).is_empty()) {
            let value = Value {
                property: diet.to_string(),
                condition: String::new(),
                low: None,
                typical: None,
                high: None,
                text: t.own(r, diet),
                unit: String::new(),
                source: t.source(r).to_string(),
                locator: t.locator(r),
                note: t.own(r, "note"),
                own: t.own,
                row: t.row(r),
            };
            own::lay(value, &mut ingredient.values);
        }
    }
}

fn allergens(
    files: &Files,
    ingredients: &mut BTreeMap<String, Ingredient>,
    sources: &BTreeMap<String, Source>,
    problems: &mut Vec<Diagnostic>,
) {
    let tables = tables(
        files,
        "data/allergens.csv",
        &[
            "ingredient",
            "substance",
            "presence",
            "list",
            "source",
            "locator",
        ],
        problems,
    );
    for (t, r) in rows(&tables) {
        known_source(t, r, sources, problems);
        let Some(presence) = Presence::parse(t.get(r, "presence")) else {
            let words: Vec<&str> = Presence::ALL.iter().map(|(_, w)| *w).collect();
            problems.push(
                t.cell_problem(
                    "D014",
                    r,
                    "presence",
                    format!("`{}` is no allergen state", t.get(r, "presence")),
                )
                .help(format!("one of {}", words.join(", "))),
            );
            continue;
        };
        let row = AllergenRow {
            substance: t.own(r, "substance"),
            presence,
            list: t.own(r, "list"),
            source: t.source(r).to_string(),
            locator: t.locator(r),
            condition: t.own(r, "condition"),
        };
        if let Some(ingredient) = owner(t, r, ingredients, problems) {
            ingredient.allergens.push(row);
        }
    }
}

fn allergen_lists(
    files: &Files,
    sources: &BTreeMap<String, Source>,
    problems: &mut Vec<Diagnostic>,
) -> Vec<AllergenList> {
    let Some(t) = table(
        files,
        "data/allergen-lists.csv",
        &["list", "allergen", "substance", "note", "source", "locator"],
        problems,
    ) else {
        return vec![];
    };
    t.records
        .iter()
        .map(|r| {
            known_source(&t, r, sources, problems);
            let list = match t.get(r, "status") {
                "" | "mandatory" | "threshold" => t.own(r, "list"),
                status => format!("{}, {status}", t.get(r, "list")),
            };
            AllergenList {
                list,
                allergen: t.own(r, "allergen"),
                substance: t.own(r, "substance"),
                note: t.own(r, "note"),
                source: t.own(r, "source"),
                locator: t.own(r, "locator"),
            }
        })
        .collect()
}

fn values(
    files: &Files,
    ingredients: &mut BTreeMap<String, Ingredient>,
    properties: &HashMap<&str, &Property>,
    sources: &BTreeMap<String, Source>,
    problems: &mut Vec<Diagnostic>,
) {
    let mut tables: Vec<Table<'_>> = vec![];
    for (path, text) in files.below("data/values/", ".csv") {
        tables.push(Table::read(
            path,
            text,
            &[
                "ingredient",
                "property",
                "condition",
                "low",
                "typical",
                "high",
                "unit",
                "source",
                "locator",
                "note",
            ],
            problems,
        ));
    }
    tables.extend(own_tables(files, "values.csv", problems));
    for (t, r) in rows(&tables) {
        let Some(property) = properties.get(t.get(r, "property")) else {
            let typed = t.get(r, "property");
            let help = nearest(typed, properties.keys().copied())
                .map(|n| format!("the nearest property is `{n}`"));
            problems.push(
                t.cell_problem(
                    "D020",
                    r,
                    "property",
                    format!("no property is called `{typed}`"),
                )
                .help_opt(help),
            );
            continue;
        };
        if !property.takes(t.get(r, "unit")) {
            problems.push(
                t.cell_problem(
                    "D021",
                    r,
                    "unit",
                    format!(
                        "unit `{}` does not fit property `{}`",
                        t.get(r, "unit"),
                        property.id
                    ),
                )
                .help(match property.id.as_str() {
                    PRICE => "write what a kilogram costs, such as 3.40 in EUR/kg".into(),
                    _ => format!("write the value in `{}`", property.unit),
                }),
            );
        }
        known_source(t, r, sources, problems);
        let number = property.kind == PropertyKind::Number;
        let mut cell = |column: &str| {
            if number {
                t.number(r, column, problems)
            } else {
                None
            }
        };
        let value = Value {
            property: property.id.clone(),
            condition: t.own(r, "condition"),
            low: cell("low"),
            typical: cell("typical"),
            high: cell("high"),
            text: if number {
                String::new()
            } else {
                t.own(r, "typical")
            },
            unit: t.own(r, "unit"),
            source: t.source(r).to_string(),
            locator: t.locator(r),
            note: t.own(r, "note"),
            own: t.own,
            row: t.row(r),
        };
        if number && value.figure().is_none() {
            problems.push(
                t.cell_problem("D022", r, "typical", "the row states no number")
                    .help("fill `typical`, or `low` and `high`"),
            );
        }
        if let Some(ingredient) = owner(t, r, ingredients, problems) {
            own::lay(value, &mut ingredient.values);
        }
    }
}
