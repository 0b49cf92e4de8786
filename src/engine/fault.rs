//! A symptom to its causes, each tested on the formula's numbers where there is one.

use super::Engine;
use crate::answer::{Amount, Cause};
use crate::condition::{Facts, Truth, judge};
use crate::formula::{Formula, MixView};
use crate::model::rule::{Direction, Lever};
use crate::model::{Aim, Dial, Expr, Goal, IngredientKey, RuleKind, Wish};

impl Engine {
    /// The causes of `symptoms`: those the formula shows first, then the untested, then those it rules out.
    pub fn diagnose(&self, symptoms: &[String], formula: Option<&Formula>) -> Vec<Cause> {
        let assessor = self.assessor();
        let state = formula.map(|f| assessor.state(f));
        let view = formula.zip(state.as_ref()).map(|(formula, state)| MixView {
            assessor,
            formula,
            state,
        });
        let mut causes: Vec<(u8, u8, Cause)> = vec![];
        for rule in &self.catalogue.rules {
            let RuleKind::Diagnosis {
                symptom,
                test,
                cause,
                lever,
                fix,
                usual,
            } = &rule.kind
            else {
                continue;
            };
            if !symptoms.contains(symptom) {
                continue;
            }
            let mut shown_by = String::new();
            let (verdict, order) = match &view {
                Some(view) if *test != Expr::Always => {
                    let facts = Facts::of_mix(&self.catalogue, view);
                    if judge(&rule.when, &facts) == Truth::No {
                        continue;
                    }
                    if let (Some(band), Some(state)) = (usual, &state)
                        && let Some(figure) = state.dial(band.dial)
                    {
                        shown_by = format!(
                            "{} {figure:.2} {}, usual {} to {}",
                            band.dial.name(),
                            band.dial.unit(),
                            band.low,
                            band.high
                        );
                    }
                    match judge(test, &facts) {
                        Truth::Yes => ("found", 0),
                        Truth::No => ("not found", 2),
                        Truth::Unknown => ("untested", 1),
                    }
                }
                _ => ("untested", 1),
            };
            let grams = match (formula, lever, verdict) {
                (Some(formula), Some(lever), "found") => {
                    self.fix(formula, lever, usual.map(|b| (b.dial, b.low, b.high)))
                }
                _ => vec![],
            };
            let surety = match rule.strength.as_str() {
                "strong" | "" => 0,
                "moderate" => 1,
                _ => 2,
            };
            let cause = Cause {
                rule: rule.id.clone(),
                symptom: symptom.clone(),
                cause: cause.clone(),
                verdict: verdict.into(),
                shown_by,
                fix: fix.clone(),
                grams,
                because: rule.because.clone(),
                source: rule.source.clone(),
                locator: rule.locator.clone(),
            };
            causes.push((order, surety, cause));
        }
        causes.sort_by_key(|(order, surety, _)| (*order, *surety));
        causes.into_iter().map(|(.., cause)| cause).collect()
    }

    /// The smallest edit in grams that moves what the cause names.
    fn fix(
        &self,
        formula: &Formula,
        lever: &Lever,
        usual: Option<(Dial, f64, f64)>,
    ) -> Vec<Amount> {
        let amount = |key: IngredientKey, grams: f64| {
            let i = self.catalogue.ingredient(key);
            Amount {
                id: i.id.clone(),
                name: i.name.clone(),
                grams,
                span: None,
            }
        };
        match lever {
            Lever::Ingredient(id, direction) => {
                let Some(key) = self.catalogue.key(id) else {
                    return vec![];
                };
                let now = formula.grams_of(key);
                // Half as much, or half as much again, is a step a cook can judge.
                match direction {
                    Direction::Lower if now > 0.0 => vec![amount(key, -now / 2.0)],
                    Direction::Higher if now > 0.0 => vec![amount(key, now / 2.0)],
                    _ => vec![],
                }
            }
            Lever::Dial(dial, direction) => {
                let aim = match usual {
                    Some((d, low, high)) if d == *dial => Aim::Between(low, high),
                    _ if *direction == Direction::Higher => Aim::Raise,
                    _ => Aim::Lower,
                };
                let wish = Wish {
                    goals: vec![Goal { dial: *dial, aim }],
                    ..Wish::default()
                };
                let helpers: Vec<IngredientKey> = ["dextrose-monohydrate", "skimmed-milk-powder"]
                    .iter()
                    .filter_map(|id| self.catalogue.key(id))
                    .collect();
                let edit = self.balance(formula).and_then(|balance| {
                    let result = crate::swap::rebalance(
                        self.assessor(),
                        formula,
                        &[],
                        &wish,
                        balance,
                        if *dial == Dial::Stabiliser {
                            &[]
                        } else {
                            &helpers
                        },
                    );
                    result.edits.into_iter().find(|e| e.miss <= 1.0)
                });
                edit.map_or(vec![], |e| {
                    e.changes
                        .into_iter()
                        .map(|(key, grams)| amount(key, grams))
                        .collect()
                })
            }
        }
    }

    /// What makes up the batch: the formula's plain water, else its largest liquid, else water.
    pub fn balance(&self, formula: &Formula) -> Option<IngredientKey> {
        let water = self.catalogue.key("water")?;
        if formula.grams_of(water) > 0.0 {
            return Some(water);
        }
        let merged = formula.merged();
        let liquid = merged.lines.iter().filter(|l| {
            self.catalogue.ingredient(l.key).does("liquid")
                || self.catalogue.ingredient(l.key).family == "milk"
                || self.catalogue.ingredient(l.key).family == "plant-drink"
        });
        let largest = liquid.max_by(|a, b| a.grams.total_cmp(&b.grams).then(b.key.cmp(&a.key)));
        Some(largest.map_or(water, |l| l.key))
    }
}
