//! Salts, acids, ethanol and counted osmoles, which act by their molality.

use crate::model::unit::MolarMass;
use crate::physics::solute::grams_per_mole;

/// A dissolved substance that acts by its molality: a salt, an acid, ethanol, or counted osmoles.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Osmolyte {
    /// Sodium chloride.
    SodiumChloride,
    /// Potassium chloride.
    PotassiumChloride,
    /// Calcium chloride, anhydrous.
    CalciumChloride,
    /// Sodium hydrogen carbonate.
    SodiumBicarbonate,
    /// Trisodium citrate, anhydrous.
    TrisodiumCitrate,
    /// Dipotassium hydrogen phosphate.
    DipotassiumPhosphate,
    /// Ethanol.
    Ethanol,
    /// Citric acid, anhydrous.
    CitricAcid,
    /// Lactic acid.
    LacticAcid,
    /// Malic acid.
    MalicAcid,
    /// Tartaric acid.
    TartaricAcid,
    /// Acetic acid.
    AceticAcid,
    /// The salts of milk and whey, counted in osmoles.
    MilkSalts,
    /// The minerals of plants with their counter-ions, counted in osmoles.
    PlantMinerals,
}

/// Coefficients of a polynomial, constant term first.
pub type Polynomial = [f64; 6];

/// The constants of an osmolyte.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Osmotic {
    /// Mass of one mole; of one osmole where osmoles are counted.
    pub molar_mass: MolarMass,
    /// Particles one mole gives.
    pub particles: f64,
    /// Osmotic coefficient on the ice line: polynomial in molality, constant term first.
    pub phi: Polynomial,
    /// Osmotic coefficient at 20 °C: polynomial in molality, constant term first.
    pub phi_20: Polynomial,
    /// Molality beyond which the osmotic coefficient is held, mol/kg water.
    pub clamp: f64,
    /// Half-width within which the osmotic coefficient is believed to lie, as a share of it.
    pub doubt: f64,
    /// Where the constants come from.
    pub origin: &'static str,
}

impl Osmolyte {
    /// Number of osmolytes.
    pub const COUNT: usize = 14;

    /// Every osmolyte, in the order of [`Osmolyte::index`].
    pub const ALL: [Self; Self::COUNT] = [
        Self::SodiumChloride,
        Self::PotassiumChloride,
        Self::CalciumChloride,
        Self::SodiumBicarbonate,
        Self::TrisodiumCitrate,
        Self::DipotassiumPhosphate,
        Self::Ethanol,
        Self::CitricAcid,
        Self::LacticAcid,
        Self::MalicAcid,
        Self::TartaricAcid,
        Self::AceticAcid,
        Self::MilkSalts,
        Self::PlantMinerals,
    ];

    /// Place of this osmolyte in [`Osmolyte::ALL`].
    #[must_use]
    pub const fn index(self) -> usize {
        self as usize
    }

    /// The property that holds this osmolyte's grams, or names its osmoles.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::SodiumChloride => "sodium_chloride",
            Self::PotassiumChloride => "potassium_chloride",
            Self::CalciumChloride => "calcium_chloride",
            Self::SodiumBicarbonate => "sodium_bicarbonate",
            Self::TrisodiumCitrate => "trisodium_citrate",
            Self::DipotassiumPhosphate => "dipotassium_phosphate",
            Self::Ethanol => "alcohol",
            Self::CitricAcid => "citric_acid",
            Self::LacticAcid => "lactic_acid",
            Self::MalicAcid => "malic_acid",
            Self::TartaricAcid => "tartaric_acid",
            Self::AceticAcid => "acetic_acid",
            Self::MilkSalts => "milk_salts",
            Self::PlantMinerals => "plant_minerals",
        }
    }

    /// The osmolyte whose grams this property holds.
    #[must_use]
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|osmolyte| osmolyte.id() == id)
    }

    /// The constants of this osmolyte, with where they come from.
    #[must_use]
    pub const fn constants(self) -> &'static Osmotic {
        &OSMOTIC[self.index()]
    }

    /// The mass of one mole; of one osmole where osmoles are counted.
    #[must_use]
    pub const fn molar_mass(self) -> MolarMass {
        self.constants().molar_mass
    }
}

