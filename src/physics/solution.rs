//! A solution and its ice: freezing point, frozen water, water activity.
//!
//! A solution holds sums that are additive in mass, so a mix is the sum of its parts times their
//! grams. Fat, ice, crystals and other undissolved matter are not in it.

use std::ops::{AddAssign, Mul};

use crate::model::unit::{Celsius, MolarMass, WaterActivity};
use crate::physics::equilibrium::{Equilibrium, Line, frozen_share};
use crate::physics::osmolyte::Osmolyte;
use crate::physics::solute::{PerMole, Solute};

pub use crate::physics::equilibrium::{FREEZE_LIMIT, WATER_MOLAR_MASS};
pub use crate::physics::reading::{Beyond, Frozen, Reading};

/// Water below this share of the dissolved mass counts as none.
const DRY: f64 = 1.0e-9;
/// Everything the equations need of a mix, additive in mass.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Solution {
    water_grams: f64,
    solid_grams: f64,
    solute_moles: f64,
    q_ice: f64,
    q_20: f64,
    beta: f64,
    q_doubt: f64,
    osmolyte_moles: [f64; Osmolyte::COUNT],
}

impl Solution {
    /// An empty solution.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds liquid water.
    pub fn add_water(&mut self, grams: f64) {
        self.water_grams += grams;
    }

    /// Adds a molecular solute, counted without water of crystallisation.
    pub fn add(&mut self, solute: Solute, grams: f64) {
        self.add_of_molar_mass(solute, grams, solute.molar_mass());
    }

    /// Adds a molecular solute whose commercial form has an effective molar mass of its own.
    pub fn add_of_molar_mass(&mut self, solute: Solute, grams: f64, molar_mass: MolarMass) {
        self.add_moles(grams, molar_mass, solute.per_mole());
    }

    /// Adds chains of glucose or fructose units by their number-average molar mass: the oligomers
    /// of a syrup, maltodextrin, inulin, polydextrose.
    pub fn add_glucan(&mut self, grams: f64, number_average: MolarMass) {
        self.add_moles(grams, number_average, PerMole::glucan(number_average));
    }

    /// Adds an osmolyte by mass.
    pub fn add_osmolyte(&mut self, osmolyte: Osmolyte, grams: f64) {
        self.solid_grams += grams;
        self.osmolyte_moles[osmolyte.index()] += grams / osmolyte.molar_mass().get();
    }

    /// Adds an osmolyte by amount: moles, or osmoles where those are counted.
    pub fn add_osmoles(&mut self, osmolyte: Osmolyte, moles: f64) {
        self.solid_grams += moles * osmolyte.molar_mass().get();
        self.osmolyte_moles[osmolyte.index()] += moles;
    }

    /// Grams of water.
    #[must_use]
    pub fn water_grams(&self) -> f64 {
        self.water_grams
    }

    /// Grams of everything dissolved.
    #[must_use]
    pub fn solid_grams(&self) -> f64 {
        self.solid_grams
    }

    /// This solution after some of a solute and some water have left it as crystals.
    pub(crate) fn without(&self, solute: Solute, grams: f64, water_grams: f64) -> Self {
        let mut left = *self;
        left.add(solute, -grams);
        left.add_water(-water_grams);
        // Taking out all of what was put in may leave a rounding error below zero.
        for sum in [
            &mut left.water_grams,
            &mut left.solid_grams,
            &mut left.solute_moles,
            &mut left.q_ice,
            &mut left.q_20,
            &mut left.beta,
            &mut left.q_doubt,
        ] {
            *sum = sum.max(0.0);
        }
        left
    }

    fn add_moles(&mut self, grams: f64, molar_mass: MolarMass, per_mole: PerMole) {
        let moles = grams / molar_mass.get();
        self.solid_grams += grams;
        self.solute_moles += moles;
        self.q_ice += moles * per_mole.q_ice;
        self.q_20 += moles * per_mole.q_20;
        self.beta += moles * per_mole.beta;
        self.q_doubt += moles * per_mole.q_doubt;
    }

    /// Logarithm of the water activity with the constants of the ice line, when this share of the
    /// water is still liquid. `None` without liquid water.
    ///
    /// Equation: `ln aw = ln x_w - S² (1 - B) - Mw/1000 sum(nu phi(m) m)`, with
    ///           `S = sum(sqrt(K) x)`, `B = sum(beta x)`
    /// Units:    `x_w`, `x` mole fractions of water and molecular solutes [-]; `K`, `beta` [-];
    ///           `m` [mol/kg liquid water]; `Mw` [g/mol]; result [-]
    /// Valid:    up to 80 % dissolved solids; each osmolyte to its clamp
    /// Source:   norrish-1966 (form); crc-102 (constants, see each solute); kleinhans-mazur-2007
    ///           (adding the osmotic term)
    #[must_use]
    pub fn ln_water_activity_ice(&self, unfrozen_share: f64) -> Option<f64> {
        let equilibrium = self.per_water()?;
        if unfrozen_share > 0.0 && unfrozen_share <= 1.0 {
            Some(equilibrium.ln_activity(Line::Ice, 1.0 / unfrozen_share).0)
        } else {
            None
        }
    }

