//! What is usual for a product: a sorbet is not judged by the bands of an ice cream.

use super::{Engine, number};
use crate::answer::FindingOut;
use crate::formula::{Dish, Formula, State};
use crate::model::{Dial, DishKind, RuleKind, Severity};

/// Least fat of a plant-based ice cream, %; below it a mix without milk is a sorbet.
/// Source: guard `plant-fat`, its low end halved.
const LEAN: f64 = 3.0;
/// Least milk solids-not-fat of a dairy ice cream, %; below it a mix with milk is a sherbet.
/// Source: guard `ice-cream-msnf`, its low end halved.
const MILKY: f64 = 4.5;
/// Egg yolk from which a mix is a custard base, %.
/// Source: memory.
const YOLK: f64 = 3.0;

/// Fat below which a milk mix without yolk is a gelato, %.
/// Source: memory; gelato 3 to 9, ice cream from 10.
const LIGHT: f64 = 8.0;
/// Milk solids-not-fat from which a light mix is one for soft serve, %. Source: guard `soft-serve-msnf`.
const RICH_IN_MILK: f64 = 11.0;
/// Cultured milk from which a mix is a frozen yogurt, %. Source: memory.
const CULTURED: f64 = 30.0;
/// pH below which a milk is cultured. Source: common-practice.
const SOUR: f64 = 5.2;
/// Ranges told of one change; further ones only where they are far out.
const TOLD_AT_MOST: usize = 2;
/// How far outside a figure is far out, in widths of its range.
const FAR: f64 = 1.0;

/// Dials whose usual range a change is held against; a swap moves the others on purpose.
const TOLD: [Dial; 6] = [
    Dial::Fat,
    Dial::Msnf,
    Dial::TotalSolids,
    Dial::Stabiliser,
    Dial::FrozenAt18,
    Dial::Alcohol,
];

