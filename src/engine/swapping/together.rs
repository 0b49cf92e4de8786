//! Everything that must go, in one answer: what rules replace by job, what the numbers replace, and
//! what is only taken out.

use super::SwapOptions;
use super::option::Change;
use super::tidy::headline;
use crate::answer::{Amount, LeftOut, OptionOut, ReasonOut, SwapOut};
use crate::engine::Engine;
use crate::formula::{Formula, MixView};
use crate::model::{Ingredient, IngredientKey};
use crate::swap::{self, JobSwap};

/// Whole answers shown where rules alone replace everything.
const SHOWN: usize = 3;
/// Other stand-ins named for each thing that goes.
const OTHERS: usize = 3;
/// How far the weight of the batch may stray, as a share of it.
const BATCH: f64 = 0.03;
/// Up to this share of a mix, what no rule replaces is only taken out, %.
const PINCH: f64 = 1.0;

/// One leaver with the rules that may replace it, the best first.
type Choices = (IngredientKey, Vec<JobSwap>);

/// What the rules do together, before any numbers.
struct Step<'a> {
    jobs: Vec<(IngredientKey, &'a JobSwap)>,
    /// Leavers no rule replaces.
    bare: Vec<IngredientKey>,
    /// Newcomers held to their greatest use, with its reason, though the rules together ask for more.
    held: Vec<(IngredientKey, String)>,
    after: Formula,
}

impl Engine {
    /// Fills in whole answers: none of them holds anything of what must go.
    pub(super) fn fill_together(
        &self,
        out: &mut SwapOut,
        formula: &Formula,
        options: &SwapOptions,
    ) {
        let going: Vec<IngredientKey> = options.leavers.iter().map(|(k, _)| *k).collect();
        let all: Vec<Choices> = going
            .iter()
            .map(|key| (*key, self.stand_ins(formula, options, *key)))
            .collect();
        // What the trade takes in its place goes before what only the numbers take, where no number
        // was asked for.
        let asked = !options.wish.goals.is_empty();
        let by_rule = |(key, rules): &Choices| {
            self.goes_by_job(*key)
                || self.pinch(formula, *key)
                || !asked && !rules.is_empty() && options.wish.shelf.is_none()
        };
        let (choices, counted): (Vec<Choices>, Vec<Choices>) = all.into_iter().partition(by_rule);
        let counted: Vec<IngredientKey> = counted.into_iter().map(|(key, _)| key).collect();
        let best = self.step(formula, &going, &choices, 0);
        out.left = self.undone(&best.bare, &best.after);
        if counted.is_empty() {
            let rounds = choices
                .iter()
                .map(|(_, jobs)| jobs.len())
                .max()
                .unwrap_or(0);
            for n in 0..rounds.clamp(1, SHOWN) {
                let step = self.step(formula, &going, &choices, n);
                let rank = out.options.len() + 1;
                let levelled = self.levelled(formula, options, &step);
                out.options
                    .push(self.whole(rank, formula, &step, levelled.as_ref()));
            }
            // What swells or shrinks the batch, with no liquid in it to take up the rest, is no answer
            // where another keeps its weight.
            let off = |option: &OptionOut| {
                let (was, is) = (formula.grams(), self.formula_of(option).grams());
                (is - was).abs() > BATCH * was
            };
            if out.options.iter().any(|option| !off(option)) {
                out.options.retain(|option| !off(option));
            }
        } else {
            self.counted(out, formula, options, &best, &counted);
        }
        if let Some(first) = out.options.first() {
            out.direct = headline(first);
        }
        for (key, jobs) in &choices {
            let others = jobs.iter().skip(1).take(OTHERS).cloned();
            let name = &self.catalogue.ingredient(*key).name;
            out.others.extend(others.map(|job| crate::answer::OtherOut {
                instead_of: name.clone(),
                ..self.in_short(job)
            }));
        }
    }

