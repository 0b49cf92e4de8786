//! Everything that must go, in one answer: what rules replace by job, what the numbers replace, and
//! what is only taken out.

use super::SwapOptions;
use super::by_job::ruled;
use super::proposal::{Found, Proposal, off_weight};
use crate::answer::{LeftOut, OtherOut, ReasonOut};
use crate::engine::Engine;
use crate::formula::{Formula, Part};
use crate::model::{Dial, IngredientKey, Severity};
use crate::swap::{self, Caution, JobSwap};

/// Whole answers shown where rules alone replace everything.
const SHOWN: usize = 3;
/// Other stand-ins named for each thing that goes.
const OTHERS: usize = 3;
/// Liquids that a dish is poured from.
const POURED: &str = "drinkable-family";
/// Salt whose loss is tasted, %. Source: that of the `dial-salt` rule.
const FELT_SALT: f64 = 0.1;
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
    /// Whole answers: none of them holds anything of what must go.
    pub(super) fn all_at_once(&self, formula: &Formula, options: &SwapOptions) -> Found {
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
        let left = self.undone(&best.bare, &best.after);
        let mut found = match counted.is_empty() {
            true => {
                let rounds = choices.iter().map(|(_, jobs)| jobs.len()).max();
                let steps = 0..rounds.unwrap_or(0).clamp(1, SHOWN);
                let steps = steps.map(|n| self.step(formula, &going, &choices, n));
                let whole = steps.map(|step| {
                    let levelled = self.levelled(formula, options, &step);
                    self.whole(formula, &step, levelled.as_ref())
                });
                Found {
                    options: whole.collect(),
                    ..Found::default()
                }
            }
            false => self.counted(formula, options, &best, &counted),
        };
        found.left = left;
        for (key, jobs) in &choices {
            let others = jobs.iter().skip(1).take(OTHERS).cloned();
            let name = &self.catalogue.ingredient(*key).name;
            found.others.extend(others.map(|job| OtherOut {
                instead_of: name.clone(),
                ..self.in_short(job)
            }));
        }
        found
    }

    /// What the rules leave brought back to the marks of before by the lines that stay; `None` where no
    /// line needs to move, or the dish has no such marks.
    fn levelled(
        &self,
        formula: &Formula,
        options: &SwapOptions,
        step: &Step<'_>,
    ) -> Option<Proposal> {
        // Where nothing freezes, lines nobody named move for no mark but the weight.
        let holds = !self.freezes(formula) && !off_weight(formula, &step.after);
        if options.dish.is_some()
            || holds
            || step.jobs.iter().all(|(key, _)| self.goes_by_job(*key))
        {
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
        let frozen = self.freezes(&base);
        // One newcomer for several leavers: their doses add up, but not past its use.
        let mut held: Vec<(IngredientKey, String)> = vec![];
        for (key, _) in jobs.iter().flat_map(|(_, job)| &job.newcomers) {
            let (most, why) = swap::limit(self.catalogue.ingredient(*key), base.grams(), frozen);
            let over = after.grams_of(*key) - most;
            // What the mix holds already, it holds at the cook's own dose.
            if over > 0.0 && base.grams_of(*key) <= 0.0 {
                after.add(*key, -over);
                held.push((*key, why));
            }
        }
        self.made_up(&base, &mut after, going);
        // Where no liquid of the mix gives way, what was poured in for what goes takes up the rest, the leanest
        // first.
        let poured = jobs.iter().flat_map(|(_, job)| &job.newcomers);
        let poured = poured.map(|(key, _)| *key);
        let poured = poured.filter(|key| self.catalogue.ingredient(*key).is_of(POURED));
        let mut poured: Vec<IngredientKey> = poured.collect();
        let fat = |key: &IngredientKey| self.assessor().profile(*key).number(Part::Fat);
        poured.sort_by(|a, b| fat(a).total_cmp(&fat(b)).then(a.cmp(b)));
        for key in poured {
            let over = (after.grams() - base.grams()).max(0.0);
            after.add(key, -over.min(after.grams_of(key)));
        }
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
        formula: &Formula,
        options: &SwapOptions,
        step: &Step<'_>,
        leavers: &[IngredientKey],
    ) -> Found {
        let rest = SwapOptions {
            leavers: leavers.iter().map(|k| (*k, None)).collect(),
            entirely: true,
            ..options.clone()
        };
        let mut found = self.by_numbers(&step.after, &rest);
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
        let whole = |p: &Proposal| self.whole(formula, step, Some(p));
        Found {
            options: found.options.iter().map(whole).collect(),
            nearest: found.nearest.iter().map(whole).collect(),
            direct: String::new(),
            ..found
        }
    }

    /// What only flavours or colours can be left out: the other lines hold sweetness and hardness as
    /// near as they go.
    fn taken_out(
        &self,
        formula: &Formula,
        options: &SwapOptions,
        leavers: &[IngredientKey],
    ) -> Vec<Proposal> {
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

    /// A formula without what goes, nothing in its place: the weight made up, then its marks brought back.
    pub(super) fn without(&self, formula: &Formula, options: &SwapOptions) -> Found {
        let before = formula.merged();
        let goes = options.leavers.iter();
        let goes: Vec<(IngredientKey, f64)> = goes
            .map(|(key, amount)| {
                (
                    *key,
                    amount.unwrap_or(f64::INFINITY).min(before.grams_of(*key)),
                )
            })
            .filter(|(_, grams)| *grams > 0.0)
            .collect();
        let going: Vec<IngredientKey> = goes.iter().map(|(key, _)| *key).collect();
        let mut after = before.clone();
        goes.iter().for_each(|(key, grams)| after.add(*key, -grams));
        let shifts = self.made_up(&before, &mut after, &going);
        let mut bare = Proposal {
            shifts: shifts.into_iter().collect(),
            leaver: going.first().copied(),
            goes,
            before,
            after,
            ..Proposal::default()
        };
        bare.cautions.extend(self.still_brought(&bare));
        let mut found = Found::default();
        let levelled = self.with_marks_held(formula, options, &bare);
        found.options.push(bare);
        found.options.extend(levelled);
        found
    }

    /// What still brings most of the salt that a line left out brought.
    fn still_brought(&self, p: &Proposal) -> Option<Caution> {
        let (was, is) = self.states(p);
        let (was, is) = (was.dial(Dial::Salt)?, is.dial(Dial::Salt)?);
        if was - is < FELT_SALT || is < was / 2.0 {
            return None;
        }
        let mut lines: Vec<(f64, &str)> = (p.after.lines.iter())
            .map(|l| {
                let sodium = self.assessor().profile(l.key).number(Part::Sodium);
                let name = self.catalogue.ingredient(l.key).name.as_str();
                (sodium * l.grams, name)
            })
            .collect();
        lines.sort_by(|a, b| b.0.total_cmp(&a.0));
        let most: Vec<&str> = lines.iter().take(2).map(|(_, name)| *name).collect();
        let text = format!(
            "It stays salty: {} still bring most of the sodium, so it is no dish low in salt.",
            most.join(" and ")
        );
        Some(Caution {
            standing: false,
            id: "salt-still-there".into(),
            severity: Severity::Watch,
            topic: "salt".into(),
            text,
            because: "Cheese, citrates and other salts carry sodium as table salt does.".into(),
            source: "composition".into(),
            locator: String::new(),
        })
    }

    /// The first rebalance after grams moved, as something nobody asked for by itself.
    fn unasked(
        &self,
        formula: &Formula,
        moved: &[(IngredientKey, f64)],
        options: &SwapOptions,
    ) -> Option<Proposal> {
        let found = self.edits(formula, moved, &options.wish);
        let first = found.options.into_iter().chain(found.nearest).next()?;
        Some(Proposal {
            reasons: vec![],
            confidence: None,
            miss: None,
            ..first.unasked()
        })
    }

    /// One whole proposal: what the rules bring and what the numbers bring on top.
    fn whole(&self, formula: &Formula, step: &Step<'_>, counted: Option<&Proposal>) -> Proposal {
        let before = formula.merged();
        let mut after = counted.map_or_else(|| step.after.clone(), |p| p.after.clone());
        after.lines.retain(|l| l.grams > 0.0);
        let moved = |k: &IngredientKey| after.grams_of(*k) - before.grams_of(*k);
        let new = |k: &IngredientKey| before.grams_of(*k) <= 0.0;
        let ruled_in = || step.jobs.iter().flat_map(|(_, job)| &job.newcomers);
        let ruled_in = || ruled_in().map(|(k, _)| *k);
        let counted_in = counted.iter().flat_map(|p| &p.comes).map(|c| c.key);
        let fresh = after.lines.iter().map(|l| l.key).filter(|k| new(k));
        // A line of the mix that only takes up the rest is no newcomer.
        let is_sought = counted.is_none_or(|p| p.confidence.is_some());
        let mut comes: Vec<IngredientKey> = vec![];
        for key in ruled_in().chain(counted_in).chain(fresh) {
            let comes_in = is_sought || new(&key) || ruled_in().any(|k| k == key);
            if !comes.contains(&key) && moved(&key) > 0.0 && comes_in {
                comes.push(key);
            }
        }
        let lines = || before.lines.iter().map(|l| l.key);
        let gone: Vec<IngredientKey> = lines().filter(|k| after.grams_of(*k) <= 0.0).collect();
        let shifts = lines().filter(|k| !gone.contains(k) && !comes.contains(k));
        let shifts = shifts.map(|k| (k, moved(&k)));
        let joined = |pick: fn(&JobSwap) -> &String| {
            let mut each: Vec<&str> = vec![];
            for text in step.jobs.iter().map(|(_, job)| pick(job).as_str()) {
                if !text.is_empty() && !each.contains(&text) {
                    each.push(text);
                }
            }
            each.join("; ")
        };
        let mut jobs: Vec<String> = vec![];
        for done in step.jobs.iter().flat_map(|(_, job)| &job.jobs) {
            if counted.is_none() && !jobs.contains(done) {
                jobs.push(done.clone());
            }
        }
        let held = step.held.iter().map(|(key, why)| ReasonOut {
            rule: "use-level".into(),
            text: format!(
                "{} is held to {why}, though its doses for all that goes add up to more",
                self.catalogue.ingredient(*key).name
            ),
            source: "use_level".into(),
            locator: String::new(),
        });
        let by_rule = step.jobs.iter().map(|(_, job)| ruled(job));
        let by_numbers = counted.iter().flat_map(|p| p.reasons.clone());
        Proposal {
            comes: Proposal::coming(comes.iter().map(|k| (*k, moved(k)))),
            goes: gone.iter().map(|k| (*k, before.grams_of(*k))).collect(),
            shifts: shifts.filter(|(_, grams)| grams.abs() >= 0.005).collect(),
            targets: counted.map_or(vec![], |p| p.targets.clone()),
            lost: joined(|j| &j.lost),
            changes: joined(|j| &j.changes),
            jobs,
            reasons: by_rule.chain(held).chain(by_numbers).collect(),
            leaver: gone.first().copied(),
            cautions: counted.map_or(vec![], |p| p.cautions.clone()),
            confidence: counted.and_then(|p| p.confidence),
            miss: counted.and_then(|p| p.miss),
            before,
            after,
            ratios: false,
        }
    }
}
