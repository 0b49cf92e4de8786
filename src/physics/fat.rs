//! Solid fat: how much of a fat is crystal at a temperature, blends, and fats that do not agree.

use crate::model::unit::Celsius;

/// Solid fat against temperature: points in rising temperature and falling or level content.
#[derive(Debug, Clone, PartialEq)]
pub struct SolidFatCurve {
    points: Vec<(Celsius, f64)>,
}

/// A solid fat content with a mark where it was carried past the curve's points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SolidFat {
    /// Solid share of the fat, g per 100 g fat.
    pub percent: f64,
    /// True where the temperature lies outside the points; the nearest point is then repeated.
    pub held: bool,
}

/// Families of fats that crystallise alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FatFamily {
    /// Coconut and palm kernel fats.
    Lauric,
    /// Cocoa butter and its equivalents.
    CocoaButter,
    /// Milk fat.
    MilkFat,
    /// Palm oil and its fractions.
    Palm,
    /// Fully hydrogenated or other hard fats.
    Hardstock,
    /// Oils without solid fat at room temperature.
    LiquidOil,
}

/// What two families do to each other in one fat phase.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Compatibility {
    /// They crystallise together; solid fat adds by mass.
    Additive,
    /// One dissolves part of the other; somewhat less solid fat than the sum.
    Softening,
    /// A eutectic: far less solid fat than the sum, slow crystals, bloom.
    Eutectic,
}

impl SolidFatCurve {
    /// A curve; `None` unless there is a point, temperatures rise and contents lie in 0 to 100.
    #[must_use]
    pub fn new(points: Vec<(Celsius, f64)>) -> Option<Self> {
        let rising = points.windows(2).all(|pair| pair[0].0 < pair[1].0);
        let bounded = points.iter().all(|point| (0.0..=100.0).contains(&point.1));
        (!points.is_empty() && rising && bounded).then_some(Self { points })
    }

    /// Solid fat at a temperature.
    ///
    /// Equation: straight line between points; the nearest point outside them
    /// Units:    temperature [°C]; result [g solid per 100 g fat]
    /// Valid:    fat crystallised and tempered as the curve was measured
    /// Source:   derived (interpolation); the points' own source
    #[must_use]
    pub fn at(&self, temperature: Celsius) -> SolidFat {
        let held = |percent| SolidFat {
            percent,
            held: true,
        };
        let (Some(first), Some(last)) = (self.points.first(), self.points.last()) else {
            return held(0.0);
        };
        if temperature < first.0 {
            return held(first.1);
        }
        if temperature > last.0 {
            return held(last.1);
        }
        let inside = self.points.windows(2).find_map(|pair| {
            let ((cold, more), (warm, less)) = (pair[0], pair[1]);
            (cold <= temperature && temperature <= warm).then(|| {
                let share = (temperature - cold).get() / (warm - cold).get();
                more + share * (less - more)
            })
        });
        SolidFat {
            percent: inside.unwrap_or(first.1),
            held: false,
        }
    }

    /// Solid fat that melts between two temperatures.
    ///
    /// Equation: `m = s(cold) - s(warm)`
    /// Units:    `s` [g solid per 100 g fat] by [`SolidFatCurve::at`]; result [g per 100 g fat]
    /// Valid:    as [`SolidFatCurve::at`]; marked as held where either end was
    /// Source:   derived, difference of two points
    #[must_use]
    pub fn melts_between(&self, cold: Celsius, warm: Celsius) -> SolidFat {
        let (solid, softer) = (self.at(cold), self.at(warm));
        SolidFat {
            percent: solid.percent - softer.percent,
            held: solid.held || softer.held,
        }
    }
}

