//! The bench sheet: the plan weighed as a scale shows it, and the rounded formula evaluated again.

use std::collections::BTreeMap;

use super::Engine;
use crate::answer::{
    BowlOut, FigureOut, MeasureOut, PlanStepOut, RoundedOut, SheetOut, WeighedOut,
};
use crate::formula::{Formula, Line, State, weighed};
use crate::model::{Dial, DishKind, Presence};

/// Figures that decide: digits, and whether only of what is frozen.
const FIGURES: [(Dial, usize, bool); 9] = [
    (Dial::Sweetness, 1, false),
    (Dial::FreezingPoint, 2, true),
    (Dial::FrozenAt12, 0, true),
    (Dial::FrozenAt18, 0, true),
    (Dial::TotalSolids, 1, false),
    (Dial::Fat, 1, false),
    (Dial::Protein, 1, false),
    (Dial::Alcohol, 1, false),
    (Dial::Stabiliser, 2, false),
];
/// Phases of what is said before any step.
const SAID_FIRST: [&str; 2] = ["stop", "caution"];

impl Engine {
    /// The bench sheet of a formula: the batch itself, then so many times it for each of `times`; its steps
    /// by the law of a place, by its id, or of none.
    pub fn sheet(&self, formula: &Formula, times: &[f64], place: &str) -> SheetOut {
        let plan = self.plan_in(formula, place);
        let (cautions, steps): (Vec<PlanStepOut>, Vec<PlanStepOut>) =
            (plan.plan.into_iter()).partition(|s| SAID_FIRST.contains(&s.phase.as_str()));
        let batches: Vec<f64> = std::iter::once(1.0).chain(times.iter().copied()).collect();
        let bowls = self.bowls(formula, &steps, &batches);
        let scaled = self.as_weighed(formula, &bowls);
        let assessor = self.assessor();
        let (exact, rounded) = (assessor.state(formula), assessor.state(&scaled));
        let apart = formula.merged().taken_apart(&self.catalogue);
        let kind = crate::formula::Dish::of(assessor, &apart, &assessor.state(&apart)).kind;
        let bench = &self.catalogue.bench;
        let of_kind = |k: &str| k.is_empty() || k == kind.word();
        let dish = if plan.dish.is_empty() {
            kind.word()
        } else {
            &plan.dish
        };
        SheetOut {
            summary: format!(
                "{}: {dish}, {} g in {}.",
                formula.name,
                weighed(scaled.grams()),
                match bowls.len() {
                    1 => "1 bowl".to_string(),
                    bowls => format!("{bowls} bowls"),
                }
            ),
            name: formula.name.clone(),
            dish: plan.dish.clone(),
            kind,
            batch_g: scaled.grams(),
            batches,
            rounded: changes(&exact, &rounded, kind),
            figures: figures(&rounded, kind),
            bowls,
            cautions,
            steps,
            allergens: (self.stated_allergens(&apart).into_iter())
                .chain(Some(formula.unjudged()).filter(|said| !said.is_empty()))
                .collect(),
            measured: (bench.measures.iter().filter(|m| of_kind(&m.kind)))
                .map(|m| MeasureOut {
                    what: m.what.clone(),
                    unit: m.unit.clone(),
                })
                .collect(),
            label: None,
        }
    }

    /// What is weighed for each step; all of it in one bowl where the dish has no plan.
    fn bowls(&self, formula: &Formula, steps: &[PlanStepOut], batches: &[f64]) -> Vec<BowlOut> {
        let total = formula.grams().max(1e-12);
        let line = |id: &str, name: &str, grams: f64| {
            let key = self.catalogue.key(id);
            let shown = |times: &f64| match key {
                Some(key) => {
                    let ingredient = self.catalogue.ingredient(key);
                    self.catalogue.bench.weighed(ingredient, grams * times)
                }
                None => grams * times,
            };
            WeighedOut {
                id: id.into(),
                name: name.into(),
                exact_grams: grams,
                grams: batches.iter().map(shown).collect(),
                percent: 100.0 * grams / total,
            }
        };
        let mut bowls: Vec<BowlOut> = vec![];
        let mut add = |step: Option<usize>, lines: Vec<WeighedOut>| {
            let bowl = lettered(bowls.len());
            bowls.push(BowlOut { bowl, step, lines });
        };
        for (n, step) in steps.iter().enumerate() {
            let each = step.ingredients.iter();
            let lines: Vec<WeighedOut> = each.map(|a| line(&a.id, &a.name, a.grams)).collect();
            if !lines.is_empty() {
                add(Some(n + 1), lines);
            }
        }
        if bowls.is_empty() {
            let lines = formula.merged().lines;
            let each = lines.iter().map(|l| {
                let ingredient = self.catalogue.ingredient(l.key);
                line(&ingredient.id, &ingredient.name, l.grams)
            });
            bowls.push(BowlOut {
                bowl: lettered(0),
                step: None,
                lines: each.collect(),
            });
        }
        bowls
    }