    /// What the rules leave brought back to the marks of before by the lines that stay; `None` where no
    /// line needs to move, or the dish has no such marks.
    fn levelled(
        &self,
        formula: &Formula,
        options: &SwapOptions,
        step: &Step<'_>,
    ) -> Option<OptionOut> {
        if options.dish.is_some() || step.jobs.iter().all(|(key, _)| self.goes_by_job(*key)) {
            return None;
        }
        let base = formula.merged();
        let mut keys: Vec<IngredientKey> = base.lines.iter().map(|line| line.key).collect();
        keys.extend(step.after.lines.iter().map(|line| line.key));
        keys.sort_unstable();
        keys.dedup();
        let moved: Vec<(IngredientKey, f64)> = keys
            .into_iter()
            .map(|key| (key, step.after.grams_of(key) - base.grams_of(key)))
            .filter(|(_, grams)| grams.abs() > 1e-9)
            .collect();
        self.unasked(formula, &moved, options)
    }

    /// Too little of it to count, and no sweetener so strong that it counts all the same.
    fn pinch(&self, formula: &Formula, key: IngredientKey) -> bool {
        let sweet = self.catalogue.ingredient(key).family == "intense-sweetener";
        !sweet && formula.grams_of(key) < PINCH / 100.0 * formula.grams()
    }

    /// The rules that replace one leaver by something that stays.
    fn stand_ins(
        &self,
        formula: &Formula,
        options: &SwapOptions,
        key: IngredientKey,
    ) -> Vec<JobSwap> {
        let alone = SwapOptions {
            leavers: vec![(key, None)],
            ..options.clone()
        };
        let goes = |k: &IngredientKey| options.leavers.iter().any(|(l, _)| l == k);
        let jobs = self.jobs(formula, &alone).into_iter().map(|(_, job)| job);
        jobs.filter(|job| !job.newcomers.iter().any(|(k, _)| goes(k)))
            .collect()
    }

