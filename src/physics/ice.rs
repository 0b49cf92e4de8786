//! The ice line: which water activity is in equilibrium with ice at which temperature.
//!
//! The zero of the line is the freezing point of pure water under one atmosphere of air.

use crate::model::unit::{Celsius, Kelvin, WaterActivity};

/// Molar gas constant, J/(mol K). Exact by the definition of the SI units.
pub const GAS_CONSTANT: f64 = 8.314_462_618;
/// Molar enthalpy of fusion of ice at the Celsius zero, J/mol.
/// Source: memory; the line it gives is checked against iapws-r14-08 and murphy-koop-2005.
pub const ENTHALPY_OF_FUSION: f64 = 6009.5;
/// Heat capacity of liquid water less that of ice at the Celsius zero, J/(mol K).
/// Source: memory; the line it gives is checked against iapws-r14-08 and murphy-koop-2005.
pub const HEAT_CAPACITY_DIFFERENCE: f64 = 38.1;
/// Slope of that difference with temperature, J/(mol K²).
/// Source: derived, set so that the line meets murphy-koop-2005 between -30 °C and 0 °C.
pub const HEAT_CAPACITY_SLOPE: f64 = -0.197;
/// Coldest temperature a reading can have. The line is monotone well below it, but unproven.
pub const COLDEST: Celsius = match Celsius::new(-80.0) {
    Some(celsius) => celsius,
    None => Celsius::ZERO,
};
/// Coldest temperature to which the line was compared with other work.
pub const COLDEST_CHECKED: Celsius = match Celsius::new(-30.0) {
    Some(celsius) => celsius,
    None => Celsius::ZERO,
};

const ZERO: f64 = Kelvin::CELSIUS_ZERO.get();
// The three terms of the closed form; each follows from the constants above.
const INVERSE_TERM: f64 =
    ENTHALPY_OF_FUSION - HEAT_CAPACITY_DIFFERENCE * ZERO + HEAT_CAPACITY_SLOPE * ZERO * ZERO / 2.0;
const LOGARITHM_TERM: f64 = HEAT_CAPACITY_DIFFERENCE - HEAT_CAPACITY_SLOPE * ZERO;
const LINEAR_TERM: f64 = HEAT_CAPACITY_SLOPE / 2.0;
/// Newton steps after which the inverse of the line is taken as found; four are enough.
const STEPS: usize = 12;

/// Logarithm of the water activity that is in equilibrium with ice.
///
/// Equation: `ln a = [-A (1/T - 1/T0) + B ln(T/T0) + C (T - T0)] / R`, with
///           `A = H - D T0 + s T0²/2`, `B = D - s T0`, `C = s/2`
/// Units:    `T`, `T0` [K]; `H` [J/mol]; `D` [J/(mol K)]; `s` [J/(mol K²)]; result [-]
/// Valid:    -30 °C to 0 °C within 0.08 K of the compared lines (0.02 K above -20 °C); held at 0
///           above the Celsius zero
/// Source:   iapws-r14-08, murphy-koop-2005 (compared)
#[must_use]
pub fn ln_water_activity(temperature: Celsius) -> f64 {
    let kelvin = temperature.to_kelvin().get().max(COLDEST.to_kelvin().get());
    if kelvin >= ZERO {
        return 0.0;
    }
    line(kelvin)
}

/// Temperature at which a liquid of this water activity is in equilibrium with ice.
///
/// Equation: the root `T` of `ln a(T) = ln aw`, `ln a` being [`ln_water_activity`]
/// Units:    `aw` [-]; result [°C]
/// Valid:    -30 °C to 0 °C; held at -80 °C for drier liquids
/// Source:   iapws-r14-08, murphy-koop-2005 (compared)
#[must_use]
pub fn freezing_point(activity: WaterActivity) -> Celsius {
    melting_line(activity.get().ln())
}

/// The inverse of the line on the logarithm, which is how the solution equations hold activity.
pub(crate) fn melting_line(ln_activity: f64) -> Celsius {
    if ln_activity >= 0.0 {
        return Celsius::ZERO;
    }
    let coldest = COLDEST.to_kelvin().get();
    if ln_activity.is_nan() || ln_activity <= line(coldest) {
        return COLDEST;
    }
    // Series of the line about its zero, inverted to second order, is within 0.1 K above -20 °C.
    let slope = line_slope(ZERO);
    let first = ln_activity / slope;
    let mut kelvin = (ZERO + first * (1.0 - 4.0e-4 * first)).clamp(coldest, ZERO);
    for _ in 0..STEPS {
        let step = (line(kelvin) - ln_activity) / line_slope(kelvin);
        kelvin = (kelvin - step).clamp(coldest, ZERO);
        if step.abs() < 1.0e-9 {
            break;
        }
    }
    Kelvin::new(kelvin).map_or(COLDEST, Kelvin::to_celsius)
}

/// Change of the line with temperature, 1/K.
pub(crate) fn slope(temperature: Celsius) -> f64 {
    line_slope(temperature.to_kelvin().get().max(COLDEST.to_kelvin().get()))
}

fn line(kelvin: f64) -> f64 {
    (-INVERSE_TERM * (1.0 / kelvin - 1.0 / ZERO)
        + LOGARITHM_TERM * (kelvin / ZERO).ln()
        + LINEAR_TERM * (kelvin - ZERO))
        / GAS_CONSTANT
}

fn line_slope(kelvin: f64) -> f64 {
    (INVERSE_TERM / (kelvin * kelvin) + LOGARITHM_TERM / kelvin + LINEAR_TERM) / GAS_CONSTANT
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_line_and_its_inverse_meet() {
        for tenth in 0..=800 {
            let celsius = Celsius::new(-f64::from(tenth) / 10.0).unwrap();
            let back = melting_line(ln_water_activity(celsius));
            assert!(
                (back - celsius).get().abs() < 1.0e-7,
                "{celsius} came back as {back}"
            );
        }
    }

    #[test]
    fn activities_outside_the_line_are_held() {
        assert_eq!(freezing_point(WaterActivity::PURE_WATER), Celsius::ZERO);
        assert_eq!(freezing_point(WaterActivity::new(0.0).unwrap()), COLDEST);
        assert_eq!(melting_line(f64::NAN), COLDEST);
        assert_eq!(ln_water_activity(Celsius::new(20.0).unwrap()), 0.0);
    }
}
