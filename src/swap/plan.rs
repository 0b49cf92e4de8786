//! A swap from request to the few options worth showing.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicU64, Ordering};

use rayon::prelude::*;

use super::candidate::{Candidate, Candidates, candidates};
use super::caution::{self, Caution};
use super::confidence::confidence;
use super::conflict::{Conflict, conflicts};
use super::explain::{self, Reason};
use super::frame::Frame;
use super::keep::KEPT;
use super::prefer;
use super::refine::{Set, Settled, settle};
use super::search::{Found, Free, Proof, Space, search, sets};
use super::target::{Feel, Target, feels_in, targets};
use crate::formula::{Assessor, Formula, State};
use crate::model::{Dial, IngredientKey, RuleKind, SourceKind, Wish};

/// Sets settled by the full model at most, best bound first.
const SETTLED: usize = 700;
/// Options shown.
const SHOWN: usize = 5;
/// Options shown even where fewer are on the front, as long as they are of another kind.
const LEAST_SHOWN: usize = 4;

/// How many times wider than usual what is held unasked may stray where nothing else meets what was
/// asked, the least first. Source: memory.
const YIELDS: [f64; 2] = [3.0, 9.0];

/// What to swap, in which formula, for what wish.
#[derive(Clone)]
pub struct Request<'a> {
    /// The formula.
    pub formula: &'a Formula,
    /// What goes, and how many grams of each at most.
    pub leavers: Vec<(IngredientKey, f64)>,
    /// All of it must go; otherwise some may stay where that serves the wish.
    pub entirely: bool,
    /// What is wanted.
    pub wish: &'a Wish,
    /// What makes up the batch.
    pub balance: IngredientKey,
    /// How many grams of that may make room for newcomers at most.
    pub gives: f64,
    /// Other lines that may move so that the wish can be met: least and greatest grams.
    pub steady: Vec<(IngredientKey, f64, f64)>,
}

/// One way to fulfil the wish.
#[derive(Debug, Clone, PartialEq)]
pub struct Variant {
    /// What comes in, g.
    pub newcomers: Vec<(IngredientKey, f64)>,
    /// What comes out, g.
    pub removed: Vec<(IngredientKey, f64)>,
    /// What the balancing ingredients gain or give, g.
    pub balanced: Vec<(IngredientKey, f64)>,
    /// The formula with it.
    pub formula: Formula,
    /// Its state.
    pub state: State,
    /// Largest miss: 0 at the aim, 1 at the edge of what was asked.
    pub miss: f64,
    /// Share of seeded draws over the value ranges in which the wish still holds, 0 to 1.
    pub confidence: f64,
    /// Why, with sources.
    pub reasons: Vec<Reason>,
    /// What to look out for.
    pub cautions: Vec<Caution>,
}

/// What a swap came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Swapped {
    /// The state before.
    pub before: State,
    /// What every dial should come to.
    pub targets: Vec<Target>,
    /// Goals on dials that cannot be computed here.
    pub unknown_goals: Vec<Dial>,
    /// The options, best first; empty when the wish cannot be met.
    pub options: Vec<Variant>,
    /// The nearest misses when there are no options.
    pub nearest: Vec<Variant>,
    /// What conflicts when there are no options.
    pub conflicts: Vec<Conflict>,
    /// Whether what nobody named gives way in the options beyond what is held unasked.
    pub yields: bool,
    /// Who was considered.
    pub candidates: Candidates,
    /// Least miss of any set settled by the full model, before rounding.
    pub closest: Option<f64>,
    /// What was examined.
    pub proof: Proof,
}

/// Everything a search of one request needs.
pub(super) struct Setting<'a> {
    pub assessor: Assessor<'a>,
    pub request: &'a Request<'a>,
    pub before: State,
    pub candidates: &'a [Candidate],
}

/// Finds the options of a request.
pub fn swap(assessor: Assessor<'_>, request: &Request<'_>) -> Swapped {
    swap_watched(assessor, request, &|_, _| {})
}

