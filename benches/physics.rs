//! Time of the answers a swap asks for thousands of times.
//!
//! Wanted on one core: freezing point with water activity in 3 µs, thirty points of a curve in 30 µs.

use divan::{Bencher, black_box};
use tamis::model::unit::{Celsius, MolarMass};
use tamis::physics::solute::{Osmolyte, Solute};
use tamis::physics::solution::Solution;

fn main() {
    divan::main();
}

/// A dairy mix with four sugars, two syrups and three osmolytes.
fn mix() -> Solution {
    let mut mix = Solution::new();
    mix.add_water(60.0);
    mix.add(Solute::Sucrose, 10.0);
    mix.add(Solute::Glucose, 3.0);
    mix.add(Solute::Fructose, 1.0);
    mix.add(Solute::Lactose, 6.0);
    for (grams, molar_mass) in [(4.0, 429.0), (2.0, 1640.0)] {
        if let Some(molar_mass) = MolarMass::new(molar_mass) {
            mix.add_glucan(grams, molar_mass);
        }
    }
    mix.add_osmoles(Osmolyte::MilkSalts, 0.015);
    mix.add_osmolyte(Osmolyte::SodiumChloride, 0.1);
    mix.add_osmolyte(Osmolyte::Ethanol, 1.0);
    mix
}

fn temperatures() -> Vec<Celsius> {
    (1..=30)
        .filter_map(|degrees| Celsius::new(-f64::from(degrees)))
        .collect()
}

#[divan::bench]
fn freezing_point_and_water_activity(bencher: Bencher<'_, '_>) {
    let mix = mix();
    bencher.bench(|| {
        let mix = black_box(&mix);
        (mix.freezing_point(), mix.water_activity_20())
    });
}

#[divan::bench]
fn curve_of_thirty_points(bencher: Bencher<'_, '_>) {
    let (mix, temperatures) = (mix(), temperatures());
    bencher.bench(|| black_box(&mix).curve(black_box(&temperatures)));
}

#[divan::bench]
fn frozen_with_its_band(bencher: Bencher<'_, '_>) {
    let (mix, temperatures) = (mix(), temperatures());
    bencher.bench(|| black_box(&mix).frozen(black_box(temperatures[17])));
}

#[divan::bench]
fn sum_of_ten_ingredients(bencher: Bencher<'_, '_>) {
    let parts = [mix(); 10];
    bencher.bench(|| {
        black_box(&parts)
            .iter()
            .map(|part| *part * 0.1)
            .sum::<Solution>()
    });
}
