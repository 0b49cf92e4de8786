//! The counts of what is known, and the document made of them.

mod program;

use tamis::engine::Engine;
use tamis::load::Files;

fn engine() -> Engine {
    Engine::open(Files::embedded(), None).expect("shipped data load")
}

#[test]
fn known_unknown_and_not_applicable_add_up() {
    let found = engine().completeness(None).expect("every family");
    assert_eq!(found.families.len(), engine().catalogue.families().len());
    for f in &found.families {
        for p in &f.properties {
            let counted = p.stated + p.derived + p.unknown + p.not_applicable;
            assert_eq!(counted, f.ingredients, "{} {}", f.family, p.property);
            // It applies to the whole family or to none of it.
            assert!(
                p.unknown == 0 || p.not_applicable == 0,
                "{} {}",
                f.family,
                p.property
            );
        }
    }
}

#[test]
fn critical_properties_apply_to_their_family() {
    // How far they are known is kept by tests/data_sources.rs.
    for f in &engine().completeness(None).expect("every family").families {
        assert!(f.critical().count() >= 3, "{}", f.family);
        for p in f.critical() {
            assert_eq!(p.not_applicable, 0, "{} {}", f.family, p.property);
        }
    }
}

#[test]
fn the_document_is_what_the_command_writes() {
    let written = program::run(&["completeness", "--format", "markdown"]).out;
    let kept = include_str!("../docs/completeness.md").replace("\r\n", "\n");
    assert!(
        written == kept,
        "docs/completeness.md is out of date; write it anew:\n  cargo run --release -- completeness --format markdown > docs/completeness.md"
    );
}

#[test]
fn csv_has_a_row_per_family_and_property() {
    let text = program::run(&["completeness", "--format", "csv"]).out;
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let rows = reader.records().filter(Result::is_ok).count();
    let engine = engine();
    // Prices are a person's own and no gap of what is built in.
    let properties = engine.catalogue.properties.iter();
    let built_in = properties.filter(|p| p.group != "trade").count();
    assert_eq!(rows, engine.catalogue.families().len() * built_in);
}
