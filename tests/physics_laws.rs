//! Laws that hold for every solution, over generated ones.

#![allow(clippy::unwrap_used)]

use proptest::prelude::*;
use tamis::model::unit::{Celsius, Kelvin, MolarMass};
use tamis::physics::crystallisation::{crystallised, saturation, solubility};
use tamis::physics::ice::COLDEST;
use tamis::physics::solute::{Osmolyte, Solute};
use tamis::physics::solution::{FREEZE_LIMIT, Solution};
use tamis::physics::sweetness::{Ratio, sweetness};
use tamis::physics::syrup::{Spectrum, dextrose_equivalent, number_average};

/// One addition to a mix, in grams (moles for counted osmoles).
#[derive(Debug, Clone, Copy)]
enum Part {
    Solute(Solute, f64),
    Osmolyte(Osmolyte, f64),
    Glucan(f64, f64),
}

impl Part {
    fn add_to(self, mix: &mut Solution) {
        match self {
            Self::Solute(solute, grams) => mix.add(solute, grams),
            Self::Osmolyte(osmolyte, grams) => mix.add_osmolyte(osmolyte, grams),
            Self::Glucan(grams, mass) => mix.add_glucan(grams, MolarMass::new(mass).unwrap()),
        }
    }
}

fn mixed(water: f64, parts: &[Part]) -> Solution {
    let mut mix = Solution::new();
    mix.add_water(water);
    for part in parts {
        part.add_to(&mut mix);
    }
    mix
}

fn part(most: f64) -> impl Strategy<Value = Part> {
    prop_oneof![
        (proptest::sample::select(Solute::ALL.to_vec()), 0.0..most)
            .prop_map(|(solute, grams)| Part::Solute(solute, grams)),
        (
            proptest::sample::select(Osmolyte::ALL.to_vec()),
            0.0..most / 10.0
        )
            .prop_map(|(osmolyte, grams)| Part::Osmolyte(osmolyte, grams)),
        (0.0..most, 180.2..4000.0).prop_map(|(grams, mass)| Part::Glucan(grams, mass)),
    ]
}

/// Mixes of a test kitchen: water and up to seven dissolved things, to about half solids.
fn parts() -> impl Strategy<Value = Vec<Part>> {
    proptest::collection::vec(part(15.0), 0..7)
}

fn celsius(degrees: f64) -> Celsius {
    Celsius::new(degrees).unwrap()
}

