//! A catalogue as SQLite tables, written and read back; `read(write(c)) == c`.

use std::path::Path;

use rusqlite::{Connection, OpenFlags, params};

use crate::load::{self, Files};
use crate::model::{
    AllergenList, AllergenRow, Catalogue, Commonness, Families, Ingredient, Kin, Name, Presence,
    Property, PropertyKind, Row, Source, SourceKind, Value, Word,
};

const SCHEMA: &str = include_str!("../../schema/store.sql");
/// Raised whenever the tables change shape.
pub const FORMAT: i32 = 3;

/// Writes a catalogue to a new file.
///
/// Errors: whatever SQLite says, such as a full disk; the file is then of no use.
pub fn write(path: &Path, catalogue: &Catalogue, files: &Files) -> rusqlite::Result<()> {
    let mut connection = Connection::open(path)?;
    // The file is renamed into place only when complete, so it needs no journal of its own.
    connection.pragma_update(None, "journal_mode", "off")?;
    connection.pragma_update(None, "synchronous", "off")?;
    connection.pragma_update(None, "user_version", FORMAT)?;
    connection.execute_batch(SCHEMA)?;
    let work = connection.transaction()?;
    write_small(&work, catalogue, files)?;
    write_ingredients(&work, catalogue)?;
    work.execute(
        "INSERT INTO meta VALUES ('version', ?1), ('ingredients', ?2)",
        params![files.version, catalogue.ingredients.len().to_string()],
    )?;
    work.commit()
}

fn write_small(work: &Connection, catalogue: &Catalogue, files: &Files) -> rusqlite::Result<()> {
    let mut insert = work.prepare("INSERT INTO property VALUES (?,?,?,?,?,?,?,?,?,?,?,?)")?;
    for (n, p) in catalogue.properties.iter().enumerate() {
        let (kind, choices) = match &p.kind {
            PropertyKind::Number => ("number", String::new()),
            PropertyKind::Text => ("text", String::new()),
            PropertyKind::Choice(words) => ("choice", words.join(";")),
        };
        let finite = |x: f64| x.is_finite().then_some(x);
        insert.execute(params![
            n as i64,
            p.id,
            p.name,
            p.unit,
            kind,
            finite(p.low),
            finite(p.high),
            choices,
            p.conditions.join(" "),
            p.group,
            p.families.to_string(),
            p.meaning
        ])?;
    }
    let mut insert = work.prepare("INSERT INTO source VALUES (?,?,?,?,?)")?;
    for s in catalogue.sources.values() {
        insert.execute(params![s.id, s.kind.word(), s.citation, s.year, s.address])?;
    }
    let mut insert = work.prepare("INSERT INTO allergen_list VALUES (?,?,?,?,?,?,?)")?;
    for (n, a) in catalogue.allergen_lists.iter().enumerate() {
        insert.execute(params![
            n as i64,
            a.list,
            a.allergen,
            a.substance,
            a.note,
            a.source,
            a.locator
        ])?;
    }
    let mut insert = work.prepare("INSERT INTO word VALUES (?,?,?,?,?)")?;
    for (n, w) in catalogue.words.iter().enumerate() {
        insert.execute(params![n as i64, w.table, w.word, w.meaning, w.detail])?;
    }
    let mut insert = work.prepare("INSERT INTO kin VALUES (?,?,?,?,?,?,?)")?;
    for (n, k) in catalogue.groups.iter().enumerate() {
        let members = k.members.join(";");
        insert.execute(params![
            n as i64, k.id, k.name, k.parent, k.siblings, k.meaning, members
        ])?;
    }
    let mut insert = work.prepare("INSERT INTO shelf VALUES (?)")?;
    for id in &catalogue.shelf {
        insert.execute([id])?;
    }
    let mut insert = work.prepare("INSERT INTO rule_file VALUES (?,?)")?;
    for (path, text) in files.below("data/rules/", ".toml") {
        insert.execute(params![path, text])?;
    }
    Ok(())
}

fn write_ingredients(work: &Connection, catalogue: &Catalogue) -> rusqlite::Result<()> {
    let mut ingredient =
        work.prepare("INSERT INTO ingredient VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?)")?;
    let mut name = work.prepare("INSERT INTO name VALUES (NULL,?,?,?,?)")?;
    let mut value = work.prepare("INSERT INTO value VALUES (NULL,?,?,?,?,?,?,?,?,?,?,?,?,?,?)")?;
    let mut part = work.prepare("INSERT INTO part VALUES (NULL,?,?,?)")?;
    let mut allergen = work.prepare("INSERT INTO allergen VALUES (NULL,?,?,?,?,?,?,?)")?;
    for i in &catalogue.ingredients {
        ingredient.execute(params![
            i.id,
            i.name,
            i.family,
            i.groups.join(";"),
            i.form,
            i.origin.join(";"),
            i.functions.join(";"),
            i.e_number,
            i.cas.join(";"),
            i.note,
            i.commonness.word(),
            i.own,
            i.row.file,
            i.row.line as i64
        ])?;
        for n in &i.names {
            name.execute(params![i.id, n.name, n.kind, n.region])?;
        }
        for v in &i.values {
            value.execute(params![
                i.id,
                v.property,
                v.condition,
                v.low,
                v.typical,
                v.high,
                v.text,
                v.unit,
                v.source,
                v.locator,
                v.note,
                v.own,
                v.row.file,
                v.row.line as i64
            ])?;
        }
        for (id, share) in &i.parts {
            part.execute(params![i.id, id, share])?;
        }
        for a in &i.allergens {
            allergen.execute(params![
                i.id,
                a.substance,
                a.presence.word(),
                a.list,
                a.source,
                a.locator,
                a.condition
            ])?;
        }
    }
    Ok(())
}

