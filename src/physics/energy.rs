//! Food energy by the factors of a jurisdiction.

use crate::physics::solute::Solute;

/// What gives energy in 100 g, grams each.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Energetic {
    /// Fat.
    pub fat: f64,
    /// Protein.
    pub protein: f64,
    /// Carbohydrate without polyols, fibre and organic acids.
    pub carbohydrate: f64,
    /// Polyols other than erythritol.
    pub polyols: f64,
    /// Erythritol.
    pub erythritol: f64,
    /// Dietary fibre.
    pub fibre: f64,
    /// Organic acids.
    pub organic_acids: f64,
    /// Ethanol.
    pub alcohol: f64,
}

/// Energy factors, kcal/g.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Factors {
    /// Of fat.
    pub fat: f64,
    /// Of protein.
    pub protein: f64,
    /// Of carbohydrate without polyols, fibre and organic acids.
    pub carbohydrate: f64,
    /// Of polyols other than erythritol.
    pub polyols: f64,
    /// Of erythritol.
    pub erythritol: f64,
    /// Of dietary fibre.
    pub fibre: f64,
    /// Of organic acids.
    pub organic_acids: f64,
    /// Of ethanol.
    pub alcohol: f64,
}

/// Factors of the European Union, kcal/g. Source: eu-1169-2011, Annex XIV.
pub const EU: Factors = Factors {
    fat: 9.0,
    protein: 4.0,
    carbohydrate: 4.0,
    polyols: 2.4,
    erythritol: 0.0,
    fibre: 2.0,
    organic_acids: 3.0,
    alcohol: 7.0,
};

/// The same factors in kJ/g. Source: eu-1169-2011, Annex XIV.
pub const EU_KILOJOULES: Factors = Factors {
    fat: 37.0,
    protein: 17.0,
    carbohydrate: 17.0,
    polyols: 10.0,
    erythritol: 0.0,
    fibre: 8.0,
    organic_acids: 13.0,
    alcohol: 29.0,
};

/// General factors of the United States, kcal/g.
/// Source: cfr-21-101-9, (c)(1)(i) (memory of the text): 4, 4 and 9 for protein, total carbohydrate
/// and fat, 2 for soluble fibre that is not digested; polyols one by one, see [`us_polyol`], of
/// which the highest but one stands here; organic acids count as carbohydrate; ethanol 7 is memory.
pub const US: Factors = Factors {
    fat: 9.0,
    protein: 4.0,
    carbohydrate: 4.0,
    polyols: 2.6,
    erythritol: 0.2,
    fibre: 2.0,
    organic_acids: 4.0,
    alcohol: 7.0,
};

/// Energy of one polyol on a label of the United States, kcal/g. `None` for other solutes.
/// Source: ific-2008, sugar alcohols fact sheet (label values); erythritol is given as 0 to 0.2.
#[must_use]
pub const fn us_polyol(solute: Solute) -> Option<f64> {
    match solute {
        Solute::Isomalt | Solute::Lactitol => Some(2.0),
        Solute::Xylitol => Some(2.4),
        Solute::Maltitol => Some(2.1),
        Solute::Sorbitol => Some(2.6),
        Solute::Mannitol => Some(1.6),
        Solute::Erythritol => Some(0.2),
        _ => None,
    }
}

/// Energy of 100 g.
///
/// Equation: `E = sum(f g)`
/// Units:    `f` [kcal/g or kJ/g]; `g` [g/100 g]; result [kcal/100 g or kJ/100 g]
/// Valid:    labels of the factors' jurisdiction; parts must not be counted twice
/// Source:   eu-1169-2011, Annex XIV; cfr-21-101-9, (c)(1)(i)
#[must_use]
pub fn energy(parts: &Energetic, factors: &Factors) -> f64 {
    parts.fat * factors.fat
        + parts.protein * factors.protein
        + parts.carbohydrate * factors.carbohydrate
        + parts.polyols * factors.polyols
        + parts.erythritol * factors.erythritol
        + parts.fibre * factors.fibre
        + parts.organic_acids * factors.organic_acids
        + parts.alcohol * factors.alcohol
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plain_mix_by_hand() {
        // 10 fat, 4 protein, 22 carbohydrate: 90 + 16 + 88 = 194 kcal; 370 + 68 + 374 = 812 kJ.
        let mix = Energetic {
            fat: 10.0,
            protein: 4.0,
            carbohydrate: 22.0,
            ..Energetic::default()
        };
        assert_eq!(energy(&mix, &EU), 194.0);
        assert_eq!(energy(&mix, &EU_KILOJOULES), 812.0);
        assert_eq!(energy(&mix, &US), 194.0);
    }

    #[test]
    fn polyols_count_less_and_erythritol_hardly() {
        // 10 polyols at 2.4 and 10 erythritol at 0: 24 kcal.
        let mix = Energetic {
            polyols: 10.0,
            erythritol: 10.0,
            ..Energetic::default()
        };
        assert_eq!(energy(&mix, &EU), 24.0);
        assert_eq!(us_polyol(Solute::Maltitol), Some(2.1));
        assert_eq!(us_polyol(Solute::Sucrose), None);
    }
}