/// Solid fat of a blend at a temperature. `None` without fat or for negative grams.
///
/// Equation: `s = sum(g s) / sum(g)`
/// Units:    `g` fat [g]; `s` [g solid per 100 g fat]
/// Valid:    families that are [`Compatibility::Additive`]; the sum is an upper bound for others
/// Source:   derived, mass balance
#[must_use]
pub fn blend(parts: &[(f64, &SolidFatCurve)], temperature: Celsius) -> Option<SolidFat> {
    let (mut grams_sum, mut solid_sum, mut held) = (0.0, 0.0, false);
    for &(grams, curve) in parts {
        if !(grams.is_finite() && grams >= 0.0) {
            return None;
        }
        let solid = curve.at(temperature);
        grams_sum += grams;
        solid_sum += grams * solid.percent;
        held |= solid.held && grams > 0.0;
    }
    (grams_sum > 0.0).then(|| SolidFat {
        percent: solid_sum / grams_sum,
        held,
    })
}

/// What two families do to each other. Source: memory of fat technology texts.
#[must_use]
pub fn compatibility(one: FatFamily, other: FatFamily) -> Compatibility {
    use FatFamily::{CocoaButter, Hardstock, Lauric, LiquidOil, MilkFat, Palm};
    let pair = if one <= other {
        (one, other)
    } else {
        (other, one)
    };
    match pair {
        (Lauric, CocoaButter) | (CocoaButter, Hardstock) => Compatibility::Eutectic,
        (Lauric, MilkFat | Palm)
        | (CocoaButter, MilkFat | Palm)
        | (MilkFat, Palm)
        | (Lauric | CocoaButter | MilkFat | Palm | Hardstock, LiquidOil) => {
            Compatibility::Softening
        }
        _ => Compatibility::Additive,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn curve(points: &[(f64, f64)]) -> SolidFatCurve {
        let points = points
            .iter()
            .map(|&(t, s)| (Celsius::new(t).unwrap(), s))
            .collect();
        SolidFatCurve::new(points).unwrap()
    }

    #[test]
    fn a_line_between_points_and_a_mark_outside() {
        let fat = curve(&[(0.0, 80.0), (10.0, 60.0), (30.0, 0.0)]);
        let middle = fat.at(Celsius::new(20.0).unwrap());
        assert_eq!(
            middle,
            SolidFat {
                percent: 30.0,
                held: false
            }
        );
        assert_eq!(
            fat.at(Celsius::new(40.0).unwrap()),
            SolidFat {
                percent: 0.0,
                held: true
            }
        );
        let melted = fat.melts_between(Celsius::ZERO, Celsius::new(10.0).unwrap());
        assert_eq!(
            melted,
            SolidFat {
                percent: 20.0,
                held: false
            }
        );
    }

    #[test]
    fn a_blend_is_the_mean_by_mass() {
        let hard = curve(&[(0.0, 90.0), (30.0, 90.0)]);
        let oil = curve(&[(0.0, 0.0), (30.0, 0.0)]);
        let mixed = blend(&[(1.0, &hard), (2.0, &oil)], Celsius::new(10.0).unwrap()).unwrap();
        assert!((mixed.percent - 30.0).abs() < 1.0e-12);
        assert_eq!(blend(&[], Celsius::ZERO), None);
    }

    #[test]
    fn lauric_fat_and_cocoa_butter_do_not_agree_in_either_order() {
        use FatFamily::{CocoaButter, Lauric};
        assert_eq!(compatibility(Lauric, CocoaButter), Compatibility::Eutectic);
        assert_eq!(compatibility(CocoaButter, Lauric), Compatibility::Eutectic);
        assert_eq!(compatibility(Lauric, Lauric), Compatibility::Additive);
    }

    #[test]
    fn a_curve_must_rise_in_temperature() {
        assert!(SolidFatCurve::new(vec![]).is_none());
        assert!(SolidFatCurve::new(vec![(Celsius::ZERO, 10.0), (Celsius::ZERO, 5.0)]).is_none());
        assert!(SolidFatCurve::new(vec![(Celsius::ZERO, 101.0)]).is_none());
    }
}