/// Why a store could not be read; the cure is always to build it anew.
#[derive(Debug, thiserror::Error)]
pub enum Unreadable {
    /// SQLite said so.
    #[error("{0}")]
    Sqlite(#[from] rusqlite::Error),
    /// It was built by another version of the data or the program.
    #[error("it holds another version")]
    Version,
    /// It lacks rows or holds what no program wrote.
    #[error("it is damaged")]
    Damaged,
}

/// Reads a catalogue back; `version` must be the one it was built from.
pub fn read(path: &Path, version: &str) -> Result<Catalogue, Unreadable> {
    let connection = Connection::open_with_flags(
        path,
        OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX,
    )?;
    let format: i32 = connection.pragma_query_value(None, "user_version", |row| row.get(0))?;
    let meta = |key: &str| {
        connection.query_row("SELECT value FROM meta WHERE key = ?1", [key], |row| {
            row.get::<_, String>(0)
        })
    };
    if format != FORMAT || meta("version")? != version {
        return Err(Unreadable::Version);
    }
    let mut catalogue = Catalogue::default();
    read_small(&connection, &mut catalogue)?;
    catalogue.ingredients = read_ingredients(&connection)?;
    if meta("ingredients")? != catalogue.ingredients.len().to_string() {
        return Err(Unreadable::Damaged);
    }
    let mut catalogue = catalogue.indexed();
    let mut rule_files = vec![];
    each(&connection, "SELECT path, text FROM rule_file", |row| {
        rule_files.push((row.get::<_, String>(0)?, row.get::<_, String>(1)?));
        Ok(())
    })?;
    catalogue.rules = load::rules_of(&rule_files, &catalogue).map_err(|_| Unreadable::Damaged)?;
    Ok(catalogue)
}

fn each(
    connection: &Connection,
    sql: &str,
    mut take: impl FnMut(&rusqlite::Row<'_>) -> rusqlite::Result<()>,
) -> rusqlite::Result<()> {
    let mut statement = connection.prepare(sql)?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        take(row)?;
    }
    Ok(())
}

fn list(text: String) -> Vec<String> {
    text.split(';')
        .filter(|s| !s.is_empty())
        .map(str::to_string)
        .collect()
}

fn damaged() -> rusqlite::Error {
    rusqlite::Error::InvalidQuery
}

fn read_small(connection: &Connection, catalogue: &mut Catalogue) -> rusqlite::Result<()> {
    each(
        connection,
        "SELECT id, name, unit, kind, low, high, choices, conditions, grouping, families, meaning FROM property ORDER BY position",
        |row| {
            let kind = match row.get_ref(3)?.as_str()? {
                "number" => PropertyKind::Number,
                "text" => PropertyKind::Text,
                _ => PropertyKind::Choice(list(row.get(6)?)),
            };
            catalogue.properties.push(Property {
                id: row.get(0)?,
                name: row.get(1)?,
                unit: row.get(2)?,
                kind,
                low: row.get::<_, Option<f64>>(4)?.unwrap_or(f64::NEG_INFINITY),
                high: row.get::<_, Option<f64>>(5)?.unwrap_or(f64::INFINITY),
                conditions: row
                    .get_ref(7)?
                    .as_str()?
                    .split_whitespace()
                    .map(str::to_string)
                    .collect(),
                group: row.get(8)?,
                families: Families::parse(row.get_ref(9)?.as_str()?),
                meaning: row.get(10)?,
            });
            Ok(())
        },
    )?;
    each(
        connection,
        "SELECT id, kind, citation, year, address FROM source",
        |row| {
            let kind = SourceKind::parse(row.get_ref(1)?.as_str()?).ok_or_else(damaged)?;
            let source = Source {
                id: row.get(0)?,
                kind,
                citation: row.get(2)?,
                year: row.get(3)?,
                address: row.get(4)?,
            };
            catalogue.sources.insert(source.id.clone(), source);
            Ok(())
        },
    )?;
    each(
        connection,
        "SELECT list, allergen, substance, note, source, locator FROM allergen_list ORDER BY position",
        |row| {
            catalogue.allergen_lists.push(AllergenList {
                list: row.get(0)?,
                allergen: row.get(1)?,
                substance: row.get(2)?,
                note: row.get(3)?,
                source: row.get(4)?,
                locator: row.get(5)?,
            });
            Ok(())
        },
    )?;
    each(
        connection,
        "SELECT id, name, parent, siblings, meaning, members FROM kin ORDER BY position",
        |row| {
            catalogue.groups.push(Kin {
                id: row.get(0)?,
                name: row.get(1)?,
                parent: row.get(2)?,
                siblings: row.get(3)?,
                meaning: row.get(4)?,
                members: list(row.get(5)?),
            });
            Ok(())
        },
    )?;
    each(
        connection,
        "SELECT ingredient FROM shelf ORDER BY ingredient",
        |row| {
            catalogue.shelf.push(row.get(0)?);
            Ok(())
        },
    )?;
    each(
        connection,
        "SELECT vocabulary, word, meaning, detail FROM word ORDER BY position",
        |row| {
            catalogue.words.push(Word {
                table: row.get(0)?,
                word: row.get(1)?,
                meaning: row.get(2)?,
                detail: row.get(3)?,
            });
            Ok(())
        },
    )
}

fn read_ingredients(connection: &Connection) -> rusqlite::Result<Vec<Ingredient>> {
    let mut ingredients: Vec<Ingredient> = vec![];
    each(
        connection,
        "SELECT id, name, family, form, origin, functions, e_number, cas, note, commonness, own, file, line, kin FROM ingredient ORDER BY id",
        |row| {
            ingredients.push(Ingredient {
                id: row.get(0)?,
                name: row.get(1)?,
                family: row.get(2)?,
                groups: list(row.get(13)?),
                form: row.get(3)?,
                origin: list(row.get(4)?),
                functions: list(row.get(5)?),
                e_number: row.get(6)?,
                cas: list(row.get(7)?),
                note: row.get(8)?,
                commonness: Commonness::parse(&row.get::<_, String>(9)?),
                names: vec![],
                values: vec![],
                allergens: vec![],
                parts: vec![],
                own: row.get(10)?,
                row: Row {
                    file: row.get(11)?,
                    line: row.get::<_, i64>(12)? as usize,
                },
            });
            Ok(())
        },
    )?;
    // Rows were written ingredient by ingredient in id order, so the owner is the same or a later one.
    let mut at = 0;
    let mut owner = |ingredients: &[Ingredient], id: &str| -> rusqlite::Result<usize> {
        if ingredients.get(at).is_some_and(|i| i.id == id) {
            return Ok(at);
        }
        at = ingredients
            .binary_search_by(|i| i.id.as_str().cmp(id))
            .map_err(|_| damaged())?;
        Ok(at)
    };
    each(
        connection,
        "SELECT ingredient, name, kind, region FROM name ORDER BY position",
        |row| {
            let n = owner(&ingredients, row.get_ref(0)?.as_str()?)?;
            ingredients[n].names.push(Name {
                name: row.get(1)?,
                kind: row.get(2)?,
                region: row.get(3)?,
            });
            Ok(())
        },
    )?;
    each(
        connection,
        "SELECT ingredient, property, condition, low, typical, high, text, unit, source, locator, note, own, file, line FROM value ORDER BY position",
        |row| {
            let n = owner(&ingredients, row.get_ref(0)?.as_str()?)?;
            ingredients[n].values.push(Value {
                property: row.get(1)?,
                condition: row.get(2)?,
                low: row.get(3)?,
                typical: row.get(4)?,
                high: row.get(5)?,
                text: row.get(6)?,
                unit: row.get(7)?,
                source: row.get(8)?,
                locator: row.get(9)?,
                note: row.get(10)?,
                own: row.get(11)?,
                row: Row {
                    file: row.get(12)?,
                    line: row.get::<_, i64>(13)? as usize,
                },
            });
            Ok(())
        },
    )?;
    each(
        connection,
        "SELECT ingredient, part, share FROM part ORDER BY position",
        |row| {
            let n = owner(&ingredients, row.get_ref(0)?.as_str()?)?;
            ingredients[n].parts.push((row.get(1)?, row.get(2)?));
            Ok(())
        },
    )?;
    each(
        connection,
        "SELECT ingredient, substance, presence, list, source, locator, condition FROM allergen ORDER BY position",
        |row| {
            let n = owner(&ingredients, row.get_ref(0)?.as_str()?)?;
            let presence = Presence::parse(row.get_ref(2)?.as_str()?).ok_or_else(damaged)?;
            ingredients[n].allergens.push(AllergenRow {
                substance: row.get(1)?,
                presence,
                list: row.get(3)?,
                source: row.get(4)?,
                locator: row.get(5)?,
                condition: row.get(6)?,
            });
            Ok(())
        },
    )?;
    Ok(ingredients)
}
