//! What is typed of a dial: its name, a bound, a new mark.

use super::SCOOPABLE;
use crate::diagnostic::{self, Choice, Diagnostic, Problems};
use crate::model::{Aim, Dial, Goal, fold};

/// A dial by its id or its name.
///
/// Errors: `Q006`.
pub(super) fn dial(name: &str) -> Result<Dial, Problems> {
    let id = fold(name).replace(' ', "_");
    let found = Dial::parse(&id).or_else(|| {
        Dial::ALL
            .iter()
            .find(|d| fold(d.2) == fold(name))
            .map(|d| d.0)
    });
    found.ok_or_else(|| {
        let ids: Vec<&str> = Dial::ALL.iter().map(|d| d.1).collect();
        let near = diagnostic::nearest(&id, ids.iter().copied());
        Diagnostic::new("Q006", "dial", format!("a mix has no dial `{name}`"))
            .help(match near {
                Some(near) => format!("the nearest is `{near}`"),
                None => format!("one of {}", ids.join(", ")),
            })
            .nearest(near.map(Choice::word))
            .into()
    })
}

/// A bound: `fat 8`, `fat=8`, `freezing point -4 C`.
///
/// Errors: `Q006`, `Q013` where no number stands behind a name.
pub(super) fn dial_number(text: &str) -> Result<(Dial, f64), Problems> {
    let cleaned = text.replace(['=', '%'], " ");
    let words: Vec<&str> = cleaned
        .split_whitespace()
        .filter(|w| !matches!(*w, "C" | "c" | "kcal"))
        .collect();
    let number = words
        .last()
        .and_then(|w| w.parse::<f64>().ok())
        .filter(|n| n.is_finite());
    match (number, words.split_last()) {
        (Some(number), Some((_, name))) if !name.is_empty() => Ok((dial(&name.join(" "))?, number)),
        _ => Err(
            Diagnostic::new("Q013", "mark", format!("`{text}` is no mark"))
                .help("write a dial and a number, such as \"fat 8\" or \"freezing point -4\"")
                .into(),
        ),
    }
}

/// A new mark: `fat 8` is met within the dial's tolerance, `sweetness -20 %` is a share of what is there,
/// `scoopable at -18` is 68 to 75 % of the water frozen at that temperature.
///
/// Errors: `Q006`, `Q013`, `Q018` for a temperature that nothing is set at.
pub(super) fn mark(text: &str) -> Result<Goal, Problems> {
    if fold(text).contains("scoopable") {
        return scoopable(text);
    }
    let relative = text.contains('%') && text.contains(['-', '+']);
    let (dial, number) = dial_number(text)?;
    if relative && dial != Dial::FreezingPoint {
        return Ok(Goal {
            dial,
            aim: Aim::Relative(number / 100.0),
        });
    }
    let half = (number.abs() * 0.02).max(0.05);
    Ok(Goal {
        dial,
        aim: Aim::Between(number - half, number + half),
    })
}

/// `scoopable at -18`, `scoopable at -12`; without a temperature the home freezer's.
fn scoopable(text: &str) -> Result<Goal, Problems> {
    let degrees = text
        .split(|c: char| c.is_whitespace() || matches!(c, 'C' | 'c' | '°'))
        .find_map(|word| word.parse::<f64>().ok());
    let dial = match degrees {
        None | Some(-18.0) => Dial::FrozenAt18,
        Some(-12.0) => Dial::FrozenAt12,
        Some(other) => {
            let message = format!("`{text}`: scoopable is set at -18 or -12 C, not at {other}");
            return Err(Diagnostic::new("Q018", "mark", message)
                .help(
                    "write `scoopable at -18` or `scoopable at -12`; `tamis assess FILE --curve` \
                     shows the frozen water at every temperature, and a `freezing point` mark moves it",
                )
                .into());
        }
    };
    let (low, high) = SCOOPABLE;
    Ok(Goal {
        dial,
        aim: Aim::Between(low, high),
    })
}
