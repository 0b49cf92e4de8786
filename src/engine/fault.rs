//! A symptom to its causes, each tested on the formula's numbers where there is one.

use super::Engine;
use crate::answer::{Amount, Cause, ChangedOut};
use crate::condition::{Facts, Truth, judge};
use crate::formula::{Formula, MixView, State};
use crate::model::rule::{Band, Direction, Lever, Rule};
use crate::model::{Aim, Dial, Expr, Goal, IngredientKey, RuleKind, Test, Wish};

/// Dials shown before and after a fix beside the one it moves.
const WATCHED: [Dial; 4] = [
    Dial::TotalSolids,
    Dial::Sweetness,
    Dial::FrozenAt18,
    Dial::Fat,
];
/// A smaller change of a watched dial is not shown, in its unit.
const LEAST_CHANGE: f64 = 0.05;
/// Dials milk decides.
const OF_MILK: [Dial; 5] = [
    Dial::Protein,
    Dial::Msnf,
    Dial::Fat,
    Dial::Emulsifier,
    Dial::Lactose,
];

/// What a formula says of a cause, the surest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Verdict {
    /// Its figures show it.
    Shown,
    /// What it takes is in the formula; whether it happened no figure tells.
    Present,
    /// The formula cannot tell.
    Untested,
    /// Its figures speak against it.
    Unlikely,
}

impl Verdict {
    fn word(self) -> &'static str {
        match self {
            Verdict::Shown => "found",
            Verdict::Present => "possible here",
            Verdict::Untested => "untested",
            Verdict::Unlikely => "not found",
        }
    }
}

/// A cause judged on a formula.
struct Judged {
    verdict: Verdict,
    /// The figure that decides, with what is usual.
    shown_by: String,
    /// The usual range: dial, low, high.
    usual: Option<(Dial, f64, f64)>,
}

/// A fix in grams and what it does.
struct Fix {
    grams: Vec<Amount>,
    effect: Vec<ChangedOut>,
}

/// Whether a test asks for a figure at all: that something is in a mix does not show what happened.
fn measured(test: &Expr) -> bool {
    let mut figure = false;
    test.visit(&mut |t| figure |= matches!(t, Test::Mix(..) | Test::Share(..)));
    figure
}

