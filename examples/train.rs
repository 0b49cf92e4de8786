//! Trains the prior of the reader on the labelled questions and writes `data/grammar/prior.csv`.
//!
//!     cargo run --release --example train

use std::path::Path;

use tamis::load::{self, Files};
use tamis::query::{Example, train};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let catalogue = load::catalogue(&Files::folder(root)?)?;
    let mut examples = vec![];
    let path = root.join("tests/kinds.csv");
    for row in csv::Reader::from_path(path)?.records() {
        let row = row?;
        examples.push(Example {
            text: row[0].to_string(),
            kind: row[1].to_string(),
            scene: &row[2] == "yes",
        });
    }
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
