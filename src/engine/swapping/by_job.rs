//! Swaps by the rules of the trade, as an answer.

use super::SwapOptions;
use super::option::{Change, listed};
use crate::answer::{Amount, OptionOut, OtherOut, ReasonOut, SwapOut};
use crate::engine::Engine;
use crate::formula::{Formula, Line, MixView};
use crate::model::rule::Span;
use crate::model::{Aim, Dial, Goal, Ingredient, IngredientKey, Test, Wish};
use crate::swap::{self, JobAsk, JobSwap, Unfrozen};

/// Rules by job shown.
const JOBS_SHOWN: usize = 8;
/// A rule that takes over as many jobs of one thing at once stands for all of it.
const WHOLE: usize = 3;
/// Other ways named beside a pair.
const OTHERS_SHOWN: usize = 3;
/// What the other lines bring back after a named swap, as far as they can.
const MARKS: [Dial; 4] = [
    Dial::Sweetness,
    Dial::FreezingPoint,
    Dial::Fat,
    Dial::TotalSolids,
];
/// Grams of a leaver assumed where neither a formula nor a usual dose gives them.
const ASSUMED_GRAMS: f64 = 100.0;
/// Weight of the mix a usual dose is reckoned in, g.
const MIX: f64 = 1000.0;

impl Engine {
    pub(super) fn jobs(
        &self,
        formula: &Formula,
        options: &SwapOptions,
    ) -> Vec<(IngredientKey, JobSwap)> {
        let each = options.leavers.iter().flat_map(|(key, amount)| {
            let held = formula.grams_of(*key) > 0.0;
            let ask = JobAsk {
                formula: (held && !options.ratios).then_some(formula),
                leaver: *key,
                grams: amount.unwrap_or(self.basis(formula, *key)),
                wish: &options.wish,
                named: &options.newcomers,
                dish: options.dish.as_ref(),
            };
            let jobs = swap::by_job(self.assessor(), &ask).into_iter();
            jobs.map(|j| (*key, j)).collect::<Vec<_>>()
        });
        each.collect()
    }

    /// Grams of a leaver: what the formula holds, else its usual dose in a kilogram.
    fn basis(&self, formula: &Formula, key: IngredientKey) -> f64 {
        let usual = self.catalogue.ingredient(key).number("use_level");
        match formula.grams_of(key) {
            grams if grams > 0.0 => grams,
            _ => usual.map_or(ASSUMED_GRAMS, |share| {
                (share / 100.0 * MIX).min(ASSUMED_GRAMS)
            }),
        }
    }

    /// What stands in for ingredients of a dish that is not frozen, by ratio alone; `None` where no
    /// rule names a ratio.
    pub(in crate::engine) fn by_ratio(
        &self,
        keys: &[IngredientKey],
        grams: Option<f64>,
        newcomers: &[IngredientKey],
        wish: &Wish,
        dish: Unfrozen,
    ) -> Option<SwapOut> {
        if !wish.goals.is_empty() {
            return None;
        }
        let mut base = Formula::default();
        for key in keys {
            base.add(*key, grams.unwrap_or(self.basis(&base, *key)));
        }
        let rest = MIX - base.grams();
        if let (Some(water), true) = (self.catalogue.key("water"), rest > 0.0) {
            base.add(water, rest);
        }
        let assumed = format!(
            "no formula was given: ratios for {} as such, nothing else of it is known; name a formula with --in for figures",
            dish.name
        );
        let options = SwapOptions {
            leavers: keys.iter().map(|k| (*k, grams)).collect(),
            newcomers: newcomers.to_vec(),
            wish: wish.clone(),
            dish: Some(dish),
            ratios: true,
            ..SwapOptions::default()
        };
        let mut out = self.swap(&base, &options);
        out.assumed.insert(0, assumed);
        (!out.options.is_empty()).then_some(out)
    }

