//! What comes of a change with nothing put right after it, and what an ingredient is there for.

use super::Engine;
use super::summary::{joined, told_figure};
use super::verdict::frozen_class;
use crate::answer::{Asked, Kind};
use crate::condition::{Facts, Truth, judge};
use crate::formula::{Dish, Formula, State, weighed};
use crate::model::{Dial, DishKind, IngredientKey, RuleKind};
use crate::query::{Change, How, Leaver};

/// What `more` and `less` are taken as where no figure is said, as a share of what is there.
const STEP: f64 = 0.2;
/// How many figures that moved are told.
const MOVED: usize = 4;
/// Share of the mix taken by an ingredient whose use level is not known, %.
const ASSUMED_SHARE: f64 = 5.0;
/// A smaller move of a line is not told, g.
const LEAST_MOVED: f64 = 0.05;
/// What a substitute misses is told of so many.
const LOST: usize = 2;

impl Engine {
    /// A formula with the changes thought into it, before and after.
    pub(super) fn what_if(
        &self,
        asked: &mut Asked,
        formula: Option<&Formula>,
        changes: &[Change],
        on: &[Dial],
        dish: &str,
    ) {
        asked.kind = Kind::WhatIf;
        let named: Vec<IngredientKey> = (changes.iter())
            .flat_map(|change| match &change.what {
                Leaver::Ingredients(ids) => self.keys(ids),
                Leaver::Matching(_) => vec![],
            })
            .collect();
        let Some(base) = self.base(asked, formula, dish, &named) else {
            asked.kind = Kind::Nothing;
            asked.ask = "no formula is given: name yours with --in".into();
            return;
        };
        let mut changed = base.merged();
        let mut said = vec![];
        for change in changes {
            match self.changed(&mut changed, change) {
                Ok(done) => said.push(done),
                Err(absent) => {
                    asked.told = vec![format!("There is no {absent} in {}.", base.name)];
                    return;
                }
            }
        }
        let (before, after) = (
            self.assessor().state(&base),
            self.assessor().state(&changed),
        );
        let moves = self.moves(&before, &after, on);
        let moves = match moves.is_empty() {
            true => "no figure that is worked out moves enough to be tasted".to_string(),
            false => moves.join(", "),
        };
        asked.told.push(format!("{}: {moves}.", said.join(", ")));
        let (is, was) = (changed.grams(), base.grams());
        if (is - was).abs() > 0.05 {
            asked.told.push(format!(
                "The batch comes to {} g instead of {} g; nothing else is changed.",
                weighed(is),
                weighed(was)
            ));
        }
        asked
            .told
            .extend(self.scoops_otherwise(&base, &before, &after));
        asked.told.extend(self.acting_otherwise(&base, &changed));
        asked.told.extend(self.brought_back(&base, &changed));
        for key in self.left_out(&base, &changed) {
            asked.told.push(self.role(key));
        }
    }

    /// What each of these is there for; in a formula, what its figures are without it.
    pub(super) fn roles(
        &self,
        keys: &[IngredientKey],
        formula: Option<&Formula>,
        dish: &str,
    ) -> Vec<String> {
        let mut told = vec![];
        for key in keys {
            told.push(self.role(*key));
            told.extend(self.lost_without(*key));
            let held = formula.filter(|f| f.grams_of(*key) > 0.0);
            if let Some(formula) = held {
                let mut asked = Asked::default();
                let change = Change {
                    what: Leaver::Ingredients(vec![self.catalogue.ingredient(*key).id.clone()]),
                    how: How::Out,
                };
                self.what_if(&mut asked, Some(formula), &[change], &[], dish);
                told.extend(asked.told.into_iter().next());
            }
        }
        told
    }

    /// `inulin: bulking agent and stabilizer. It needs ...`
    fn role(&self, key: IngredientKey) -> String {
        let i = self.catalogue.ingredient(key);
        let jobs = match i.functions.is_empty() {
            true => format!(
                "no function is on file, it is a {}",
                i.family.replace('-', " ")
            ),
            false => joined(&i.functions),
        };
        let note = match i.note.is_empty() {
            true => String::new(),
            false => format!(" {}", i.note),
        };
        format!("{}: {jobs}.{note}", i.name)
    }

    /// What is lost where another takes its place, by the rules of swaps.
    fn lost_without(&self, key: IngredientKey) -> Option<String> {
        let id = &self.catalogue.ingredient(key).id;
        let mut lost: Vec<String> = vec![];
        for rule in &self.catalogue.rules {
            if let RuleKind::Swap { out, lost: l, .. } = &rule.kind
                && matches!(out, crate::model::Group::Ingredient(out) if out == id)
                && !l.is_empty()
                && !lost.contains(l)
            {
                lost.push(l.clone());
            }
        }
        lost.truncate(LOST);
        (!lost.is_empty()).then(|| format!("What a substitute misses: {}.", lost.join("; ")))
    }

