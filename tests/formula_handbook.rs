//! Published examples and facts of the trade, written as formulas of catalogue ingredients.

mod kitchen;

use kitchen::KITCHEN;
use tamis::formula::{Assessor, Formula, Line, Part, State};
use tamis::model::Dial;
use tamis::physics::sucrose_equivalent::{
    Handbook, LACTOSE_IN_MILK_SOLIDS, LACTOSE_IN_WHEY_SOLIDS,
};

fn assessed(lines: &[(&str, f64)]) -> State {
    let lines = lines
        .iter()
        .map(|(id, grams)| Line {
            key: KITCHEN
                .catalogue
                .key(id)
                .unwrap_or_else(|| panic!("no ingredient {id}")),
            grams: *grams,
        })
        .collect();
    let formula = Formula {
        name: "test".into(),
        lines,
        ..Formula::default()
    };
    Assessor {
        catalogue: &KITCHEN.catalogue,
        profiles: &KITCHEN.profiles,
    }
    .state(&formula)
}

fn freezing(state: &State) -> f64 {
    state.dial(Dial::FreezingPoint).expect("a mix with water")
}

/// Source: goff-hartel-2013, Example Problem 13: 10 % MSNF, 2 % whey solids, 12 % sucrose, 4 %
/// corn syrup solids of 42 DE and 60 % water freeze at -2.74 C.
#[test]
fn the_published_mix_by_the_handbook_method_and_by_the_model() {
    let handbook = Handbook {
        water: 60.0,
        sucrose_equivalent: 10.0 * LACTOSE_IN_MILK_SOLIDS
            + 2.0 * LACTOSE_IN_WHEY_SOLIDS
            + 12.0
            + 4.0 * 0.8,
        milk_and_whey_solids: 12.0,
    };
    let published = handbook.freezing_point(0.0).unwrap().get();
    assert!((published - -2.74).abs() < 0.02, "{published}");
    // The same mix of ingredients. Powders bring some water and fat of their own: as grams of
    // solids over their share, the rest of the water and the fat (12 %) made up.
    let state = assessed(&[
        ("skimmed-milk-powder", 10.35),
        ("whey-powder", 2.07),
        ("sucrose", 12.0),
        ("dried-glucose-syrup-de42", 4.2),
        ("sunflower-oil", 11.9),
        ("water", 59.48),
    ]);
    assert!((state.sums.percent(Part::Water) - 60.0).abs() < 0.5);
    // The model counts the syrup and lactose by moles and milk salts as the handbook does;
    // 0.3 K is the handbook's own distance to measured mixes of sugars.
    assert!(
        (freezing(&state) - published).abs() < 0.3,
        "{}",
        freezing(&state)
    );
}

/// The rows of `tests/literature/solutions.csv` with one solute up to 20 %, each as a formula of
/// the catalogue's pure substance and water. Source: crc-102, as each row says.
#[test]
fn measured_solutions_written_as_formulas() {
    let substances = [
        ("sucrose", "sucrose"),
        ("glucose", "glucose-anhydrous"),
        ("fructose", "fructose"),
        ("maltose", "maltose"),
        ("lactose", "lactose"),
        ("alcohol", "ethanol"),
        ("sodium_chloride", "sodium-chloride"),
        ("potassium_chloride", "potassium-chloride"),
        ("glycerol", "glycerol"),
        ("mannitol", "mannitol"),
        ("citric_acid", "citric-acid"),
        ("lactic_acid", "lactic-acid"),
    ];
    let (mut far, mut seen) = (vec![], std::collections::BTreeSet::new());
    for row in include_str!("literature/solutions.csv").lines().skip(1) {
        let mut cells = row.split(',');
        let (Some(mix), Some("freezing_point")) = (cells.next(), cells.next()) else {
            continue;
        };
        let Some(measured) = cells.nth(1).and_then(|c| c.parse::<f64>().ok()) else {
            continue;
        };
        let Some((water, solute)) = mix.split_once("; ") else {
            continue;
        };
        let Some((property, percent)) = solute.split_once('=') else {
            continue;
        };
        let water = water.trim_start_matches("water=").parse::<f64>();
        let (Some((_, id)), Ok(water), Ok(grams)) = (
            substances.iter().find(|(p, _)| *p == property),
            water,
            percent.parse::<f64>(),
        ) else {
            continue;
        };
        let percent = 100.0 * grams / (grams + water);
        let key = KITCHEN.catalogue.key(id);
        let (Some(key), true) = (key, row.contains("crc-102") && percent <= 20.0) else {
            continue;
        };
        seen.insert(property);
        // Commercial forms hold some water: the dry share is brought to the table's.
        let own_water = KITCHEN
            .profiles
            .get(&KITCHEN.catalogue, key)
            .number(Part::Water)
            / 100.0;
        let grams = percent / (1.0 - own_water);
        let found = freezing(&assessed(&[(id, grams), ("water", 100.0 - grams)]));
        // The equations' own 0.1 K, and 1 % for the purity of the ingredient.
        if (found - measured).abs() > 0.1 + 0.01 * measured.abs() {
            far.push(format!("{mix}: {found:.2} for {measured}"));
        }
    }
    assert!(far.is_empty(), "{far:?}");
    assert!(seen.len() >= 10, "{seen:?}");
}

