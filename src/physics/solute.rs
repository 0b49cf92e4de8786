//! Sugars and sugar alcohols, which act by their mole fraction, and chains of glucose units.

use crate::model::unit::MolarMass;

pub use crate::physics::osmolyte::{Osmolyte, Osmotic};

/// A dissolved substance that acts by its mole fraction: a sugar or a sugar alcohol.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Solute {
    /// Sucrose.
    Sucrose,
    /// D-Glucose (dextrose), anhydrous.
    Glucose,
    /// D-Fructose.
    Fructose,
    /// D-Galactose.
    Galactose,
    /// Maltose, anhydrous.
    Maltose,
    /// Lactose, anhydrous.
    Lactose,
    /// Trehalose, anhydrous.
    Trehalose,
    /// Isomaltulose, anhydrous.
    Isomaltulose,
    /// D-Allulose (psicose).
    Allulose,
    /// D-Tagatose.
    Tagatose,
    /// Sorbitol.
    Sorbitol,
    /// Mannitol.
    Mannitol,
    /// Xylitol.
    Xylitol,
    /// Erythritol.
    Erythritol,
    /// Maltitol.
    Maltitol,
    /// Lactitol, anhydrous.
    Lactitol,
    /// Isomalt.
    Isomalt,
    /// Glycerol.
    Glycerol,
}

/// The constants of a molecular solute.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Norrish {
    /// Mass of one mole.
    pub molar_mass: MolarMass,
    /// Constant `K` of the mole-fraction term on the ice line.
    pub k_ice: f64,
    /// Half-width within which `k_ice` is believed to lie.
    pub k_ice_doubt: f64,
    /// Softening of the term with mole fraction; zero for all but glycerol.
    pub beta: f64,
    /// Constant `K` of the mole-fraction term at 20 °C.
    pub k_20: f64,
    /// Where the constants come from.
    pub origin: &'static str,
}

/// One glucose unit inside a chain, g/mol: glucose less the water of its bond. Source: crc-102.
pub(crate) const GLUCAN_UNIT: f64 = 162.141;
/// The water that closes a chain, g/mol. Source: crc-102.
pub(crate) const GLUCAN_END: f64 = 18.015;
/// Share of `q` by which a chain may differ from the glucan line.
/// Source: derived, the miss of maltose when its constant is fitted below 20 % and used above.
const GLUCAN_DOUBT: f64 = 0.08;
/// `sqrt(K)` of a single unit at 20 °C. Source: memory, glucose at 25 °C.
const GLUCAN_Q_20: f64 = 1.5;
/// `sqrt(K)` added by each further unit at 20 °C. Source: memory, maltose less glucose at 25 °C.
const GLUCAN_STEP_20: f64 = 0.6307;

/// What one mole of a solute adds to the sums of a solution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct PerMole {
    /// `sqrt(K)` on the ice line.
    pub(crate) q_ice: f64,
    /// `sqrt(K)` at 20 °C.
    pub(crate) q_20: f64,
    /// Softening.
    pub(crate) beta: f64,
    /// Half-width of `q_ice`.
    pub(crate) q_doubt: f64,
}

pub(crate) const fn grams_per_mole(grams: f64) -> MolarMass {
    match MolarMass::new(grams) {
        Some(molar_mass) => molar_mass,
        None => panic!("a molar mass in the tables of constants must be above zero"),
    }
}

const fn norrish(
    molar_mass: f64,
    k_ice: f64,
    k_ice_doubt: f64,
    beta: f64,
    k_20: f64,
    origin: &'static str,
) -> Norrish {
    Norrish {
        molar_mass: grams_per_mole(molar_mass),
        k_ice,
        k_ice_doubt,
        beta,
        k_20,
        origin,
    }
}

impl Solute {
    /// Every molecular solute.
    pub const ALL: [Self; 18] = [
        Self::Sucrose,
        Self::Glucose,
        Self::Fructose,
        Self::Galactose,
        Self::Maltose,
        Self::Lactose,
        Self::Trehalose,
        Self::Isomaltulose,
        Self::Allulose,
        Self::Tagatose,
        Self::Sorbitol,
        Self::Mannitol,
        Self::Xylitol,
        Self::Erythritol,
        Self::Maltitol,
        Self::Lactitol,
        Self::Isomalt,
        Self::Glycerol,
    ];