fn freezing(mix: &Solution) -> f64 {
    mix.freezing_point().unwrap().value.get()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn more_solute_never_raises_the_freezing_point(parts in parts(), more in part(10.0)) {
        let mut mix = mixed(60.0, &parts);
        let before = freezing(&mix);
        let activity = mix.water_activity_20().unwrap();
        more.add_to(&mut mix);
        prop_assert!(freezing(&mix) <= before + 1.0e-9, "{} after {before}", freezing(&mix));
        prop_assert!(mix.water_activity_20().unwrap() <= activity);
    }

    #[test]
    fn more_water_never_lowers_the_freezing_point(parts in parts(), more in 0.0..50.0_f64) {
        let mix = mixed(60.0, &parts);
        let thinner = mixed(60.0 + more, &parts);
        prop_assert!(freezing(&thinner) >= freezing(&mix) - 1.0e-9);
    }

    #[test]
    fn frozen_water_never_falls_as_it_gets_colder(parts in parts()) {
        let mix = mixed(60.0, &parts);
        let temperatures: Vec<_> = (0..=120).map(|half| celsius(-f64::from(half) / 2.0)).collect();
        let curve = mix.curve(&temperatures).unwrap();
        prop_assert!(curve.windows(2).all(|pair| pair[1] >= pair[0] - 1.0e-9), "{curve:?}");
        prop_assert!(curve.iter().all(|share| (0.0..=1.0).contains(share)));
    }

    #[test]
    fn a_warm_start_changes_no_point_of_the_curve(parts in parts()) {
        let mix = mixed(60.0, &parts);
        let temperatures: Vec<_> = (0..30).map(|degrees| celsius(-f64::from(degrees))).collect();
        let curve = mix.curve(&temperatures).unwrap();
        for (temperature, share) in temperatures.into_iter().zip(curve) {
            prop_assert!((mix.frozen_fraction(temperature).unwrap() - share).abs() < 1.0e-8);
        }
    }

    #[test]
    fn temperature_and_frozen_share_are_inverse(parts in parts(), share in 0.01..0.95_f64) {
        let mix = mixed(60.0, &parts);
        let Some(reading) = mix.temperature_at_frozen(share) else { return Ok(()) };
        // Without solids all the water freezes at one temperature; at the cold end of the line
        // temperatures are held. Neither has an inverse.
        if mix.solid_grams() < 1.0e-3 || reading.value <= COLDEST {
            return Ok(());
        }
        let back = mix.frozen_fraction(reading.value).unwrap();
        prop_assert!((back - share).abs() < 1.0e-6, "{share} came back as {back}");
    }

    #[test]
    fn the_band_holds_the_share(parts in parts(), degrees in -40.0..0.0_f64) {
        let frozen = mixed(60.0, &parts).frozen(celsius(degrees)).unwrap();
        prop_assert!(frozen.low <= frozen.share + 1.0e-9 && frozen.share <= frozen.high + 1.0e-9);
    }

    #[test]
    fn ice_never_dries_the_mix_past_the_limit(parts in parts(), degrees in -80.0..0.0_f64) {
        let mix = mixed(60.0, &parts);
        if mix.solid_grams() < 1.0e-6 {
            return Ok(());
        }
        let most = 100.0 * FREEZE_LIMIT.max(mix.solid_grams() / (mix.solid_grams() + 60.0));
        prop_assert!(mix.unfrozen_solids_percent(celsius(degrees)).unwrap() <= most + 1.0e-6);
    }

    #[test]
    fn two_halves_mixed_change_nothing(parts in parts(), others in parts()) {
        let (one, other) = (mixed(60.0, &parts), mixed(40.0, &others));
        let halves = (one * 0.5 + other * 0.5) + (one * 0.5 + other * 0.5);
        let whole = one + other;
        prop_assert!((freezing(&halves) - freezing(&whole)).abs() < 1.0e-9);
        let cold = celsius(-12.0);
        let gap = halves.frozen_fraction(cold).unwrap() - whole.frozen_fraction(cold).unwrap();
        prop_assert!(gap.abs() < 1.0e-9);
    }

    #[test]
    fn order_changes_nothing(parts in parts()) {
        let mut turned = parts.clone();
        turned.reverse();
        let gap = freezing(&mixed(60.0, &parts)) - freezing(&mixed(60.0, &turned));
        prop_assert!(gap.abs() < 1.0e-9);
    }

    #[test]
    fn batch_size_changes_nothing(parts in parts(), factor in 1.0e-3..1.0e6_f64) {
        let mix = mixed(60.0, &parts);
        let batch = mix * factor;
        prop_assert!((freezing(&batch) - freezing(&mix)).abs() < 1.0e-8);
        let gap = batch.water_activity_20().unwrap().get() - mix.water_activity_20().unwrap().get();
        prop_assert!(gap.abs() < 1.0e-12);
    }

    #[test]
    fn every_answer_is_finite_for_any_amounts(
        exponents in proptest::collection::vec(-320..308_i32, Osmolyte::COUNT + Solute::ALL.len() + 2),
        degrees in -273.0..100.0_f64,
    ) {
        let mut amounts = exponents.into_iter().map(|exponent| 10.0_f64.powi(exponent));
        let mut next = || amounts.next().unwrap();
        let mut mix = Solution::new();
        mix.add_water(next());
        mix.add_glucan(next(), MolarMass::new(500.0).unwrap());
        for solute in Solute::ALL {
            mix.add(solute, next());
        }
        for osmolyte in Osmolyte::ALL {
            mix.add_osmolyte(osmolyte, next());
        }
        let temperature = celsius(degrees);
        if let Some(reading) = mix.freezing_point() {
            prop_assert!(reading.value.get().is_finite() && reading.model_error.get().is_finite());
        }
        if let Some(frozen) = mix.frozen(temperature) {
            for share in [frozen.share, frozen.low, frozen.high] {
                prop_assert!((0.0..=1.0).contains(&share), "{frozen:?}");
            }
        }
        if let Some(percent) = mix.unfrozen_solids_percent(temperature) {
            prop_assert!((0.0..=100.0).contains(&percent));
        }
        if let Some(reading) = mix.temperature_at_frozen(0.5) {
            prop_assert!(reading.value.get().is_finite());
        }
        if let Some(activity) = mix.water_activity_20() {
            prop_assert!((0.0..=1.0).contains(&activity.get()));
        }
    }

    #[test]
    fn crystals_never_exceed_the_solute_and_never_thaw(
        parts in parts(),
        grams in 0.1..20.0_f64,
        solute in proptest::sample::select(
            Solute::ALL.into_iter().filter(|solute| solubility(*solute).is_some()).collect::<Vec<_>>()
        ),
        degrees in -30.0..0.0_f64,
    ) {
        let mut mix = mixed(60.0, &parts);
        mix.add(solute, grams);
        let temperature = celsius(degrees);
        let after = crystallised(&mix, solute, grams, temperature).unwrap();
        prop_assert!((0.0..=grams).contains(&after.grams));
        let ice = after.frozen_share * after.solution.water_grams();
        let before = mix.frozen_fraction(temperature).unwrap() * mix.water_grams();
        // A hydrate takes water away from ice, so only crystals without water must add ice.
        if solubility(solute).unwrap().hydrate == 0.0 {
            prop_assert!(ice >= before - 1.0e-6, "{ice} after {before}");
        }
        let left = grams - after.grams;
        let ratio = saturation(&after.solution, solute, left, temperature).unwrap().ratio;
        prop_assert!(ratio <= 1.0 + 1.0e-6 || after.grams == grams, "{ratio}");
    }

    #[test]
    fn units_come_back(degrees in -273.0..1000.0_f64) {
        let here = celsius(degrees);
        prop_assert!((here.to_kelvin().to_celsius() - here).get().abs() < 1.0e-9);
        prop_assert!((here.to_fahrenheit().to_celsius() - here).get().abs() < 1.0e-9);
        prop_assert_eq!(Kelvin::from(here), here.to_kelvin());
    }

    #[test]
    fn a_syrup_keeps_its_equivalent(equivalent in 3.0..100.0_f64) {
        let average = number_average(equivalent).unwrap().value;
        prop_assert!((dextrose_equivalent(average) - equivalent).abs() < 1.0e-9);
        let spectrum = Spectrum::most_probable(equivalent).unwrap();
        let whole = spectrum.dp1 + spectrum.dp2 + spectrum.dp3 + spectrum.dp4_plus;
        prop_assert!((whole - 100.0).abs() < 1.0e-6);
    }

    #[test]
    fn more_sweetener_is_never_less_sweet(grams in 0.0..25.0_f64, more in 0.0..5.0_f64) {
        let ratio = |low, typical, high| Ratio { low, typical, high };
        let taste = |grams| {
            sweetness(&[(ratio(1.0, 1.0, 1.0), 5.0), (ratio(0.2, 0.3, 0.5), grams)], 0.0)
        };
        prop_assert!(taste(grams + more).typical >= taste(grams).typical - 1.0e-9);
    }
}