    pub(super) fn fill_by_job(
        &self,
        out: &mut SwapOut,
        formula: &Formula,
        options: &SwapOptions,
        rules: Vec<(IngredientKey, JobSwap)>,
    ) {
        // One option per set of newcomers and job, and no more than a person reads.
        let mut seen: Vec<(Vec<IngredientKey>, Vec<String>)> = vec![];
        let mut each: Vec<Vec<(IngredientKey, JobSwap)>> = vec![vec![]; options.leavers.len()];
        let mut grades = 0;
        for (leaver, job) in rules {
            // Of the same substance in another grade one is enough, unless it was named.
            if options.newcomers.is_empty() && self.same_substance(leaver, &job) {
                grades += 1;
                if grades > 1 {
                    continue;
                }
            }
            let key = (
                job.newcomers.iter().map(|(k, _)| *k).collect(),
                job.jobs.clone(),
            );
            let place = options
                .leavers
                .iter()
                .position(|(k, _)| *k == leaver)
                .unwrap_or(0);
            let again = options.leavers.len() == 1 && seen.contains(&key);
            if !again {
                seen.push(key);
                each[place].push((leaver, job));
            }
        }
        each.retain(|jobs| !jobs.is_empty());
        // A stand-in for all the jobs of one thing is the answer; single jobs follow in short.
        if let ([rules], true) = (each.as_mut_slice(), options.newcomers.is_empty()) {
            let most = rules.iter().map(|(_, j)| j.jobs.len()).max().unwrap_or(0);
            if most >= WHOLE {
                let (whole, rest): (Vec<_>, Vec<_>) =
                    rules.drain(..).partition(|(_, j)| j.jobs.len() == most);
                *rules = whole;
                let rest = spread(&rest).into_iter();
                out.others = rest.map(|(_, job)| self.in_short(job)).collect();
            }
        }
        each.iter_mut().for_each(|rules| *rules = spread(rules));
        // With several leavers an option takes one rule for each of them.
        let count = each.iter().map(Vec::len).max().unwrap_or(0).min(JOBS_SHOWN);
        for n in 0..count {
            let jobs: Vec<&(IngredientKey, JobSwap)> = each
                .iter()
                .map(|jobs| &jobs[n.min(jobs.len() - 1)])
                .collect();
            let option = self.job_option(out.options.len() + 1, formula, options, &jobs);
            out.options.push(option);
        }
        if let (Some(first), [(leaver, _)]) = (out.options.first(), options.leavers.as_slice()) {
            let name = &self.catalogue.ingredient(*leaver).name;
            let removed = crate::formula::weighed(first.removed.first().map_or(0.0, |a| a.grams));
            out.direct = format!("{} for {removed} g {name}", listed(&first.ingredients));
            let mut jobs: Vec<&str> = vec![];
            for job in out.options.iter().filter_map(|o| o.jobs.first()) {
                if !jobs.contains(&job.as_str()) {
                    jobs.push(job);
                }
            }
            let whole = first.jobs.len() > 1;
            if options.newcomers.is_empty() && !whole && jobs.len() > 1 {
                out.direct = format!(
                    "{name} has several jobs here: {}. Take a stand-in for each one you need.",
                    jobs.join(", ")
                );
            }
            if formula.grams_of(*leaver) <= 0.0 || options.ratios {
                out.assumed.push(format!(
                    "{removed} g of {name} as the basis: its usual dose in a kilogram, or the amount named"
                ));
            }
        }
        for option in out.options.iter().filter(|_| !options.newcomers.is_empty()) {
            let named = |a: &&Amount| {
                let key = self.catalogue.key(&a.id);
                let water = key.is_some_and(|k| self.catalogue.ingredient(k).family == "water");
                water || key.is_some_and(|k| options.newcomers.contains(&k))
            };
            let more: Vec<&str> = option
                .ingredients
                .iter()
                .filter(|a| !named(a))
                .map(|a| a.name.as_str())
                .collect();
            if !more.is_empty() {
                out.assumed.push(format!(
                    "option {} also brings {}, which was not named: its rule takes them together",
                    option.rank,
                    more.join(" and ")
                ));
            }
        }
        if let ([(leaver, _)], false) = (options.leavers.as_slice(), options.newcomers.is_empty()) {
            out.others = self.others(formula, options);
            if formula.grams_of(*leaver) > 0.0 && !self.goes_by_job(*leaver) && !options.ratios {
                self.with_marks_held(out, formula, options, *leaver);
            }
        }
    }

