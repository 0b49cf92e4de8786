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

/// The constants of an osmolyte.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Osmotic {
    /// Mass of one mole; of one osmole where osmoles are counted.
    pub molar_mass: MolarMass,
    /// Particles one mole gives.
    pub particles: f64,
    /// Osmotic coefficient on the ice line: polynomial in molality, constant term first.
    pub phi: [f64; 4],
    /// Osmotic coefficient at 20 °C: polynomial in molality, constant term first.
    pub phi_20: [f64; 4],
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
    /// `phi m` at a molality and its slope, with `phi` held beyond the clamp.
    pub(crate) fn strength(&self, phi: &[f64; 4], molality: f64) -> (f64, f64) {
        let [c0, c1, c2, c3] = *phi;
        let held = molality.min(self.clamp);
        let value = c0 + held * (c1 + held * (c2 + held * c3));
        let slope = if molality > self.clamp {
            value
        } else {
            c0 + held * (2.0 * c1 + held * (3.0 * c2 + held * 4.0 * c3))
        };
        (self.particles * value * molality, self.particles * slope)
    }
}

static OSMOTIC: [Osmotic; Osmolyte::COUNT] = [
    Osmotic {
        molar_mass: grams_per_mole(58.443),
        particles: 2.0,
        phi: [0.900_13, 0.004_649, 0.006_559, 0.0],
        phi_20: [0.917, 0.018, 0.003, 0.0],
        clamp: 6.0,
        doubt: 0.01,
        origin: "phi fitted to crc-102 freezing points to 23 wt%; phi at 20 C from memory, checked against aquasol-1.8.2",
    },
    Osmotic {
        molar_mass: grams_per_mole(74.551),
        particles: 2.0,
        phi: [0.893_329, -0.014_366, 0.0, 0.0],
        phi_20: [0.899, 0.005, 0.0, 0.0],
        clamp: 3.0,
        doubt: 0.01,
        origin: "phi fitted to crc-102 freezing points to 13 wt%; phi at 20 C from memory, checked against aquasol-1.8.2",
    },
    Osmotic {
        molar_mass: grams_per_mole(110.984),
        particles: 3.0,
        phi: [0.711_873, 0.353_983, -0.009_871, 0.0],
        phi_20: [0.80, 0.20, 0.0, 0.0],
        clamp: 2.6,
        doubt: 0.05,
        origin: "phi fitted to crc-102 freezing points to 20 wt%; phi at 20 C from memory, poor above 0.5 mol/kg",
    },
    Osmotic {
        molar_mass: grams_per_mole(84.007),
        particles: 2.0,
        phi: [0.898_479, -0.130_021, 0.0, 0.0],
        phi_20: [0.898_479, -0.130_021, 0.0, 0.0],
        clamp: 0.8,
        doubt: 0.02,
        origin: "phi fitted to crc-102 freezing points; the same at 20 C by analogy",
    },
    Osmotic {
        molar_mass: grams_per_mole(258.06),
        particles: 4.0,
        phi: [0.715_084, -0.033_849, 0.0, 0.0],
        phi_20: [0.715_084, -0.033_849, 0.0, 0.0],
        clamp: 0.85,
        doubt: 0.05,
        origin: "phi fitted to crc-102 freezing points; the same at 20 C by analogy",
    },
    Osmotic {
        molar_mass: grams_per_mole(174.176),
        particles: 3.0,
        phi: [0.762_514, -0.128_72, 0.0, 0.0],
        phi_20: [0.762_514, -0.128_72, 0.0, 0.0],
        clamp: 0.5,
        doubt: 0.02,
        origin: "phi fitted to crc-102 freezing points; the same at 20 C by analogy",
    },
    Osmotic {
        molar_mass: grams_per_mole(46.068),
        particles: 1.0,
        phi: [0.890_993, 0.040_722, 0.000_434, -0.000_16],
        phi_20: [0.98, 0.0, 0.0, 0.0],
        clamp: 15.0,
        doubt: 0.05,
        origin: "phi fitted to crc-102 freezing points to 40 wt%; phi at 20 C from memory",
    },
    Osmotic {
        molar_mass: grams_per_mole(192.124),
        particles: 1.0,
        phi: [1.0447, 0.0, 0.0, 0.0],
        phi_20: [1.05, 0.0, 0.0, 0.0],
        clamp: 9.0,
        doubt: 0.03,
        origin: "phi fitted to crc-102 freezing points to 30 wt%; phi at 20 C from memory",
    },
    Osmotic {
        molar_mass: grams_per_mole(90.078),
        particles: 1.0,
        phi: [0.8767, 0.0, 0.0, 0.0],
        phi_20: [0.90, 0.0, 0.0, 0.0],
        clamp: 9.0,
        doubt: 0.03,
        origin: "phi fitted to crc-102 freezing points to 20 wt%; phi at 20 C from memory",
    },
    Osmotic {
        molar_mass: grams_per_mole(134.087),
        particles: 1.0,
        phi: [1.02, 0.0, 0.0, 0.0],
        phi_20: [1.02, 0.0, 0.0, 0.0],
        clamp: 9.0,
        doubt: 0.05,
        origin: "by analogy with citric acid; no measurement found",
    },
    Osmotic {
        molar_mass: grams_per_mole(150.087),
        particles: 1.0,
        phi: [1.03, 0.0, 0.0, 0.0],
        phi_20: [1.03, 0.0, 0.0, 0.0],
        clamp: 9.0,
        doubt: 0.05,
        origin: "by analogy with citric and malic acid; no measurement found",
    },
    Osmotic {
        molar_mass: grams_per_mole(60.052),
        particles: 1.0,
        phi: [0.95, 0.0, 0.0, 0.0],
        phi_20: [0.97, 0.0, 0.0, 0.0],
        clamp: 9.0,
        doubt: 0.05,
        origin: "memory",
    },
    Osmotic {
        molar_mass: grams_per_mole(60.0),
        particles: 1.0,
        phi: [1.0, 0.0, 0.0, 0.0],
        phi_20: [1.0, 0.0, 0.0, 0.0],
        clamp: 9.0,
        doubt: 0.15,
        origin: "osmoles counted by the rule of goff-hartel-2013, 2.37 K per (g/g) over 1.86 K kg/mol, so phi is one by definition; grams per osmole by analogy, used for the freeze limit only",
    },
    Osmotic {
        molar_mass: grams_per_mole(40.0),
        particles: 1.0,
        phi: [1.0, 0.0, 0.0, 0.0],
        phi_20: [1.0, 0.0, 0.0, 0.0],
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