    /// The property that holds this solute's grams.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Sucrose => "sucrose",
            Self::Glucose => "glucose",
            Self::Fructose => "fructose",
            Self::Galactose => "galactose",
            Self::Maltose => "maltose",
            Self::Lactose => "lactose",
            Self::Trehalose => "trehalose",
            Self::Isomaltulose => "isomaltulose",
            Self::Allulose => "allulose",
            Self::Tagatose => "tagatose",
            Self::Sorbitol => "sorbitol",
            Self::Mannitol => "mannitol",
            Self::Xylitol => "xylitol",
            Self::Erythritol => "erythritol",
            Self::Maltitol => "maltitol",
            Self::Lactitol => "lactitol",
            Self::Isomalt => "isomalt",
            Self::Glycerol => "glycerol",
        }
    }

    /// The solute whose grams this property holds.
    #[must_use]
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|solute| solute.id() == id)
    }

    /// The constants of this solute, with where they come from.
    #[must_use]
    pub const fn constants(self) -> &'static Norrish {
        &NORRISH[self as usize]
    }

    /// The mass of one mole.
    #[must_use]
    pub const fn molar_mass(self) -> MolarMass {
        self.constants().molar_mass
    }

    pub(crate) fn per_mole(self) -> PerMole {
        let constants = self.constants();
        let q_ice = constants.k_ice.sqrt();
        PerMole {
            q_ice,
            q_20: constants.k_20.sqrt(),
            beta: constants.beta,
            q_doubt: constants.k_ice_doubt / (2.0 * q_ice),
        }
    }
}

impl PerMole {
    /// A chain of glucose units: `sqrt(K)` grows by the same step with each unit.
    pub(crate) fn glucan(number_average: MolarMass) -> Self {
        let single = Solute::Glucose.constants().k_ice.sqrt();
        let step = Solute::Maltose.constants().k_ice.sqrt() - single;
        let bonds = (degree_of_polymerisation(number_average) - 1.0).max(0.0);
        let q_ice = single + bonds * step;
        Self {
            q_ice,
            q_20: GLUCAN_Q_20 + bonds * GLUCAN_STEP_20,
            beta: 0.0,
            q_doubt: q_ice * GLUCAN_DOUBT,
        }
    }
}

/// Number of glucose units in a chain of this molar mass.
///
/// Equation: `DP = (M - E) / U`, `U` one unit inside the chain and `E` the water that closes it
/// Units:    `M`, `U`, `E` [g/mol]; result [-]
/// Valid:    chains of one hexose; a number average gives the number-average length
/// Source:   crc-102 (molar masses)
#[must_use]
pub fn degree_of_polymerisation(molar_mass: MolarMass) -> f64 {
    (molar_mass.get() - GLUCAN_END) / GLUCAN_UNIT
}

/// Molar mass of a chain of this many glucose units; `None` where the number is below one.
///
/// Equation: `M = DP U + E`, `U` one unit inside the chain and `E` the water that closes it
/// Units:    `DP` [-]; `U`, `E` [g/mol]; result [g/mol]
/// Valid:    chains of one hexose, `DP >= 1`
/// Source:   crc-102 (molar masses)
#[must_use]
pub fn chain_molar_mass(degree_of_polymerisation: f64) -> Option<MolarMass> {
    if degree_of_polymerisation >= 1.0 {
        MolarMass::new(degree_of_polymerisation * GLUCAN_UNIT + GLUCAN_END)
    } else {
        None
    }
}

