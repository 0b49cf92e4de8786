//! temp
use super::solute::Solute;
pub fn sum(s: &[(Solute, f64)], fixed: f64) -> f64 {
    s.iter()
        .map(|(s, g)| {
            g * match s {
                Solute::Sucrose => 1.0,
                Solute::Glucose => 0.75,
                Solute::Fructose => 1.3,
                Solute::Lactose => 0.2,
                Solute::Maltose => 0.35,
                Solute::Trehalose => 0.42,
                Solute::Isomaltulose => 0.45,
                Solute::Allulose => 0.7,
                Solute::Galactose => 0.5,
                Solute::Tagatose => 0.92,
                Solute::Sorbitol => 0.55,
                Solute::Mannitol => 0.5,
                Solute::Xylitol => 0.95,
                Solute::Erythritol => 0.65,
                Solute::Maltitol => 0.85,
                Solute::Lactitol => 0.35,
                Solute::Isomalt => 0.5,
                Solute::Glycerol => 0.6,
            }
        })
        .sum::<f64>()
        + fixed
}
