//! What a spoon meets: ice by mass and volume, solids under air, and what warming melts.
//!
//! Ranks recipes against each other. No published equation turns these into a force.

use crate::model::unit::Celsius;
use crate::physics::solution::Solution;

/// Density of ice at the Celsius zero, g/ml. Source: crc-102 (memory of the digits).
pub const ICE_DENSITY: f64 = 0.917;
/// Density of solid fat, g/ml. Source: memory.
pub const SOLID_FAT_DENSITY: f64 = 0.95;
/// Cold end of the band in which cabinets cycle, °C. Source: common-practice.
pub const CABINET_COLD: Celsius = match Celsius::new(-18.0) {
    Some(celsius) => celsius,
    None => Celsius::ZERO,
};
/// Warm end of that band, °C. Source: common-practice.
pub const CABINET_WARM: Celsius = match Celsius::new(-12.0) {
    Some(celsius) => celsius,
    None => Celsius::ZERO,
};

/// What fills the volume besides the solution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Body {
    /// Mass of the whole mix, g.
    pub mix_grams: f64,
    /// Density of the unfrozen mix without air, g/ml.
    pub mix_density: f64,
    /// Solid fat at the temperature, g.
    pub solid_fat_grams: f64,
    /// Air beaten in, ml per 100 ml of unfrozen mix.
    pub overrun_percent: f64,
}

/// Ice and solids at a temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Solids {
    /// Ice, g.
    pub ice_grams: f64,
    /// Ice, share of the volume without air.
    pub ice_volume: f64,
    /// Ice, share of the volume with air.
    pub ice_volume_aerated: f64,
    /// Ice and solid fat, share of the volume with air.
    pub solid_volume_aerated: f64,
}

/// Ice and solid fat of a mix by mass and volume. `None` without water or with a body that cannot be.
///
/// Equation: `V = m/rho + m_ice (1/rho_ice - 1)`, `phi = (m_ice/rho_ice) / V`, with air
///           `phi / (1 + OR (m/rho) / (100 V))`; solid fat is added to the ice
/// Units:    `m` [g]; `rho` [g/ml]; `OR` [ml air per 100 ml unfrozen mix]; volumes [ml]; `phi` [-]
/// Valid:    water that freezes is taken at 1 g/ml; the air keeps its volume
/// Source:   derived, volume balance
#[must_use]
pub fn solids(solution: &Solution, body: Body, temperature: Celsius) -> Option<Solids> {
    let Body {
        mix_grams,
        mix_density,
        solid_fat_grams,
        overrun_percent,
    } = body;
    let proper = [mix_grams, mix_density, solid_fat_grams, overrun_percent]
        .into_iter()
        .all(|number| number.is_finite() && number >= 0.0);
    if !proper || mix_density <= 0.0 || mix_grams < solution.water_grams() {
        return None;
    }
    let ice_grams = solution.frozen_fraction(temperature)? * solution.water_grams();
    let unfrozen_volume = mix_grams / mix_density;
    let dense_volume = unfrozen_volume + ice_grams * (1.0 / ICE_DENSITY - 1.0);
    let air = overrun_percent / 100.0 * unfrozen_volume;
    let ice = ice_grams / ICE_DENSITY;
    let fat = solid_fat_grams / SOLID_FAT_DENSITY;
    Some(Solids {
        ice_grams,
        ice_volume: ice / dense_volume,
        ice_volume_aerated: ice / (dense_volume + air),
        solid_volume_aerated: (ice + fat) / (dense_volume + air),
    })
}

/// Temperature at which this share of the water is ice, for serving. `None` where never reached.
///
/// Equation: [`Solution::temperature_at_frozen`] without its error
/// Units:    share [-]; result [°C]
/// Valid:    as that function
/// Source:   crc-102, concentrative properties of aqueous solutions
#[must_use]
pub fn serving_temperature(solution: &Solution, frozen_share: f64) -> Option<Celsius> {
    solution
        .temperature_at_frozen(frozen_share)
        .map(|reading| reading.value)
}

/// Share of all water that melts per kelvin of warming between two temperatures: what cycling moves.
///
/// Equation: `(F(cold) - F(warm)) / (warm - cold)`
/// Units:    `F` [-]; temperatures [°C]; result [1/K]
/// Valid:    equilibrium; the mean over the band, usually [`CABINET_COLD`] to [`CABINET_WARM`]
/// Source:   derived, difference of two points of the curve
#[must_use]
pub fn heat_shock(solution: &Solution, cold: Celsius, warm: Celsius) -> Option<f64> {
    let span = (warm - cold).get();
    if span <= 0.0 {
        return None;
    }
    let melted = solution.frozen_fraction(cold)? - solution.frozen_fraction(warm)?;
    Some(melted / span)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::solute::Solute;

    fn sorbet() -> Solution {
        let mut mix = Solution::new();
        mix.add_water(70.0);
        mix.add(Solute::Sucrose, 25.0);
        mix.add(Solute::Glucose, 5.0);
        mix
    }

    #[test]
    fn pure_ice_fills_all_of_its_volume() {
        let mut water = Solution::new();
        water.add_water(100.0);
        let body = Body {
            mix_grams: 100.0,
            mix_density: 1.0,
            solid_fat_grams: 0.0,
            overrun_percent: 0.0,
        };
        let solids = solids(&water, body, CABINET_COLD).unwrap();
        assert_eq!(solids.ice_grams, 100.0);
        assert!((solids.ice_volume - 1.0).abs() < 1.0e-12);
    }

    #[test]
    fn air_thins_ice_and_fat_thickens_it() {
        let body = |solid_fat_grams, overrun_percent| Body {
            mix_grams: 100.0,
            mix_density: 1.1,
            solid_fat_grams,
            overrun_percent,
        };
        let dense = solids(&sorbet(), body(0.0, 0.0), CABINET_COLD).unwrap();
        let aerated = solids(&sorbet(), body(0.0, 100.0), CABINET_COLD).unwrap();
        let fatty = solids(&sorbet(), body(5.0, 100.0), CABINET_COLD).unwrap();
        assert_eq!(dense.ice_volume, aerated.ice_volume);
        assert!(aerated.ice_volume_aerated < 0.6 * dense.ice_volume);
        assert!(fatty.solid_volume_aerated > aerated.solid_volume_aerated);
        assert_eq!(solids(&sorbet(), body(0.0, -1.0), CABINET_COLD), None);
    }

    #[test]
    fn the_serving_temperature_has_that_much_ice() {
        let temperature = serving_temperature(&sorbet(), 0.6).unwrap();
        assert!((sorbet().frozen_fraction(temperature).unwrap() - 0.6).abs() < 1.0e-6);
    }

    #[test]
    fn warming_melts() {
        let moved = heat_shock(&sorbet(), CABINET_COLD, CABINET_WARM).unwrap();
        assert!(moved > 0.0 && moved < 0.1, "{moved}");
        assert_eq!(heat_shock(&sorbet(), CABINET_WARM, CABINET_COLD), None);
    }
}
