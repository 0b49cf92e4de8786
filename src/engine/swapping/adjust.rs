//! A formula brought back to its marks, as an answer.

use super::option::OF_ICE;
use super::proposal::{Found, Proposal};
use super::{demand, number};
use crate::answer::{ChangedOut, ConflictOut, FormulaOut, Kind, ReasonOut, SwapOut};
use crate::condition::{Facts, Truth, judge};
use crate::diagnostic::{Diagnostic, Problems};
use crate::engine::summary::{self, Asking};
use crate::engine::{Engine, Wanted, fits, mark};
use crate::formula::{Formula, MixView, Part, State, weighed};
use crate::model::{Aim, Dial, Goal, IngredientKey, RuleKind, Severity, Wish};
use crate::swap::{self, Edit, Rebalanced};
use crate::texture::Finding;

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
        let found = self.edits(formula, added, wish);
        out.as_added = self.as_added(formula, added);
        out.assumed.extend(found.assumed);
        out.why_none = found.why_none;
        out.options = self.told_options(&found.options);
        out.nearest = self.told_options(&found.nearest);
        out.overruled = self.overruled(self.named_in(&out.options));
        out
    }

    /// A formula after grams moved, with its other lines moved so that its marks hold; `None` where no edit
    /// holds them.
    pub(in crate::engine) fn marks_held(
        &self,
        formula: &Formula,
        moved: &[(IngredientKey, f64)],
    ) -> Option<Formula> {
        let found = self.edits(formula, moved, &Wish::default());
        found.options.into_iter().next().map(|first| first.after)
    }

    /// The smallest edits of a formula's own lines that bring it back to its marks after what was added, or
    /// to new marks.
    pub(super) fn edits(
        &self,
        formula: &Formula,
        added: &[(IngredientKey, f64)],
        wish: &Wish,
    ) -> Found {
        let mut found = Found::default();
        // Where something goes, what comes may make up the batch.
        let gone = added.iter().filter(|(_, grams)| *grams < 0.0);
        let going: Vec<IngredientKey> = gone.map(|(key, _)| *key).collect();
        let mut with = formula.merged();
        if !going.is_empty() {
            added.iter().for_each(|(key, grams)| with.add(*key, *grams));
        }
        // What comes in kind keeps its grams: another line makes up the batch.
        let in_kind = |new: &IngredientKey| going.iter().any(|out| self.is_in_kind(*out, *new));
        let coming = added.iter().map(|(key, _)| *key);
        let fixed: Vec<IngredientKey> = coming.filter(in_kind).collect();
        let Some(balance) = self.balance(&with, &[going.as_slice(), &fixed].concat()) else {
            return found;
        };
        let assessor = self.assessor();
        // Where nothing freezes, what only lowers a figure needs no filler.
        let rises = |goal: &Goal| !matches!(goal.aim, Aim::Lower | Aim::AtMost(_));
        let filled = self.freezes(formula) || wish.goals.iter().any(rises);
        let mut helpers: Vec<IngredientKey> = if wish.goals.is_empty() || !filled {
            vec![]
        } else {
            self.helpers(formula, &assessor.state(formula))
        };
        if wish.aim(Dial::Price).is_some() {
            helpers.retain(|key| self.priced(*key));
        }
        let result = swap::rebalance(assessor, formula, added, wish, balance, &helpers);
        found.assumed.extend(strained(&result));
        for edit in &result.edits {
            let met = edit.miss <= 1.0;
            // A second that misses tells no more.
            if !met && !found.options.is_empty() {
                break;
            }
            let proposal = self.edited(formula, added, &result, edit);
            match met {
                true => found.options.push(proposal),
                false => found.nearest.push(proposal),
            }
        }
        // What brings no new fault goes first.
        found.options.sort_by_key(|p| self.new_faults(p));
        if found.options.is_empty() {
            found.why_none = match found.nearest.first() {
                Some(near) => self.missed(near),
                None => self.beyond(formula, added, wish, (balance, &helpers)),
            };
        }
        found
    }

    /// How many rules warn of the mix a proposal makes and not of the one before it.
    fn new_faults(&self, p: &Proposal) -> usize {
        let (before, after) = (self.acting(&p.before), self.acting(&p.after));
        let warns = |f: &&Finding| f.severity >= Severity::Watch;
        let new = |f: &&Finding| before.iter().all(|b| b.id != f.id);
        after.iter().filter(warns).filter(new).count()
    }

    /// One edit as a proposal.
    fn edited(
        &self,
        formula: &Formula,
        added: &[(IngredientKey, f64)],
        result: &Rebalanced,
        edit: &Edit,
    ) -> Proposal {
        let (more, less): (Vec<_>, Vec<_>) =
            edit.changes.iter().copied().partition(|(_, g)| *g > 0.0);
        Proposal {
            before: formula.clone(),
            after: edit.formula.clone(),
            comes: Proposal::coming(added.iter().copied().chain(more)),
            goes: less.into_iter().map(|(key, grams)| (key, -grams)).collect(),
            targets: result.targets.clone(),
            reasons: self.brought(added, formula.grams()),
            confidence: Some(edit.confidence),
            miss: Some(edit.miss),
            ..Proposal::default()
        }
    }

    /// What an addition moves where nothing else is done.
    fn as_added(&self, formula: &Formula, added: &[(IngredientKey, f64)]) -> Vec<ChangedOut> {
        if added.is_empty() {
            return vec![];
        }
        let before = self.assessor().state(&formula.merged());
        let mut with = formula.merged();
        added.iter().for_each(|(key, grams)| with.add(*key, *grams));
        let unbalanced = self.assessor().state(&with);
        let feels = swap::feels(&self.catalogue, &before);
        let frozen = self.freezes(formula);
        let told = TOLD_AS_ADDED
            .iter()
            .filter(|d| frozen || !OF_ICE.contains(d));
        let moved = told.filter_map(|&dial| {
            let (was, is) = (before.dial(dial)?, unbalanced.dial(dial)?);
            ((is - was).abs() > feels.get(&dial)?.tolerance).then(|| ChangedOut {
                property: dial.id().into(),
                before: was,
                after: is,
                asked: false,
            })
        });
        moved.collect()
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
    pub(super) fn missed(&self, near: &Proposal) -> Vec<ConflictOut> {
        let (before, after) = self.states(near);
        let failed = near.targets.iter().filter_map(|t| {
            let (was, is) = (before.dial(t.dial)?, after.dial(t.dial)?);
            (t.miss(is) > 1.0).then(|| ConflictOut {
                constraint: t.dial.id().into(),
                text: format!(
                    "{} ({}); the nearest these ingredients come is {} {}",
                    t.dial.name(),
                    demand(t, Some(was)),
                    number(t.dial, is),
                    t.dial.unit()
                ),
                nearest: Some(is),
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

/// The marks nobody asked for that no edit holds, and what the nearest edit brings them to.
fn strained(result: &Rebalanced) -> Option<String> {
    let nearest = result.edits.first()?;
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
    (!each.is_empty()).then(|| {
        format!(
            "no edit of these lines holds everything; the nearest comes to {}",
            each.join(", ")
        )
    })
}