    /// Temperature at which the first ice appears. `None` without water.
    ///
    /// Equation: the root `T` of `ln a_ice(T) = ln aw`
    /// Units:    `ln aw` [-] by [`Solution::ln_water_activity_ice`]; result [°C]
    /// Valid:    sugars 0.05 K to 40 wt%, glycerol 0.07 K to 40, sodium chloride 0.03 K to 23,
    ///           potassium chloride 0.04 K to 13, calcium chloride 0.05 K to 22, citric acid
    ///           0.03 K to 30, lactic acid 0.1 K to 20; ethanol 0.07 K to 40 against one table and
    ///           0.25 K to 24 against another; the reading carries its own error and range
    /// Source:   crc-102, concentrative properties of aqueous solutions
    #[must_use]
    pub fn freezing_point(&self) -> Option<Reading<Celsius>> {
        Some(self.per_water()?.freezing_point(1.0))
    }

    /// Temperature at which this share of the water is ice. `None` without water, or for a share
    /// that is never reached.
    ///
    /// Equation: the root `T` of `ln a_ice(T) = ln aw`, `aw` taken on the share still liquid
    /// Units:    share [-]; `ln aw` [-] by [`Solution::ln_water_activity_ice`]; result [°C]
    /// Valid:    equilibrium, no solute crystallised; to the freeze limit
    /// Source:   crc-102, concentrative properties of aqueous solutions
    #[must_use]
    pub fn temperature_at_frozen(&self, share: f64) -> Option<Reading<Celsius>> {
        let equilibrium = self.per_water()?;
        if !(0.0..1.0).contains(&share) {
            return None;
        }
        let factor = 1.0 / (1.0 - share);
        if share > 0.0 && factor > equilibrium.most_concentrated() {
            return None;
        }
        Some(equilibrium.freezing_point(factor))
    }

    /// Share of the water that is ice at equilibrium, 0 to 1. `None` without water.
    ///
    /// Equation: the root `F` of `ln aw(1 - F) = ln a_ice(T)`; 0 above the freezing point
    /// Units:    `T` [°C]; `F` [-]; `ln aw` by [`Solution::ln_water_activity_ice`]
    /// Valid:    equilibrium, no solute crystallised; held where the freeze limit is reached
    /// Source:   crc-102, concentrative properties of aqueous solutions
    #[must_use]
    pub fn frozen_fraction(&self, temperature: Celsius) -> Option<f64> {
        let equilibrium = self.per_water()?;
        let factor = equilibrium.concentration(temperature, None);
        Some(frozen_share(factor))
    }

    /// Frozen water with the band that the error of the freezing point gives it.
    #[must_use]
    pub fn frozen(&self, temperature: Celsius) -> Option<Frozen> {
        let equilibrium = self.per_water()?;
        let factor = equilibrium.concentration(temperature, None);
        let share = frozen_share(factor);
        let half_width = equilibrium.freezing_point(factor).model_error.get();
        let shifted = |by: f64| {
            Celsius::new(temperature.get() + by).map_or(share, |moved| {
                frozen_share(equilibrium.concentration(moved, Some(factor)))
            })
        };
        let range = if share > 0.0 {
            equilibrium.beyond(factor, temperature)
        } else {
            None
        };
        Some(Frozen {
            share,
            low: shifted(half_width),
            high: shifted(-half_width),
            range,
        })
    }

    /// Frozen share at each temperature, each root started from the one before.
    #[must_use]
    pub fn curve(&self, temperatures: &[Celsius]) -> Option<Vec<f64>> {
        let equilibrium = self.per_water()?;
        let mut last = None;
        Some(
            temperatures
                .iter()
                .map(|&temperature| {
                    let factor = equilibrium.concentration(temperature, last);
                    last = Some(factor);
                    frozen_share(factor)
                })
                .collect(),
        )
    }

    /// Dissolved solids of the unfrozen phase, g per 100 g of that phase. `None` without water.
    ///
    /// Equation: `100 s / (s + (1 - F) w)`
    /// Units:    `s` dissolved solids [g]; `w` water [g]; `F` [-] by [`Solution::frozen_fraction`]
    /// Valid:    as [`Solution::frozen_fraction`]
    /// Source:   derived, mass balance
    #[must_use]
    pub fn unfrozen_solids_percent(&self, temperature: Celsius) -> Option<f64> {
        let equilibrium = self.per_water()?;
        let factor = equilibrium.concentration(temperature, None);
        let concentrated = equilibrium.solids * factor;
        Some(100.0 * concentrated / (1.0 + concentrated))
    }

