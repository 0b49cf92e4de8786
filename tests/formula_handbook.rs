//! Published examples and facts of the trade, written as formulas of catalogue ingredients.

use std::sync::LazyLock;

use tamis::formula::{Assessor, Formula, Line, Part, Profile, State};
use tamis::load::Files;
use tamis::model::{Catalogue, Dial};
use tamis::physics::sucrose_equivalent::{
    Handbook, LACTOSE_IN_MILK_SOLIDS, LACTOSE_IN_WHEY_SOLIDS,
};

struct Kitchen {
    catalogue: Catalogue,
    profiles: Vec<Profile>,
}

static KITCHEN: LazyLock<Kitchen> = LazyLock::new(|| {
    let catalogue = tamis::load::catalogue(&Files::embedded()).expect("shipped data load");
    let profiles = catalogue.ingredients.iter().map(Profile::of).collect();
    Kitchen {
        catalogue,
        profiles,
    }
});

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
        ("sweet-whey-powder", 2.07),
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

/// Source: crc-102, concentrative properties of aqueous solutions: mass per cent of the anhydrous
/// substance and the depression it gives, K.
#[test]
fn measured_solutions_written_as_formulas() {
    let table = [
        ("sucrose", 10.0, 0.63),
        ("sucrose", 20.0, 1.45),
        ("glucose-anhydrous", 10.0, 1.13),
        ("fructose", 10.0, 1.15),
        ("sodium-chloride", 5.0, 3.05),
        ("potassium-chloride", 5.0, 2.32),
        ("glycerol", 10.0, 2.32),
        ("ethanol", 10.0, 4.47),
        ("lactose", 5.0, 0.29),
        ("maltose", 10.0, 0.62),
        ("mannitol", 5.0, 0.54),
        ("citric-acid", 5.0, 0.53),
        ("lactic-acid", 10.0, 2.29),
    ];
    let mut far = vec![];
    for (id, percent, depression) in table {
        let Some(key) = KITCHEN.catalogue.key(id) else {
            continue;
        };
        // Commercial forms hold water or other matter: the dry share is brought to the table's.
        let profile = &KITCHEN.profiles[key.0 as usize];
        let own_water = profile.number(Part::Water) / 100.0;
        let grams = percent / (1.0 - own_water);
        let state = assessed(&[(id, grams), ("water", 100.0 - grams)]);
        let found = -freezing(&state);
        // 0.1 K holds the miss of the ethanol tables against each other and purities of 99.5 %.
        if (found - depression).abs() > 0.1_f64.max(0.03 * depression) {
            far.push(format!("{id} {percent} %: {found:.2} for {depression}"));
        }
    }
    assert!(far.is_empty(), "{far:?}");
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

/// By hand: 14.7 x 100 / (220 + 100) = 4.6 at 100 mg/kg, where the plain ratio of 600 says 6.
#[test]
fn intense_sweeteners_level_off() {
    let sweet = |grams: f64| assessed(&[("water", 1000.0), ("sucralose", grams)]).sweetness;
    assert!((sweet(0.1) - 4.59).abs() < 0.05, "{}", sweet(0.1));
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