    /// The formula as the bowls of the first batch hold it.
    fn as_weighed(&self, formula: &Formula, bowls: &[BowlOut]) -> Formula {
        let mut scaled = Formula {
            lines: vec![],
            ..formula.clone()
        };
        for line in bowls.iter().flat_map(|b| &b.lines) {
            if let (Some(key), Some(&grams)) = (self.catalogue.key(&line.id), line.grams.first()) {
                match scaled.lines.iter_mut().find(|l| l.key == key) {
                    Some(held) => held.grams += grams,
                    None => scaled.lines.push(Line { key, grams }),
                }
            }
        }
        scaled
    }

    /// What is stated of allergens, a line for each state.
    pub(super) fn stated_allergens(&self, formula: &Formula) -> Vec<String> {
        // What is in it by substance; what may be by the ingredient that may hold it.
        let mut stated: BTreeMap<Presence, Vec<(&str, Vec<&str>)>> = BTreeMap::new();
        for line in &formula.lines {
            let ingredient = self.catalogue.ingredient(line.key);
            for row in &ingredient.allergens {
                let (head, item) = match row.presence {
                    Presence::Exempt | Presence::NoneByNature => continue,
                    Presence::Contains => (row.substance.as_str(), ""),
                    _ => (ingredient.name.as_str(), row.substance.as_str()),
                };
                let of = stated.entry(row.presence).or_default();
                match of.iter_mut().find(|(held, _)| *held == head) {
                    Some((_, items)) if !items.contains(&item) => items.push(item),
                    Some(_) => {}
                    None => of.push((head, vec![item])),
                }
            }
        }
        let told = |(presence, of): (Presence, Vec<(&str, Vec<&str>)>)| {
            // Ingredients of which the same is said stand together.
            let mut said: BTreeMap<Vec<&str>, Vec<&str>> = BTreeMap::new();
            for (head, mut items) in of {
                items.sort_unstable();
                said.entry(items).or_default().push(head);
            }
            let each = said.into_iter().map(|(items, mut heads)| {
                heads.sort_unstable();
                match presence {
                    Presence::Contains => heads.join("; "),
                    _ => format!("{} ({})", items.join(", "), heads.join(", ")),
                }
            });
            let word = match presence {
                Presence::Unknown => "ask the maker",
                other => other.word(),
            };
            format!("{word}: {}", each.collect::<Vec<_>>().join("; "))
        };
        stated.into_iter().map(told).collect()
    }
}

/// A, B ... Z, AA, AB ...
fn lettered(number: usize) -> String {
    let letter = char::from(b'A' + (number % 26) as u8);
    match number / 26 {
        0 => letter.to_string(),
        more => format!("{}{letter}", lettered(more - 1)),
    }
}

fn decides(kind: DishKind) -> impl Iterator<Item = (Dial, usize)> {
    let frozen = kind == DishKind::Frozen;
    let of = FIGURES.into_iter();
    of.filter(move |(_, _, only)| frozen || !only)
        .map(|(dial, digits, _)| (dial, digits))
}

/// Name and unit of a dial.
fn told(dial: Dial) -> (String, String) {
    let found = Dial::ALL.into_iter().find(|(d, ..)| *d == dial);
    found.map_or(Default::default(), |(_, _, name, unit)| {
        (name.to_string(), unit.to_string())
    })
}

fn figures(state: &State, kind: DishKind) -> Vec<FigureOut> {
    let figure = |(dial, decimals): (Dial, usize)| {
        let value = state.dial(dial)?;
        let (figure, unit) = told(dial);
        // What is not in it decides nothing.
        (value.abs() >= 0.5 * 0.1f64.powi(decimals as i32)).then_some(FigureOut {
            figure,
            unit,
            value,
            decimals,
        })
    };
    decides(kind).filter_map(figure).collect()
}

/// What rounding changed by a digit that is shown.
fn changes(exact: &State, rounded: &State, kind: DishKind) -> Vec<RoundedOut> {
    let change = |(dial, decimals): (Dial, usize)| {
        let (exact, weighed) = (exact.dial(dial)?, rounded.dial(dial)?);
        let (figure, unit) = told(dial);
        let moved = (exact - weighed).abs() >= 0.5 * 0.1f64.powi(decimals as i32);
        moved.then_some(RoundedOut {
            figure,
            unit,
            exact,
            weighed,
        })
    };
    decides(kind).filter_map(change).collect()
}
