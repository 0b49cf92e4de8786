//! How often the wish still holds when every figure is drawn from its range, with a fixed seed.

use std::collections::BTreeMap;

use super::target::{Feel, Target};
use crate::formula::{Assessor, Formula, Part, Profile, Sums};
use crate::model::{Aim, Dial, IngredientKey};

const DRAWS: usize = 200;
const SEED: u64 = 0x7a6d_6973_5eed_0001;

/// Figures whose range moves what a wish asks for.
const DRAWN: [Part; 12] = [
    Part::Water,
    Part::Fat,
    Part::Sugars,
    Part::Sucrose,
    Part::Glucose,
    Part::Fructose,
    Part::Lactose,
    Part::Maltose,
    Part::HigherSaccharides,
    Part::RelativeSweetness,
    Part::DextroseEquivalent,
    Part::NumberAverageMolarMass,
];

/// Share of draws, 0 to 1, in which every asked dial still does what was asked. One ingredient has
/// the same drawn figures before and after, as one bag of it does.
pub fn confidence(
    assessor: Assessor<'_>,
    before: &Formula,
    after: &Formula,
    targets: &[Target],
    feels: &BTreeMap<Dial, Feel>,
) -> f64 {
    let asked: Vec<&Target> = targets.iter().filter(|t| t.asked).collect();
    if asked.is_empty() {
        return 1.0;
    }
    let (base_before, base_after) = (assessor.sums(before), assessor.sums(after));
    let (before, after) = (
        &before.taken_apart(assessor.catalogue),
        &after.taken_apart(assessor.catalogue),
    );
    let keys: Vec<IngredientKey> = {
        let mut keys: Vec<IngredientKey> = before
            .lines
            .iter()
            .chain(&after.lines)
            .map(|l| l.key)
            .collect();
        keys.sort_unstable();
        keys.dedup();
        keys
    };
    // Per ingredient: what one gram gains when a figure goes to its low and to its high end.
    let moves: Vec<(f64, f64, Vec<Ends>)> = keys
        .iter()
        .map(|&key| {
            (
                before.grams_of(key),
                after.grams_of(key),
                ends(assessor, key),
            )
        })
        .collect();
    let mut draw = Draw(SEED);
    let mut held = 0;
    for _ in 0..DRAWS {
        let (mut sums_before, mut sums_after) = (base_before, base_after);
        for (grams_before, grams_after, figures) in &moves {
            for (low, high) in figures {
                let z = draw.triangular();
                let gain = if z < 0.0 { *low * -z } else { *high * z };
                sums_before += gain * *grams_before;
                sums_after += gain * *grams_after;
            }
        }
        let (state_before, state_after) = (
            assessor.state_of(sums_before),
            assessor.state_of(sums_after),
        );
        let holds = |t: &&Target| match (state_before.dial(t.dial), state_after.dial(t.dial)) {
            (Some(was), Some(is)) => wished(t, was, is, feels),
            _ => false,
        };
        held += usize::from(asked.iter().all(holds));
    }
    held as f64 / DRAWS as f64
}

/// Whether a change from `was` to `is` still counts as what was asked; keeps may be off by two tolerances.
fn wished(t: &Target, was: f64, is: f64, feels: &BTreeMap<Dial, Feel>) -> bool {
    let tolerance = feels.get(&t.dial).map_or(1.0, |f| f.tolerance);
    match t.wish {
        Aim::Keep => (is - was).abs() <= 2.0 * tolerance,
        Aim::Raise => is > was,
        Aim::Lower => is < was,
        Aim::AtLeast(least) => is >= least - tolerance,
        Aim::AtMost(most) => is <= most + tolerance,
        Aim::Between(low, high) => (low - tolerance..=high + tolerance).contains(&is),
        Aim::Relative(share) => (is - was * (1.0 + share)).abs() <= 2.0 * tolerance,
    }
}

/// What one gram gains when a figure goes to its low end and to its high end.
type Ends = (Sums, Sums);

fn ends(assessor: Assessor<'_>, key: IngredientKey) -> Vec<Ends> {
    let ingredient = assessor.catalogue.ingredient(key);
    let profile = assessor.profile(key);
    let each = DRAWN.iter().filter_map(|&part| {
        let (low, high) = assessor.ends(ingredient, profile, part)?;
        let at = |number: f64| {
            Profile::moved(ingredient, assessor.profiles.tastes(), part, number).sums
                + profile.sums * -1.0
        };
        Some((at(low), at(high)))
    });
    each.collect()
}

/// A small generator with a fixed seed (splitmix64), so that the same question has the same answer.
struct Draw(u64);

impl Draw {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Between -1 and 1, most likely at 0: the typical value is the likely one.
    fn triangular(&mut self) -> f64 {
        self.uniform() - self.uniform()
    }
}
