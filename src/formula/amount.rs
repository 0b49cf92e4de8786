//! Amounts as kitchens write them, turned into grams.

/// A unit of mass or volume.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Unit {
    /// Grams in one.
    Mass(f64),
    /// Millilitres in one.
    Volume(f64),
}

/// Every unit word. Masses and US volumes: NIST Handbook 44 Appendix C (avoirdupois pound
/// 453.59237 g, US gallon 3785.411784 mL), recalled; spoons and metric cup: common practice.
const UNITS: &[(&str, Unit)] = &[
    ("g", Unit::Mass(1.0)),
    ("gram", Unit::Mass(1.0)),
    ("grams", Unit::Mass(1.0)),
    ("kg", Unit::Mass(1000.0)),
    ("mg", Unit::Mass(0.001)),
    ("oz", Unit::Mass(28.349_523_125)),
    ("ounce", Unit::Mass(28.349_523_125)),
    ("ounces", Unit::Mass(28.349_523_125)),
    ("lb", Unit::Mass(453.592_37)),
    ("lbs", Unit::Mass(453.592_37)),
    ("pound", Unit::Mass(453.592_37)),
    ("pounds", Unit::Mass(453.592_37)),
    ("ml", Unit::Volume(1.0)),
    ("cl", Unit::Volume(10.0)),
    ("dl", Unit::Volume(100.0)),
    ("l", Unit::Volume(1000.0)),
    ("litre", Unit::Volume(1000.0)),
    ("liter", Unit::Volume(1000.0)),
    ("litres", Unit::Volume(1000.0)),
    ("liters", Unit::Volume(1000.0)),
    ("tsp", Unit::Volume(5.0)),
    ("teaspoon", Unit::Volume(5.0)),
    ("teaspoons", Unit::Volume(5.0)),
    ("tbsp", Unit::Volume(15.0)),
    ("tablespoon", Unit::Volume(15.0)),
    ("tablespoons", Unit::Volume(15.0)),
    ("cup", Unit::Volume(236.588_236_5)),
    ("cups", Unit::Volume(236.588_236_5)),
    ("pint", Unit::Volume(473.176_473)),
    ("quart", Unit::Volume(946.352_946)),
    ("floz", Unit::Volume(29.573_529_562_5)),
];

/// The unit a word means.
pub fn unit(word: &str) -> Option<Unit> {
    let word = word.trim().to_lowercase();
    UNITS
        .iter()
        .find(|(w, _)| *w == word)
        .map(|(_, unit)| *unit)
}

/// Every unit word.
pub fn words() -> impl Iterator<Item = &'static str> {
    UNITS.iter().map(|(word, _)| *word)
}

/// Grams of `amount` units; a volume needs the density in g/mL.
pub fn grams(amount: f64, unit: Unit, density: Option<f64>) -> Option<f64> {
    match unit {
        Unit::Mass(grams) => Some(amount * grams),
        Unit::Volume(millilitres) => Some(amount * millilitres * density?),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ounces_pounds_and_cups_become_grams() {
        // 16 oz = 1 lb = 453.59237 g exactly; a US cup of water at 0.9982 g/mL is 236.2 g.
        let close = |a: Option<f64>, b: f64| a.is_some_and(|a| (a - b).abs() < 0.05);
        assert!(close(
            unit("oz").and_then(|u| grams(16.0, u, None)),
            453.592_37
        ));
        assert!(close(
            unit("LB").and_then(|u| grams(1.0, u, None)),
            453.592_37
        ));
        assert!(close(
            unit("cup").and_then(|u| grams(1.0, u, Some(0.9982))),
            236.16
        ));
        assert_eq!(unit("cup").and_then(|u| grams(1.0, u, None)), None);
    }
}