/// Finds the options of a request and tells `watch`, from any thread, how many sets it went through
/// of how many there are.
pub fn swap_watched(
    assessor: Assessor<'_>,
    request: &Request<'_>,
    watch: &(dyn Fn(u64, u64) + Sync),
) -> Swapped {
    let before = assessor.state(request.formula);
    let feels = feels_in(assessor, request.formula, &before);
    let (targets, unknown_goals) = targets(request.wish, &before, &feels);
    let keys: Vec<IngredientKey> = request.leavers.iter().map(|(key, _)| *key).collect();
    let mut found = candidates(assessor, request.formula, &keys, request.wish, &targets);
    // What balances comes and goes as it must.
    found.list.retain(|c| c.key != request.balance);
    let setting = Setting {
        assessor,
        request,
        before,
        candidates: &found.list,
    };
    let (settled, proof) = setting.every(&targets, watch);
    let good: Vec<&Way> = settled
        .iter()
        .filter(|w| w.settled.exact <= 1.0 && w.settled.miss <= 1.0 && unknown_goals.is_empty())
        .collect();
    let yielded = match good.is_empty() {
        true => setting.yielding(&targets, &unknown_goals, watch),
        false => None,
    };
    let (options, nearest, conflicts) = if let Some((ways, loose)) = &yielded {
        let ways: Vec<&Way> = ways.iter().collect();
        (setting.chosen(&ways, loose, &feels), vec![], vec![])
    } else if good.is_empty() {
        let mut near: Vec<&Way> = vec![];
        for way in &settled {
            if near.len() < 2 && !near.iter().any(|w| w.found.members == way.found.members) {
                near.push(way);
            }
        }
        let nearest = near
            .into_iter()
            .map(|w| setting.variant(w, &targets, &feels))
            .collect();
        (vec![], nearest, conflicts(&setting, &targets))
    } else {
        (setting.chosen(&good, &targets, &feels), vec![], vec![])
    };
    let before = setting.before.clone();
    Swapped {
        before,
        targets,
        unknown_goals,
        options,
        nearest,
        conflicts,
        candidates: found,
        yields: yielded.is_some(),
        closest: settled.first().map(|w| w.settled.exact),
        proof,
    }
}

/// A miss as a rank: what differs by less than a millionth is the same, whatever the batch weighs.
fn rank(miss: f64) -> i64 {
    (miss * 1e6).round() as i64
}

/// One settled set and how much of the leavers stays in it.
#[derive(Clone)]
struct Way {
    found: Found,
    settled: Settled,
    stays: Stays,
}

/// How much of what may go stays.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Stays {
    None,
    Some,
    Most,
}