    /// Changes a formula, and says how; the name of what is not there otherwise.
    fn changed(&self, formula: &mut Formula, change: &Change) -> Result<String, String> {
        let keys: Vec<IngredientKey> = match &change.what {
            Leaver::Ingredients(ids) => self.keys(ids),
            Leaver::Matching(condition) => (formula.lines.iter().map(|line| line.key))
                .filter(|key| {
                    let facts = Facts::of(&self.catalogue, self.catalogue.ingredient(*key));
                    judge(condition, &facts) == Truth::Yes
                })
                .collect(),
        };
        let name = |key: &IngredientKey| self.catalogue.ingredient(*key).name.clone();
        let names = joined(&keys.iter().map(name).collect::<Vec<_>>());
        let there: f64 = keys.iter().map(|key| formula.grams_of(*key)).sum();
        let comes = matches!(change.how, How::More | How::To(_) | How::Set(_))
            || matches!(change.how, How::By(g) if g > 0.0);
        let Some(first) = keys.first().filter(|_| comes || there > 0.0) else {
            return Err(match &change.what {
                Leaver::Ingredients(_) => names,
                Leaver::Matching(_) => "such thing".into(),
            });
        };
        let usual = || {
            let level = self.catalogue.ingredient(*first).number("use_level");
            level.unwrap_or(ASSUMED_SHARE) / 100.0 * formula.grams()
        };
        let target = match change.how {
            How::Out => 0.0,
            How::More if there <= 0.0 => usual(),
            How::More => there * (1.0 + STEP),
            How::Less => there * (1.0 - STEP),
            How::By(grams) => (there + grams).max(0.0),
            How::Times(times) => there * times,
            How::Set(grams) => grams,
            How::To(percent) => {
                let rest = formula.grams() - there;
                rest * percent / (100.0 - percent).max(1.0)
            }
        };
        if there > 0.0 {
            for line in formula.lines.iter_mut().filter(|l| keys.contains(&l.key)) {
                line.grams *= target / there;
            }
        } else {
            formula.add(*first, target);
        }
        formula.lines.retain(|line| line.grams > 0.0);
        Ok(match change.how {
            How::Out => format!("Without the {} g {names}", weighed(there)),
            _ => format!(
                "With {} g {names} instead of {} g",
                weighed(target),
                weighed(there)
            ),
        })
    }

    /// The figures that move so that it is felt, the most first; those asked about whether they do or not.
    fn moves(&self, before: &State, after: &State, on: &[Dial]) -> Vec<String> {
        let feels = crate::swap::feels(&self.catalogue, before);
        let mut found: Vec<(f64, String)> = vec![];
        for (dial, ..) in Dial::ALL {
            let (Some(was), Some(is)) = (before.dial(dial), after.dial(dial)) else {
                continue;
            };
            let felt = feels
                .get(&dial)
                .map_or(1.0, |feel| feel.tolerance)
                .max(1e-9);
            let (was_said, is_said) = (told_figure(dial, was), told_figure(dial, is));
            let asked = on.contains(&dial);
            if !asked && (!on.is_empty() || was_said == is_said) {
                continue;
            }
            let said = format!("{} {was_said} -> {is_said} {}", dial.name(), dial.unit());
            found.push(((is - was).abs() / felt, said));
        }
        found.sort_by(|a, b| b.0.total_cmp(&a.0));
        found
            .into_iter()
            .take(MOVED)
            .map(|(_, said)| said)
            .collect()
    }

    /// How a frozen mix scoops before and after, where that differs.
    fn scoops_otherwise(&self, base: &Formula, before: &State, after: &State) -> Option<String> {
        let dish = Dish::of(self.assessor(), base, before);
        let class = frozen_class(&dish.class);
        if dish.kind != DishKind::Frozen {
            return None;
        }
        let (was, is) = (self.softness(class, before)?, self.softness(class, after)?);
        let (was_at, is_at) = (was.at_minus_18.word(), is.at_minus_18.word());
        (was_at != is_at).then(|| format!("At -18 C it is {is_at} instead of {was_at}."))
    }

    /// What in grams brings the other marks back after the change, as one line.
    fn brought_back(&self, base: &Formula, changed: &Formula) -> Option<String> {
        let mut keys: Vec<IngredientKey> = base.lines.iter().map(|l| l.key).collect();
        keys.extend(changed.lines.iter().map(|l| l.key));
        keys.sort_unstable();
        keys.dedup();
        let moved = keys
            .into_iter()
            .map(|key| (key, changed.grams_of(key) - base.grams_of(key)));
        let moved: Vec<(IngredientKey, f64)> = moved.filter(|(_, g)| g.abs() > 1e-9).collect();
        let after = self.marks_held(base, &moved)?;
        let name = |key: &IngredientKey| self.catalogue.ingredient(*key).name.clone();
        let mut each = vec![];
        for line in &after.lines {
            let by = line.grams - changed.grams_of(line.key);
            if by.abs() >= LEAST_MOVED && moved.iter().all(|(key, _)| *key != line.key) {
                each.push(format!(
                    "{}{} g {}",
                    if by > 0.0 { "+" } else { "-" },
                    weighed(by.abs()),
                    name(&line.key)
                ));
            }
        }
        (!each.is_empty()).then(|| format!("To hold the other marks as well: {}.", each.join(", ")))
    }

    /// What the rules say of the one mix and not of the other.
    fn acting_otherwise(&self, base: &Formula, changed: &Formula) -> Vec<String> {
        let (before, after) = (self.acting(base), self.acting(changed));
        let lost = before.iter().filter(|f| after.iter().all(|g| g.id != f.id));
        let new = after.iter().filter(|f| before.iter().all(|g| g.id != f.id));
        let lost = lost.map(|f| format!("No longer: {}", f.text));
        lost.chain(new.map(|f| format!("New: {}", f.text)))
            .collect()
    }

    /// What the changed formula no longer holds.
    fn left_out(&self, base: &Formula, changed: &Formula) -> Vec<IngredientKey> {
        let keys = base.merged().lines.into_iter().map(|line| line.key);
        keys.filter(|key| changed.grams_of(*key) <= 0.0).collect()
    }
}
