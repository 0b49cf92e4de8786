//! A swap from request to the few options worth showing.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::candidate::{Candidate, Candidates, candidates};
use super::confidence::confidence;
use super::conflict::{Conflict, conflicts};
use super::explain::{self, Caution, Reason};
use super::frame::Frame;
use super::keep::KEPT;
use super::refine::{Set, Settled, settle};
use super::search::{Found, Free, Proof, Space, search};
use super::target::{Feel, Target, feels, targets};
use crate::formula::{Assessor, Formula, State};
use crate::model::{Dial, IngredientKey, Wish};

/// Sets settled by the full model at most, best bound first.
const SETTLED: usize = 700;
/// Options shown.
const SHOWN: usize = 5;

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
}

/// One way to fulfil the wish.
#[derive(Debug, Clone, PartialEq)]
pub struct Variant {
    /// What comes in, g.
    pub newcomers: Vec<(IngredientKey, f64)>,
    /// What comes out, g.
    pub removed: Vec<(IngredientKey, f64)>,
    /// What the balancing ingredient gains or gives, g.
    pub balanced: (IngredientKey, f64),
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
    /// Who was considered.
    pub candidates: Candidates,
    /// Least miss of any set settled by the full model.
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
    let before = assessor.state(request.formula);
    let feels = feels(assessor.catalogue);
    let (targets, unknown_goals) = targets(request.wish, &before, &feels);
    let keys: Vec<IngredientKey> = request.leavers.iter().map(|(key, _)| *key).collect();
    let found = candidates(assessor, request.formula, &keys, request.wish, &targets);
    let setting = Setting {
        assessor,
        request,
        before,
        candidates: &found.list,
    };
    let (settled, proof) = setting.settled(&targets, request.wish.at_most);
    let good: Vec<&(Found, Settled)> = settled
        .iter()
        .filter(|(_, s)| s.miss <= 1.0 && unknown_goals.is_empty())
        .collect();
    let (options, nearest, conflicts) = if good.is_empty() {
        let nearest = settled
            .iter()
            .take(2)
            .map(|(f, s)| setting.variant(f, s, &targets, &feels))
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
        closest: settled.first().map(|(_, s)| s.miss),
        proof,
    }
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
        let water = fixed.grams_of(request.balance);
        fixed.add(request.balance, -water);
        (fixed, grams + water)
    }

    /// Every set worth settling, settled by the full model, best first, with the proof of the search.
    pub(super) fn settled(
        &self,
        targets: &[Target],
        at_most: usize,
    ) -> (Vec<(Found, Settled)>, Proof) {
        let frame = Frame::new(targets, &self.before);
        let (fixed, grams) = self.fixed();
        let free = |key: IngredientKey, least: f64, most: f64, weight: u8| Free {
            row: frame.row(&self.assessor.profile(key).sums),
            least,
            most,
            weight,
        };
        let mut always = vec![(
            self.request.balance,
            free(self.request.balance, 0.0, f64::INFINITY, 0),
        )];
        if !self.request.entirely {
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
            .map(|c| free(c.key, c.least, c.most, explain::weight(self, c.key)))
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
            a.1.miss
                .total_cmp(&b.1.miss)
                .then_with(|| a.0.members.cmp(&b.0.members))
        });
        (settled, proof)
    }

    fn weight(&self, found: &Found) -> u32 {
        found
            .members
            .iter()
            .map(|&m| u32::from(explain::weight(self, self.candidates[m].key)))
            .sum()
    }

    /// Options no other beats on miss, number, cautions and confidence; and no two of one kind.
    fn chosen(
        &self,
        good: &[&(Found, Settled)],
        targets: &[Target],
        feels: &BTreeMap<Dial, Feel>,
    ) -> Vec<Variant> {
        // Misses within a fifth of a tolerance are felt as equal.
        let grade = |s: &Settled| (s.miss * 5.0).ceil() as i64;
        let mut ranked: Vec<(&Found, &Settled, i64, usize, u32)> = good
            .iter()
            .map(|(f, s)| (f, s, grade(s), f.members.len(), self.weight(f)))
            .collect();
        let all = ranked.clone();
        ranked.retain(|(_, _, g, n, w)| {
            !all.iter().any(|(_, _, g2, n2, w2)| {
                g2 <= g && n2 <= n && w2 <= w && (g2, n2, w2) != (g, n, w)
            })
        });
        // Simple and uncautious first, then close.
        ranked.sort_by_key(|(f, s, g, n, w)| {
            (
                2 * *n as i64 + i64::from(*w) + *g,
                (s.miss * 1e6) as i64,
                f.members.clone(),
            )
        });
        let mut shown: Vec<(&Found, &Settled)> = vec![];
        let overlap = |a: &Found, b: &Found| {
            let common = a.members.iter().filter(|m| b.members.contains(m)).count();
            2 * common > a.members.len().min(b.members.len())
                || self.families(a) == self.families(b)
        };
        for (f, s, ..) in &ranked {
            if shown.len() < SHOWN && !shown.iter().any(|(other, _)| overlap(f, other)) {
                shown.push((f, s));
            }
        }
        // Too few kinds of option: fill up with the next best sets that share less than all.
        let mut rest: Vec<&&(Found, Settled)> = good.iter().collect();
        rest.sort_by_key(|(f, s)| {
            (
                2 * f.members.len() as i64 + i64::from(self.weight(f)) + grade(s),
                (s.miss * 1e6) as i64,
                f.members.clone(),
            )
        });
        for (f, s) in rest {
            if shown.len() >= SHOWN.min(3) {
                break;
            }
            let covers = |a: &Found, b: &Found| b.members.iter().all(|m| a.members.contains(m));
            if !shown
                .iter()
                .any(|(other, _)| covers(f, other) || self.families(f) == self.families(other))
            {
                shown.push((f, s));
            }
        }
        let mut variants: Vec<Variant> = shown
            .into_par_iter()
            .map(|(f, s)| self.variant(f, s, targets, feels))
            .collect();
        variants.sort_by(|a, b| {
            let score = |v: &Variant| {
                2.0 * v.newcomers.len() as f64 + v.cautions.len() as f64 / 2.0 + v.miss
                    - 3.0 * v.confidence
            };
            score(a).total_cmp(&score(b))
        });
        variants
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

    fn variant(
        &self,
        found: &Found,
        settled: &Settled,
        targets: &[Target],
        feels: &BTreeMap<Dial, Feel>,
    ) -> Variant {
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
        let balanced = (
            request.balance,
            after(request.balance) - request.formula.grams_of(request.balance),
        );
        Variant {
            confidence: confidence(
                self.assessor,
                request.formula,
                &settled.formula,
                targets,
                feels,
            ),
            reasons: explain::reasons(self, &newcomers, &removed, settled),
            cautions: explain::cautions(self, &newcomers, &settled.formula, &settled.state),
            newcomers,
            removed,
            balanced,
            formula: settled.formula.clone(),
            state: settled.state.clone(),
            miss: settled.miss,
        }
    }
}