    /// Whether a rule brings what goes in another grade: powder for leaf, one strength for another.
    fn same_substance(&self, leaver: IngredientKey, job: &JobSwap) -> bool {
        let numbers = |key: IngredientKey| &self.catalogue.ingredient(key).cas;
        match job.newcomers.as_slice() {
            [(one, _)] => numbers(*one).iter().any(|n| numbers(leaver).contains(n)),
            _ => false,
        }
    }

    /// What else the rules name in place of the leaver of a named pair.
    fn others(&self, formula: &Formula, options: &SwapOptions) -> Vec<OtherOut> {
        let open = SwapOptions {
            newcomers: vec![],
            ..options.clone()
        };
        let named = |(k, _): &(IngredientKey, Span)| options.newcomers.contains(k);
        let rules = self.jobs(formula, &open).into_iter();
        let mut seen: Vec<Vec<IngredientKey>> = vec![];
        rules
            .map(|(_, job)| job)
            .filter(|job| !job.newcomers.iter().any(named))
            .filter(|job| {
                let keys = job.newcomers.iter().map(|(k, _)| *k).collect();
                let new = !seen.contains(&keys);
                seen.push(keys);
                new
            })
            .take(OTHERS_SHOWN)
            .map(|job| self.in_short(job))
            .collect()
    }

    pub(super) fn in_short(&self, job: JobSwap) -> OtherOut {
        OtherOut {
            instead_of: String::new(),
            ingredients: self.spans(&job.newcomers),
            jobs: job.jobs,
            lost: job.lost,
            source: job.source,
            locator: job.locator,
        }
    }

    /// The first option again with the marks it moved brought back by the other lines.
    fn with_marks_held(
        &self,
        out: &mut SwapOut,
        formula: &Formula,
        options: &SwapOptions,
        leaver: IngredientKey,
    ) {
        let Some(direct) = out.options.first() else {
            return;
        };
        let grams = |amounts: &[Amount], sign: f64| -> Vec<(IngredientKey, f64)> {
            let known = amounts
                .iter()
                .filter_map(|a| Some((self.catalogue.key(&a.id)?, sign * a.grams)));
            known.collect()
        };
        let moved = [
            grams(&direct.ingredients, 1.0),
            grams(&direct.removed, -1.0),
        ]
        .concat();
        let mut wish = options.wish.clone();
        wish.goals = MARKS
            .map(|dial| Goal {
                dial,
                aim: Aim::Keep,
            })
            .to_vec();
        let mut held = self.rebalanced(formula, &moved, &wish, "", &[]);
        let Some(best) = held.options.drain(..).next() else {
            return;
        };
        let after = |key: &IngredientKey| {
            let line = best
                .formula
                .iter()
                .find(|a| self.catalogue.key(&a.id) == Some(*key));
            line.map_or(0.0, |a| a.grams) - formula.grams_of(*key)
        };
        let pair = |key: &IngredientKey| *key == leaver || options.newcomers.contains(key);
        let mut keys: Vec<IngredientKey> = best
            .formula
            .iter()
            .filter_map(|a| self.catalogue.key(&a.id))
            .chain(formula.lines.iter().map(|l| l.key))
            .filter(|k| !pair(k))
            .collect();
        keys.sort_unstable();
        keys.dedup();
        let balanced: Vec<(IngredientKey, f64)> = keys
            .into_iter()
            .map(|k| (k, after(&k)))
            .filter(|(_, g)| g.abs() >= 0.005)
            .collect();
        if balanced.is_empty() {
            return;
        }
        let option = OptionOut {
            rank: out.options.len() + 1,
            ingredients: self.amounts(options.newcomers.iter().map(|k| (*k, after(k)))),
            removed: direct.removed.clone(),
            balanced: self.amounts(balanced),
            reasons: direct.reasons.clone(),
            acidity: direct.acidity,
            ..best.clone()
        };
        let mut option = option;
        option.kept.iter_mut().for_each(|k| k.asked = false);
        option.changed.iter_mut().for_each(|c| c.asked = false);
        out.assumed.extend(held.assumed);
        out.options.push(option);
    }