impl Setting<'_> {
    /// The formula without what may go and without what balances, and the grams that makes free.
    fn fixed(&self) -> (Formula, f64) {
        let request = self.request;
        let mut fixed = request.formula.merged();
        let mut grams = 0.0;
        for (key, amount) in &request.leavers {
            fixed.add(*key, -amount);
            grams += amount;
        }
        let moving = request.steady.iter().map(|(key, ..)| *key);
        for key in std::iter::once(request.balance).chain(moving) {
            let held = fixed.grams_of(key);
            fixed.add(key, -held);
            grams += held;
        }
        (fixed, grams)
    }

    /// Every set worth settling, settled by the full model, best first, with the proof of the search.
    pub(super) fn settled(
        &self,
        targets: &[Target],
        at_most: usize,
        entirely: bool,
    ) -> (Vec<(Found, Settled)>, Proof) {
        self.settled_watched(targets, at_most, entirely, &|_| {})
    }

    /// The same; `done` is told how many more sets were gone through.
    fn settled_watched(
        &self,
        targets: &[Target],
        at_most: usize,
        entirely: bool,
        done: &(dyn Fn(u64) + Sync),
    ) -> (Vec<(Found, Settled)>, Proof) {
        let frame = Frame::new(targets, &self.before);
        let (fixed, grams) = self.fixed();
        let free = |key: IngredientKey, least: f64, most: f64, weight: u8| Free {
            row: frame.row(&self.assessor.profile(key).sums),
            least,
            most,
            weight,
        };
        let balance = self.request.balance;
        let held = self.request.formula.grams_of(balance);
        let left = (held - self.request.gives).max(0.0);
        let mut always = vec![(balance, free(balance, left, f64::INFINITY, 0))];
        let steady = self.request.steady.iter();
        always.extend(steady.map(|(key, least, most)| (*key, free(*key, *least, *most, 0))));
        if !entirely {
            always.extend(
                self.request
                    .leavers
                    .iter()
                    .map(|(key, amount)| (*key, free(*key, 0.0, *amount, 0))),
            );
        }
        let chosen: Vec<Free> = self
            .candidates
            .iter()
            .map(|c| free(c.key, c.least, c.most, prefer::weight(self, c.key)))
            .collect();
        let fixed_row = frame.row(&self.assessor.sums(&fixed));
        let always_free: Vec<Free> = always.iter().map(|(_, f)| *f).collect();
        let space = Space {
            targets: &frame.targets,
            margin: &frame.margin,
            fixed: frame.figures(&fixed_row),
            grams,
            always: &always_free,
            candidates: &chosen,
            at_most,
            keep: KEPT,
            done,
        };
        let (found, proof) = search(&space);
        // Each set on its own, so in parallel; the order of the sets is kept.
        let mut settled: Vec<(Found, Settled)> = found
            .into_iter()
            .filter(|f| !f.members.is_empty())
            .take(SETTLED)
            .collect::<Vec<_>>()
            .into_par_iter()
            .filter_map(|found| {
                let mut free = always.clone();
                free.extend(
                    found
                        .members
                        .iter()
                        .map(|&m| (self.candidates[m].key, chosen[m])),
                );
                let set = Set {
                    fixed: &fixed,
                    fixed_row,
                    grams,
                    free,
                };
                settle(self.assessor, &frame, &set).map(|s| (found, s))
            })
            .collect();
        settled.sort_by(|a, b| {
            rank(a.1.exact)
                .cmp(&rank(b.1.exact))
                .then_with(|| a.0.members.cmp(&b.0.members))
        });
        (settled, proof)
    }

    /// All ways, best first: those that leave some of the leavers in, and those that leave none.
    fn every(&self, targets: &[Target], watch: &(dyn Fn(u64, u64) + Sync)) -> (Vec<Way>, Proof) {
        let at_most = self.request.wish.at_most;
        let both = !self.request.entirely;
        let count = self.candidates.len();
        let total = sets(count, at_most.min(count)) * (1 + u64::from(both));
        let gone = AtomicU64::new(0);
        watch(0, total);
        let done = |more| watch(gone.fetch_add(more, Ordering::Relaxed) + more, total);
        let search = |entirely| self.settled_watched(targets, at_most, entirely, &done);
        let (partly, entirely) = rayon::join(|| both.then(|| search(false)), || search(true));
        watch(total, total);
        let mut ways: Vec<Way> = vec![];
        let mut all = Proof {
            beyond: f64::INFINITY,
            ..Proof::default()
        };
        for (out, (settled, proof)) in [(false, partly), (true, Some(entirely))]
            .into_iter()
            .filter_map(|(out, result)| Some((out, result?)))
        {
            all = Proof {
                sets: all.sets + proof.sets,
                cut: all.cut + proof.cut,
                solved: all.solved + proof.solved,
                open: all.open + proof.open,
                beyond: all.beyond.min(proof.beyond),
                doubt: all.doubt.max(proof.doubt),
            };
            for (found, settled) in settled {
                let stays = if out {
                    Stays::None
                } else {
                    self.stays(&settled)
                };
                ways.push(Way {
                    found,
                    settled,
                    stays,
                });
            }
        }
        ways.sort_by(|a, b| {
            let key = |w: &Way| (rank(w.settled.exact), w.stays);
            key(a)
                .cmp(&key(b))
                .then_with(|| a.found.members.cmp(&b.found.members))
        });
        (ways, all)
    }

    /// The ways that meet all that was asked where what is held unasked gives way, as little as it
    /// must, with the targets they meet; `None` where nothing was asked, or nothing meets it.
    fn yielding(
        &self,
        targets: &[Target],
        unknown_goals: &[Dial],
        watch: &(dyn Fn(u64, u64) + Sync),
    ) -> Option<(Vec<Way>, Vec<Target>)> {
        if !unknown_goals.is_empty() || !targets.iter().any(|t| t.asked) {
            return None;
        }
        YIELDS.iter().find_map(|times| {
            let loose = targets.iter().map(|t| match t.asked {
                true => *t,
                false => Target {
                    below: t.below * times,
                    above: t.above * times,
                    ..*t
                },
            });
            let loose: Vec<Target> = loose.collect();
            let (mut ways, _) = self.every(&loose, watch);
            ways.retain(|w| w.settled.exact <= 1.0 && w.settled.miss <= 1.0);
            (!ways.is_empty()).then_some((ways, loose))
        })
    }

    /// How much of the leavers stays where some may.
    fn stays(&self, settled: &Settled) -> Stays {
        let held: f64 = self.request.leavers.iter().map(|(_, amount)| amount).sum();
        // After what balances come the leavers.
        let before = 1 + self.request.steady.len();
        let left: f64 = settled.dose[before..before + self.request.leavers.len()]
            .iter()
            .sum();
        match left / held.max(1e-9) {
            share if share < 0.005 => Stays::None,
            share if share <= 0.5 => Stays::Some,
            _ => Stays::Most,
        }
    }

    fn weight(&self, found: &Found) -> u32 {
        found
            .members
            .iter()
            .map(|&m| u32::from(prefer::weight(self, self.candidates[m].key)))
            .sum()
    }

    /// Members for which a rule of the trade, strong and not derived here, says that they stand in for the leaver.
    fn endorsed(&self, found: &Found) -> i64 {
        let catalogue = self.assessor.catalogue;
        let backs =
            |m: &usize| {
                let id = &catalogue.ingredient(self.candidates[*m].key).id;
                catalogue.rules.iter().any(|rule| match &rule.kind {
                    RuleKind::Swap { newcomers, .. } => {
                        newcomers.len() == 1
                            && newcomers[0] == *id
                            && rule.strength != "weak"
                            && catalogue.kind(&rule.source) != SourceKind::Derived
                            && self.request.leavers.iter().any(|(key, _)| {
                                super::job::concerns(rule, catalogue.ingredient(*key))
                            })
                    }
                    _ => false,
                })
            };
        found.members.iter().filter(|m| backs(m)).count() as i64
    }

    /// Options no other beats on miss, number, cautions and how much of the leaver stays; of
    /// several of one kind the simplest. Each share that stays is shown where it can be had.
    fn chosen(
        &self,
        good: &[&Way],
        targets: &[Target],
        feels: &BTreeMap<Dial, Feel>,
    ) -> Vec<Variant> {
        // Misses within a fifth of a tolerance are felt as equal.
        let grade = |w: &Way| (w.settled.exact * 5.0 - 1e-6).ceil() as i64;
        let key = |w: &Way| {
            (
                grade(w),
                w.found.members.len(),
                self.weight(&w.found),
                w.stays,
            )
        };
        let keys: Vec<_> = good.iter().map(|w| key(w)).collect();
        let beaten = |a: &(i64, usize, u32, Stays)| {
            keys.iter()
                .any(|b| b != a && b.0 <= a.0 && b.1 <= a.1 && b.2 <= a.2 && b.3 <= a.3)
        };
        let score = |w: &Way| {
            let (grade, members, weight, _) = key(w);
            2 * members as i64 + i64::from(weight) + grade - 2 * self.endorsed(&w.found)
        };
        let mut ranked: Vec<(&Way, bool, i64)> = good
            .iter()
            .zip(&keys)
            .map(|(w, k)| (*w, beaten(k), score(w)))
            .collect();
        ranked.sort_by(|a, b| {
            let by_score = a.2.cmp(&b.2).then(a.1.cmp(&b.1));
            let by_miss = rank(a.0.settled.exact).cmp(&rank(b.0.settled.exact));
            by_score
                .then(by_miss)
                .then_with(|| a.0.found.members.cmp(&b.0.found.members))
        });
        let alike = |a: &Way, b: &Way| {
            let common = a
                .found
                .members
                .iter()
                .filter(|m| b.found.members.contains(m))
                .count();
            let least = a.found.members.len().min(b.found.members.len());
            2 * common > least
                || (a.stays == b.stays && self.families(&a.found) == self.families(&b.found))
        };
        let mut shown: Vec<&Way> = vec![];
        // The best of each share that stays, then the rest of the front, then what is left.
        for stays in [Stays::Most, Stays::Some, Stays::None] {
            if let Some((w, ..)) = ranked.iter().find(|(w, ..)| w.stays == stays) {
                shown.push(w);
            }
        }
        for front in [true, false] {
            for (w, beaten, _) in &ranked {
                let wanted = if front { SHOWN } else { LEAST_SHOWN };
                if shown.len() < wanted
                    && (!*beaten || !front)
                    && !shown.iter().any(|other| alike(w, other))
                {
                    shown.push(w);
                }
            }
        }
        let order = |w: &&Way| {
            ranked
                .iter()
                .position(|(other, ..)| std::ptr::eq(*other, *w))
        };
        shown.sort_by_key(order);
        shown
            .into_par_iter()
            .map(|w| self.variant(w, targets, feels))
            .collect()
    }

    fn families(&self, found: &Found) -> Vec<&str> {
        let mut families: Vec<&str> = found
            .members
            .iter()
            .map(|&m| {
                self.assessor
                    .catalogue
                    .ingredient(self.candidates[m].key)
                    .family
                    .as_str()
            })
            .collect();
        families.sort_unstable();
        families
    }

    fn variant(&self, way: &Way, targets: &[Target], feels: &BTreeMap<Dial, Feel>) -> Variant {
        let Way { found, settled, .. } = way;
        let request = self.request;
        let after = |key: IngredientKey| settled.formula.grams_of(key);
        let newcomers: Vec<(IngredientKey, f64)> = found
            .members
            .iter()
            .map(|&m| self.candidates[m].key)
            .map(|key| (key, after(key) - request.formula.grams_of(key)))
            .collect();
        let removed: Vec<(IngredientKey, f64)> = request
            .leavers
            .iter()
            .map(|(key, _)| (*key, request.formula.grams_of(*key) - after(*key)))
            .filter(|(_, g)| g.abs() > 1e-9)
            .collect();
        let moving = request.steady.iter().map(|(key, ..)| *key);
        let balanced = std::iter::once(request.balance)
            .chain(moving)
            .map(|key| (key, after(key) - request.formula.grams_of(key)))
            .filter(|(_, grams)| grams.abs() >= 0.005)
            .collect();
        Variant {
            confidence: confidence(
                self.assessor,
                request.formula,
                &settled.formula,
                targets,
                feels,
            ),
            reasons: explain::reasons(self, &newcomers, &removed, settled),
            cautions: caution::cautions(self, &newcomers, &settled.formula, &settled.state),
            newcomers,
            removed,
            balanced,
            formula: settled.formula.clone(),
            state: settled.state.clone(),
            miss: settled.miss,
        }
    }
}
