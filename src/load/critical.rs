//! What each family must know: the properties a developer decides by.

use std::collections::BTreeMap;

use super::files::Files;
use super::table::Table;

/// Property ids by family, in file order, from `schema/critical.csv`.
pub fn critical(files: &Files) -> BTreeMap<String, Vec<String>> {
    let path = "schema/critical.csv";
    let text = files.text(path).unwrap_or_default();
    let table = Table::read(path, text, &["family", "property"], &mut vec![]);
    let mut out: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for r in &table.records {
        out.entry(table.own(r, "family"))
            .or_default()
            .push(table.own(r, "property"));
    }
    out
}
