//! The verdict on a formula: how it scoops or sets, where its figures leave what is usual for its
//! class, and what in grams would bring them back.

use super::Engine;
use super::summary::{amounts, told_figure};
use crate::answer::{Amount, Assessment, DepartureOut, DishOut, SoftnessOut};
use crate::condition::Mix;
use crate::formula::{Dish, FREEZER, Formula, MixView, State, Told};
use crate::model::class::{ClassRange, Firmness};
use crate::model::{Aim, Dial, DishKind, Goal, Wish};

/// The class whose bands hold for any frozen mix.
const ANY_FROZEN: &str = "frozen-dessert";
/// The class by whose bands a frozen dish of a class scoops: its own, or that of any frozen mix.
pub(super) fn frozen_class(class: &str) -> &str {
    match class {
        "" => ANY_FROZEN,
        class => class,
    }
}

/// Departures told with a verdict.
const TOLD: usize = 3;
/// A figure this little outside its range, as a part of the range's width, is no departure.
const SLACK: f64 = 0.05;
/// Coldest temperature at which a scoop is looked for, C.
const COLDEST: f64 = -30.0;
/// Steps of the halving that finds a temperature: 30 K / 2^12 is 0.01 K.
const HALVINGS: usize = 12;
/// Softness stands in one place; these say it again.
const OF_SOFTNESS: [Dial; 3] = [Dial::FrozenAt18, Dial::FrozenAt12, Dial::FreezingPoint];

impl Engine {
    /// Adds to an assessment how the formula scoops and where it leaves what is usual; with `fixes`
    /// what in grams would help.
    pub(super) fn judge(
        &self,
        assessment: &mut Assessment,
        formula: &Formula,
        view: &MixView<'_>,
        dish: &Dish,
        fixes: bool,
    ) {
        let state = view.state;
        if dish.kind == DishKind::Frozen {
            assessment.softness = self.softness(frozen_class(&dish.class), state);
            if let Some(softness) = assessment.softness.as_mut().filter(|_| fixes) {
                let (low, high) = softness.spoonable_percent;
                let off = !(low..=high).contains(&softness.frozen_percent_at_minus_18);
                if off {
                    let aim = Aim::Between(low, high);
                    let fix = self.moved_to(formula, Dial::FrozenAt18, aim);
                    softness.fix = fix.unwrap_or_default();
                }
            }
        }
        let departures = self.departures(&dish.class, view);
        assessment.departures = match fixes {
            true => departures
                .into_iter()
                .map(|d| self.with_fix(formula, d))
                .collect(),
            false => departures,
        };
    }

    /// What a formula was taken for.
    pub(super) fn dish_out(&self, dish: &Dish) -> DishOut {
        let class = self.catalogue.classes.get(&dish.class);
        let from = match (&dish.told_by, dish.told) {
            (Some(by), _) => by.because.clone(),
            (None, Told::Asked) => "the question".into(),
            (None, _) if !dish.class.is_empty() => "its name".into(),
            _ => dish.why.clone(),
        };
        let or = dish.told_by.as_ref().map_or("", |by| by.or.as_str());
        let or = self.catalogue.classes.get(or);
        DishOut {
            class: dish.class.clone(),
            name: class.map_or(String::new(), |c| c.name.clone()),
            kind: Some(dish.kind),
            from,
            or: or.map_or(String::new(), |c| c.name.clone()),
        }
    }

    /// How a frozen mix scoops; `None` where no band is known or nothing freezes.
    pub(super) fn softness(&self, class: &str, state: &State) -> Option<SoftnessOut> {
        let classes = &self.catalogue.classes;
        let frozen = state.frozen(FREEZER)?;
        let firmness = classes.firmness(class, FREEZER, frozen)?;
        let (low, high) = classes.band(class, Firmness::Spoonable, FREEZER)?;
        let served = classes.as_served(class);
        Some(SoftnessOut {
            at_minus_18: firmness,
            frozen_percent_at_minus_18: frozen,
            spoonable_percent: (low, high),
            scoops_from_celsius: temperature(state, high),
            served_celsius: served.map(|(celsius, ..)| celsius),
            served_percent: served.map(|(_, low, high)| (low, high)),
            frozen_percent_as_served: served.and_then(|(celsius, ..)| state.frozen(celsius)),
            fix: String::new(),
        })
    }

    /// The worst departures from what is usual for a class, worst first.
    fn departures(&self, class: &str, view: &MixView<'_>) -> Vec<DepartureOut> {
        let state = view.state;
        let mut found = self.doses_off(class, view);
        for (dial, id, name, unit) in Dial::ALL {
            if OF_SOFTNESS.contains(&dial) {
                continue;
            }
            let Some(figure) = state.dial(dial) else {
                continue;
            };
            let ranges = self.catalogue.classes.ranges_of(class, id);
            let mut plain = ranges.iter().filter(|r| r.condition.is_empty());
            let Some(range) = plain.next() else { continue };
            if let Some(off) = off(range, figure) {
                found.push((off, departure(range, (id, name, unit), figure)));
            }
        }
        found.sort_by(|a, b| b.0.total_cmp(&a.0));
        found
            .into_iter()
            .take(TOLD)
            .map(|(_, departure)| departure)
            .collect()
    }

