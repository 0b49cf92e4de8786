//! The two passes of a search: a first over few sets that learns, a last over all that proves.

use std::collections::BTreeSet;

use rayon::prelude::*;

use super::bound::{Bound, Ground, Pool, Standing};
use super::keep::{Ranks, WEIGHTS};
use super::limits::{Column, grams};
use super::search::{Found, sets};
use super::simplex::{Multipliers, Outcome, Program};

/// Bounds in the pool of the last pass.
const POOL: usize = 64;
/// Bounds a task remembers from its own programs.
const RECENT: usize = 12;
/// Pairs completed to find good sets and bounds at first.
const SAMPLED: usize = 120;
/// Rounds in which the best sets found are varied.
const ROUNDS: usize = 2;

/// Sets a bound must have ruled out to be worth a place in the pool.
const USEFUL: u32 = 8;

/// A search whose candidates stand in their own order.
pub(super) struct Search<'a> {
    /// What bounds and programs are made from.
    pub ground: &'a Ground,
    /// Ranges of candidates of equal caution.
    pub classes: Vec<(usize, std::ops::Range<usize>)>,
    /// The caution of each candidate.
    pub weights: &'a [usize],
    /// Members at most.
    pub at_most: usize,
    /// Sets kept.
    pub keep: usize,
    /// Told how many more sets were gone through.
    pub done: &'a (dyn Fn(u64) + Sync),
}

impl Search<'_> {
    /// Every set found with its weight, how many were solved in the last pass and how many of them
    /// rounding left open.
    pub fn run(&self) -> (Vec<(Found, usize)>, u64, u64) {
        let (pool, first) = self.explore();
        // Sets counted in the first pass are not counted twice.
        let known: BTreeSet<Vec<usize>> =
            first.found.iter().map(|(f, _)| f.members.clone()).collect();
        let begin = || Task {
            known: Some(&known),
            recent: vec![],
            found: vec![],
            solved: 0,
            open: 0,
            ..Task::new(self, first.ranks.clone())
        };
        let mut empty = begin();
        empty.offer(&[]);
        (self.done)(1);
        let first_members = if self.at_most > 0 {
            self.ground.candidates.len()
        } else {
            0
        };
        let tasks: Vec<Task<'_>> = (0..first_members)
            .into_par_iter()
            .with_max_len(1)
            .map(|member| {
                let mut task = begin();
                task.descend(&pool, &pool.start(), &mut vec![], member..member + 1);
                (self.done)(sets(
                    self.ground.candidates.len() - member - 1,
                    self.at_most - 1,
                ));
                task
            })
            .collect();
        let mut all = first.found;
        let (mut solved, mut open) = (0, 0);
        for task in std::iter::once(empty).chain(tasks) {
            all.extend(task.found);
            solved += task.solved;
            open += task.open;
        }
        (all, solved, open)
    }

    /// Good sets and good bounds, from a sample and the neighbours of the best.
    fn explore(&self) -> (Pool, Task<'_>) {
        let count = self.ground.candidates.len();
        let mut pool = Pool::new(count);
        let mut task = Task::new(self, Ranks::new(self.at_most, self.keep));
        task.learning = true;
        let limits = self.ground.limits.list.len();
        for limit in 0..limits {
            self.ground
                .bound(&Multipliers::one(limit), None)
                .into_iter()
                .for_each(|b| pool.add(b));
        }
        let mut seen = BTreeSet::new();
        if self.at_most == 0 {
            return (pool, task);
        }
        for c in 0..count {
            task.offer(&[c]);
        }
        // Stems of at_most - 1 members, spread evenly by a fixed stride.
        let stem = self.at_most - 1;
        if stem > 0 && count > 24 {
            let mut draw = 1usize;
            for _ in 0..SAMPLED {
                let mut members: Vec<usize> = (0..stem)
                    .map(|_| {
                        draw = draw
                            .wrapping_mul(6_364_136_223_846_793_005)
                            .wrapping_add(1_442_695_040_888_963_407);
                        (draw >> 33) % count
                    })
                    .collect();
                members.sort_unstable();
                members.dedup();
                if members.len() == stem && seen.insert(members.clone()) {
                    task.complete(&mut pool, &members);
                }
            }
            for _ in 0..ROUNDS {
                let mut best: Vec<(f64, Vec<usize>)> = task
                    .found
                    .iter()
                    .filter(|(f, w)| f.miss <= task.ranks.limit(f.members.len(), *w))
                    .map(|(f, _)| (f.miss, f.members.clone()))
                    .collect();
                best.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
                for (_, members) in best {
                    for without in 0..members.len() {
                        let mut part = members.clone();
                        if members.len() == self.at_most {
                            part.remove(without);
                        }
                        if part.len() == stem && seen.insert(part.clone()) {
                            task.complete(&mut pool, &part);
                        }
                    }
                }
            }
        }
        let stems: Vec<Standing> = seen.iter().step_by(3).map(|s| pool.standing(s)).collect();
        pool.sort_by_use(&stems, task.ranks.limit(self.at_most, WEIGHTS - 1));
        (pool, task)
    }
}

