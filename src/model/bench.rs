//! What a bench is like: how finely its scale is read, and what is written down there.

use super::ingredient::Ingredient;

/// How finely ingredients of a family are weighed.
#[derive(Debug, Clone, PartialEq)]
pub struct Scale {
    /// The family; empty for all others.
    pub family: String,
    /// The step of the scale, g.
    pub step: f64,
}

/// Something that is measured at the bench.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Measure {
    /// The kind of dish, as conditions write it; empty for all.
    pub kind: String,
    /// What.
    pub what: String,
    /// Its unit.
    pub unit: String,
}

/// All of it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Bench {
    /// Scales.
    pub scales: Vec<Scale>,
    /// What is measured, in order.
    pub measures: Vec<Measure>,
}

/// Steps a kitchen's scales have, g, coarse to fine. Source: common-practice.
const STEPS: [f64; 6] = [1.0, 0.5, 0.1, 0.05, 0.02, 0.01];
/// The most that rounding may change a line, as a share of it. Source: derived, half of what a
/// twentieth of a gum dose may do.
const CHANGE: f64 = 0.025;
/// Step where no family names one, g. Source: common-practice.
const USUAL: f64 = 1.0;

impl Bench {
    /// Grams as the scale for an ingredient shows them: by the step of its family, or a finer one where
    /// that would change the amount by more than a fortieth.
    pub fn weighed(&self, ingredient: &Ingredient, grams: f64) -> f64 {
        let of = |family: &str| self.scales.iter().find(|s| s.family == family);
        let step = of(&ingredient.family).or_else(|| of(""));
        let step = step.map_or(USUAL, |s| s.step);
        // The multiple is taken as a count, so that 0.15 is the nearest number to it.
        let rounded = |step: f64| (grams / step).round() / (1.0 / step).round().max(1e-9);
        let near = |step: &f64| (rounded(*step) - grams).abs() <= CHANGE * grams;
        let mut finer = STEPS.into_iter().filter(|s| *s <= step + 1e-12);
        let found = finer.find(near);
        found.map_or(grams, rounded)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(family: &str) -> Ingredient {
        Ingredient {
            id: String::new(),
            name: String::new(),
            groups: vec![],
            family: family.into(),
            form: String::new(),
            origin: vec![],
            functions: vec![],
            e_number: String::new(),
            cas: vec![],
            note: String::new(),
            commonness: Default::default(),
            names: vec![],
            values: vec![],
            allergens: vec![],
            parts: vec![],
            own: false,
            row: Default::default(),
        }
    }

    #[test]
    fn each_is_weighed_as_finely_as_it_needs() {
        let scale = |family: &str, step: f64| Scale {
            family: family.into(),
            step,
        };
        let bench = Bench {
            scales: vec![scale("stabiliser", 0.05), scale("", 1.0)],
            measures: vec![],
        };
        // Hand sums: the nearest multiple, a finer step where it strays more than a fortieth.
        for (family, grams, shown) in [
            ("milk", 621.6, 622.0),
            ("milk", 12.4, 12.5),
            ("stabiliser", 2.43, 2.45),
            ("stabiliser", 0.2, 0.2),
            ("stabiliser", 0.23, 0.23),
            ("sugar", 0.004, 0.004),
        ] {
            let found = bench.weighed(&of(family), grams);
            assert!((found - shown).abs() < 1e-9, "{family} {grams}: {found}");
        }
    }
}