    /// Every leaver by the `n`th of its rules, or its last, or only taken out; the batch made up.
    fn step<'a>(
        &self,
        formula: &Formula,
        going: &[IngredientKey],
        choices: &'a [Choices],
        n: usize,
    ) -> Step<'a> {
        let base = formula.merged();
        let mut after = base.clone();
        let (mut jobs, mut bare) = (vec![], vec![]);
        for (key, rules) in choices {
            after.add(*key, -base.grams_of(*key));
            match rules.get(n.min(rules.len().saturating_sub(1))) {
                Some(job) => jobs.push((*key, job)),
                None => bare.push(*key),
            }
        }
        for (_, job) in &jobs {
            job.newcomers
                .iter()
                .for_each(|(k, span)| after.add(*k, span.typical));
        }
        // One newcomer for several leavers: their doses add up, but not past its use.
        let mut held: Vec<(IngredientKey, String)> = vec![];
        for (key, _) in jobs.iter().flat_map(|(_, job)| &job.newcomers) {
            let (most, why) = swap::limit(self.catalogue.ingredient(*key), base.grams());
            let over = after.grams_of(*key) - most.max(base.grams_of(*key));
            if over > 0.0 {
                after.add(*key, -over);
                held.push((*key, why));
            }
        }
        self.made_up(&base, &mut after, going);
        Step {
            jobs,
            bare,
            held,
            after,
        }
    }

    /// What is taken out bare, and the job nothing left in the mix does.
    fn undone(&self, bare: &[IngredientKey], after: &Formula) -> Vec<LeftOut> {
        let left = |key: &IngredientKey| {
            let ingredient = self.catalogue.ingredient(*key);
            let job = ingredient.functions.first().cloned().unwrap_or_default();
            let done = after
                .lines
                .iter()
                .any(|l| l.grams > 0.0 && self.catalogue.ingredient(l.key).does(&job));
            LeftOut {
                id: ingredient.id.clone(),
                name: ingredient.name.clone(),
                still_in: false,
                job: if done { String::new() } else { job },
            }
        };
        bare.iter().map(left).collect()
    }

    /// The rest by the numbers, on the mix the rules leave.
    fn counted(
        &self,
        out: &mut SwapOut,
        formula: &Formula,
        options: &SwapOptions,
        step: &Step<'_>,
        leavers: &[IngredientKey],
    ) {
        let rest = SwapOptions {
            leavers: leavers.iter().map(|k| (*k, None)).collect(),
            entirely: true,
            ..options.clone()
        };
        let mut found = SwapOut::default();
        self.fill_by_numbers(&mut found, &step.after, &rest);
        if found.options.is_empty() && options.wish.goals.is_empty() {
            found.options = self.taken_out(&step.after, options, leavers);
            if !found.options.is_empty() {
                found.nearest.clear();
                found.why_none.clear();
            }
        }
        if found.options.is_empty() && options.wish.goals.is_empty() && !found.nearest.is_empty() {
            let near = found.nearest.remove(0);
            found.options.push(near);
        }
        let whole = |o: &OptionOut| self.whole(o.rank, formula, step, Some(o));
        out.options = found.options.iter().map(whole).collect();
        out.nearest = found.nearest.iter().map(whole).collect();
        out.assumed.append(&mut found.assumed);
        out.unknown = found.unknown;
        out.why_none = found.why_none;
        out.proof = found.proof;
    }

    /// What only flavours or colours can be left out: the other lines hold sweetness and hardness as
    /// near as they go.
    fn taken_out(
        &self,
        formula: &Formula,
        options: &SwapOptions,
        leavers: &[IngredientKey],
    ) -> Vec<OptionOut> {
        let flavours = |k: &IngredientKey| {
            let first = self.catalogue.ingredient(*k).functions.first();
            first.is_some_and(|f| matches!(f.as_str(), "flavour" | "colour"))
        };
        if !leavers.iter().all(flavours) {
            return vec![];
        }
        let moved: Vec<(IngredientKey, f64)> = leavers
            .iter()
            .map(|k| (*k, -formula.grams_of(*k)))
            .collect();
        self.unasked(formula, &moved, options).into_iter().collect()
    }

    /// The first rebalance after grams moved, as something nobody asked for by itself.
    fn unasked(
        &self,
        formula: &Formula,
        moved: &[(IngredientKey, f64)],
        options: &SwapOptions,
    ) -> Option<OptionOut> {
        let found = self.rebalanced(formula, moved, &options.wish, "", &[]);
        let mut option = found.options.into_iter().chain(found.nearest).next()?;
        option.reasons.clear();
        (option.confidence, option.miss) = (None, None);
        option.kept.iter_mut().for_each(|k| k.asked = false);
        option.changed.iter_mut().for_each(|c| c.asked = false);
        Some(option)
    }

    /// One whole answer: what the rules bring and what the numbers bring on top.
    fn whole(
        &self,
        rank: usize,
        formula: &Formula,
        step: &Step<'_>,
        counted: Option<&OptionOut>,
    ) -> OptionOut {
        let base = formula.merged();
        let mut after = counted.map_or_else(|| step.after.clone(), |o| self.formula_of(o));
        after.lines.retain(|l| l.grams > 0.0);
        let fresh: Vec<IngredientKey> = after
            .lines
            .iter()
            .map(|l| l.key)
            .filter(|k| base.grams_of(*k) <= 0.0)
            .collect();
        let brought = step.jobs.iter().flat_map(|(_, job)| &job.newcomers);
        let mut incoming: Vec<IngredientKey> = brought.map(|(k, _)| *k).collect();
        incoming.extend(counted.iter().flat_map(|o| {
            o.ingredients
                .iter()
                .filter_map(|a| self.catalogue.key(&a.id))
        }));
        incoming.extend(&fresh);
        let moved = |k: &IngredientKey| after.grams_of(*k) - base.grams_of(*k);
        let ruled = |k: &IngredientKey| {
            let mut brought = step.jobs.iter().flat_map(|(_, job)| &job.newcomers);
            brought.any(|(b, _)| b == k)
        };
        // A line of the mix that only takes up the rest is no newcomer.
        let counted_in = |k: &IngredientKey| {
            counted.is_none_or(|o| o.confidence.is_some()) || base.grams_of(*k) <= 0.0
        };
        let mut seen = vec![];
        incoming.retain(|k| {
            let again = seen.contains(k);
            seen.push(*k);
            !again && moved(k) > 0.0 && (ruled(k) || counted_in(k))
        });
        let gone: Vec<IngredientKey> = base
            .lines
            .iter()
            .map(|l| l.key)
            .filter(|k| after.grams_of(*k) <= 0.0)
            .collect();
        let others: Vec<(IngredientKey, f64)> = base
            .lines
            .iter()
            .map(|l| l.key)
            .filter(|k| !gone.contains(k) && !incoming.contains(k))
            .map(|k| (k, moved(&k)))
            .filter(|(_, g)| g.abs() >= 0.005)
            .collect();
        let newcomers: Vec<&Ingredient> = incoming
            .iter()
            .map(|k| self.catalogue.ingredient(*k))
            .collect();
        let assessor = self.assessor();
        let (before_state, after_state) = (assessor.state(&base), assessor.state(&after));
        let view = |formula, state| MixView::new(assessor, formula, state);
        let leaver = gone.first().map(|k| self.catalogue.ingredient(*k));
        let cautions = swap::called_for(
            &view(&base, &before_state),
            &view(&after, &after_state),
            &newcomers,
            leaver,
        );
        let mut option = self.outcome(Change {
            before: (&base, &before_state),
            after: (&after, &after_state),
            targets: &[],
            newcomers: &newcomers,
            cautions,
        });
        option.rank = rank;
        option.ingredients = self.amounts(incoming.iter().map(|k| (*k, moved(k))));
        option.removed = self.amounts(gone.iter().map(|k| (*k, base.grams_of(*k))));
        option.balanced = self.amounts(others);
        option.acidity = self.acidities(&base, &after);
        let texts = |pick: fn(&JobSwap) -> &String| {
            let mut each: Vec<String> = vec![];
            for (_, job) in &step.jobs {
                let text = pick(job);
                if !text.is_empty() && !each.contains(text) {
                    each.push(text.clone());
                }
            }
            each.join("; ")
        };
        option.lost = texts(|j| &j.lost);
        option.changes = texts(|j| &j.changes);
        for (_, job) in &step.jobs {
            for done in job.jobs.iter().filter(|_| counted.is_none()) {
                if !option.jobs.contains(done) {
                    option.jobs.push(done.clone());
                }
            }
            option.reasons.push(ReasonOut {
                rule: job.rule.clone(),
                text: job.because.clone(),
                source: job.source.clone(),
                locator: job.locator.clone(),
            });
        }
        for (key, why) in &step.held {
            option.reasons.push(ReasonOut {
                rule: "use-level".into(),
                text: format!(
                    "{} is held to {why}, though its doses for all that goes add up to more",
                    self.catalogue.ingredient(*key).name
                ),
                source: "use_level".into(),
                locator: String::new(),
            });
        }
        if let Some(o) = counted {
            option.reasons.extend(o.reasons.iter().cloned());
            (option.confidence, option.miss) = (o.confidence, o.miss);
            let known =
                |c: &crate::answer::FindingOut| option.cautions.iter().any(|x| x.text == c.text);
            let more: Vec<_> = o.cautions.iter().filter(|c| !known(c)).cloned().collect();
            option.cautions.extend(more);
            for kept in &mut option.kept {
                kept.asked = o
                    .kept
                    .iter()
                    .any(|k| k.property == kept.property && k.asked);
            }
            for changed in &mut option.changed {
                changed.asked = o
                    .changed
                    .iter()
                    .any(|c| c.property == changed.property && c.asked);
            }
        }
        option
    }

    /// The formula an option weighs out.
    pub(super) fn formula_of(&self, option: &OptionOut) -> Formula {
        let mut formula = Formula::default();
        let known = |a: &Amount| Some((self.catalogue.key(&a.id)?, a.grams));
        for (key, grams) in option.formula.iter().filter_map(known) {
            formula.add(key, grams);
        }
        formula
    }
}
