//! A fix in grams: what goes, what comes and how much, tried on the formula.

use super::Engine;
use crate::answer::{Amount, ChangedOut};
use crate::condition::belongs;
use crate::formula::{Formula, State};
use crate::model::rule::Lever;
use crate::model::{Dial, Group, Ingredient, IngredientKey, Presence};
use crate::physics::solute::Solute;
use crate::texture;

/// Dials shown before and after a fix beside the one it moves.
const WATCHED: [Dial; 5] = [
    Dial::TotalSolids,
    Dial::Sweetness,
    Dial::FrozenAt18,
    Dial::Fat,
    Dial::Msnf,
];
/// A smaller change of a watched dial is not shown, in its unit.
pub(super) const LEAST_CHANGE: f64 = 0.05;
/// Largest part of an ingredient a dial may ask for; more would be another recipe.
const MOST: f64 = 0.75;
/// How far inside the usual range a fix aims, as a part of its width.
const INSIDE: f64 = 0.1;
/// Least part of the way to the aim that still is a fix.
const WORTH_IT: f64 = 0.25;

/// Slack at the ends of a range, in the unit of its dial.
const ROUNDING: f64 = 1e-6;

/// A fix in grams and what it does.
#[derive(Default)]
pub(super) struct Remedy {
    /// What of the fix the formula does not hold.
    pub lacking: String,
    /// The edit.
    pub grams: Vec<Amount>,
    /// What it does.
    pub effect: Vec<ChangedOut>,
    /// The dial it moves stays outside its usual range.
    pub partly: bool,
}

/// A figure as its usual range counts it: polyols hold water like sugars.
pub(super) fn counted(state: &State, dial: Dial) -> Option<(String, f64)> {
    let figure = state.dial(dial)?;
    let polyols = state.dial(Dial::Polyols).unwrap_or(0.0);
    Some(match dial {
        Dial::Sugars if polyols >= LEAST_CHANGE => ("sugars and polyols".into(), figure + polyols),
        _ => (dial.name().into(), figure),
    })
}

/// A figure as the freezer leaves it: what crystallises there no longer keeps water liquid. Lactose
/// comes out slowly, and the usual figures count it as dissolved.
fn settled(state: &State, dial: Dial) -> Option<f64> {
    let figure = state.dial(dial)?;
    if dial != Dial::FrozenAt18 {
        return Some(figure);
    }
    let out = texture::felt(state).into_iter();
    let out = out.filter(|c| c.solute != Solute::Lactose);
    Some(out.map(|c| c.frozen_after).fold(figure, f64::max))
}

