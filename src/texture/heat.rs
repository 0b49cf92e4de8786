//! How hot what is in one pot must get, and how hot it may.

use super::process::Step;
use crate::model::Ingredient;
use crate::model::rule::Span;

/// Properties that name a temperature an ingredient must reach, and work without a rule.
const REACHED: [&str; 3] = [
    "hydration_temperature",
    "gelatinisation_temperature",
    "activation_temperature",
];
/// Below this nothing is heated for its own sake, C.
const COLD: f64 = 45.0;

/// A source and the place in it.
pub type Cited = (String, String);

/// A temperature the pot must reach, or must not pass, for somebody.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// For whom, in words.
    pub who: String,
    /// The temperature, C.
    pub celsius: f64,
    /// Whom it concerns, by name; empty for all.
    pub names: Vec<String>,
    /// How long, minutes.
    pub minutes: Option<Span>,
    /// Where that is known from.
    pub cited: Cited,
}

/// What a pot asks.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Asked {
    /// What must be reached, hottest first.
    pub needs: Vec<Mark>,
    /// The lowest that must not be passed.
    pub limit: Option<Mark>,
}

impl Asked {
    /// What a pot with these ingredients asks.
    pub fn of(steps: &[Step], pot: &[&Ingredient]) -> Asked {
        let within = |name: &String| pot.iter().any(|i| i.name == *name);
        let marks = |figure: fn(&Step) -> Option<f64>| -> Vec<Mark> {
            let marks = steps.iter().filter_map(|step| {
                let mut names = step.ingredients.clone();
                names.retain(within);
                (!names.is_empty() || step.ingredients.is_empty()).then(|| {
                    Some(Mark {
                        who: match names.is_empty() {
                            true => step.text.clone(),
                            false => names.join(", "),
                        },
                        celsius: figure(step)?,
                        names,
                        minutes: step.minutes,
                        cited: (step.source.clone(), step.locator.clone()),
                    })
                })?
            });
            marks.collect()
        };
        let mut needs = marks(|step| step.reach);
        let ruled = |name: &String| {
            let of = steps.iter().filter(|s| s.reach.is_some());
            of.flat_map(|s| &s.ingredients).any(|n| n == name)
        };
        let plain = pot.iter().filter(|i| !ruled(&i.name));
        needs.extend(plain.filter_map(|i| {
            Some(Mark {
                who: i.name.clone(),
                celsius: own(i)?,
                names: vec![i.name.clone()],
                minutes: None,
                cited: asked_by(i).map(|(_, cited)| cited)?,
            })
        }));
        needs.sort_by(|a, b| {
            b.celsius
                .total_cmp(&a.celsius)
                .then_with(|| a.who.cmp(&b.who))
        });
        let limits = marks(|step| step.limit).into_iter();
        Asked {
            needs,
            limit: limits.min_by(|a, b| a.celsius.total_cmp(&b.celsius)),
        }
    }

    /// The hottest that is asked, C.
    pub fn hottest(&self) -> Option<f64> {
        self.needs.first().map(|need| need.celsius)
    }

    /// The sources of all that is asked.
    pub fn cited(&self) -> Vec<Cited> {
        let marks = self.needs.iter().chain(&self.limit);
        marks.map(|mark| mark.cited.clone()).collect()
    }

    /// The limit that what is asked passes.
    pub fn conflict(&self) -> Option<&Mark> {
        let hottest = self.hottest()?;
        let limit = self.limit.as_ref();
        limit.filter(|limit| hottest > limit.celsius && !limit.names.is_empty())
    }

    /// How long the highest heat is held and for whom, whom a lower one serves longer, and what must not
    /// be passed: ` Hold it there 5 to 15 min (locust bean gum). Not above 84 C (egg yolk).`
    pub fn holds(&self) -> String {
        let Some(hottest) = self.hottest() else {
            return String::new();
        };
        let timed = self.needs.iter().filter_map(|n| Some((n, n.minutes?)));
        let longest = |high: bool| {
            let of = timed
                .clone()
                .filter(|(n, _)| (n.celsius == hottest) == high);
            of.max_by(|a, b| a.1.low.total_cmp(&b.1.low))
        };
        let (there, below) = (longest(true), longest(false));
        let there_low = there.map_or(0.0, |(_, minutes)| minutes.low);
        let below = below.filter(|(_, minutes)| minutes.low > there_low);
        let held = there.map(|(n, m)| format!(" Hold it there {} ({}).", lasting(m), n.who));
        let above = below.map(|(n, m)| {
            format!(
                " Above {:.0} C {} in all ({}).",
                n.celsius,
                lasting(m),
                n.who
            )
        });
        let limit = self.limit.as_ref();
        let limit = limit.map(|l| format!(" Not above {:.0} C ({}).", l.celsius, l.who));
        [held, above, limit].into_iter().flatten().collect()
    }
}

/// The heat an ingredient asks by its own values, C: what is typical, else the safe end of the range.
pub fn own(ingredient: &Ingredient) -> Option<f64> {
    asked_by(ingredient).map(|(celsius, _)| celsius)
}

/// The same, with the source of the value.
fn asked_by(ingredient: &Ingredient) -> Option<(f64, Cited)> {
    if ingredient.text("cold_soluble") == Some("yes") {
        return None;
    }
    let each = REACHED.iter().filter_map(|property| {
        let value = ingredient.value(property)?;
        let celsius = value.typical.or(value.range().map(|(_, high)| high))?;
        Some((celsius, (value.source.clone(), value.locator.clone())))
    });
    let hottest = each.max_by(|a, b| a.0.total_cmp(&b.0));
    hottest.filter(|(celsius, _)| *celsius > COLD)
}

/// A span of minutes in words: `4 to 12 h`, `5 to 15 min`, `10 min to 2 h`.
pub fn lasting(minutes: Span) -> String {
    let (low, high, unit) = match minutes.high >= 120.0 {
        true => (minutes.low / 60.0, minutes.high / 60.0, "h"),
        false => (minutes.low, minutes.high, "min"),
    };
    let figure = |n: f64| match n.fract().abs() < 0.05 {
        true => format!("{n:.0}"),
        false => format!("{n:.1}"),
    };
    if unit == "h" && minutes.low < 60.0 {
        return format!("{:.0} min to {} h", minutes.low, figure(high));
    }
    match low == high {
        true => format!("{} {unit}", figure(low)),
        false => format!("{} to {} {unit}", figure(low), figure(high)),
    }
}
