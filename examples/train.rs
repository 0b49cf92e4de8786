//! Trains the prior of the reader on the labelled texts and writes `data/grammar/prior.csv`.
//!
//!     cargo run --release --example train

#[path = "../tests/kinds/mod.rs"]
mod kinds;

use std::error::Error;
use std::path::Path;

use tamis::load::{self, Files};
use tamis::query::train;

fn main() -> Result<(), Box<dyn Error>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let catalogue = load::catalogue(&Files::folder(root)?)?;
    let examples = kinds::examples();
    let rows = train(&examples, &catalogue);
    let mut out = csv::Writer::from_path(root.join("data/grammar/prior.csv"))?;
    out.write_record(["sign", "kind", "weight"])?;
    for row in &rows {
        out.write_record([&row.sign, &row.kind, &row.weight.to_string()])?;
    }
    out.flush()?;
    println!("{} examples, {} rows", examples.len(), rows.len());
    Ok(())
}
