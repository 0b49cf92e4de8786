//! Glucose syrups: dextrose equivalent, chain lengths, number-average molar mass.
//!
//! Freezing needs the number average only; sweetness needs the chain lengths.

use crate::model::unit::MolarMass;
use crate::physics::solute::{GLUCAN_END, GLUCAN_UNIT, chain_molar_mass, degree_of_polymerisation};

/// Dextrose equivalent times number-average molar mass, g/mol.
/// Source: derived, 100 times the molar mass of glucose (crc-102), as one chain has one reducing end.
const DE_TIMES_MOLAR_MASS: f64 = 18_016.0;
/// Share by which a number average taken from a dextrose equivalent may be off.
/// Source: derived, published spectra of acid syrups lie 5 to 12 % above the rule.
const DE_DOUBT: f64 = 0.10;
/// Share by which a number average of a published spectrum may be off, as `dp4_plus` has no length.
/// Source: derived, half of the doubt of the dextrose equivalent.
const SPECTRUM_DOUBT: f64 = 0.05;
/// Bisection steps for the chain-growth probability; 60 reach the last digit.
const STEPS: usize = 60;

/// A number-average molar mass with the band it may lie in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NumberAverage {
    /// Best value.
    pub value: MolarMass,
    /// Share of the value by which it may be off, either way.
    pub doubt: f64,
}

/// Chain lengths of a syrup, g per 100 g of dry substance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spectrum {
    /// Single units: glucose.
    pub dp1: f64,
    /// Chains of two: maltose.
    pub dp2: f64,
    /// Chains of three: maltotriose.
    pub dp3: f64,
    /// Chains of four and more.
    pub dp4_plus: f64,
}

/// Number-average molar mass from a dextrose equivalent. `None` outside 0 to 100.
///
/// Equation: `Mn = 100 M(glucose) / DE`
/// Units:    `DE` [g dextrose per 100 g dry substance]; result [g/mol]
/// Valid:    hydrolysed starch, DE 3 to 100; the true average lies up to 12 % higher
/// Source:   derived (one reducing end per chain); crc-102 (molar mass of glucose)
#[must_use]
pub fn number_average(dextrose_equivalent: f64) -> Option<NumberAverage> {
    if !(dextrose_equivalent > 0.0 && dextrose_equivalent <= 100.0) {
        return None;
    }
    let value = MolarMass::new(DE_TIMES_MOLAR_MASS / dextrose_equivalent)?;
    Some(NumberAverage {
        value,
        doubt: DE_DOUBT,
    })
}

/// Dextrose equivalent from a number-average molar mass.
///
/// Equation: `DE = 100 M(glucose) / Mn`
/// Units:    `Mn` [g/mol]; result [g dextrose per 100 g dry substance]
/// Valid:    as [`number_average`]
/// Source:   derived (one reducing end per chain); crc-102 (molar mass of glucose)
#[must_use]
pub fn dextrose_equivalent(number_average: MolarMass) -> f64 {
    DE_TIMES_MOLAR_MASS / number_average.get()
}

/// Grams as sold from grams of dry substance. `None` unless the dry substance is 0 to 100 %.
///
/// Equation: `g = 100 d / s`
/// Units:    `d` dry substance [g]; `s` [g dry per 100 g as sold]; result [g]
/// Valid:    `0 < s <= 100`
/// Source:   derived, mass balance
#[must_use]
pub fn as_is_grams(dry_grams: f64, dry_percent: f64) -> Option<f64> {
    (dry_percent > 0.0 && dry_percent <= 100.0).then(|| 100.0 * dry_grams / dry_percent)
}

/// A figure on dry substance as a figure on the syrup as sold. `None` unless dry is 0 to 100 %.
///
/// Equation: `v = d s / 100`
/// Units:    `d` [g per 100 g dry substance]; `s` [g dry per 100 g as sold]; result [g/100 g]
/// Valid:    `0 <= s <= 100`
/// Source:   derived, mass balance
#[must_use]
pub fn as_is_percent(percent_of_dry: f64, dry_percent: f64) -> Option<f64> {
    (0.0..=100.0)
        .contains(&dry_percent)
        .then(|| percent_of_dry * dry_percent / 100.0)
}

impl Spectrum {
    /// A spectrum; `None` where a part is negative or the whole is not 100 within 2.
    #[must_use]
    pub fn new(dp1: f64, dp2: f64, dp3: f64, dp4_plus: f64) -> Option<Self> {
        let parts = [dp1, dp2, dp3, dp4_plus];
        let whole: f64 = parts.iter().sum();
        let proper = parts.iter().all(|part| part.is_finite() && *part >= 0.0);
        (proper && (whole - 100.0).abs() <= 2.0).then_some(Self {
            dp1,
            dp2,
            dp3,
            dp4_plus,
        })
    }

