//! A formula brought back to its marks, as an answer.

use super::option::Change;
use super::{demand, number};
use crate::answer::{ChangedOut, ConflictOut, FormulaOut, Kind, OptionOut, ReasonOut, SwapOut};
use crate::condition::{Facts, Truth, judge};
use crate::diagnostic::{Diagnostic, Problems};
use crate::engine::summary::{self, Asking};
use crate::engine::{Engine, Wanted, fits, mark};
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

/// The way out of an addition that is none.
const HOW_TO_ADD: &str = "name what goes in with its amount, such as \"200 g dark chocolate\"";

/// A rebalance as any face asks for it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct AdjustRequest {
    /// What was added, each a line of a formula: `200 g dark chocolate`.
    pub add: Vec<String>,
    /// New marks: `fat 8`, `sweetness -20 %`, `scoopable at -18`.
    pub targets: Vec<String>,
    /// The weight the formula is taken to first, g.
    pub scale: Option<f64>,
    /// What else is wanted.
    pub wanted: Wanted,
}

impl AdjustRequest {
    /// Another weight, where nothing else is asked for.
    pub fn only_scales(&self) -> Option<f64> {
        let nothing = self.add.is_empty() && self.targets.is_empty() && self.wanted.is_empty();
        self.scale.filter(|_| nothing)
    }
}

impl Engine {
    /// Brings a formula back to its marks after what was added, or to new marks.
    ///
    /// Errors: `S002` where nothing is asked for; those of additions, of marks and of what is wanted.
    pub fn adjust(&self, formula: &Formula, request: &AdjustRequest) -> Result<SwapOut, Problems> {
        let mut added = vec![];
        for text in &request.add {
            added.extend(self.addition(text)?);
        }
        if added.is_empty() && request.targets.is_empty() && request.wanted.is_empty() {
            return Err(Diagnostic::new("S002", "adjust", "nothing to adjust to").help("name an addition (--add \"200 g dark chocolate\"), a mark (--target \"fat 8\") or a weight (--scale 2000)").into());
        }
        let mut wish = self.wish(&request.wanted)?;
        for text in &request.targets {
            fits(text)?;
            wish.goals.push(mark::mark(text)?);
        }
        let times = request.scale.map_or(1.0, |grams| grams / formula.grams());
        let formula = &formula.scaled(times);
        let understood = self.understood_adjust(&added, request);
        Ok(self.rebalanced(formula, &added, &wish, &understood, &[]))
    }

    /// A formula of another weight, every line alike.
    pub fn scale(&self, formula: &Formula, grams: f64) -> FormulaOut {
        let scaled = formula.scaled(grams / formula.grams());
        let lines = scaled.lines.iter().map(|line| (line.key, line.grams));
        FormulaOut {
            name: scaled.name.clone(),
            batch_g: scaled.grams(),
            formula: self.amounts(lines),
        }
    }

    /// What was added, written as a line of a formula: `200 g dark chocolate`, `2 tbsp honey`.
    ///
    /// Errors: those of a formula.
    fn addition(&self, text: &str) -> Result<Vec<(IngredientKey, f64)>, Problems> {
        fits(text)?;
        // In a list `-3 g sugar` begins with a dash; alone it would take out what is asked to be added.
        let taken_out = |line: &str| {
            let rest = line.trim_start().strip_prefix(['-', '\u{2212}']);
            rest.is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
        };
        if let Some(line) = text.lines().find(|line| taken_out(line)) {
            let message = format!("`{}` adds less than nothing", line.trim());
            let problem = Diagnostic::new("F006", "addition", message);
            return Err(problem.help(HOW_TO_ADD).into());
        }
        let read = self.formula("addition", text.as_bytes());
        let read = read.map_err(|mut problems| {
            // What a file lacks is a line; an addition is one.
            for problem in problems.0.iter_mut().filter(|p| p.code == "F010") {
                problem.help = Some(HOW_TO_ADD.into());
            }
            problems
        })?;
        let lines = read.lines.iter();
        Ok(lines.map(|line| (line.key, line.grams)).collect())
    }

    /// A request in words, by ids.
    fn understood_adjust(&self, added: &[(IngredientKey, f64)], request: &AdjustRequest) -> String {
        let added = added.iter().map(|(key, grams)| {
            let id = &self.catalogue.ingredient(*key).id;
            format!("add {} g {id}", weighed(*grams))
        });
        let parts: Vec<String> = added
            .chain(request.targets.iter().map(|t| format!("target {t}")))
            .chain(request.wanted.said())
            .collect();
        format!("adjust {}", parts.join("; "))
    }

    /// Brings a formula back to its marks, or to new ones.
    pub(in crate::engine) fn rebalanced(
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
            kind: Some(Kind::Adjust),
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