impl Osmotic {
    /// `nu phi m` at a molality and its slope, with `phi` held beyond the clamp.
    pub(crate) fn strength(&self, phi: &Polynomial, molality: f64) -> (f64, f64) {
        let held = molality.min(self.clamp);
        let (value, rise) = phi
            .iter()
            .rev()
            .fold((0.0, 0.0), |(value, rise), coefficient| {
                (value * held + coefficient, rise * held + value)
            });
        let slope = if molality > self.clamp {
            value
        } else {
            value + rise * held
        };
        (self.particles * value * molality, self.particles * slope)
    }
}

const fn polynomial<const N: usize>(head: [f64; N]) -> Polynomial {
    let mut all = [0.0; 6];
    let mut place = 0;
    while place < N {
        all[place] = head[place];
        place += 1;
    }
    all
}

static OSMOTIC: [Osmotic; Osmolyte::COUNT] = [
    Osmotic {
        molar_mass: grams_per_mole(58.443),
        particles: 2.0,
        phi: polynomial([0.900_13, 0.004_649, 0.006_559]),
        phi_20: polynomial([0.908_252, 0.023_451, 0.009_459, -0.000_549]),
        clamp: 6.0,
        doubt: 0.01,
        origin: "phi fitted to crc-102 freezing points to 23 wt%; phi at 20 C fitted to pyeql-1.7.0 to 6 mol/kg, checked against aquasol-1.8.2",
    },
    Osmotic {
        molar_mass: grams_per_mole(74.551),
        particles: 2.0,
        phi: polynomial([0.893_329, -0.014_366]),
        phi_20: polynomial([0.911_713, -0.023_255, 0.015_954, -0.001_680]),
        clamp: 3.0,
        doubt: 0.01,
        origin: "phi fitted to crc-102 freezing points to 13 wt%; phi at 20 C fitted to pyeql-1.7.0 to 4 mol/kg, checked against aquasol-1.8.2",
    },
    Osmotic {
        molar_mass: grams_per_mole(110.984),
        particles: 3.0,
        phi: polynomial([0.803_347, 0.137_372, 0.138_462, -0.030_783]),
        phi_20: polynomial([0.7819, 0.2354, 0.0281]),
        clamp: 2.54,
        doubt: 0.03,
        origin: "phi fitted to crc-102 freezing points to 22 wt%; phi at 20 C fitted to pyeql-1.7.0 to 2.6 mol/kg",
    },
    Osmotic {
        molar_mass: grams_per_mole(84.007),
        particles: 2.0,
        phi: polynomial([0.898_479, -0.130_021]),
        phi_20: polynomial([0.9379, -0.0919]),
        clamp: 0.8,
        doubt: 0.02,
        origin: "phi fitted to crc-102 freezing points to 6 wt%; phi at 20 C fitted to pyeql-1.7.0",
    },
    Osmotic {
        molar_mass: grams_per_mole(258.06),
        particles: 4.0,
        phi: polynomial([0.688_099, -0.247_878, 0.173_483]),
        phi_20: polynomial([0.688_099, -0.247_878, 0.173_483]),
        clamp: 0.97,
        doubt: 0.02,
        origin: "phi fitted to crc-102 freezing points to 20 wt%, whose molalities count the anhydrous salt; the same at 20 C by analogy",
    },
    Osmotic {
        molar_mass: grams_per_mole(174.176),
        particles: 3.0,
        phi: polynomial([0.762_514, -0.128_72]),
        phi_20: polynomial([0.8027, -0.1913]),
        clamp: 0.5,
        doubt: 0.02,
        origin: "phi fitted to crc-102 freezing points; phi at 20 C fitted to pyeql-1.7.0",
    },
    Osmotic {
        molar_mass: grams_per_mole(46.068),
        particles: 1.0,
        phi: polynomial([
            0.985_119,
            -5.372_98e-3,
            3.372_31e-3,
            8.231_66e-4,
            -1.380_203e-4,
            4.789_99e-6,
        ]),
        phi_20: polynomial([0.98]),
        clamp: 14.47,
        doubt: 0.03,
        origin: "phi fitted to crc-102 freezing points to 40 wt%; phi at 20 C from memory",
    },
    Osmotic {
        molar_mass: grams_per_mole(192.124),
        particles: 1.0,
        phi: polynomial([1.023_754, 0.064_060, -0.028_388]),
        phi_20: polynomial([1.05]),
        clamp: 2.3,
        doubt: 0.02,
        origin: "phi fitted to crc-102 freezing points to 30 wt%; phi at 20 C from memory",
    },
    Osmotic {
        molar_mass: grams_per_mole(90.078),
        particles: 1.0,
        phi: polynomial([0.8767]),
        phi_20: polynomial([0.90]),
        clamp: 9.0,
        doubt: 0.03,
        origin: "phi fitted to crc-102 freezing points to 20 wt%; phi at 20 C from memory",
    },
    Osmotic {
        molar_mass: grams_per_mole(134.087),
        particles: 1.0,
        phi: polynomial([1.02]),
        phi_20: polynomial([1.02]),
        clamp: 9.0,
        doubt: 0.05,
        origin: "by analogy with citric acid; no measurement found",
    },
    Osmotic {
        molar_mass: grams_per_mole(150.087),
        particles: 1.0,
        phi: polynomial([1.03]),
        phi_20: polynomial([1.03]),
        clamp: 9.0,
        doubt: 0.05,
        origin: "by analogy with citric and malic acid; no measurement found",
    },
    Osmotic {
        molar_mass: grams_per_mole(60.052),
        particles: 1.0,
        phi: polynomial([0.974_088, -0.021_557]),
        phi_20: polynomial([0.974_088, -0.021_557]),
        clamp: 9.4,
        doubt: 0.02,
        origin: "phi fitted to crc-102 freezing points to 36 wt%; the same at 20 C by analogy",
    },
    Osmotic {
        molar_mass: grams_per_mole(60.0),
        particles: 1.0,
        phi: polynomial([1.0]),
        phi_20: polynomial([1.0]),
        clamp: 9.0,
        doubt: 0.15,
        origin: "osmoles counted by the rule of goff-hartel-2013, 2.37 K per (g/g) over 1.86 K kg/mol, so phi is one by definition; grams per osmole by analogy, used for the freeze limit only",
    },
    Osmotic {
        molar_mass: grams_per_mole(40.0),
        particles: 1.0,
        phi: polynomial([1.0]),
        phi_20: polynomial([1.0]),
        clamp: 9.0,
        doubt: 0.2,
        origin: "osmoles counted from label sodium and potassium with an assumed counter-ion; grams per osmole by analogy, used for the freeze limit only",
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_id_leads_back_to_its_substance() {
        for osmolyte in Osmolyte::ALL {
            assert_eq!(Osmolyte::from_id(osmolyte.id()), Some(osmolyte));
            assert_eq!(Osmolyte::ALL[osmolyte.index()], osmolyte);
        }
        assert_eq!(Osmolyte::from_id("sucrose"), None);
    }

    #[test]
    fn more_of_an_osmolyte_is_always_stronger() {
        for osmolyte in Osmolyte::ALL {
            let constants = osmolyte.constants();
            for phi in [&constants.phi, &constants.phi_20] {
                let mut last = -1.0;
                for tenth in 0..400 {
                    let (strength, slope) = constants.strength(phi, f64::from(tenth) / 10.0);
                    assert!(
                        strength > last && slope > 0.0,
                        "{} at {tenth}",
                        osmolyte.id()
                    );
                    last = strength;
                }
            }
        }
    }
}
