//! The demonstration formulas: read without a problem, about a kilogram, and plausible as frozen desserts.

use tamis::formula::Assessor;
use tamis::load::Files;

mod kitchen;

use kitchen::KITCHEN;

#[test]
fn demonstration_formulas_are_plausible() {
    let files = Files::embedded();
    let assessor = Assessor {
        catalogue: &KITCHEN.catalogue,
        profiles: &KITCHEN.profiles,
    };
    let mut names = vec![];
    for (path, text) in files.below("data/formulas/", ".csv") {
        let formula = KITCHEN
            .read(path, text.as_bytes())
            .unwrap_or_else(|p| panic!("{p}"));
        assert!(
            (formula.grams() - 1000.0).abs() <= 30.0,
            "{path} weighs {}",
            formula.grams()
        );
        let state = assessor.state(&formula);
        // Bands of frozen desserts, from sorbet to rich gelato. Source: memory; sweetness from the
        // least of ice cream (12) to the most of sherbet (30) in data/class-ranges.csv.
        let sweet = state.sweetness;
        assert!(
            (12.0..=30.0).contains(&sweet),
            "{path}: sweetness {sweet:.1}"
        );
        let start = state.freezing_point.expect("there is water").value;
        assert!(
            (-4.2..=-1.6).contains(&start),
            "{path}: first ice at {start:.1} C"
        );
        let ice = state.frozen_at_18.expect("there is water");
        assert!(
            (65.0..=86.0).contains(&ice),
            "{path}: {ice:.0} % of the water frozen"
        );
        names.push(path);
    }
    assert!(names.contains(&"data/formulas/sour-cherry-sorbet.csv"));
    assert!(names.len() >= 8, "{names:?}");
}
