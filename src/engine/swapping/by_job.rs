//! Swaps by the rules of the trade, as an answer.

use super::option::{Change, listed};
use super::{BY_JOB, SwapOptions};
use crate::answer::{Amount, OptionOut, OtherOut, ReasonOut, SwapOut};
use crate::engine::Engine;
use crate::formula::{Formula, MixView};
use crate::model::rule::Span;
use crate::model::{Aim, Dial, Goal, Ingredient, IngredientKey};
use crate::swap::{self, JobSwap};

/// Rules by job shown.
const JOBS_SHOWN: usize = 8;
/// Other ways named beside a pair.
const OTHERS_SHOWN: usize = 3;
/// What the other lines bring back after a named swap, as far as they can.
const MARKS: [Dial; 4] = [
    Dial::Sweetness,
    Dial::FreezingPoint,
    Dial::Fat,
    Dial::TotalSolids,
];
/// Grams of a leaver assumed where no formula gives them.
const ASSUMED_GRAMS: f64 = 100.0;

impl Engine {
    pub(super) fn jobs(
        &self,
        formula: &Formula,
        options: &SwapOptions,
    ) -> Vec<(IngredientKey, JobSwap)> {
        let in_mix = |key: IngredientKey| formula.grams_of(key);
        let each = options.leavers.iter().flat_map(|(key, amount)| {
            let grams = amount.unwrap_or(match in_mix(*key) {
                g if g > 0.0 => g,
                _ => ASSUMED_GRAMS,
            });
            let mix = (in_mix(*key) > 0.0).then_some(formula);
            swap::by_job(
                self.assessor(),
                mix,
                *key,
                grams,
                &options.wish,
                &options.newcomers,
            )
            .into_iter()
            .map(|j| (*key, j))
        });
        each.collect()
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
            if options.newcomers.is_empty() && jobs.len() > 1 {
                out.direct = format!(
                    "{name} has several jobs here: {}. Take a stand-in for each one you need.",
                    jobs.join(", ")
                );
            }
            if formula.grams_of(*leaver) <= 0.0 {
                out.assumed.push(format!(
                    "{removed} g of {name} as the basis: no formula here holds it"
                ));
            }
        }
        if let ([(leaver, _)], false) = (options.leavers.as_slice(), options.newcomers.is_empty()) {
            out.others = self.others(formula, options);
            let family = self.catalogue.ingredient(*leaver).family.as_str();
            if formula.grams_of(*leaver) > 0.0 && !BY_JOB.contains(&family) {
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
            .map(|job| OtherOut {
                ingredients: self.spans(&job.newcomers),
                lost: job.lost,
                source: job.source,
                locator: job.locator,
            })
            .collect()
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
        let mut held = self.adjust(formula, &moved, &wish, "", &[]);
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
            ..best.clone()
        };
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
    fn job_option(
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
            amount.unwrap_or(match formula.grams_of(leaver) {
                g if g > 0.0 => g,
                _ => ASSUMED_GRAMS,
            })
        };
        let held = jobs
            .iter()
            .any(|(leaver, _)| formula.grams_of(*leaver) > 0.0);
        let mut base = if held {
            formula.merged()
        } else {
            Formula::default()
        };
        let mut after = base.clone();
        for (leaver, job) in jobs {
            if !held {
                base.add(*leaver, grams_out(*leaver));
            }
            after.add(*leaver, -grams_out(*leaver));
            job.newcomers
                .iter()
                .for_each(|(k, span)| after.add(*k, span.typical));
        }
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
        let view = |formula, state| MixView {
            assessor,
            formula,
            state,
        };
        let cautions = swap::called_for(
            &view(&base, &before),
            &view(&after, &after_state),
            &newcomers,
            leaver,
        );
        let reason = |(_, job): &&(IngredientKey, JobSwap)| ReasonOut {
            rule: job.rule.clone(),
            text: job.because.clone(),
            source: job.source.clone(),
            locator: job.locator.clone(),
        };
        let outcome = self.outcome(Change {
            before: (&base, &before),
            after: (&after, &after_state),
            targets: &[],
            newcomers: &newcomers,
            cautions,
        });
        let option = OptionOut {
            rank,
            ingredients: jobs
                .iter()
                .flat_map(|(_, job)| self.spans(&job.newcomers))
                .collect(),
            removed: self.amounts(jobs.iter().map(|(k, _)| (*k, grams_out(*k)))),
            jobs: jobs.iter().flat_map(|(_, j)| j.jobs.clone()).collect(),
            reasons: jobs.iter().map(reason).collect(),
            lost: joined(|j| &j.lost),
            changes: joined(|j| &j.changes),
            ..outcome
        };
        if held {
            return option;
        }
        // Without a formula there is no state to compare.
        OptionOut {
            before: None,
            after: None,
            formula: vec![],
            kept: vec![],
            changed: vec![],
            ..option
        }
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