    /// Water activity of the mix at 20 °C, all of it liquid. `None` without water.
    ///
    /// Equation: as [`Solution::ln_water_activity_ice`] with the constants of 20 °C and `B = 0`
    /// Units:    result [-]
    /// Valid:    within 0.003 above 0.93, about 0.01 to 0.85
    /// Source:   norrish-1966 (form); constants of each solute; aquasol-1.8.2, pyeql-1.7.0 (compared)
    #[must_use]
    pub fn water_activity_20(&self) -> Option<WaterActivity> {
        WaterActivity::new(self.per_water()?.ln_activity(Line::Twenty, 1.0).0.exp())
    }

    /// The sums per mole of water; `None` without water, or where a sum is negative or infinite.
    fn per_water(&self) -> Option<Equilibrium> {
        let proper = |sum: f64| sum.is_finite() && sum >= 0.0;
        let sums = [
            self.water_grams,
            self.solid_grams,
            self.solute_moles,
            self.q_ice,
            self.q_20,
            self.beta,
            self.q_doubt,
        ];
        if !(sums.into_iter().all(proper) && self.osmolyte_moles.into_iter().all(proper)) {
            return None;
        }
        if self.water_grams <= self.solid_grams * DRY || !self.water_grams.is_normal() {
            return None;
        }
        let per_mole = WATER_MOLAR_MASS / self.water_grams;
        let per_kilogram = 1000.0 / self.water_grams;
        Some(Equilibrium {
            solute: self.solute_moles * per_mole,
            q_ice: self.q_ice * per_mole,
            q_20: self.q_20 * per_mole,
            beta: self.beta * per_mole,
            q_doubt: self.q_doubt * per_mole,
            molality: self.osmolyte_moles.map(|moles| moles * per_kilogram),
            solids: self.solid_grams / self.water_grams,
        })
    }
}

impl std::ops::Add for Solution {
    type Output = Self;
    fn add(mut self, other: Self) -> Self {
        self += other;
        self
    }
}

impl AddAssign for Solution {
    fn add_assign(&mut self, other: Self) {
        self.water_grams += other.water_grams;
        self.solid_grams += other.solid_grams;
        self.solute_moles += other.solute_moles;
        self.q_ice += other.q_ice;
        self.q_20 += other.q_20;
        self.beta += other.beta;
        self.q_doubt += other.q_doubt;
        for (mine, theirs) in self.osmolyte_moles.iter_mut().zip(other.osmolyte_moles) {
            *mine += theirs;
        }
    }
}

impl Mul<f64> for Solution {
    type Output = Self;
    fn mul(mut self, factor: f64) -> Self {
        self.water_grams *= factor;
        self.solid_grams *= factor;
        self.solute_moles *= factor;
        self.q_ice *= factor;
        self.q_20 *= factor;
        self.beta *= factor;
        self.q_doubt *= factor;
        self.osmolyte_moles = self.osmolyte_moles.map(|moles| moles * factor);
        self
    }
}

impl std::iter::Sum for Solution {
    fn sum<I: Iterator<Item = Self>>(parts: I) -> Self {
        parts.fold(Self::new(), |sum, part| sum + part)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn celsius(degrees: f64) -> Celsius {
        Celsius::new(degrees).unwrap()
    }

    #[test]
    fn pure_water_freezes_at_zero_and_all_at_once() {
        let mut water = Solution::new();
        water.add_water(100.0);
        let point = water.freezing_point().unwrap();
        assert_eq!(point.value.get(), 0.0);
        assert_eq!(point.range, None);
        assert_eq!(water.frozen_fraction(celsius(0.0)), Some(0.0));
        assert_eq!(water.frozen_fraction(celsius(-0.1)), Some(1.0));
        assert_eq!(water.water_activity_20(), Some(WaterActivity::PURE_WATER));
    }

    #[test]
    fn without_water_there_is_no_answer() {
        let mut dry = Solution::new();
        assert_eq!(dry.freezing_point(), None);
        dry.add(Solute::Sucrose, 100.0);
        assert_eq!(dry.freezing_point(), None);
        assert_eq!(dry.water_activity_20(), None);
        assert_eq!(dry.frozen(celsius(-18.0)), None);
        assert_eq!(dry.curve(&[celsius(-18.0)]), None);
    }

    #[test]
    fn freezing_stops_at_the_limit() {
        let mut syrup = Solution::new();
        syrup.add_water(50.0);
        syrup.add(Solute::Sucrose, 50.0);
        let deep = syrup.frozen(celsius(-60.0)).unwrap();
        assert_eq!(deep.range, Some(Beyond::FreezeLimit));
        let solids = syrup.unfrozen_solids_percent(celsius(-60.0)).unwrap();
        assert!((solids - 100.0 * FREEZE_LIMIT).abs() < 1.0e-9);
        assert_eq!(syrup.temperature_at_frozen(0.9), None);
    }

    #[test]
    fn a_strong_osmolyte_says_which_it_is() {
        let mut brandy = Solution::new();
        brandy.add_water(50.0);
        brandy.add_osmolyte(Osmolyte::Ethanol, 50.0);
        let range = brandy.freezing_point().unwrap().range;
        assert_eq!(range, Some(Beyond::Osmolyte(Osmolyte::Ethanol)));
    }
}
