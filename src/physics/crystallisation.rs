//! Which dissolved sugars and polyols may crystallise in the unfrozen phase, and what that changes.
//!
//! Solubilities are those of the substance alone in water. Other solutes shift them, and cold slows
//! crystals down: a ratio above one says what may happen, not when.

use crate::model::unit::Celsius;
use crate::physics::solute::Solute;
use crate::physics::solution::{Solution, WATER_MOLAR_MASS};

pub use crate::physics::solubility::{Readiness, Solubility, solubility};

/// Steps of bisection for the crystallised mass.
const STEPS: usize = 60;

/// How a solute stands against its solubility in the unfrozen phase.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Saturation {
    /// Grams per 100 g of unfrozen water.
    pub dissolved: f64,
    /// Grams per 100 g of water at saturation.
    pub soluble: f64,
    /// `dissolved / soluble`; infinite where no liquid water is left.
    pub ratio: f64,
    /// True where the ratio passes the level from which to warn.
    pub warns: bool,
    /// True where the temperature lies outside the points and the curve was carried on.
    pub extrapolated: bool,
}

/// A mix after one solute has crystallised down to saturation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crystallised {
    /// Grams of the solute, anhydrous, that left the solution.
    pub grams: f64,
    /// The solution without them and without the water they took along.
    pub solution: Solution,
    /// Share of the remaining water that is ice.
    pub frozen_share: f64,
}

/// Lactose per 100 g of water above which a dairy mix may turn sandy, g.
/// Source: common-practice, lactose at most one twelfth of the water.
pub const LACTOSE_WATCH: f64 = 100.0 / 12.0;
/// Lactose per 100 g of water above which a dairy mix is likely to turn sandy, g.
/// Source: derived from common-practice: milk solids-not-fat at most 0.15 of what is not fat, sugar
/// or stabiliser, with 0.545 of them lactose.
pub const LACTOSE_LIMIT: f64 = 100.0 * 0.545 * 0.15 / (1.0 - 0.15);

/// How likely lactose is to be felt as sand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sandiness {
    /// Below every rule of the trade.
    Unlikely,
    /// Between the stricter and the looser rule.
    Possible,
    /// Above every rule of the trade.
    Likely,
}

/// How likely lactose is to be felt as sand, by the rules of the trade. `None` without water.
///
/// Equation: `r = 100 g / w`, against [`LACTOSE_WATCH`] and [`LACTOSE_LIMIT`]
/// Units:    `g` lactose [g]; `w` all water of the unfrozen mix [g]; `r` [g per 100 g water]
/// Valid:    frozen dairy mixes of usual overrun; stabilisers delay sand, cycling hastens it
/// Source:   common-practice
#[must_use]
pub fn sandiness(lactose_grams: f64, water_grams: f64) -> Option<Sandiness> {
    if !(lactose_grams >= 0.0 && water_grams > 0.0) {
        return None;
    }
    let per_hundred = 100.0 * lactose_grams / water_grams;
    Some(if per_hundred > LACTOSE_LIMIT {
        Sandiness::Likely
    } else if per_hundred > LACTOSE_WATCH {
        Sandiness::Possible
    } else {
        Sandiness::Unlikely
    })
}

/// How far a solute is past its solubility in the unfrozen phase. `None` without water or curve.
///
/// Equation: `r = c / s`, `c = 100 g / ((1 - F) w)`
/// Units:    `g` the solute [g]; `w` water [g]; `F` frozen share [-]; `s` [g per 100 g water]
/// Valid:    as the solubility curve; the solute alone in the water
/// Source:   derived, mass balance
#[must_use]
pub fn saturation(
    solution: &Solution,
    solute: Solute,
    grams: f64,
    temperature: Celsius,
) -> Option<Saturation> {
    let curve = solubility(solute)?;
    let frozen_share = solution.frozen_fraction(temperature)?;
    let liquid = (1.0 - frozen_share) * solution.water_grams();
    let (soluble, extrapolated) = curve.at(temperature);
    let dissolved = if grams > 0.0 {
        100.0 * grams / liquid
    } else {
        0.0
    };
    let ratio = dissolved / soluble;
    Some(Saturation {
        dissolved,
        soluble,
        ratio,
        warns: ratio > curve.warn_above,
        extrapolated,
    })
}

