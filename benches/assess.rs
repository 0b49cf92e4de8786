//! Time of a full assessment, on one core.
//!
//! Wanted: 100,000 states a second without a curve, 20,000 with thirty points of it.

use std::collections::HashMap;

use divan::{Bencher, black_box};
use tamis::formula::sheet::Words;
use tamis::formula::{Assessor, Formula, Profiles, Reader};
use tamis::load::Files;
use tamis::model::Catalogue;
use tamis::model::unit::Celsius;
use tamis::names::Names;
use tamis::texture;

fn main() {
    divan::main();
}

const FORMULA: &str = "ingredient,grams
whole-milk,550
cream-35-fat,120
skimmed-milk-powder,40
sucrose,100
dextrose-monohydrate,30
dried-glucose-syrup-de42,30
dark-chocolate-70,120
sodium-chloride,1
locust-bean-gum,1.5
sucralose,0.05
";

struct Kitchen {
    catalogue: Catalogue,
    profiles: Profiles,
    formula: Formula,
}

impl Kitchen {
    fn new() -> Self {
        let files = Files::embedded();
        let catalogue = tamis::load::catalogue(&files).expect("shipped data load");
        let profiles = Profiles::of(&catalogue);
        let reader = Reader {
            catalogue: &catalogue,
            names: &Names::default(),
            words: &Words::of(&files),
            batch: None,
            picks: &HashMap::new(),
        };
        let formula = reader
            .read("bench.csv", None, FORMULA.as_bytes())
            .expect("the formula names shipped ingredients");
        Kitchen {
            catalogue,
            profiles,
            formula,
        }
    }

    fn assessor(&self) -> Assessor<'_> {
        Assessor {
            catalogue: &self.catalogue,
            profiles: &self.profiles,
        }
    }
}

/// Sums, sweetness, freezing point, two frozen shares and water activity of ten ingredients.
#[divan::bench]
fn state(bencher: Bencher<'_, '_>) {
    let kitchen = Kitchen::new();
    bencher.bench(|| {
        let state = kitchen.assessor().state(black_box(&kitchen.formula));
        (state.water_activity(), state)
    });
}

#[divan::bench]
fn state_of_known_sums(bencher: Bencher<'_, '_>) {
    let kitchen = Kitchen::new();
    let sums = kitchen.assessor().sums(&kitchen.formula);
    bencher.bench(|| kitchen.assessor().state_of(black_box(sums)));
}

#[divan::bench]
fn state_with_thirty_points(bencher: Bencher<'_, '_>) {
    let kitchen = Kitchen::new();
    let temperatures: Vec<Celsius> = (1..=30)
        .filter_map(|degrees| Celsius::new(-f64::from(degrees)))
        .collect();
    bencher.bench(|| {
        let state = kitchen.assessor().state(black_box(&kitchen.formula));
        (
            state.sums.solution.curve(black_box(&temperatures)),
            state.water_activity(),
            state,
        )
    });
}

#[divan::bench]
fn state_with_crystals(bencher: Bencher<'_, '_>) {
    let kitchen = Kitchen::new();
    bencher.bench(|| {
        let state = kitchen.assessor().state(black_box(&kitchen.formula));
        (texture::crystallising(&state, -18.0), state)
    });
}