/// Source: common-practice: cow milk freezes at -0.52 to -0.55 C; 0.06 K for lot to lot.
#[test]
fn milk_freezes_where_milk_freezes() {
    for id in ["whole-milk", "skimmed-milk"] {
        let found = freezing(&assessed(&[(id, 1000.0)]));
        assert!((found - -0.54).abs() < 0.06, "{id}: {found}");
    }
}

#[test]
fn dextrose_for_sucrose_softens_at_less_sweetness() {
    let mix = |sucrose: f64, dextrose: f64| {
        assessed(&[
            ("whole-milk", 700.0),
            ("sucrose", sucrose),
            ("dextrose-monohydrate", dextrose),
        ])
    };
    let (plain, swapped) = (mix(180.0, 0.0), mix(130.0, 50.0));
    assert!(freezing(&swapped) < freezing(&plain));
    assert!(swapped.frozen_at_18 < plain.frozen_at_18);
    assert!(swapped.sweetness < plain.sweetness);
}

#[test]
fn dried_syrup_adds_solids_without_much_sweetness() {
    let base = assessed(&[("whole-milk", 800.0), ("sucrose", 150.0), ("water", 50.0)]);
    let syrup = assessed(&[
        ("whole-milk", 800.0),
        ("sucrose", 150.0),
        ("dried-glucose-syrup-de42", 50.0),
    ]);
    let gain = |dial| syrup.dial(dial).unwrap() - base.dial(dial).unwrap();
    // 50 g in 1000 g: about 4.8 points of solids and half of that or less in sweetness.
    assert!((gain(Dial::TotalSolids) - 4.8).abs() < 0.3);
    assert!(gain(Dial::Sweetness) > 1.0 && gain(Dial::Sweetness) < 3.2);
}

#[test]
fn coconut_milk_powder_is_nearly_half_fat_or_more() {
    let state = assessed(&[("coconut-milk-powder", 100.0)]);
    let fat = state.sums.percent(Part::Fat);
    // Spray-dried powders on sale hold 40 to 65 % fat (common-practice).
    assert!((40.0..=65.0).contains(&fat), "{fat}");
}

/// By hand: 14.7 x 100 / (162 + 100) = 5.61 at 100 mg/kg, where the plain ratio of 600 says 6.
#[test]
fn intense_sweeteners_level_off() {
    let sweet = |grams: f64| assessed(&[("water", 1000.0), ("sucralose", grams)]).sweetness;
    assert!((sweet(0.1) - 5.61).abs() < 0.05, "{}", sweet(0.1));
    assert!(sweet(10.0) < 14.7);
    assert!(sweet(0.2) < 2.0 * sweet(0.1));
}

#[test]
fn erythritol_alarms_and_a_usual_share_of_dextrose_does_not() {
    use tamis::texture::crystallising;
    let erythritol = assessed(&[("water", 700.0), ("sucrose", 150.0), ("erythritol", 60.0)]);
    let found = crystallising(&erythritol, -18.0);
    assert!(
        found
            .iter()
            .any(|c| c.solute.id() == "erythritol" && c.crystals > 1.0)
    );
    assert!(
        found
            .iter()
            .all(|c| c.frozen_after >= erythritol.frozen(-18.0).unwrap())
    );
    let dextrose = assessed(&[
        ("water", 700.0),
        ("sucrose", 180.0),
        ("dextrose-monohydrate", 50.0),
    ]);
    assert!(
        crystallising(&dextrose, -18.0)
            .iter()
            .all(|c| c.solute.id() != "glucose" || c.crystals < 5.0)
    );
}