/// One part of a pass, with what it knows.
struct Task<'a> {
    search: &'a Search<'a>,
    ranks: Ranks,
    /// Sets already counted in by an earlier pass.
    known: Option<&'a BTreeSet<Vec<usize>>>,
    /// Sets found here may come up again.
    learning: bool,
    again: BTreeSet<Vec<usize>>,
    /// Bounds of the programs solved last, the latest useful first.
    recent: Vec<Bound>,
    found: Vec<(Found, usize)>,
    solved: u64,
    open: u64,
    program: Program,
    scratch: Vec<f64>,
}

impl<'a> Task<'a> {
    fn new(search: &'a Search<'a>, ranks: Ranks) -> Self {
        Task {
            search,
            ranks,
            known: None,
            learning: false,
            again: BTreeSet::new(),
            recent: vec![],
            found: vec![],
            solved: 0,
            open: 0,
            program: Program::new(1),
            scratch: vec![],
        }
    }

    fn weight(&self, members: &[usize]) -> usize {
        let weight: usize = members.iter().map(|&m| self.search.weights[m]).sum();
        weight.min(WEIGHTS - 1)
    }

    /// Goes through every set that `members` begin and whose next member lies in `next`.
    fn descend(
        &mut self,
        pool: &Pool,
        standing: &Standing,
        members: &mut Vec<usize>,
        next: std::ops::Range<usize>,
    ) {
        let count = self.search.ground.candidates.len();
        let number = members.len() + 1;
        let mut joined = Standing::new();
        for member in next {
            pool.join(standing, member, &mut joined);
            members.push(member);
            let weight = self.weight(members);
            if !pool.cuts(&joined, self.ranks.limit(number, weight)) {
                self.offer(members);
            }
            let more = self.search.at_most - number;
            if more == 1 {
                let limit = self.ranks.limit(number + 1, weight);
                if !pool.cuts_each(&joined, member + 1, limit) {
                    self.last(pool, &joined, members, member + 1);
                }
            } else if more > 1 && member + 1 < count {
                // Larger sets of no less caution are held to no laxer a limit than this.
                let limit = self.ranks.limit(number + 1, weight);
                if !pool.cuts_all(&joined, member + 1, more, limit) {
                    self.descend(pool, &joined, members, member + 1..count);
                }
            }
            members.pop();
        }
    }

    /// Solves every completion of `members` by one candidate from `from` on that no table rules out.
    fn last(&mut self, pool: &Pool, standing: &Standing, members: &mut Vec<usize>, from: usize) {
        let search = self.search;
        let weight = self.weight(members);
        let number = members.len() + 1;
        let mut left = vec![];
        for (class, range) in &search.classes {
            let range = range.start.max(from)..range.end;
            if range.is_empty() {
                continue;
            }
            let both = (weight + class).min(WEIGHTS - 1);
            let limit = self.ranks.limit(number, both);
            pool.completions(standing, range, limit, &mut left);
            for (word, &bits) in left.iter().enumerate() {
                let mut bits = bits;
                while bits != 0 {
                    let member = word * 64 + bits.trailing_zeros() as usize;
                    bits &= bits - 1;
                    if !pool.cuts_with(standing, member, self.ranks.limit(number, both)) {
                        members.push(member);
                        self.offer(members);
                        members.pop();
                    }
                }
            }
        }
    }