impl Engine {
    /// The exchange a lever stands for, as large as its dial asks; `None` where it moves nothing.
    pub(super) fn remedy(
        &self,
        formula: &Formula,
        lever: &Lever,
        usual: Option<(Dial, f64, f64)>,
    ) -> Option<Remedy> {
        let merged = formula.merged();
        let mut held: Vec<(IngredientKey, f64)> = merged
            .lines
            .iter()
            .map(|line| (line.key, line.grams))
            .filter(|(key, _)| {
                let ingredient = self.catalogue.ingredient(*key);
                lever.out.iter().any(|group| belongs(ingredient, group))
            })
            .collect();
        held.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        let lacking = match held.is_empty() && !lever.out.is_empty() {
            true => self.listed(&lever.out),
            false => String::new(),
        };
        let only_lacking = || {
            (!lacking.is_empty()).then(|| Remedy {
                lacking: lacking.clone(),
                ..Remedy::default()
            })
        };
        let outs: Vec<IngredientKey> = held.iter().map(|(key, _)| *key).collect();
        // Each pair an exchange may be between; the formula's liquid stands in for a missing side.
        let mut pairs: Vec<(IngredientKey, IngredientKey)> = vec![];
        for goes in outs.iter().copied().map(Some).chain([None]) {
            if goes.is_none() && !outs.is_empty() {
                continue;
            }
            let comes = self.newcomer(&merged, lever, goes);
            let busy: Vec<IngredientKey> = goes.into_iter().chain(comes).collect();
            let liquid = self.balance(formula, &busy)?;
            match (goes, comes) {
                // Nothing the fix names may come in.
                (_, None) if !lever.newcomers.is_empty() => return only_lacking(),
                (None, None) => return only_lacking(),
                _ => pairs.push((goes.unwrap_or(liquid), comes.unwrap_or(liquid))),
            }
        }
        let exchanges: Vec<(IngredientKey, IngredientKey, f64)> = match lever.dial {
            Some((dial, _)) => {
                let (_, low, high) = usual.filter(|(d, ..)| *d == dial)?;
                self.exchanges(&merged, pairs, dial, (low, high))
            }
            None => {
                let (from, to) = *pairs.first()?;
                let now = merged.grams_of(to);
                let level = || self.catalogue.ingredient(to).number("use_level");
                let grams = match (outs.is_empty(), now > 0.0) {
                    (false, _) => lever.share * merged.grams_of(from),
                    (true, true) => lever.share * now,
                    (true, false) => {
                        lever.percent.or_else(level).unwrap_or(0.0) / 100.0 * merged.grams()
                    }
                };
                vec![(from, to, grams)]
            }
        };
        let mut after = merged.clone();
        let mut changes: Vec<(IngredientKey, f64)> = vec![];
        for (from, to, grams) in exchanges.into_iter().filter(|e| e.2 > 1e-6) {
            after = exchanged(&after, from, to, grams);
            for (key, change) in [(to, grams), (from, -grams)] {
                match changes.iter_mut().find(|(k, _)| *k == key) {
                    Some((_, sum)) => *sum += change,
                    None => changes.push((key, change)),
                }
            }
        }
        if changes.is_empty() {
            return only_lacking();
        }
        let state = self.assessor().state(&after);
        let asked = lever.dial.map(|(dial, _)| dial);
        let figure = asked.and_then(|dial| counted(&state, dial));
        let partly = figure
            .zip(usual)
            .is_some_and(|((_, figure), (_, low, high))| {
                figure < low - ROUNDING || figure > high + ROUNDING
            });
        Some(Remedy {
            lacking,
            partly,
            effect: self.effect(&merged, &state, asked),
            grams: self.amounts(changes),
        })
    }

    /// The exchanges that bring a dial just inside its usual range, the one that reaches furthest
    /// first; none where all together go too little of the way.
    fn exchanges(
        &self,
        formula: &Formula,
        mut pairs: Vec<(IngredientKey, IngredientKey)>,
        dial: Dial,
        (low, high): (f64, f64),
    ) -> Vec<(IngredientKey, IngredientKey, f64)> {
        let figure =
            |f: &Formula| counted(&self.assessor().state(f), dial).map(|(_, figure)| figure);
        let inside = INSIDE * (high - low);
        let Some(start) = figure(formula) else {
            return vec![];
        };
        let aim = match start {
            start if start < low => low + inside,
            start if start > high => high - inside,
            _ => return vec![],
        };
        let mut now = formula.clone();
        let mut found = vec![];
        let mut gone = 0.0;
        while gone < 1.0 && !pairs.is_empty() {
            let best = (0..pairs.len())
                .filter_map(|n| {
                    let (from, to) = pairs[n];
                    let at = |grams: f64| figure(&exchanged(&now, from, to, grams));
                    let way = |grams: f64| Some((at(grams)? - start) / (aim - start));
                    let most = MOST * formula.grams_of(from);
                    let end = way(most)?;
                    if end <= gone {
                        return None;
                    }
                    let grams = match end <= 1.0 {
                        true => most,
                        false => least(most, |grams| way(grams).is_some_and(|w| w >= 1.0)),
                    };
                    Some((n, grams, end.min(1.0)))
                })
                // `max_by` keeps the last of equals: the most plentiful stands first.
                .rev()
                .max_by(|a, b| a.2.total_cmp(&b.2));
            let Some((n, grams, way)) = best else {
                break;
            };
            let (from, to) = pairs.remove(n);
            now = exchanged(&now, from, to, grams);
            found.push((from, to, grams));
            gone = way;
        }
        if gone < WORTH_IT { vec![] } else { found }
    }

