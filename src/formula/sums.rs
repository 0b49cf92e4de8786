//! What a mass adds to a mix: every part, its solution and its sweetness, additive in grams.

use std::ops::{Add, AddAssign, Mul};

use super::derive::Draft;
use super::levelling::Levelling;
use super::part::Part;
use super::taste::{self, Tastes};
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
    /// Grams sucrose-equivalent that are not counted by kind: sweeteners of their own sweetness, by
    /// their plain ratios, and what the figure of a syrup leaves for its higher saccharides.
    pub fixed_sweetness: f64,
    /// Grams sucrose-equivalent of everything, before what levels off is taken from it.
    pub sweetness: f64,
    /// The same by the fixed ratios of the trade.
    pub trade_sweetness: f64,
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
            sweetness: 0.0,
            trade_sweetness: 0.0,
            levelling: Levelling::default(),
        }
    }
}

impl Sums {
    /// One gram of an ingredient.
    pub fn per_gram(draft: &Draft<'_>, tastes: &Tastes) -> Self {
        let mut sums = Sums {
            grams: 1.0,
            ..Sums::default()
        };
        for &part in Part::ALL {
            sums.parts[part.index()] = draft.number(part) / 100.0;
        }
        sums.dissolve(draft);
        sums.sweeten(draft, tastes);
        sums.sweetness = sums.fixed_sweetness + by_kind(&sums.sweet, |s| tastes.ratio(s).typical);
        sums.trade_sweetness = traded(draft, tastes);
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

    /// Sugars and polyols by kind; what a syrup's figure leaves when they are counted goes to what
    /// has no kind: higher saccharides, at most as sweet as maltose at its sweetest, and sugars that are not told,
    /// between maltose and fructose. A sweetener of its own (intense, fibre) tastes as its figure
    /// says, and a person's own figure of a jar goes before the sum of its sugars.
    fn sweeten(&mut self, draft: &Draft<'_>, tastes: &Tastes) {
        let gram = |part: Part| draft.number(part) / 100.0;
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
        if let Some(own) = draft.own_sweetness() {
            self.fixed_sweetness = own;
            return;
        }
        for (n, solute) in Solute::ALL.into_iter().enumerate() {
            if let Some(part) = Part::parse(solute.id()) {
                self.sweet[n] = gram(part);
            }
        }
        let (higher, unknown) = (gram(Part::HigherSaccharides), gram(Part::UnspecifiedSugars));
        let Some(whole) = draft.stated_sweetness() else {
            self.fixed_sweetness = higher * tastes.higher().typical;
            self.sweet[Solute::Sucrose as usize] += unknown / 2.0;
            self.sweet[Solute::Glucose as usize] += unknown / 2.0;
            return;
        };
        let told = by_kind(&self.sweet, |s| tastes.ratio(s).typical);
        let ratio = |solute: Solute| tastes.ratio(solute).typical;
        let rest = (whole - told).max(0.0);
        self.fixed_sweetness = if draft.sweet_by_itself() || (told + higher + unknown == 0.0) {
            rest
        } else {
            rest.clamp(
                unknown * ratio(Solute::Maltose),
                (unknown * ratio(Solute::Fructose)).max(unknown * ratio(Solute::Maltose))
                    + higher * tastes.ratio(Solute::Maltose).high,
            )
        };
    }
}

fn by_kind(sweet: &[f64; Solute::ALL.len()], ratio: impl Fn(Solute) -> f64) -> f64 {
    Solute::ALL
        .into_iter()
        .zip(sweet)
        .map(|(solute, grams)| grams * ratio(solute))
        .sum()
}

/// Sweetness of a gram as the trade counts it: a syrup or an intense sweetener by its one figure,
/// everything else by its sugars and polyols, each by a fixed ratio.
fn traded(draft: &Draft<'_>, tastes: &Tastes) -> f64 {
    let whole = taste::trade(draft.ingredient)
        .filter(|_| !taste::is_measure(draft.ingredient))
        .or_else(|| draft.own_sweetness())
        .or_else(|| draft.stated_sweetness());
    whole.unwrap_or_else(|| {
        let gram = |part: Part| draft.number(part) / 100.0;
        let kind = |solute: Solute| {
            Part::parse(solute.id()).map_or(0.0, |part| gram(part) * tastes.trade(solute))
        };
        let halves = (tastes.trade(Solute::Sucrose) + tastes.trade(Solute::Glucose)) / 2.0;
        Solute::ALL.into_iter().map(kind).sum::<f64>()
            + gram(Part::UnspecifiedSugars) * halves
            + gram(Part::HigherSaccharides) * tastes.higher().typical
    })
}

impl AddAssign for Sums {
    fn add_assign(&mut self, other: Self) {
        self.grams += other.grams;
        self.fixed_sweetness += other.fixed_sweetness;
        self.sweetness += other.sweetness;
        self.trade_sweetness += other.trade_sweetness;
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
        self.sweetness *= factor;
        self.trade_sweetness *= factor;
        self.levelling = self.levelling * factor;
        self.parts.iter_mut().for_each(|p| *p *= factor);
        self.sweet.iter_mut().for_each(|s| *s *= factor);
        self.solution = self.solution * factor;
        self
    }
}
