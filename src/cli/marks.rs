//! What the options of a command say of dials: wishes, marks and additions.

use crate::diagnostic::{Diagnostic, Problems};
use crate::engine::Engine;
use crate::formula::Formula;
use crate::model::{Aim, Dial, Goal, Wish, fold};

use super::args::Wanted;
use super::{ingredient, own};

/// What the options of a swap or a rebalance ask for together.
pub(super) fn wish(engine: &Engine, wanted: &Wanted) -> Result<Wish, Problems> {
    let mut wish = Wish {
        at_most: wanted.at_most,
        ..Wish::default()
    };
    let plain = [
        (&wanted.keep, Aim::Keep),
        (&wanted.raise, Aim::Raise),
        (&wanted.lower, Aim::Lower),
    ];
    for (names, aim) in plain {
        for name in names {
            wish.goals.push(Goal {
                dial: dial(name)?,
                aim,
            });
        }
    }
    for (texts, least) in [(&wanted.at_least, true), (&wanted.not_over, false)] {
        for text in texts {
            let (dial, number) = dial_number(text)?;
            wish.goals.push(Goal {
                dial,
                aim: if least {
                    Aim::AtLeast(number)
                } else {
                    Aim::AtMost(number)
                },
            });
        }
    }
    if let Some(text) = &wanted.newcomers {
        wish.newcomer = engine.condition(text)?;
    }
    if !wanted.shelf.is_empty() {
        let ids = wanted.shelf.iter().map(|name| {
            ingredient(engine, name).map(|k| engine.catalogue.ingredient(k).id.clone())
        });
        wish.shelf = Some(ids.collect::<Result<_, _>>()?);
    }
    if wanted.from_shelf {
        wish.shelf = Some(own::shelf(engine)?);
    }
    Ok(wish)
}

fn dial(name: &str) -> Result<Dial, Problems> {
    let id = fold(name).replace(' ', "_");
    let found = Dial::parse(&id).or_else(|| {
        Dial::ALL
            .iter()
            .find(|d| fold(d.2) == fold(name))
            .map(|d| d.0)
    });
    found.ok_or_else(|| {
        let ids: Vec<&str> = Dial::ALL.iter().map(|d| d.1).collect();
        let near = crate::diagnostic::nearest(&id, ids.iter().copied())
            .map(|n| format!("the nearest is `{n}`"));
        Diagnostic::new("Q006", "dial", format!("a mix has no dial `{name}`"))
            .help(near.unwrap_or(format!("one of {}", ids.join(", "))))
            .into()
    })
}

/// `fat 8`, `fat=8`, `freezing point -4 C`.
fn dial_number(text: &str) -> Result<(Dial, f64), Problems> {
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
/// `scoopable at -18` is 70 to 75 % of the water frozen at that temperature.
pub(super) fn mark(text: &str) -> Result<Goal, Problems> {
    let folded = fold(text);
    if folded.contains("scoopable") {
        let degrees = text
            .split(|c: char| c.is_whitespace() || matches!(c, 'C' | 'c' | '°'))
            .find_map(|word| word.parse::<f64>().ok());
        let dial = match degrees {
            None | Some(-18.0) => Dial::FrozenAt18,
            Some(-12.0) => Dial::FrozenAt12,
            Some(other) => {
                return Err(Diagnostic::new(
                    "Q018",
                    "mark",
                    format!("`{text}`: scoopable is set at -18 or -12 C, not at {other}"),
                )
                .help(
                    "write `scoopable at -18` or `scoopable at -12`; `tamis assess FILE --curve` \
                     shows the frozen water at every temperature, and a `freezing point` mark moves it",
                )
                .into());
            }
        };
        let (low, high) = crate::engine::SCOOPABLE;
        return Ok(Goal {
            dial,
            aim: Aim::Between(low, high),
        });
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

/// The way out of an addition that is none.
const HOW_TO_ADD: &str = "name what goes in with its amount, such as \"200 g dark chocolate\"";

/// What was added, written as a line of a formula: `200 g dark chocolate`, `2 tbsp honey`.
///
/// Errors: those of a formula.
pub(super) fn additions(engine: &Engine, text: &str) -> Result<Formula, Problems> {
    // In a list `-3 g sugar` begins with a dash; alone it would take out what is asked to be added.
    let taken_out = |line: &str| {
        let rest = line.trim_start().strip_prefix(['-', '\u{2212}']);
        rest.is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
    };
    if let Some(line) = text.lines().find(|line| taken_out(line)) {
        let message = format!("`{}` adds less than nothing", line.trim());
        let problem = Diagnostic::new("F006", "addition", message);
        return Err(problem.help(HOW_TO_ADD).into());
    }
    engine
        .formula("addition", text.as_bytes())
        .map_err(|mut problems| {
            // What a file lacks is a line; an addition is one.
            for problem in problems.0.iter_mut().filter(|p| p.code == "F010") {
                problem.help = Some(HOW_TO_ADD.into());
            }
            problems
        })
}
