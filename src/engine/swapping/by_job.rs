//! Swaps by the rules of the trade, as an answer.

use super::SwapOptions;
use super::proposal::{Comes, FREEZES_ALIKE, Found, Proposal};
use crate::answer::{Amount, OtherOut, ReasonOut, SwapOut};
use crate::engine::Engine;
use crate::formula::{Formula, weighed};
use crate::model::rule::Span;
use crate::model::{Aim, Dial, Goal, IngredientKey, Wish};
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
/// How much less sweet, or more, a mix may come out for the sake of its softness, points.
/// Source: common-practice.
const LESS_SWEET: f64 = 3.0;
/// A change of a line this small is none, g.
const LEAST_SHOWN: f64 = 0.005;
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

    /// What the rules of the trade bring for what goes, one proposal a rule.
    pub(super) fn by_job(
        &self,
        formula: &Formula,
        options: &SwapOptions,
        rules: Vec<(IngredientKey, JobSwap)>,
    ) -> Found {
        let mut found = Found::default();
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
            let keys = job.newcomers.iter().map(|(k, _)| *k);
            let key = (keys.collect(), job.jobs.clone());
            let mut places = options.leavers.iter();
            let place = places.position(|(k, _)| *k == leaver).unwrap_or(0);
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
                found.others = rest.map(|(_, job)| self.in_short(job)).collect();
            }
        }
        each.iter_mut().for_each(|rules| *rules = spread(rules));
        // With several leavers an option takes one rule for each of them.
        let count = each.iter().map(Vec::len).max().unwrap_or(0).min(JOBS_SHOWN);
        for n in 0..count {
            let rules = each.iter().map(|jobs| &jobs[n.min(jobs.len() - 1)]);
            let rules: Vec<&(IngredientKey, JobSwap)> = rules.collect();
            found.options.push(self.by_rules(formula, options, &rules));
        }
        let [(leaver, _)] = options.leavers.as_slice() else {
            return found;
        };
        if !options.newcomers.is_empty() {
            found.others = self.others(formula, options);
        }
        let Some(first) = found.options.first() else {
            return found;
        };
        let name = &self.catalogue.ingredient(*leaver).name;
        let whole = first.jobs.len() > 1;
        let mut jobs: Vec<&str> = vec![];
        for job in found.options.iter().filter_map(|o| o.jobs.first()) {
            if !jobs.contains(&job.as_str()) {
                jobs.push(job);
            }
        }
        if options.newcomers.is_empty() && !whole && jobs.len() > 1 {
            found.direct = format!(
                "{name} has several jobs here: {}. Take a stand-in for each one you need.",
                jobs.join(", ")
            );
        }
        let held = formula.grams_of(*leaver) > 0.0 && !options.ratios;
        if !held {
            let removed = first.goes.first().map_or(0.0, |(_, grams)| *grams);
            let removed = weighed(removed);
            found.assumed.push(format!(
                "{removed} g of {name} as the basis: its usual dose in a kilogram, or the amount named"
            ));
        }
        if !options.newcomers.is_empty() && held && !self.goes_by_job(*leaver) {
            let marked = self.with_marks_held(formula, options, &found.options[0]);
            found.options.extend(marked);
        }
        found
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

    /// A proposal again with the marks it moved brought back by the other lines.
    pub(super) fn with_marks_held(
        &self,
        formula: &Formula,
        options: &SwapOptions,
        direct: &Proposal,
    ) -> Option<Proposal> {
        let comes = direct.comes.iter().map(|c| (c.key, c.grams));
        let goes = direct.goes.iter().map(|(key, grams)| (*key, -grams));
        let moved: Vec<(IngredientKey, f64)> = comes.chain(goes).collect();
        // Where nothing freezes there is no softness to bring back: lines nobody named stay.
        if !self.freezes(formula) {
            return None;
        }
        let best = self.levelled_to(formula, options, direct, &moved)?;
        let change = |key: &IngredientKey| best.after.grams_of(*key) - formula.grams_of(*key);
        let pair = |key: &IngredientKey| moved.iter().any(|(k, _)| k == key);
        let lines = best.after.lines.iter().chain(&formula.lines);
        let mut keys: Vec<IngredientKey> = lines.map(|l| l.key).filter(|k| !pair(k)).collect();
        keys.sort_unstable();
        keys.dedup();
        let shifts = keys.iter().map(|key| (*key, change(key)));
        let shifts: Vec<_> = shifts.filter(|(_, g)| g.abs() >= LEAST_SHOWN).collect();
        let comes = direct.comes.iter();
        let comes: Vec<Comes> = comes
            .map(|c| Comes {
                grams: change(&c.key),
                ..c.clone()
            })
            .collect();
        (!shifts.is_empty()).then(|| Proposal {
            comes,
            goes: direct.goes.clone(),
            shifts,
            reasons: direct.reasons.clone(),
            lost: direct.lost.clone(),
            changes: direct.changes.clone(),
            leaver: direct.leaver,
            ..best.unasked()
        })
    }

    /// The formula with these grams moved, its own lines edited: all its marks closely; else softness where the change leaves a
    /// frozen mix harder or softer than is felt as the same, at some cost of sweetness; else its marks about.
    fn levelled_to(
        &self,
        formula: &Formula,
        options: &SwapOptions,
        direct: &Proposal,
        moved: &[(IngredientKey, f64)],
    ) -> Option<Proposal> {
        let mut wish = options.wish.clone();
        let keep = |dial| Goal {
            dial,
            aim: Aim::Keep,
        };
        wish.goals = MARKS.map(keep).to_vec();
        if let Some(held) = self.edits(formula, moved, &wish).options.into_iter().next() {
            return Some(held);
        }
        if options.wish.goals.is_empty()
            && let Some((was, _)) = self.thawed(direct)
        {
            let sweet = self.assessor().state(formula).sweetness;
            let between = |dial, low, high| Goal {
                dial,
                aim: Aim::Between(low, high),
            };
            wish.goals = vec![
                between(
                    Dial::FreezingPoint,
                    was - FREEZES_ALIKE,
                    was + FREEZES_ALIKE,
                ),
                between(Dial::Sweetness, sweet - LESS_SWEET, sweet + LESS_SWEET),
            ];
            if let Some(held) = self.edits(formula, moved, &wish).options.into_iter().next() {
                return Some(held);
            }
        }
        let found = self.edits(formula, moved, &options.wish);
        found.options.into_iter().chain(found.nearest).next()
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

    /// One proposal by rules: what each leaver's rule brings, at the typical dose.
    fn by_rules(
        &self,
        formula: &Formula,
        options: &SwapOptions,
        rules: &[&(IngredientKey, JobSwap)],
    ) -> Proposal {
        let grams_out = |leaver: IngredientKey| {
            let mut amounts = options.leavers.iter();
            let amount = amounts.find(|(k, _)| *k == leaver).and_then(|(_, g)| *g);
            amount.unwrap_or(self.basis(formula, leaver))
        };
        let held = rules
            .iter()
            .any(|(leaver, _)| formula.grams_of(*leaver) > 0.0);
        let mut before = formula.merged();
        for (leaver, _) in rules {
            if before.grams_of(*leaver) <= 0.0 {
                before.add(*leaver, grams_out(*leaver));
            }
        }
        let mut after = before.clone();
        for (leaver, job) in rules {
            after.add(*leaver, -grams_out(*leaver));
            let doses = job.newcomers.iter();
            doses.for_each(|(k, span)| after.add(*k, span.typical));
        }
        let going: Vec<IngredientKey> = rules.iter().map(|(k, _)| *k).collect();
        let balanced = self.made_up(&before, &mut after, &going);
        let joined = |pick: fn(&JobSwap) -> &String| {
            let texts = rules.iter().map(|(_, job)| pick(job).as_str());
            let texts: Vec<&str> = texts.filter(|t| !t.is_empty()).collect();
            texts.join("; ")
        };
        let doses = rules.iter().flat_map(|(_, job)| &job.newcomers);
        Proposal {
            before,
            after,
            comes: doses.map(|(key, span)| dosed(*key, span)).collect(),
            goes: rules.iter().map(|(k, _)| (*k, grams_out(*k))).collect(),
            shifts: balanced.into_iter().collect(),
            jobs: rules.iter().flat_map(|(_, j)| j.jobs.clone()).collect(),
            lost: joined(|j| &j.lost),
            changes: joined(|j| &j.changes),
            reasons: rules.iter().map(|(_, job)| ruled(job)).collect(),
            leaver: going.first().copied(),
            ratios: options.ratios || !held,
            ..Proposal::default()
        }
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
}

/// What a rule brings, with its span.
fn dosed(key: IngredientKey, span: &Span) -> Comes {
    Comes {
        key,
        grams: span.typical,
        span: Some((span.low, span.high)),
    }
}

/// Why a rule says so.
pub(super) fn ruled(job: &JobSwap) -> ReasonOut {
    ReasonOut {
        rule: job.rule.clone(),
        text: job.because.clone(),
        source: job.source.clone(),
        locator: job.locator.clone(),
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
