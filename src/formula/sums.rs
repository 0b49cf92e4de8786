//! What a mass adds to a mix: every part, its solution and its sweetness, additive in grams.

use std::ops::{Add, AddAssign, Mul};

use super::derive::Draft;
use super::levelling::Levelling;
use super::part::Part;
use crate::model::unit::MolarMass;
use crate::physics::osmolyte::Osmolyte;
use crate::physics::solute::Solute;
use crate::physics::solution::Solution;

/// Osmoles of milk salts in a gram of milk solids not fat.
/// Equation: handbook term 2.37 (MSNF + WS)/W over 1.86 K kg/mol. Source: goff-hartel-2013, Example Problem 13.
pub const MILK_SALT_OSMOLES: f64 = 1.274e-3;
/// Ash of skimmed milk solids, g per g; scales the salts of fractions that are low in them.
/// Source: usda-sr28, NDB 1091 (7.93 g ash in 96.07 g solids not fat).
pub const ASH_OF_MILK_SOLIDS: f64 = 0.0825;
/// Number-average molar mass of dissolving fibre when the source does not tell, g/mol: inulin of ten units. Source: memory.
const DISSOLVING_FIBRE_MOLAR_MASS: f64 = 1640.0;
/// Molar mass of higher saccharides when neither DE nor Mn is known, g/mol: maltodextrin of DE 15. Source: derived, 18016/DE.
const HIGHER_SACCHARIDE_MOLAR_MASS: f64 = 1201.0;
/// Osmotic coefficients of potassium and sodium salts near 0.1 mol/kg. Source: derived from crc-102 freezing points of NaCl and KCl.
const PHI_SODIUM: f64 = 0.92;
const PHI_POTASSIUM: f64 = 0.885;
const MOLAR_MASS_SODIUM: f64 = 22.990;
const MOLAR_MASS_POTASSIUM: f64 = 39.098;

/// What a mass adds to a mix.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sums {
    /// Grams of everything.
    pub grams: f64,
    /// Grams of each part (milligrams for minerals and alkaloids, kcal for energy).
    pub parts: [f64; Part::COUNT],
    /// What dissolves.
    pub solution: Solution,
    /// Grams of each sugar and polyol whose sweetness is counted by kind.
    pub sweet: [f64; Solute::ALL.len()],
    /// Grams sucrose-equivalent of ingredients whose own sweetness is stated, by their plain ratios.
    pub fixed_sweetness: f64,
    /// Those of them whose taste levels off.
    pub levelling: Levelling,
}

impl Default for Sums {
    fn default() -> Self {
        Sums {
            grams: 0.0,
            parts: [0.0; Part::COUNT],
            solution: Solution::new(),
            sweet: [0.0; Solute::ALL.len()],
            fixed_sweetness: 0.0,
            levelling: Levelling::default(),
        }
    }
}

impl Sums {
    /// One gram of an ingredient.
    pub fn per_gram(draft: &Draft<'_>) -> Self {
        let mut sums = Sums {
            grams: 1.0,
            ..Sums::default()
        };
        for &part in Part::ALL {
            sums.parts[part.index()] = draft.number(part) / 100.0;
        }
        sums.dissolve(draft);
        sums.sweeten(draft);
        sums
    }

    /// Grams of one part.
    pub fn part(&self, part: Part) -> f64 {
        self.parts[part.index()]
    }

    /// Grams of one part per 100 g.
    pub fn percent(&self, part: Part) -> f64 {
        if self.grams > 0.0 {
            100.0 * self.part(part) / self.grams
        } else {
            0.0
        }
    }

    fn dissolve(&mut self, draft: &Draft<'_>) {
        let gram = |part: Part| draft.number(part) / 100.0;
        let solution = &mut self.solution;
        solution.add_water(gram(Part::Water));
        for solute in Solute::ALL {
            if let Some(part) = Part::parse(solute.id()) {
                let grams = gram(part);
                if grams > 0.0 {
                    solution.add(solute, grams);
                }
            }
        }
        // Sugars of unknown kind count half as disaccharide, half as monosaccharide.
        let unknown = gram(Part::UnspecifiedSugars);
        solution.add(Solute::Sucrose, unknown / 2.0);
        solution.add(Solute::Glucose, unknown / 2.0);
        let mut glucan = |grams: f64, molar_mass: f64| {
            if let (true, Some(m)) = (grams > 0.0, MolarMass::new(molar_mass)) {
                solution.add_glucan(grams, m);
            }
        };
        glucan(
            gram(Part::HigherSaccharides),
            draft
                .higher_molar_mass()
                .unwrap_or(HIGHER_SACCHARIDE_MOLAR_MASS),
        );
        let fibre = gram(Part::SolubleFibre);
        if fibre > 0.0 {
            glucan(
                fibre,
                draft
                    .known(Part::NumberAverageMolarMass)
                    .unwrap_or(DISSOLVING_FIBRE_MOLAR_MASS),
            );
        }
        for osmolyte in Osmolyte::ALL {
            if let Some(part) = Part::parse(osmolyte.id())
                && gram(part) > 0.0
            {
                solution.add_osmolyte(osmolyte, gram(part));
            }
        }
        let single: f64 = [
            Part::CitricAcid,
            Part::MalicAcid,
            Part::TartaricAcid,
            Part::LacticAcid,
            Part::AceticAcid,
        ]
        .into_iter()
        .map(gram)
        .sum();
        let acids = gram(Part::OrganicAcids) - single;
        if acids > 0.0 {
            solution.add_osmolyte(Osmolyte::CitricAcid, acids);
        }
        self.minerals(draft);
    }