    /// Doses of single ingredients or families that are not usual for a class.
    fn doses_off(&self, class: &str, view: &MixView<'_>) -> Vec<(f64, DepartureOut)> {
        let mut found = vec![];
        for range in self.catalogue.classes.ranges_of(class, "dose") {
            let Some(of) = range
                .condition
                .strip_prefix("of=")
                .filter(|of| !of.contains(';'))
            else {
                continue;
            };
            let (share, name) = match of.strip_prefix("family ") {
                Some(family) => {
                    let lines = view.formula.lines.iter();
                    let of = lines.filter(|l| self.catalogue.ingredient(l.key).family == family);
                    let grams: f64 = of.map(|l| l.grams).sum();
                    (
                        100.0 * grams / view.formula.grams().max(1e-9),
                        family.replace('-', " "),
                    )
                }
                None => {
                    let name = self
                        .catalogue
                        .key(of)
                        .map(|k| self.catalogue.ingredient(k).name.clone());
                    (view.share(of), name.unwrap_or(of.to_string()))
                }
            };
            // What is not in it is another way to make the dish, no fault.
            if share > 0.0
                && let Some(off) = off(range, share)
            {
                found.push((off, departure(range, ("dose", &name, "%"), share)));
            }
        }
        found
    }

    /// A departure with what in grams would bring the figure back, tried on the full model.
    pub(super) fn with_fix(&self, formula: &Formula, mut departure: DepartureOut) -> DepartureOut {
        if let Some(dial) = Dial::parse(&departure.property) {
            let aim = match (departure.low, departure.high) {
                (Some(low), Some(high)) => Aim::Between(low, high),
                (Some(low), None) => Aim::AtLeast(low),
                (None, Some(high)) => Aim::AtMost(high),
                (None, None) => return departure,
            };
            departure.fix = self.moved_to(formula, dial, aim).unwrap_or_default();
        }
        departure
    }

    /// What in grams brings a figure to an aim, with what it comes to; `None` where nothing does.
    pub(super) fn moved_to(&self, formula: &Formula, dial: Dial, aim: Aim) -> Option<String> {
        let (edits, after) = self.edits_to(formula, dial, aim)?;
        let side = |more: bool| -> Vec<Amount> {
            let of = edits.iter().filter(|a| (a.grams > 0.0) == more);
            of.cloned().collect()
        };
        let (more, less) = (side(true), side(false));
        let exchange = match (more.is_empty(), less.is_empty()) {
            (true, true) => return None,
            (false, true) => format!("add {}", amounts(&more)),
            (true, false) => format!("take out {}", amounts(&less)),
            (false, false) => format!("{} for {}", amounts(&more), amounts(&less)),
        };
        Some(format!(
            "{exchange} brings it to {} {}",
            told_figure(dial, after),
            dial.unit()
        ))
    }

    /// The lines to change so that a figure comes to an aim, signed grams, and the figure then.
    pub(super) fn edits_to(
        &self,
        formula: &Formula,
        dial: Dial,
        aim: Aim,
    ) -> Option<(Vec<Amount>, f64)> {
        let wish = Wish {
            goals: vec![Goal { dial, aim }],
            at_most: 2,
            ..Wish::default()
        };
        let out = self.rebalanced(formula, &[], &wish, "", &[]);
        let option = out.options.first()?;
        let after = option
            .changed
            .iter()
            .find(|c| c.property == dial.id())?
            .after;
        let mut edits: Vec<Amount> = vec![];
        let signed = |a: &Amount, sign: f64| Amount {
            grams: sign * a.grams,
            ..a.clone()
        };
        edits.extend(option.ingredients.iter().map(|a| signed(a, 1.0)));
        edits.extend(option.balanced.iter().map(|a| signed(a, 1.0)));
        edits.extend(option.removed.iter().map(|a| signed(a, -1.0)));
        Some((edits, after))
    }
}

/// The temperature at which so much of the water is frozen, C; `None` where it is not met above
/// [`COLDEST`].
fn temperature(state: &State, percent: f64) -> Option<f64> {
    let (mut cold, mut warm) = (COLDEST, -0.1);
    if state.frozen(cold)? < percent {
        return None;
    }
    for _ in 0..HALVINGS {
        let middle = (cold + warm) / 2.0;
        match state.frozen(middle).is_some_and(|frozen| frozen > percent) {
            true => cold = middle,
            false => warm = middle,
        }
    }
    Some(((cold + warm) * 5.0).round() / 10.0)
}

/// How far a figure lies outside a range, as a part of its width; `None` within it.
fn off(range: &ClassRange, figure: f64) -> Option<f64> {
    let low = range.low.unwrap_or(f64::NEG_INFINITY);
    let high = range.high.unwrap_or(f64::INFINITY);
    let width = match high - low {
        width if width.is_finite() => width,
        _ => range.high.or(range.low)?.abs(),
    };
    let off = (low - figure).max(figure - high) / width.max(1e-9);
    (off > SLACK).then_some(off)
}

fn departure(
    range: &ClassRange,
    (id, name, unit): (&str, &str, &str),
    figure: f64,
) -> DepartureOut {
    DepartureOut {
        property: id.into(),
        name: name.into(),
        figure,
        low: range.low,
        high: range.high,
        unit: unit.into(),
        source: range.source.clone(),
        locator: range.locator.clone(),
        fix: String::new(),
    }
}
