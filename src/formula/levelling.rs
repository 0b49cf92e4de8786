//! Sweeteners whose taste levels off with concentration: their amounts by kind, additive in mass.

use std::ops::{AddAssign, Mul};

use crate::physics::sweetness::Saturating;

/// Kinds one mix can hold; a further kind counts by its plain ratio.
const KINDS: usize = 6;
/// Milligrams below which a kind is not there: what subtraction leaves of a gram.
const GONE: f64 = 1.0e-9;

/// One kind, by the constants of its curve.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Kind {
    /// Sweetness never exceeded, g sucrose per 100 g.
    maximum: f64,
    /// Concentration that gives half of it, mg/kg.
    half: f64,
    /// How much there is, mg.
    milligrams: f64,
    /// What its plain ratio would give, g sucrose-equivalent.
    plain: f64,
}

/// Amounts of every kind in a mass.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Levelling {
    kinds: [Kind; KINDS],
}

impl Levelling {
    /// A mass of one kind, with the sweetness its plain ratio gives it, g sucrose-equivalent.
    pub fn of(maximum: f64, half: f64, milligrams: f64, plain: f64) -> Self {
        let mut all = Levelling::default();
        all.kinds[0] = Kind {
            maximum,
            half,
            milligrams,
            plain,
        };
        all
    }

    /// What levelling off takes from the plain ratios, g sucrose-equivalent per 100 g of mix.
    ///
    /// A milligram per kilogram of mix stands for one per litre, as the constants count it.
    pub fn loss(&self, mix_grams: f64) -> f64 {
        let mut loss = 0.0;
        for kind in self.kinds.iter().filter(|k| k.milligrams > GONE) {
            let curve = Saturating {
                maximum: kind.maximum,
                half: kind.half,
                origin: "",
            };
            let taste = curve.response(kind.milligrams * 1000.0 / mix_grams);
            loss += 100.0 * kind.plain / mix_grams - taste;
        }
        loss
    }
}

impl AddAssign for Levelling {
    fn add_assign(&mut self, other: Self) {
        for new in other.kinds.iter().filter(|k| k.milligrams != 0.0) {
            let same =
                |k: &Kind| k.milligrams != 0.0 && k.maximum == new.maximum && k.half == new.half;
            let place = self
                .kinds
                .iter()
                .position(same)
                .or_else(|| self.kinds.iter().position(|k| k.milligrams.abs() <= GONE));
            let Some(kind) = place.map(|n| &mut self.kinds[n]) else {
                continue;
            };
            if same(kind) {
                kind.milligrams += new.milligrams;
                kind.plain += new.plain;
            } else {
                *kind = *new;
            }
        }
    }
}

impl Mul<f64> for Levelling {
    type Output = Levelling;
    fn mul(mut self, factor: f64) -> Levelling {
        for kind in &mut self.kinds {
            kind.milligrams *= factor;
            kind.plain *= factor;
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_the_ceiling_is_tasted_at_the_half_concentration() {
        // 14.7 / 2 = 7.35 at 220 mg/kg: 22 mg in 100 g; the plain ratio 600 says 13.2.
        let sweetener = Levelling::of(14.7, 220.0, 22.0, 0.022 * 600.0);
        assert!((13.2 - sweetener.loss(100.0) - 7.35).abs() < 1e-9);
    }

    #[test]
    fn kinds_add_and_leave_again() {
        let one = Levelling::of(14.7, 220.0, 10.0, 6.0);
        let other = Levelling::of(11.6, 470.0, 10.0, 2.0);
        let mut mix = one;
        mix += other;
        mix += one;
        let mut twice = one * 2.0;
        twice += other;
        assert!((mix.loss(100.0) - twice.loss(100.0)).abs() < 1e-12);
        mix += one * -2.0;
        mix += other * -1.0;
        assert_eq!(mix.loss(100.0), 0.0);
    }
}