/// Whether a test asks for this dial and nothing else.
fn only_asks(test: &Expr, dial: Dial) -> bool {
    let mut only = true;
    test.visit(&mut |t| only &= matches!(t, Test::Mix(d, ..) if *d == dial));
    only
}

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
        let mut causes: Vec<(Verdict, u8, Cause)> = vec![];
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
            let Some(Judged {
                verdict,
                shown_by,
                usual,
            }) = self.judged(rule, test, usual.as_ref(), lever.as_ref(), view.as_ref())
            else {
                continue;
            };
            let fix_here = match (formula, lever, verdict) {
                (Some(formula), Some(lever), Verdict::Shown | Verdict::Present) => {
                    self.fix(formula, lever, usual)
                }
                _ => None,
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
                verdict: verdict.word().into(),
                shown_by,
                fix: fix.clone(),
                grams: fix_here.as_ref().map_or(vec![], |f| f.grams.clone()),
                effect: fix_here.map_or(vec![], |f| f.effect),
                because: rule.because.clone(),
                source: rule.source.clone(),
                locator: rule.locator.clone(),
            };
            causes.push((verdict, surety, cause));
        }
        causes.sort_by_key(|(verdict, surety, _)| (*verdict, *surety));
        causes.into_iter().map(|(.., cause)| cause).collect()
    }

    /// Whether a cause is there, by the mix and by what is usual for such a product; `None` where
    /// the cause has no place in it.
    fn judged(
        &self,
        rule: &Rule,
        test: &Expr,
        band: Option<&Band>,
        lever: Option<&Lever>,
        view: Option<&MixView<'_>>,
    ) -> Option<Judged> {
        let untested = Judged {
            verdict: Verdict::Untested,
            shown_by: String::new(),
            usual: band.map(|b| (b.dial, b.low, b.high)),
        };
        let Some(view) = view else {
            return Some(untested);
        };
        let facts = Facts::of_mix(&self.catalogue, view);
        if judge(&rule.when, &facts) == Truth::No {
            return None;
        }
        if *test == Expr::Always {
            return Some(untested);
        }
        let product = self.product(view.formula, view.state);
        let stated = band.and_then(|b| self.usual(product, b.dial));
        let figure = band.and_then(|b| Some((b, view.state.dial(b.dial)?)));
        let (mut usual, mut shown_by) = (None, String::new());
        if let Some((band, figure)) = figure {
            // A sorbet has no usual milk solids, fat or protein to fall short of.
            if stated.is_none() && product == "sorbet" && OF_MILK.contains(&band.dial) {
                return None;
            }
            let (low, high) = stated.unwrap_or((band.low, band.high));
            let of = if stated.is_some() {
                format!(" in a {product}")
            } else {
                String::new()
            };
            usual = Some((band.dial, low, high));
            shown_by = format!(
                "{} {figure:.2} {}, usual {low} to {high}{of}",
                band.dial.name(),
                band.dial.unit(),
            );
        }
        let measured = measured(test);
        let truth = match (figure, stated, lever) {
            // One figure decides, and what is usual for the product is known.
            (Some((band, figure)), Some((low, high)), Some(Lever::Dial(dial, direction)))
                if *dial == band.dial && only_asks(test, *dial) =>
            {
                let away = match direction {
                    Direction::Higher => figure < low,
                    Direction::Lower => figure > high,
                };
                if away { Truth::Yes } else { Truth::No }
            }
            _ => judge(test, &facts),
        };
        let verdict = match truth {
            Truth::Yes if measured => Verdict::Shown,
            Truth::Yes => Verdict::Present,
            Truth::No => Verdict::Unlikely,
            Truth::Unknown => Verdict::Untested,
        };
        Some(Judged {
            verdict,
            shown_by,
            usual,
        })
    }

    /// The smallest edit in grams that moves what the cause names, tried on the formula.
    fn fix(
        &self,
        formula: &Formula,
        lever: &Lever,
        usual: Option<(Dial, f64, f64)>,
    ) -> Option<Fix> {
        match lever {
            Lever::Ingredient(id, direction) => {
                let key = self.catalogue.key(id)?;
                let now = formula.grams_of(key);
                let dose = self.catalogue.ingredient(key).number("use_level");
                // Half as much, or half as much again, is a step a cook can judge; what is not
                // there yet comes in at its usual dose.
                let change = match direction {
                    Direction::Lower if now > 0.0 => -now / 2.0,
                    Direction::Higher if now > 0.0 => now / 2.0,
                    Direction::Higher => dose? / 100.0 * formula.grams(),
                    Direction::Lower => return None,
                };
                let mut after = formula.merged();
                after.add(key, change);
                let mut changes = vec![(key, change)];
                if let Some(balance) = self.balance(formula, &[key]) {
                    after.add(balance, -change);
                    changes.push((balance, -change));
                }
                let state = self.assessor().state(&after);
                Some(self.tried(formula, changes, &state, None))
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
                let helpers = if *dial == Dial::Stabiliser {
                    vec![]
                } else {
                    self.helpers(formula, &self.assessor().state(formula))
                };
                let balance = self.balance(formula, &[])?;
                let result =
                    crate::swap::rebalance(self.assessor(), formula, &[], &wish, balance, &helpers);
                let edit = result.edits.into_iter().find(|e| e.miss <= 1.0)?;
                Some(self.tried(formula, edit.changes, &edit.state, Some(*dial)))
            }
        }
    }

    /// What an edit does to the dials a cook watches.
    fn tried(
        &self,
        formula: &Formula,
        changes: Vec<(IngredientKey, f64)>,
        after: &State,
        asked: Option<Dial>,
    ) -> Fix {
        let before = self.assessor().state(formula);
        let watched = asked
            .into_iter()
            .chain(WATCHED.into_iter().filter(|dial| Some(*dial) != asked));
        let effect = watched
            .filter_map(|dial| {
                Some(ChangedOut {
                    property: dial.id().into(),
                    before: before.dial(dial)?,
                    after: after.dial(dial)?,
                    asked: Some(dial) == asked,
                })
            })
            .filter(|c| c.asked || (c.before - c.after).abs() >= LEAST_CHANGE)
            .collect();
        let grams = self.amounts(changes);
        Fix { grams, effect }
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
