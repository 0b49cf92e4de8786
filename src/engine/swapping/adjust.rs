//! A formula brought back to its marks, as an answer.

use super::option::Change;
use super::{demand, number};
use crate::answer::{ChangedOut, ConflictOut, OptionOut, ReasonOut, SwapOut};
use crate::condition::{Facts, Truth, judge};
use crate::engine::Engine;
use crate::engine::summary::{self, Asking};
use crate::formula::{Formula, MixView, Part, State, weighed};
use crate::model::{Dial, Goal, Ingredient, IngredientKey, RuleKind, Wish};
use crate::swap::{self, Target};

/// Dials told when something is added and nothing else done.
const TOLD_AS_ADDED: [Dial; 7] = [
    Dial::Sweetness,
    Dial::FreezingPoint,
    Dial::FrozenAt18,
    Dial::TotalSolids,
    Dial::Fat,
    Dial::Msnf,
    Dial::Alcohol,
];

impl Engine {
    /// Brings a formula back to its marks, or to new ones.
    pub fn adjust(
        &self,
        formula: &Formula,
        added: &[(IngredientKey, f64)],
        wish: &Wish,
        understood: &str,
        assumed: &[String],
    ) -> SwapOut {
        let mut out = self.adjusted(formula, added, wish, understood, assumed);
        self.warn_of_law(&mut out, formula);
        let given = added.iter().map(|(key, grams)| {
            let id = self.catalogue.ingredient(*key).id.clone();
            (id, *grams)
        });
        let given: Vec<(String, f64)> = given.collect();
        summary::told(out, Asking::Adjust(&given))
    }

    fn adjusted(
        &self,
        formula: &Formula,
        added: &[(IngredientKey, f64)],
        wish: &Wish,
        understood: &str,
        assumed: &[String],
    ) -> SwapOut {
        let mut out = SwapOut {
            understood: understood.into(),
            kind: "adjust".into(),
            formula: formula.name.clone(),
            assumed: [assumed.to_vec(), self.taken_in(formula)].concat(),
            ..SwapOut::default()
        };
        let marks_price = wish.aim(Dial::Price).is_some();
        let coming = added.iter().filter(|(_, grams)| *grams > 0.0);
        if marks_price && let Some(why) = self.price_unknown(formula, coming.map(|(key, _)| *key)) {
            out.why_none = vec![why];
            return out;
        }
        // Where something goes, what comes may make up the batch.
        let going: Vec<IngredientKey> = added
            .iter()
            .filter(|(_, grams)| *grams < 0.0)
            .map(|(key, _)| *key)
            .collect();
        let mut with = formula.merged();
        if !going.is_empty() {
            added.iter().for_each(|(key, grams)| with.add(*key, *grams));
        }
        let Some(balance) = self.balance(&with, &going) else {
            return out;
        };
        let assessor = self.assessor();
        let mut helpers: Vec<IngredientKey> = if wish.goals.is_empty() {
            vec![]
        } else {
            self.helpers(formula, &assessor.state(formula))
        };
        if marks_price {
            helpers.retain(|key| self.priced(*key));
        }
        let result = swap::rebalance(assessor, formula, added, wish, balance, &helpers);
        if !added.is_empty() {
            let feels = swap::feels(&self.catalogue, &result.before);
            let moved = TOLD_AS_ADDED.iter().filter_map(|&dial| {
                let (before, after) = (result.before.dial(dial)?, result.unbalanced.dial(dial)?);
                ((after - before).abs() > feels.get(&dial)?.tolerance).then(|| ChangedOut {
                    property: dial.id().into(),
                    before,
                    after,
                    asked: false,
                })
            });
            out.as_added = moved.collect();
        }
        if let Some(nearest) = result.edits.first() {
            let each = result.strained.iter().filter_map(|dial| {
                let (was, is) = (result.before.dial(*dial)?, nearest.state.dial(*dial)?);
                Some(format!(
                    "{} {} {} (was {})",
                    dial.name(),
                    number(*dial, is),
                    dial.unit(),
                    number(*dial, was)
                ))
            });
            let each: Vec<String> = each.collect();
            if !each.is_empty() {
                out.assumed.push(format!(
                    "no edit of these lines holds everything; the nearest comes to {}",
                    each.join(", ")
                ));
            }
        }
        let newcomers: Vec<&Ingredient> = added
            .iter()
            .map(|(k, _)| self.catalogue.ingredient(*k))
            .collect();
        let before_view = MixView::new(assessor, formula, &result.before);
        for edit in &result.edits {
            let view = MixView::new(assessor, &edit.formula, &edit.state);
            let outcome = self.outcome(Change {
                before: (formula, &result.before),
                after: (&edit.formula, &edit.state),
                targets: &result.targets,
                newcomers: &newcomers,
                cautions: swap::called_for(&before_view, &view, &newcomers, None),
            });
            let (more, less): (Vec<_>, Vec<_>) =
                edit.changes.iter().copied().partition(|(_, g)| *g > 0.0);
            let mut option = OptionOut {
                ingredients: self.amounts(added.iter().copied().chain(more)),
                removed: self.amounts(less.into_iter().map(|(k, g)| (k, -g))),
                reasons: self.brought(added, formula.grams()),
                confidence: Some(edit.confidence),
                miss: Some(edit.miss),
                ..outcome
            };
            if edit.miss > 1.0 && !out.options.is_empty() {
                break;
            }
            let shelf = if edit.miss <= 1.0 {
                &mut out.options
            } else {
                &mut out.nearest
            };
            option.rank = shelf.len() + 1;
            shelf.push(option);
        }
        if out.options.is_empty() {
            out.why_none = match out.nearest.first() {
                Some(near) => self.missed(&result.targets, near),
                None => self.beyond(formula, added, wish, (balance, &helpers)),
            };
        }
        out.overruled = self.overruled(self.named_in(&out.options));
        out
    }