    /// The spectrum of chains broken at random, as an estimate where none was published.
    ///
    /// Equation: `w(n) = 100 (1 - p) p^(n-1) M(n) / Mn`, `p = 1 - 1/DPn`
    /// Units:    `n`, `DPn`, `p` [-]; `M`, `Mn` [g/mol]; `w` [g per 100 g dry substance]
    /// Valid:    syrups made by acid alone; enzymes give more maltose or more glucose than this
    /// Source:   flory-1936 (distribution); derived (from the dextrose equivalent)
    #[must_use]
    pub fn most_probable(dextrose_equivalent: f64) -> Option<Self> {
        let average = number_average(dextrose_equivalent)?;
        let length = degree_of_polymerisation(average.value).max(1.0);
        let growth = 1.0 - 1.0 / length;
        let share = |n: f64| {
            let mass = (n * GLUCAN_UNIT + GLUCAN_END) / average.value.get();
            100.0 * (1.0 - growth) * growth.powf(n - 1.0) * mass
        };
        let (dp1, dp2, dp3) = (share(1.0), share(2.0), share(3.0));
        let dp4_plus = (100.0 - dp1 - dp2 - dp3).max(0.0);
        Some(Self {
            dp1,
            dp2,
            dp3,
            dp4_plus,
        })
    }

    /// Number-average molar mass of this spectrum. `None` for an empty one.
    ///
    /// Equation: `Mn = sum(w) / sum(w / M)`; the length of `dp4_plus` is `3 + 1/(1-p)`, `p` being
    ///           the root of `dp4_plus / 100 = p³ (U (4 - 3p) + E (1 - p)) / (U + E (1 - p))`, as
    ///           for chains broken at random
    /// Units:    `w` [g per 100 g dry substance]; `M`, `U` unit, `E` end water [g/mol]
    /// Valid:    hydrolysed starch; the long chains carry few moles, so their length matters little
    /// Source:   derived; flory-1936 (length of the long chains)
    #[must_use]
    pub fn number_average(&self) -> Option<NumberAverage> {
        let whole = self.dp1 + self.dp2 + self.dp3 + self.dp4_plus;
        let long = chain_molar_mass(self.long_chain_length())?.get();
        let mut moles = self.dp4_plus / long;
        for (units, grams) in [(1.0, self.dp1), (2.0, self.dp2), (3.0, self.dp3)] {
            moles += grams / chain_molar_mass(units)?.get();
        }
        let value = MolarMass::new(whole / moles)?;
        Some(NumberAverage {
            value,
            doubt: SPECTRUM_DOUBT,
        })
    }

    /// Number-average length of the chains of four and more.
    fn long_chain_length(&self) -> f64 {
        let whole = self.dp1 + self.dp2 + self.dp3 + self.dp4_plus;
        let wanted = (self.dp4_plus / whole).clamp(0.0, 0.999);
        let (mut low, mut high) = (0.0_f64, 1.0_f64);
        for _ in 0..STEPS {
            let middle = f64::midpoint(low, high);
            let ends = GLUCAN_END * (1.0 - middle);
            let long = middle.powi(3) * (GLUCAN_UNIT * (4.0 - 3.0 * middle) + ends);
            if long < wanted * (GLUCAN_UNIT + ends) {
                low = middle;
            } else {
                high = middle;
            }
        }
        3.0 + 1.0 / (1.0 - low)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ends_of_the_scale_are_glucose_and_nothing() {
        // 100 DE is glucose itself, 180.16 g/mol (crc-102).
        let glucose = number_average(100.0).unwrap();
        assert!((glucose.value.get() - 180.16).abs() < 1.0e-9);
        assert!(number_average(0.0).is_none());
        assert!(number_average(101.0).is_none());
        assert!((dextrose_equivalent(glucose.value) - 100.0).abs() < 1.0e-9);
    }

    #[test]
    fn a_published_spectrum_weighs_up_to_an_eighth_more_than_its_label_says() {
        // Acid syrup of 42 DE, 19/14/11/56: hand sum with long chains of 5.89 units (974 g/mol):
        // 19/180.16 + 14/342.30 + 11/504.44 + 56/974 = 0.22567 mol per 100 g, 443 g/mol.
        let acid = Spectrum::new(19.0, 14.0, 11.0, 56.0).unwrap();
        let average = acid.number_average().unwrap().value.get();
        assert!((average - 443.0).abs() < 1.0, "{average}");
        let label = number_average(42.0).unwrap().value.get();
        assert!(average / label > 1.0 && average / label < 1.125);
    }

    #[test]
    fn a_most_probable_spectrum_keeps_its_number_average() {
        for equivalent in [20.0, 36.0, 42.0, 62.0] {
            let spectrum = Spectrum::most_probable(equivalent).unwrap();
            let back = spectrum.number_average().unwrap().value;
            assert!((dextrose_equivalent(back) - equivalent).abs() < 1.0e-6 * equivalent);
        }
    }

    #[test]
    fn dry_and_as_is_are_inverse() {
        // 80 g of dry substance is 100 g of a syrup of 80 % solids.
        assert_eq!(as_is_grams(80.0, 80.0), Some(100.0));
        assert_eq!(as_is_percent(50.0, 80.0), Some(40.0));
        assert_eq!(as_is_grams(1.0, 0.0), None);
    }
}