    /// Grams of ingredients at a rule's typical dose, with its span.
    fn spans(&self, newcomers: &[(IngredientKey, Span)]) -> Vec<Amount> {
        let amounts = self.amounts(newcomers.iter().map(|(k, span)| (*k, span.typical)));
        let spans = newcomers.iter().map(|(_, span)| (span.low, span.high));
        amounts
            .into_iter()
            .zip(spans)
            .map(|(amount, span)| Amount {
                span: Some(span),
                ..amount
            })
            .collect()
    }

    /// One option by rules: what each leaver's rule brings, at the typical dose.
    pub(super) fn job_option(
        &self,
        rank: usize,
        formula: &Formula,
        options: &SwapOptions,
        jobs: &[&(IngredientKey, JobSwap)],
    ) -> OptionOut {
        let grams_out = |leaver: IngredientKey| {
            let amount = options
                .leavers
                .iter()
                .find(|(k, _)| *k == leaver)
                .and_then(|(_, g)| *g);
            amount.unwrap_or(self.basis(formula, leaver))
        };
        let held = jobs
            .iter()
            .any(|(leaver, _)| formula.grams_of(*leaver) > 0.0);
        let mut base = formula.merged();
        for (leaver, _) in jobs {
            if base.grams_of(*leaver) <= 0.0 {
                base.add(*leaver, grams_out(*leaver));
            }
        }
        let mut after = base.clone();
        for (leaver, job) in jobs {
            after.add(*leaver, -grams_out(*leaver));
            job.newcomers
                .iter()
                .for_each(|(k, span)| after.add(*k, span.typical));
        }
        let going: Vec<IngredientKey> = jobs.iter().map(|(k, _)| *k).collect();
        let balanced = self.made_up(&base, &mut after, &going);
        let incoming = jobs.iter().flat_map(|(_, job)| &job.newcomers);
        let newcomers: Vec<&Ingredient> = incoming
            .clone()
            .map(|(k, _)| self.catalogue.ingredient(*k))
            .collect();
        let joined = |pick: fn(&JobSwap) -> &String| {
            let texts: Vec<&str> = jobs
                .iter()
                .map(|(_, j)| pick(j).as_str())
                .filter(|t| !t.is_empty())
                .collect();
            texts.join("; ")
        };
        let assessor = self.assessor();
        let (before, after_state) = (assessor.state(&base), assessor.state(&after));
        let leaver = jobs.first().map(|(k, _)| self.catalogue.ingredient(*k));
        let view = |formula, state| MixView::new(assessor, formula, state);
        let mut cautions = swap::called_for(
            &view(&base, &before),
            &view(&after, &after_state),
            &newcomers,
            leaver,
        );
        if options.ratios {
            cautions.retain(|c| self.holds_without_a_mix(&c.id));
        }
        let reason = |(_, job): &&(IngredientKey, JobSwap)| ReasonOut {
            rule: job.rule.clone(),
            text: job.because.clone(),
            source: job.source.clone(),
            locator: job.locator.clone(),
        };
        let mut outcome = self.outcome(Change {
            before: (&base, &before),
            after: (&after, &after_state),
            targets: &[],
            newcomers: &newcomers,
            cautions,
        });
        if options.ratios {
            outcome
                .process
                .retain(|s| s.phase != "churn" && s.phase != "harden");
        }
        let option = OptionOut {
            rank,
            ingredients: jobs
                .iter()
                .flat_map(|(_, job)| self.spans(&job.newcomers))
                .collect(),
            removed: self.amounts(jobs.iter().map(|(k, _)| (*k, grams_out(*k)))),
            jobs: jobs.iter().flat_map(|(_, j)| j.jobs.clone()).collect(),
            reasons: jobs.iter().map(reason).collect(),
            balanced: self.amounts(balanced),
            acidity: self.acidities(&base, &after),
            lost: joined(|j| &j.lost),
            changes: joined(|j| &j.changes),
            ..outcome
        };
        if held && !options.ratios {
            return option;
        }
        // Without a formula there is no state to compare.
        OptionOut {
            before: None,
            after: None,
            balanced: vec![],
            acidity: None,
            formula: vec![],
            kept: vec![],
            changed: vec![],
            ..option
        }
    }
}

