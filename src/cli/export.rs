//! The knowledge base for spreadsheets and programs.

use std::path::{Path, PathBuf};

use super::args::Format;
use super::writer::{save, save_with, write};
use crate::condition::{Facts, Truth, judge};
use crate::diagnostic::{Diagnostic, Problems};
use crate::engine::Engine;
use crate::model::{Expr, IngredientKey};

/// Writes the ingredients for which `condition` holds; to a file where one is named with all that the
/// command reads.
pub fn run(
    engine: &Engine,
    format: Format,
    out: Option<(&Path, Vec<PathBuf>)>,
    condition: &Expr,
) -> Result<u8, Problems> {
    let catalogue = &engine.catalogue;
    let keys: Vec<IngredientKey> = catalogue
        .keys()
        .filter(|k| judge(condition, &Facts::of(catalogue, catalogue.ingredient(*k))) == Truth::Yes)
        .collect();
    let text = match format {
        Format::Csv => csv(engine, &keys)?,
        Format::Json => {
            let profiles: Vec<_> = keys.iter().map(|k| engine.show(*k)).collect();
            serde_json::to_string_pretty(&profiles)
                .map(|t| t + "\n")
                .unwrap_or_default()
        }
        Format::Sqlite => return database(engine, out),
    };
    match out {
        Some((path, inputs)) => save(path, &inputs, &text)?,
        None => write(&text)?,
    }
    Ok(u8::from(keys.is_empty()))
}

fn csv(engine: &Engine, keys: &[IngredientKey]) -> Result<String, Problems> {
    let failed = |error: String| Problems::from(Diagnostic::new("I002", "export", error));
    let mut writer = csv::Writer::from_writer(vec![]);
    let mut head: Vec<&str> = vec![
        "ingredient",
        "name",
        "family",
        "property",
        "condition",
        "low",
        "typical",
        "high",
        "text",
        "unit",
        "source",
        "locator",
        "kind",
        "note",
    ];
    // Only own data makes rows of one property differ in standing.
    let laid_over = engine.own().is_some();
    if laid_over {
        head.push("standing");
    }
    writer
        .write_record(head)
        .map_err(|e| failed(e.to_string()))?;
    for key in keys {
        let p = engine.show(*key);
        for v in &p.values {
            let number = |x: Option<f64>| x.map_or(String::new(), |x| x.to_string());
            let (low, typical, high) = (number(v.low), number(v.typical), number(v.high));
            let mut record: Vec<&str> = vec![
                &p.id,
                &p.name,
                &p.family,
                &v.property,
                &v.condition,
                &low,
                &typical,
                &high,
                &v.text,
                &v.unit,
                &v.source,
                &v.locator,
                &v.kind,
                &v.note,
            ];
            if laid_over {
                record.push(match (v.own, v.overruled) {
                    (true, _) => "own",
                    (_, true) => "overruled",
                    _ => "",
                });
            }
            writer
                .write_record(record)
                .map_err(|e| failed(e.to_string()))?;
        }
    }
    let bytes = writer.into_inner().map_err(|e| failed(e.to_string()))?;
    String::from_utf8(bytes).map_err(|e| failed(e.to_string()))
}

/// A copy of the built database, or one built for the purpose.
fn database(engine: &Engine, out: Option<(&Path, Vec<PathBuf>)>) -> Result<u8, Problems> {
    let Some((path, inputs)) = out else {
        return Err(
            Diagnostic::new("I003", "export", "a database cannot be printed")
                .help("name a file with --out")
                .into(),
        );
    };
    save_with(path, &inputs, |beside| engine.write_database(beside))?;
    Ok(0)
}