impl Engine {
    /// The product of the guards a formula comes nearest to: by its name, then by its milk, fat and
    /// yolk.
    pub(super) fn product(&self, formula: &Formula, state: &State) -> &'static str {
        let grams = formula.grams().max(1e-9);
        let lines = || {
            let each = formula.lines.iter();
            each.map(|l| (self.catalogue.ingredient(l.key), 100.0 * l.grams / grams))
        };
        let milk = lines().any(|(i, _)| i.is_of("milk-or-cheese-family"));
        let cultured: f64 = lines()
            .filter(|(i, _)| i.family == "milk" && i.number("ph").is_some_and(|ph| ph < SOUR))
            .map(|(_, share)| share)
            .sum();
        let yolk: f64 = lines()
            .filter(|(i, _)| i.is_of("yolk"))
            .map(|(_, share)| share)
            .sum();
        let fat = state.dial(Dial::Fat).unwrap_or(0.0);
        let msnf = state.dial(Dial::Msnf).unwrap_or(0.0);
        let name = Dish::of(self.assessor(), formula, state).name;
        match (milk, name.as_str()) {
            (false, _) if fat < LEAN => "sorbet",
            (false, _) => "plant-based frozen",
            (true, "gelato") => "gelato",
            (true, "soft serve") => "soft serve",
            (true, "frozen yogurt") => "frozen yogurt",
            (true, "sherbet") => "sherbet",
            (true, name) if name != "ice cream" && cultured >= CULTURED => "frozen yogurt",
            (true, _) if yolk >= YOLK => "custard base",
            (true, _) if msnf < MILKY => "sherbet",
            (true, "ice cream") => "dairy ice cream",
            (true, _) if fat < LIGHT && msnf >= RICH_IN_MILK => "soft serve",
            (true, _) if fat < LIGHT => "gelato",
            (true, _) => "dairy ice cream",
        }
    }

    /// What a formula is taken for, where neither it nor the question names a dish and it is no plain
    /// frozen mix.
    pub(super) fn taken_for(&self, formula: Option<&Formula>, dish: &str) -> Option<String> {
        let formula = Formula {
            dish: dish.to_string(),
            ..formula?.clone()
        };
        let state = self.assessor().state(&formula);
        let taken = Dish::of(self.assessor(), &formula, &state).taken_for();
        (!taken.is_empty()).then(|| format!("this is taken for {taken}"))
    }

    /// The usual range of a dial in a product, where a guard states one.
    pub(super) fn usual(&self, product: &str, dial: Dial) -> Option<(f64, f64)> {
        let stated = |dial: Dial| {
            self.catalogue
                .rules
                .iter()
                .find_map(|rule| match &rule.kind {
                    RuleKind::Guard { product: p, band } if p == product && band.dial == dial => {
                        Some((band.low, band.high))
                    }
                    _ => None,
                })
        };
        stated(dial).or_else(|| match dial {
            Dial::Water => stated(Dial::TotalSolids).map(|(low, high)| (100.0 - high, 100.0 - low)),
            _ => None,
        })
    }

    /// The figure of a dial as a usual range counts it. Gelatin holds water but is no gum: towards
    /// too much it does not count.
    fn ranged(&self, (formula, state): (&Formula, &State), dial: Dial) -> Option<(f64, f64)> {
        let figure = state.dial(dial)?;
        if dial != Dial::Stabiliser {
            return Some((figure, figure));
        }
        let lines = formula.lines.iter();
        let gelatin: f64 = lines
            .filter(|l| self.catalogue.ingredient(l.key).value("bloom").is_some())
            .map(|l| 100.0 * l.grams / formula.grams().max(1e-9))
            .sum();
        Some(((figure - gelatin).max(0.0), figure))
    }

    /// What a change of a frozen mix takes out of its usual ranges, or further out of them: the
    /// worst, and what is far out.
    pub(super) fn unusual(
        &self,
        before: (&Formula, &State),
        after: (&Formula, &State),
    ) -> Vec<FindingOut> {
        let dish = Dish::of(self.assessor(), before.0, before.1);
        if dish.kind != DishKind::Frozen {
            return vec![];
        }
        let (formula, state) = after;
        let product = self.product(formula, state);
        let feels = crate::swap::feels(&self.catalogue, state);
        let each = self.catalogue.rules.iter().filter_map(|rule| {
            let RuleKind::Guard { product: p, band } = &rule.kind else {
                return None;
            };
            let dial = band.dial;
            let is = self
                .ranged(after, dial)
                .filter(|_| p == product && TOLD.contains(&dial))?;
            let outside =
                |(most, least): (f64, f64)| (band.low - least).max(most - band.high).max(0.0);
            let was = self.ranged(before, dial).map_or(0.0, outside);
            let felt = feels.get(&dial).map_or(0.0, |feel| feel.tolerance);
            let out = outside(is);
            let far = out / (band.high - band.low).max(1e-9);
            (out > was + felt).then(|| {
                let told = FindingOut {
                    standing: false,
                    id: rule.id.clone(),
                    severity: Severity::Watch,
                    topic: "usual range".into(),
                    text: format!(
                        "{} comes to {} {}, usual for a {product} is {} to {}.",
                        dial.name(),
                        number(dial, if is.0 > band.high { is.0 } else { is.1 }),
                        dial.unit(),
                        number(dial, band.low),
                        number(dial, band.high),
                    ),
                    because: rule.because.clone(),
                    source: rule.source.clone(),
                    locator: rule.locator.clone(),
                };
                (far, told)
            })
        });
        let mut found: Vec<(f64, FindingOut)> = each.collect();
        found.sort_by(|a, b| b.0.total_cmp(&a.0));
        let told = found.into_iter().enumerate();
        told.filter(|(n, (far, _))| *n < TOLD_AT_MOST || *far >= FAR)
            .map(|(_, (_, told))| told)
            .collect()
    }
}
