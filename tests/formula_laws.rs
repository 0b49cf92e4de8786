//! Laws every formula obeys, over formulas drawn from the whole catalogue.

mod kitchen;

use kitchen::KITCHEN;
use proptest::prelude::*;
use tamis::formula::{Assessor, Formula, Line, Part, State};
use tamis::model::{Dial, IngredientKey};

fn assessor() -> Assessor<'static> {
    Assessor {
        catalogue: &KITCHEN.catalogue,
        profiles: &KITCHEN.profiles,
    }
}

fn key(id: &str) -> IngredientKey {
    KITCHEN.catalogue.key(id).expect("a shipped ingredient")
}

/// One to twelve ingredients of the catalogue in any amounts, and some water so that ice can form.
fn formula() -> impl Strategy<Value = Formula> {
    let line = (0..KITCHEN.catalogue.ingredients.len(), 0.01..300.0_f64);
    (proptest::collection::vec(line, 1..12), 50.0..800.0_f64).prop_map(|(drawn, water)| {
        let mut lines: Vec<Line> = drawn
            .into_iter()
            .map(|(n, grams)| Line {
                key: IngredientKey(n as u32),
                grams,
            })
            .collect();
        lines.push(Line {
            key: key("water"),
            grams: water,
        });
        Formula {
            name: "drawn".into(),
            lines,
            ..Formula::default()
        }
    })
}

fn figures(state: &State) -> Vec<(&'static str, f64)> {
    let mut all: Vec<(&'static str, f64)> = Dial::ALL
        .iter()
        .filter_map(|(dial, id, ..)| Some((*id, state.dial(*dial)?)))
        .collect();
    all.extend(state.water_activity().map(|aw| ("water activity", aw)));
    all
}

/// Sums in another order differ in the last bits, and a root is found to ten digits.
fn same(a: &State, b: &State) -> Result<(), TestCaseError> {
    let (a, b) = (figures(a), figures(b));
    prop_assert_eq!(a.len(), b.len());
    for ((name, x), (_, y)) in a.into_iter().zip(b) {
        prop_assert!((x - y).abs() <= 1e-6 * (1.0 + x.abs()), "{name}: {x} {y}");
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn mass_in_equals_mass_out(formula in formula()) {
        let sums = assessor().sums(&formula);
        prop_assert!((sums.grams - formula.grams()).abs() < 1e-9 * formula.grams());
        for part in [Part::Water, Part::Fat, Part::Protein, Part::Lactose] {
            let by_line: f64 = formula.lines.iter()
                .map(|l| assessor().profile(l.key).number(part) / 100.0 * l.grams).sum();
            prop_assert!((sums.part(part) - by_line).abs() < 1e-9 * (1.0 + by_line));
        }
    }

    #[test]
    fn order_of_lines_changes_nothing(formula in formula(), turn in 0usize..12) {
        let mut turned = formula.clone();
        let by = turn % turned.lines.len();
        turned.lines.rotate_left(by);
        turned.lines.reverse();
        same(&assessor().state(&formula), &assessor().state(&turned))?;
    }

    #[test]
    fn the_size_of_the_batch_changes_nothing(formula in formula(), factor in 0.01..100.0_f64) {
        same(&assessor().state(&formula), &assessor().state(&formula.scaled(factor)))?;
    }

    #[test]
    fn mixing_two_halves_changes_nothing(formula in formula(), share in 0.05..0.95_f64) {
        let halves = assessor().sums(&formula.scaled(share)) + assessor().sums(&formula.scaled(1.0 - share));
        same(&assessor().state(&formula), &assessor().state_of(halves))?;
    }

    #[test]
    fn more_sucrose_never_raises_the_freezing_point(formula in formula(), grams in 0.1..200.0_f64) {
        let mut sweeter = formula.clone();
        sweeter.add(key("sucrose"), grams);
        let (before, after) = (assessor().state(&formula), assessor().state(&sweeter));
        if let (Some(before), Some(after)) = (before.freezing_point, after.freezing_point) {
            prop_assert!(after.value <= before.value + 1e-9, "{} {}", before.value, after.value);
        }
        prop_assert!(sweetness_lost(&before, &after) < 1e-9);
    }

    #[test]
    fn frozen_water_rises_as_it_gets_colder(formula in formula()) {
        let state = assessor().state(&formula);
        let mut last = 0.0;
        for n in 0..=60 {
            if let Some(frozen) = state.frozen(-0.5 * f64::from(n)) {
                prop_assert!((0.0..=100.0).contains(&frozen));
                prop_assert!(frozen >= last - 1e-9);
                last = frozen;
            }
        }
    }

    #[test]
    fn composition_closes(formula in formula()) {
        let state = assessor().state(&formula);
        let percent = |part: Part| state.sums.percent(part);
        let (water, fat, protein, alcohol) = (
            percent(Part::Water), percent(Part::Fat), percent(Part::Protein), percent(Part::Alcohol));
        // Analyses of the same food close to within 2 g in 100 g: nitrogen factors and rounding.
        prop_assert!(water + fat + protein + alcohol <= 102.0);
        prop_assert!(percent(Part::Lactose) <= percent(Part::Sugars) + 2.0);
        let solids = state.dial(Dial::TotalSolids).unwrap_or(0.0);
        prop_assert!((solids + water + alcohol - 100.0).abs() < 1e-6 || water + alcohol > 100.0);
    }

    #[test]
    fn no_figure_is_not_a_number(formula in formula()) {
        for (name, figure) in figures(&assessor().state(&formula)) {
            prop_assert!(figure.is_finite(), "{name}: {figure}");
        }
    }
}

/// Sweetness lost although sucrose came in, g per 100 g times the mass: dilution is no loss.
fn sweetness_lost(before: &State, after: &State) -> f64 {
    let total = |s: &State| s.sweetness * s.sums.grams;
    let sugar_alone =
        |s: &State| s.sums.fixed_sweetness == 0.0 && s.sums.sweet.iter().skip(1).all(|g| *g == 0.0);
    if sugar_alone(before) {
        total(before) - total(after)
    } else {
        // Ratios that rise with the level fall when the mix is diluted; not a law there.
        0.0
    }
}
