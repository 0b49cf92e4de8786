//! An amount as a label prints it.

use crate::model::label::{Band, Step};

/// An amount rounded by the bands of its nutrient, with its unit; as it stands where there are none. An
/// amount that rounds up to the end of its band is written as the next band writes it: 9.96 g is 10 g.
pub fn shown(bands: &[&Band], nutrient: &str, amount: f64, unit: &str) -> String {
    let within = |band: &&&Band| match band.upto {
        None => true,
        Some(end) if band.inclusive => amount <= end + TIE,
        Some(end) => amount < end - TIE,
    };
    let of = bands
        .iter()
        .filter(|b| b.nutrients.iter().any(|n| n == nutrient));
    for band in of.filter(within) {
        let Some(step) = band.step else {
            return band.shown.clone();
        };
        let number = multiple(amount, step);
        let over = !band.inclusive && band.upto.is_some_and(|end| number >= end - TIE);
        if !over {
            return format!("{} {unit}", written(number, step));
        }
    }
    format!("{amount:.1} {unit}")
}

/// Below what a sum of floats may be off; a tie goes up, as a hand sum does.
const TIE: f64 = 1e-9;

/// The step an amount is rounded to.
fn width(amount: f64, step: Step) -> f64 {
    match step {
        Step::Multiple(step) => step,
        Step::Figures(figures) => {
            let magnitude = amount.max(TIE).log10().floor() as i32;
            10f64.powi(magnitude + 1 - figures)
        }
    }
}

fn multiple(amount: f64, step: Step) -> f64 {
    let width = width(amount, step);
    (amount / width + 0.5 + TIE).floor() * width
}

/// A multiple with the decimals of its step: halves as 2.5 and 3, tenths as 2.0.
fn written(number: f64, step: Step) -> String {
    let width = width(number, step);
    let decimals = match width {
        w if w >= 1.0 => 0,
        w => (-w.log10()).ceil().max(0.0) as usize,
    };
    let text = format!("{number:.decimals$}");
    let tenths = (width.log10() - width.log10().round()).abs() < TIE;
    match text.strip_suffix(".0") {
        Some(whole) if !tenths => whole.to_string(),
        _ => text,
    }
}