    /// Completes `members` by any candidate, and adds the bounds that proved useful to the pool.
    fn complete(&mut self, pool: &mut Pool, members: &[usize]) {
        let standing = pool.standing(members);
        let weight = self.weight(members);
        let mut left = vec![];
        for (class, range) in &self.search.classes {
            let both = (weight + class).min(WEIGHTS - 1);
            let limit = self.ranks.limit(members.len() + 1, both);
            pool.completions(&standing, range.clone(), limit, &mut left);
            for (word, &bits) in left.iter().enumerate() {
                let mut bits = bits;
                while bits != 0 {
                    let member = word * 64 + bits.trailing_zeros() as usize;
                    bits &= bits - 1;
                    if let Err(place) = members.binary_search(&member)
                        && !pool.cuts_with(&standing, member, limit)
                    {
                        let mut set = members.to_vec();
                        set.insert(place, member);
                        self.offer(&set);
                    }
                }
            }
        }
        let mut n = 0;
        while n < self.recent.len() {
            if self.recent[n].hits >= USEFUL && pool.bounds.len() < POOL {
                pool.add(self.recent.remove(n));
            } else {
                n += 1;
            }
        }
    }

    /// Solves one set that the pool does not cut unless a recent bound does, and counts it in when
    /// it is worth keeping.
    fn offer(&mut self, members: &[usize]) {
        let weight = self.weight(members);
        let limit = self.ranks.limit(members.len(), weight);
        if let Some(n) = self.recent.iter().position(|b| b.of(members) >= limit) {
            self.recent[n].hits += 1;
            let bound = self.recent.remove(n);
            self.recent.insert(0, bound);
            return;
        }
        let known = |sets: &BTreeSet<Vec<usize>>| sets.contains(members);
        self.solved += 1;
        if self.known.is_some_and(known) || self.learning && known(&self.again) {
            return;
        }
        match self.solve(members, limit) {
            Outcome::Optimum { least, at, .. } => {
                self.ranks.count(members.len(), weight, least);
                if self.learning {
                    self.again.insert(members.to_vec());
                }
                let ground = self.search.ground;
                let least_of = |c: &Column| c.least;
                let doses = ground
                    .always
                    .iter()
                    .map(least_of)
                    .chain(members.iter().map(|&m| ground.candidates[m].least));
                let found = Found {
                    members: members.to_vec(),
                    miss: least,
                    grams: grams(doses, ground.grams, &at),
                };
                self.found.push((found, weight));
            }
            Outcome::Above { multipliers } | Outcome::Conflict { multipliers } => {
                let full = self.recent.len() >= RECENT;
                let old = if full { self.recent.pop() } else { None };
                if let Some(bound) = self.search.ground.bound(&multipliers, old) {
                    self.recent.insert(0, bound);
                }
            }
            Outcome::Unsettled => self.open += 1,
        }
    }

    fn solve(&mut self, members: &[usize], limit: f64) -> Outcome {
        let ground = self.search.ground;
        let free: Vec<&Column> = ground
            .always
            .iter()
            .chain(members.iter().map(|&m| &ground.candidates[m]))
            .collect();
        let fits = ground.limits.write(
            &mut self.program,
            &ground.asked,
            ground.grams,
            &free,
            &mut self.scratch,
        );
        if fits {
            self.program.solve_below(limit)
        } else {
            // Their least doses alone are more than there is room for.
            Outcome::Conflict {
                multipliers: Multipliers::default(),
            }
        }
    }
}