/// The mix after a solute has crystallised down to saturation, its ice recomputed. `None` without
/// water or curve.
///
/// Equation: the root `c` of `g - c = s (1 - F) w / 100`, `F` and `w` taken without `c`
/// Units:    `g`, `c`, `w` [g]; `s` [g per 100 g water]; `F` [-]
/// Valid:    equilibrium, which a mix may need months to reach
/// Source:   derived, mass balance
#[must_use]
pub fn crystallised(
    solution: &Solution,
    solute: Solute,
    grams: f64,
    temperature: Celsius,
) -> Option<Crystallised> {
    let curve = solubility(solute)?;
    let (soluble, _) = curve.at(temperature);
    let taken = curve.hydrate * WATER_MOLAR_MASS / solute.molar_mass().get();
    let after = |crystals: f64| -> Option<(Solution, f64, f64)> {
        let left = solution.without(solute, crystals, crystals * taken);
        let frozen_share = left.frozen_fraction(temperature)?;
        let liquid = (1.0 - frozen_share) * left.water_grams();
        Some((
            left,
            frozen_share,
            grams - crystals - soluble * liquid / 100.0,
        ))
    };
    let (left, frozen_share, excess) = after(0.0)?;
    if !(grams > 0.0 && excess > 0.0) {
        return Some(Crystallised {
            grams: 0.0,
            solution: left,
            frozen_share,
        });
    }
    let (mut low, mut high) = (0.0, grams);
    for _ in 0..STEPS {
        let middle = f64::midpoint(low, high);
        match after(middle) {
            Some((_, _, excess)) if excess > 0.0 => low = middle,
            _ => high = middle,
        }
    }
    let (left, frozen_share, _) = after(high).or_else(|| after(low))?;
    Some(Crystallised {
        grams: high,
        solution: left,
        frozen_share,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn celsius(degrees: f64) -> Celsius {
        Celsius::new(degrees).unwrap()
    }

    fn polyol_mix() -> Solution {
        let mut mix = Solution::new();
        mix.add_water(63.0);
        mix.add(Solute::Erythritol, 8.0);
        mix.add(Solute::Maltitol, 12.0);
        mix
    }

    #[test]
    fn crystals_leave_a_saturated_solution_and_more_ice() {
        let mix = polyol_mix();
        let cold = celsius(-12.0);
        let before = saturation(&mix, Solute::Erythritol, 8.0, cold).unwrap();
        assert!(before.warns && before.extrapolated);
        let after = crystallised(&mix, Solute::Erythritol, 8.0, cold).unwrap();
        assert!(after.grams > 0.0 && after.grams < 8.0);
        let left = 8.0 - after.grams;
        let again = saturation(&after.solution, Solute::Erythritol, left, cold).unwrap();
        assert!((again.ratio - 1.0).abs() < 1.0e-6, "{}", again.ratio);
        assert!(after.frozen_share > mix.frozen_fraction(cold).unwrap());
    }

    #[test]
    fn nothing_crystallises_below_saturation() {
        let mix = polyol_mix();
        let warm = crystallised(&mix, Solute::Erythritol, 8.0, celsius(20.0)).unwrap();
        assert_eq!(warm.grams, 0.0);
        assert_eq!(warm.frozen_share, 0.0);
        assert_eq!(saturation(&mix, Solute::Glycerol, 1.0, celsius(20.0)), None);
    }

    #[test]
    fn rules_of_the_trade_bracket_the_sandy_mix() {
        // 100 / 12 = 8.33 and 0.545 x 0.15 / 0.85 x 100 = 9.62 g lactose per 100 g water.
        assert!((LACTOSE_WATCH - 8.33).abs() < 0.01 && (LACTOSE_LIMIT - 9.62).abs() < 0.01);
        assert_eq!(sandiness(5.0, 65.0), Some(Sandiness::Unlikely));
        assert_eq!(sandiness(5.8, 65.0), Some(Sandiness::Possible));
        assert_eq!(sandiness(7.0, 65.0), Some(Sandiness::Likely));
        assert_eq!(sandiness(7.0, 0.0), None);
    }
}