    /// What comes in: what the formula holds already, else what brings neither a new allergen nor
    /// an animal into it.
    fn newcomer(
        &self,
        formula: &Formula,
        lever: &Lever,
        goes: Option<IngredientKey>,
    ) -> Option<IngredientKey> {
        let keys: Vec<IngredientKey> = lever
            .newcomers
            .iter()
            .filter_map(|id| self.catalogue.key(id))
            .filter(|key| Some(*key) != goes)
            .collect();
        let there = keys.iter().find(|key| formula.grams_of(**key) > 0.0);
        let old: Vec<&Ingredient> = formula
            .lines
            .iter()
            .map(|line| self.catalogue.ingredient(line.key))
            .collect();
        let vegan = |i: &Ingredient| i.text("vegan") == Some("yes");
        let suits = |key: &&IngredientKey| {
            let new = self.catalogue.ingredient(**key);
            let declared = new
                .allergens
                .iter()
                .filter(|row| row.presence == Presence::Contains)
                .filter(|row| self.catalogue.must_be_declared(&row.substance))
                .all(|row| old.iter().any(|i| i.holds(&row.substance)));
            declared && (vegan(new) || !old.iter().all(|i| vegan(i)))
        };
        there.or_else(|| keys.iter().find(suits)).copied()
    }

    /// Groups in words: `dextrose (monohydrate), milk powder`.
    fn listed(&self, groups: &[Group]) -> String {
        let word = |group: &Group| match group {
            Group::Ingredient(id) => self.catalogue.key(id).map_or(id.clone(), |key| {
                self.catalogue.ingredient(key).name.clone()
            }),
            Group::Kin(id) => self.catalogue.group(id).map_or(id, |kin| &kin.name).clone(),
            Group::Family(name) | Group::Function(name) => name.replace('-', " "),
        };
        groups.iter().map(word).collect::<Vec<_>>().join(", ")
    }

    /// What an edit does to the dials a cook watches.
    fn effect(&self, before: &Formula, after: &State, asked: Option<Dial>) -> Vec<ChangedOut> {
        let before = self.assessor().state(before);
        let watched = asked
            .into_iter()
            .chain(WATCHED.into_iter().filter(|dial| Some(*dial) != asked));
        watched
            .filter_map(|dial| {
                Some(ChangedOut {
                    property: dial.id().into(),
                    before: settled(&before, dial)?,
                    after: settled(after, dial)?,
                    asked: Some(dial) == asked,
                })
            })
            .filter(|c| c.asked || (c.before - c.after).abs() >= LEAST_CHANGE)
            .collect()
    }

    /// What makes up the batch: the formula's plain water, else its largest liquid that does not
    /// go itself, else water.
    pub fn balance(&self, formula: &Formula, leavers: &[IngredientKey]) -> Option<IngredientKey> {
        let water = self.catalogue.key("water")?;
        if formula.grams_of(water) > 0.0 && !leavers.contains(&water) {
            return Some(water);
        }
        let merged = formula.merged();
        let liquid = merged.lines.iter().filter(|l| {
            let ingredient = self.catalogue.ingredient(l.key);
            ingredient.is_of("drinkable-family") && !leavers.contains(&l.key)
        });
        let largest = liquid.max_by(|a, b| a.grams.total_cmp(&b.grams).then(b.key.cmp(&a.key)));
        Some(largest.map_or(water, |l| l.key))
    }
}

/// The least amount up to `most` that is enough, where a greater one always is.
fn least(most: f64, enough: impl Fn(f64) -> bool) -> f64 {
    let (mut less, mut more) = (0.0, most);
    for _ in 0..40 {
        let middle = (less + more) / 2.0;
        match enough(middle) {
            true => more = middle,
            false => less = middle,
        }
    }
    more
}

fn exchanged(formula: &Formula, from: IngredientKey, to: IngredientKey, grams: f64) -> Formula {
    let mut after = formula.clone();
    after.add(to, grams);
    after.add(from, -grams);
    after
}