/// In the order of [`Solute::ALL`].
static NORRISH: [Norrish; 18] = [
    norrish(
        342.297,
        7.42,
        0.2,
        0.0,
        6.47,
        "K on the ice line fitted to crc-102, 5-42 wt%; K at 20 C from memory (25 C value)",
    ),
    norrish(
        180.156,
        2.72,
        0.1,
        0.0,
        2.25,
        "K on the ice line fitted to crc-102, 5-30 wt%; K at 20 C from memory (25 C value)",
    ),
    norrish(
        180.156,
        2.00,
        0.1,
        0.0,
        2.25,
        "K on the ice line fitted to crc-102, 5-28 wt%; K at 20 C from memory (25 C value)",
    ),
    norrish(
        180.156,
        2.5,
        0.7,
        0.0,
        2.25,
        "by analogy with glucose and fructose; no measurement found",
    ),
    norrish(
        342.297,
        7.09,
        0.5,
        0.0,
        4.54,
        "K on the ice line fitted to crc-102, 5-44 wt%; K at 20 C from memory (25 C value)",
    ),
    norrish(
        342.297,
        7.4,
        3.0,
        0.0,
        6.5,
        "by analogy with sucrose; crc-102 to 8 wt% agrees but cannot settle K; 10.2 at 25 C is remembered",
    ),
    norrish(
        342.297,
        7.4,
        1.5,
        0.0,
        6.5,
        "by analogy with sucrose; no measurement found",
    ),
    norrish(
        342.297,
        7.4,
        1.5,
        0.0,
        6.5,
        "by analogy with sucrose; no measurement found",
    ),
    norrish(
        180.156,
        2.0,
        0.7,
        0.0,
        2.25,
        "by analogy with fructose; no measurement found",
    ),
    norrish(
        180.156,
        2.0,
        0.7,
        0.0,
        2.25,
        "by analogy with fructose; no measurement found",
    ),
    norrish(
        182.172,
        2.4,
        0.7,
        0.0,
        1.65,
        "K on the ice line by analogy with glucose; K at 20 C from pmc2836749 Table 3 (25 C value)",
    ),
    norrish(
        182.172,
        1.73,
        0.3,
        0.0,
        0.91,
        "K on the ice line fitted to crc-102, 5-15 wt%; K at 20 C from pmc2836749 Table 3 (25 C value)",
    ),
    norrish(
        152.146,
        2.4,
        0.7,
        0.0,
        1.66,
        "K on the ice line by analogy with sorbitol; K at 20 C from pmc2836749 Table 3 (25 C value)",
    ),
    norrish(
        122.12,
        2.1,
        0.7,
        0.0,
        1.34,
        "K on the ice line by analogy with xylitol; K at 20 C from pmc2836749 Table 3 (25 C value)",
    ),
    norrish(
        344.313,
        7.1,
        1.5,
        0.0,
        4.54,
        "by analogy with maltose; no measurement found",
    ),
    norrish(
        344.313,
        7.1,
        1.5,
        0.0,
        6.5,
        "by analogy with maltitol and lactose; no measurement found",
    ),
    norrish(
        344.313,
        7.1,
        1.5,
        0.0,
        6.5,
        "by analogy with maltitol and isomaltulose; no measurement found",
    ),
    norrish(
        92.094,
        2.63,
        0.1,
        1.75,
        1.16,
        "K and beta on the ice line fitted to crc-102 and coolprop-8.0.0 to 60 wt%; K at 20 C from pmc2836749 Table 3 (25 C value)",
    ),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_id_leads_back_to_its_substance() {
        for solute in Solute::ALL {
            assert_eq!(Solute::from_id(solute.id()), Some(solute));
            assert_eq!(Solute::ALL[solute as usize], solute);
        }
        assert_eq!(Solute::from_id("alcohol"), None);
    }

    #[test]
    fn a_chain_of_two_is_maltose() {
        // Maltose weighs 342.297 g/mol (crc-102) and has two units.
        let units = degree_of_polymerisation(Solute::Maltose.molar_mass());
        assert!((units - 2.0).abs() < 1.0e-4);
        let pair = PerMole::glucan(chain_molar_mass(2.0).unwrap());
        assert!((pair.q_ice.powi(2) - Solute::Maltose.constants().k_ice).abs() < 1.0e-9);
    }
}