    /// Milk salts go by milk solids; other minerals by sodium and potassium with a counter-ion.
    fn minerals(&mut self, draft: &Draft<'_>) {
        let gram = |part: Part| draft.number(part) / 100.0;
        let milk = gram(Part::MilkSolidsNotFat);
        if milk > 0.0 {
            // Without an analysis of ash the salts lie in what is neither lactose nor protein.
            let ash = draft.known(Part::Ash).map_or_else(
                || (milk - gram(Part::Lactose) - gram(Part::Protein)).max(0.0),
                |ash| ash / 100.0,
            );
            let share = (ash / milk / ASH_OF_MILK_SOLIDS).min(1.0);
            self.solution
                .add_osmoles(Osmolyte::MilkSalts, MILK_SALT_OSMOLES * milk * share);
            return;
        }
        let salts = [
            Part::SodiumChloride,
            Part::PotassiumChloride,
            Part::SodiumBicarbonate,
            Part::TrisodiumCitrate,
            Part::DipotassiumPhosphate,
        ];
        // Dry matter without water of its own (nuts, flours) gives its minerals to the mix all the same.
        if salts.into_iter().map(gram).sum::<f64>() == 0.0 {
            let (sodium, potassium) = (gram(Part::Sodium) / 1000.0, gram(Part::Potassium) / 1000.0);
            let osmoles = 2.0 * PHI_SODIUM * sodium / MOLAR_MASS_SODIUM
                + 2.0 * PHI_POTASSIUM * potassium / MOLAR_MASS_POTASSIUM;
            if osmoles > 0.0 {
                self.solution.add_osmoles(Osmolyte::PlantMinerals, osmoles);
            }
        }
    }

    fn sweeten(&mut self, draft: &Draft<'_>) {
        if let (Some(maximum), Some(half)) = (
            draft.known(Part::SweetnessCeiling).filter(|m| *m > 0.0),
            draft
                .known(Part::SweetnessHalfConcentration)
                .filter(|h| *h > 0.0),
        ) {
            // Without a ratio the curve's own slope at its foot; 1 g in 100 g is 10 000 mg/kg.
            let plain = draft.stated_sweetness().unwrap_or(1.0e4 * maximum / half);
            self.fixed_sweetness = plain;
            self.levelling = Levelling::of(maximum, half, 1000.0, plain);
            return;
        }
        if let Some(sweetness) = draft.stated_sweetness() {
            self.fixed_sweetness = sweetness;
            return;
        }
        for (n, solute) in Solute::ALL.into_iter().enumerate() {
            if let Some(part) = Part::parse(solute.id()) {
                self.sweet[n] = draft.number(part) / 100.0;
            }
        }
        let unknown = draft.number(Part::UnspecifiedSugars) / 100.0;
        self.sweet[Solute::Sucrose as usize] += unknown / 2.0;
        self.sweet[Solute::Glucose as usize] += unknown / 2.0;
    }
}

impl AddAssign for Sums {
    fn add_assign(&mut self, other: Self) {
        self.grams += other.grams;
        self.fixed_sweetness += other.fixed_sweetness;
        self.levelling += other.levelling;
        for (a, b) in self.parts.iter_mut().zip(other.parts) {
            *a += b;
        }
        for (a, b) in self.sweet.iter_mut().zip(other.sweet) {
            *a += b;
        }
        self.solution += other.solution;
    }
}

impl Add for Sums {
    type Output = Sums;
    fn add(mut self, other: Self) -> Sums {
        self += other;
        self
    }
}

impl Mul<f64> for Sums {
    type Output = Sums;
    fn mul(mut self, factor: f64) -> Sums {
        self.grams *= factor;
        self.fixed_sweetness *= factor;
        self.levelling = self.levelling * factor;
        self.parts.iter_mut().for_each(|p| *p *= factor);
        self.sweet.iter_mut().for_each(|s| *s *= factor);
        self.solution = self.solution * factor;
        self
    }
}
