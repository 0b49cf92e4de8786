//! An amount as a label prints it.

use crate::model::label::{Band, Step};

/// An amount rounded by the bands of its nutrient, with its unit; as it stands where there are none.
pub fn shown(bands: &[&Band], nutrient: &str, amount: f64, unit: &str) -> String {
    let within = |band: &&&Band| match band.upto {
        None => true,
        Some(end) if band.inclusive => amount <= end + TIE,
        Some(end) => amount < end - TIE,
    };
    let mut of = bands.iter().filter(|b| b.nutrients.iter().any(|n| n == nutrient));
    let Some(band) = of.find(within) else {
        return format!("{amount:.1} {unit}");
    };
    match band.step {
        None => band.shown.clone(),
        Some(step) => format!("{} {unit}", rounded(amount, step)),
    }
}

/// Below what a sum of floats may be off; a tie goes up, as a hand sum does.
const TIE: f64 = 1e-9;

fn rounded(amount: f64, step: Step) -> String {
    let step = match step {
        Step::Multiple(step) => step,
        Step::Figures(figures) => {
            let magnitude = amount.max(TIE).log10().floor() as i32;
            10f64.powi(magnitude + 1 - figures)
        }
    };
    let multiple = (amount / step + 0.5 + TIE).floor() * step;
    let decimals = match step {
        s if s >= 1.0 => 0,
        s => (-s.log10()).ceil().max(0.0) as usize,
    };
    let text = format!("{multiple:.decimals$}");
    // Halves are written 2.5 and 3, tenths 2.0.
    let tenths = (step.log10() - step.log10().round()).abs() < TIE;
    match text.strip_suffix(".0") {
        Some(whole) if !tenths => whole.to_string(),
        _ => text,
    }
}