    /// The marks that no grams of these lines reach: each alone, else all of them together.
    fn beyond(
        &self,
        formula: &Formula,
        added: &[(IngredientKey, f64)],
        wish: &Wish,
        (balance, helpers): (IngredientKey, &[IngredientKey]),
    ) -> Vec<ConflictOut> {
        let reached = |goal: &Goal| {
            let alone = Wish {
                goals: vec![*goal],
                ..wish.clone()
            };
            let assessor = self.assessor();
            let came = swap::rebalance(assessor, formula, added, &alone, balance, helpers);
            !came.edits.is_empty()
        };
        let alone: Vec<&Goal> = wish.goals.iter().filter(|goal| !reached(goal)).collect();
        let (goals, together) = match alone.is_empty() {
            true => (wish.goals.iter().collect(), " together with the others"),
            false => (alone, ""),
        };
        let each = goals.into_iter().map(|goal| ConflictOut {
            constraint: goal.dial.id().into(),
            text: format!(
                "{}: no grams of this formula's ingredients reach the mark{together}; bring in one that does with --add, or set another mark",
                goal.dial.name()
            ),
            nearest: None,
        });
        each.collect()
    }

    /// The marks a nearest miss fails.
    pub(super) fn missed(&self, targets: &[Target], near: &OptionOut) -> Vec<ConflictOut> {
        let figure = |dial: Dial| {
            near.changed
                .iter()
                .find(|c| c.property == dial.id())
                .map(|c| (c.before, c.after))
        };
        let failed = targets.iter().filter_map(|t| {
            let (before, after) = figure(t.dial)?;
            (t.miss(after) > 1.0).then(|| ConflictOut {
                constraint: t.dial.id().into(),
                text: format!(
                    "{} ({}); the nearest these ingredients come is {} {}",
                    t.dial.name(),
                    demand(t, Some(before)),
                    number(t.dial, after),
                    t.dial.unit()
                ),
                nearest: Some(after),
            })
        });
        failed.collect()
    }

    /// What an addition brings, per 100 g of the mix.
    fn brought(&self, added: &[(IngredientKey, f64)], batch: f64) -> Vec<ReasonOut> {
        let each = added.iter().map(|(key, grams)| {
            let profile = self.assessor().profile(*key);
            let parts = [
                (Part::Fat, "fat"),
                (Part::Sugars, "sugars"),
                (Part::Water, "water"),
                (Part::Protein, "protein"),
                (Part::Lactose, "lactose"),
                (Part::StabiliserContent, "stabiliser"),
                (Part::Alcohol, "alcohol"),
            ];
            let brings: Vec<String> = parts
                .iter()
                .map(|(p, name)| (profile.number(*p) * grams / 100.0, name))
                .filter(|(g, _)| *g > 0.001 * batch)
                .map(|(g, name)| format!("{} g {name}", weighed(g)))
                .collect();
            ReasonOut {
                rule: "mass-balance".into(),
                text: format!(
                    "{} brings {}",
                    self.catalogue.ingredient(*key).name,
                    brings.join(", ")
                ),
                source: "composition".into(),
                locator: String::new(),
            }
        });
        each.collect()
    }

    /// What the rules help such a formula with towards a new mark, of what it does not hold yet.
    pub(in crate::engine) fn helpers(
        &self,
        formula: &Formula,
        state: &State,
    ) -> Vec<IngredientKey> {
        let view = MixView::new(self.assessor(), formula, state);
        let facts = Facts {
            catalogue: &self.catalogue,
            this: None,
            newcomer: None,
            leaver: None,
            mix: Some(&view),
        };
        let helpful = self
            .catalogue
            .rules
            .iter()
            .filter_map(|rule| match &rule.kind {
                RuleKind::Helper { newcomer } if judge(&rule.when, &facts) == Truth::Yes => {
                    self.catalogue.key(newcomer)
                }
                _ => None,
            });
        helpful.filter(|k| formula.grams_of(*k) == 0.0).collect()
    }
}