impl Engine {
    /// Whether a caution can be said where the rest of the mix is not known: it asks no figure of the mix.
    fn holds_without_a_mix(&self, id: &str) -> bool {
        let mut figure = id.starts_with("diet-");
        if let Some(rule) = self.catalogue.rules.iter().find(|r| r.id == id) {
            rule.when
                .visit(&mut |test| figure |= matches!(test, Test::Mix(..)));
        }
        !figure
    }

    /// Brings a batch back to its weight with the balancing liquid; what that adds, if anything.
    pub(super) fn made_up(
        &self,
        before: &Formula,
        after: &mut Formula,
        going: &[IngredientKey],
    ) -> Option<(IngredientKey, f64)> {
        let liquid = self.balance(before, going)?;
        let grams = before.grams() - after.grams();
        if grams.abs() < 0.005 || after.grams_of(liquid) + grams < 0.0 {
            return None;
        }
        after.add(liquid, grams);
        Some((liquid, grams))
    }

    /// Titratable acid before and after, as citric acid, where an acid is in play; `None` where one
    /// of them states no acid.
    pub(super) fn acidities(&self, before: &Formula, after: &Formula) -> Option<(f64, f64)> {
        let assessor = self.assessor();
        let sour = |l: &&Line| swap::sours(self.catalogue.ingredient(l.key));
        let acids: Vec<&Line> = [before, after]
            .into_iter()
            .flat_map(|f| f.lines.iter().filter(sour))
            .collect();
        if acids
            .iter()
            .any(|l| swap::as_citric(assessor, l.key) <= 0.0)
        {
            return None;
        }
        let (was, is) = (
            swap::acidity(assessor, before),
            swap::acidity(assessor, after),
        );
        (!acids.is_empty() && was.max(is) >= 0.01).then_some((was, is))
    }
}

/// As many rules as a person reads: of every job the first, then of every job the second, and so
/// on; put out job by job.
fn spread(rules: &[(IngredientKey, JobSwap)]) -> Vec<(IngredientKey, JobSwap)> {
    let mut groups: Vec<(&String, Vec<usize>)> = vec![];
    for (n, (_, rule)) in rules.iter().enumerate() {
        let Some(job) = rule.jobs.first() else {
            continue;
        };
        match groups.iter_mut().find(|(known, _)| *known == job) {
            Some((_, places)) => places.push(n),
            None => groups.push((job, vec![n])),
        }
    }
    let mut places: Vec<(usize, usize, usize)> = groups
        .iter()
        .enumerate()
        .flat_map(|(group, (_, places))| {
            places
                .iter()
                .enumerate()
                .map(move |(round, place)| (round, group, *place))
        })
        .collect();
    places.sort_unstable();
    places.truncate(JOBS_SHOWN);
    places.sort_unstable_by_key(|(round, group, _)| (*group, *round));
    places
        .into_iter()
        .map(|(.., place)| rules[place].clone())
        .collect()
}
