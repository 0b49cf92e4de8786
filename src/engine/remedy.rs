//! A fix in grams: what goes, what comes and how much, tried on the formula.

use super::Engine;
use crate::answer::{Amount, ChangedOut};
use crate::condition::belongs;
use crate::formula::{Formula, State};
use crate::model::rule::Lever;
use crate::model::{Dial, Group, Ingredient, IngredientKey, Presence};

/// Dials shown before and after a fix beside the one it moves.
const WATCHED: [Dial; 5] = [
    Dial::TotalSolids,
    Dial::Sweetness,
    Dial::FrozenAt18,
    Dial::Fat,
    Dial::Msnf,
];
/// A smaller change of a watched dial is not shown, in its unit.
const LEAST_CHANGE: f64 = 0.05;
/// Largest part of an ingredient a dial may ask for; more would be another recipe.
const MOST: f64 = 0.75;
/// How far inside the usual range a fix aims, as a part of its width.
const INSIDE: f64 = 0.1;
/// Least part of the way to the aim that still is a fix.
const WORTH_IT: f64 = 0.25;

/// A fix in grams and what it does.
#[derive(Default)]
pub(super) struct Remedy {
    /// What of the fix the formula does not hold.
    pub lacking: String,
    /// The edit.
    pub grams: Vec<Amount>,
    /// What it does.
    pub effect: Vec<ChangedOut>,
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
                (None, None) => return only_lacking(),
                _ => pairs.push((goes.unwrap_or(liquid), comes.unwrap_or(liquid))),
            }
        }
        let most = |from| MOST * merged.grams_of(from);
        let dosed: Option<((IngredientKey, IngredientKey), f64)> = match lever.dial {
            Some((dial, _)) => {
                let (_, low, high) = usual.filter(|(d, ..)| *d == dial)?;
                let mut best: Option<((IngredientKey, IngredientKey), f64, f64)> = None;
                for pair in pairs {
                    let dose = self.dose(&merged, pair, dial, (low, high), most(pair.0));
                    // The most plentiful that reaches the aim, else the one that comes nearest.
                    if let Some((grams, way)) = dose
                        && best.is_none_or(|(.., nearest)| way > nearest)
                    {
                        best = Some((pair, grams, way));
                    }
                }
                best.map(|(pair, grams, _)| (pair, grams))
            }
            None => pairs.first().map(|&(from, to)| {
                let now = merged.grams_of(to);
                let level = || self.catalogue.ingredient(to).number("use_level");
                let grams = match (outs.is_empty(), now > 0.0) {
                    (false, _) => lever.share * merged.grams_of(from),
                    (true, true) => lever.share * now,
                    (true, false) => {
                        lever.percent.or_else(level).unwrap_or(0.0) / 100.0 * merged.grams()
                    }
                };
                ((from, to), grams)
            }),
        };
        let Some(((from, to), grams)) = dosed.filter(|(_, g)| *g > 1e-6) else {
            return only_lacking();
        };
        let after = exchanged(&merged, from, to, grams);
        let state = self.assessor().state(&after);
        let asked = lever.dial.map(|(dial, _)| dial);
        Some(Remedy {
            lacking,
            effect: self.effect(&merged, &state, asked),
            grams: self.amounts(vec![(to, grams), (from, -grams)]),
        })
    }

    /// Grams exchanged that bring a dial just inside its usual range, or as far as `most` goes, and
    /// the part of the way that is.
    fn dose(
        &self,
        formula: &Formula,
        (from, to): (IngredientKey, IngredientKey),
        dial: Dial,
        (low, high): (f64, f64),
        most: f64,
    ) -> Option<(f64, f64)> {
        let at = |grams: f64| {
            let after = exchanged(formula, from, to, grams);
            counted(&self.assessor().state(&after), dial).map(|(_, figure)| figure)
        };
        let (start, end) = (at(0.0)?, at(most)?);
        let inside = INSIDE * (high - low);
        let aim = match start {
            figure if figure < low => low + inside,
            figure if figure > high => high - inside,
            _ => return None,
        };
        let way = (end - start) / (aim - start);
        if way < WORTH_IT {
            return None;
        }
        if way <= 1.0 {
            return Some((most, way));
        }
        let (mut less, mut more) = (0.0, most);
        for _ in 0..40 {
            let middle = (less + more) / 2.0;
            match (at(middle)? - start) / (aim - start) < 1.0 {
                true => less = middle,
                false => more = middle,
            }
        }
        Some((more, 1.0))
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
        let holds = |i: &Ingredient, substance: &str| {
            i.allergens
                .iter()
                .any(|row| row.presence == Presence::Contains && row.substance == substance)
        };
        let vegan = |i: &Ingredient| i.text("vegan") == Some("yes");
        let suits = |key: &&IngredientKey| {
            let new = self.catalogue.ingredient(**key);
            let declared = new
                .allergens
                .iter()
                .filter(|row| row.presence == Presence::Contains)
                .all(|row| old.iter().any(|i| holds(i, &row.substance)));
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
                    before: before.dial(dial)?,
                    after: after.dial(dial)?,
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
            let family = self.catalogue.ingredient(l.key).family.as_str();
            matches!(family, "milk" | "plant-drink") && !leavers.contains(&l.key)
        });
        let largest = liquid.max_by(|a, b| a.grams.total_cmp(&b.grams).then(b.key.cmp(&a.key)));
        Some(largest.map_or(water, |l| l.key))
    }
}

fn exchanged(formula: &Formula, from: IngredientKey, to: IngredientKey, grams: f64) -> Formula {
    let mut after = formula.clone();
    after.add(to, grams);
    after.add(from, -grams);
    after
}
