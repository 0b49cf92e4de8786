//! Quantities with their limits, and the only place where one unit becomes another.

use std::fmt;
use std::ops::{Add, Neg, Sub};

/// The Celsius zero on the thermodynamic scale, in kelvin. Exact by definition of the scale.
const CELSIUS_ZERO_IN_KELVIN: f64 = 273.15;
/// Fahrenheit degrees in one kelvin. Exact.
const FAHRENHEIT_PER_KELVIN: f64 = 1.8;
/// The Celsius zero on the Fahrenheit scale. Exact.
const CELSIUS_ZERO_IN_FAHRENHEIT: f64 = 32.0;

/// A thermodynamic temperature, in kelvin, never below absolute zero.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Kelvin(f64);

/// A temperature on the Celsius scale, in °C, never below absolute zero.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Celsius(f64);

/// A temperature on the Fahrenheit scale, in °F, never below absolute zero.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Fahrenheit(f64);

/// A difference of two temperatures, in kelvin. Not a temperature.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct KelvinDelta(f64);

/// The activity of water against pure liquid water at the same temperature, from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct WaterActivity(f64);

/// The mass of one mole, in g/mol, above zero.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct MolarMass(f64);

impl Kelvin {
    /// The Celsius zero, at which pure water under one atmosphere of air freezes.
    pub const CELSIUS_ZERO: Self = Self(CELSIUS_ZERO_IN_KELVIN);

    /// A temperature in kelvin; `None` below absolute zero or where the number is not finite.
    #[must_use]
    pub const fn new(kelvin: f64) -> Option<Self> {
        if kelvin.is_finite() && kelvin >= 0.0 {
            Some(Self(kelvin))
        } else {
            None
        }
    }

    /// The number of kelvin.
    #[must_use]
    pub const fn get(self) -> f64 {
        self.0
    }

    /// The same temperature on the Celsius scale.
    #[must_use]
    pub const fn to_celsius(self) -> Celsius {
        Celsius(self.0 - CELSIUS_ZERO_IN_KELVIN)
    }
}

impl Celsius {
    /// The Celsius zero.
    pub const ZERO: Self = Self(0.0);

    /// A temperature in °C; `None` below absolute zero or where the number is not finite.
    #[must_use]
    pub const fn new(celsius: f64) -> Option<Self> {
        if celsius.is_finite() && celsius >= -CELSIUS_ZERO_IN_KELVIN {
            Some(Self(celsius))
        } else {
            None
        }
    }

    /// The number of degrees Celsius.
    #[must_use]
    pub const fn get(self) -> f64 {
        self.0
    }

    /// The same temperature on the thermodynamic scale.
    #[must_use]
    pub const fn to_kelvin(self) -> Kelvin {
        Kelvin(self.0 + CELSIUS_ZERO_IN_KELVIN)
    }

    /// The same temperature on the Fahrenheit scale.
    #[must_use]
    pub const fn to_fahrenheit(self) -> Fahrenheit {
        Fahrenheit(self.0 * FAHRENHEIT_PER_KELVIN + CELSIUS_ZERO_IN_FAHRENHEIT)
    }
}

impl Fahrenheit {
    /// A temperature in °F; `None` below absolute zero or where the number is not finite.
    #[must_use]
    pub const fn new(fahrenheit: f64) -> Option<Self> {
        match Celsius::new((fahrenheit - CELSIUS_ZERO_IN_FAHRENHEIT) / FAHRENHEIT_PER_KELVIN) {
            Some(_) => Some(Self(fahrenheit)),
            None => None,
        }
    }

    /// The number of degrees Fahrenheit.
    #[must_use]
    pub const fn get(self) -> f64 {
        self.0
    }

    /// The same temperature on the Celsius scale.
    #[must_use]
    pub const fn to_celsius(self) -> Celsius {
        Celsius((self.0 - CELSIUS_ZERO_IN_FAHRENHEIT) / FAHRENHEIT_PER_KELVIN)
    }
}

impl KelvinDelta {
    /// A difference of temperatures; `None` where the number is not finite.
    #[must_use]
    pub const fn new(kelvin: f64) -> Option<Self> {
        if kelvin.is_finite() {
            Some(Self(kelvin))
        } else {
            None
        }
    }

    /// The difference in kelvin.
    #[must_use]
    pub const fn get(self) -> f64 {
        self.0
    }
}

impl WaterActivity {
    /// The activity of pure water.
    pub const PURE_WATER: Self = Self(1.0);

    /// A water activity; `None` outside 0 to 1.
    #[must_use]
    pub const fn new(activity: f64) -> Option<Self> {
        if activity >= 0.0 && activity <= 1.0 {
            Some(Self(activity))
        } else {
            None
        }
    }

    /// The activity as a plain ratio.
    #[must_use]
    pub const fn get(self) -> f64 {
        self.0
    }
}

impl MolarMass {
    /// A molar mass in g/mol; `None` unless above zero and finite.
    #[must_use]
    pub const fn new(grams_per_mole: f64) -> Option<Self> {
        if grams_per_mole.is_finite() && grams_per_mole > 0.0 {
            Some(Self(grams_per_mole))
        } else {
            None
        }
    }

    /// The number of grams in one mole.
    #[must_use]
    pub const fn get(self) -> f64 {
        self.0
    }
}

impl From<Celsius> for Kelvin {
    fn from(celsius: Celsius) -> Self {
        celsius.to_kelvin()
    }
}

impl From<Kelvin> for Celsius {
    fn from(kelvin: Kelvin) -> Self {
        kelvin.to_celsius()
    }
}

impl From<Fahrenheit> for Celsius {
    fn from(fahrenheit: Fahrenheit) -> Self {
        fahrenheit.to_celsius()
    }
}

impl From<Celsius> for Fahrenheit {
    fn from(celsius: Celsius) -> Self {
        celsius.to_fahrenheit()
    }
}

impl Sub for Kelvin {
    type Output = KelvinDelta;
    fn sub(self, other: Self) -> KelvinDelta {
        KelvinDelta(self.0 - other.0)
    }
}

impl Sub for Celsius {
    type Output = KelvinDelta;
    fn sub(self, other: Self) -> KelvinDelta {
        KelvinDelta(self.0 - other.0)
    }
}

impl Add for KelvinDelta {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Neg for KelvinDelta {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl fmt::Display for Celsius {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{:.2} °C", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fixed_points_convert_exactly() {
        // Definitions of the scales: 0 °C = 273.15 K = 32 °F, and -40 is the same on both.
        let zero = Celsius::new(0.0).unwrap();
        assert_eq!(zero.to_kelvin(), Kelvin::CELSIUS_ZERO);
        assert_eq!(zero.to_fahrenheit().get(), 32.0);
        let forty_below = Fahrenheit::new(-40.0).unwrap();
        assert_eq!(forty_below.to_celsius().get(), -40.0);
    }

    #[test]
    fn limits_live_in_the_constructors() {
        assert!(Celsius::new(-273.2).is_none());
        assert!(Fahrenheit::new(-460.0).is_none());
        assert!(Kelvin::new(f64::NAN).is_none());
        assert!(WaterActivity::new(1.2).is_none());
        assert!(MolarMass::new(0.0).is_none());
        assert!(KelvinDelta::new(f64::INFINITY).is_none());
    }

    #[test]
    fn a_difference_of_temperatures_is_not_a_temperature() {
        let warm = Celsius::new(-12.0).unwrap();
        let cold = Celsius::new(-18.0).unwrap();
        assert_eq!((warm - cold).get(), 6.0);
        assert_eq!(warm.to_string(), "-12.00 °C");
    }
}
