//! Every set of newcomers examined, or ruled out by a bound that cannot be wrong.
//!
//! A set's miss by the lines is the least largest miss over its grams, a small linear program.
//! A first pass over few sets finds good ones and learns bounds ([`super::bound`]) from the
//! multipliers of the programs it solves. The last pass goes through every set: one whose bound
//! says that it cannot be worth keeping ([`super::keep`]) is cut, often many at once, and every
//! other is solved. A set that is not kept therefore misses, by the lines, at least as much as
//! each of many kept ones that are no larger and call for no more caution.
//!
//! The result depends neither on the order of the candidates nor on the number of threads: the
//! candidates are put in an order of their own first, and each first member is one task whose
//! knowledge comes from the first pass and itself only.

use std::collections::BTreeSet;

use rayon::prelude::*;

use super::bound::{Bound, Ground, Pool, Standing};
use super::frame::Row;
use super::keep::{Ranks, WEIGHTS, kept};
use super::limits::{Column, Limits, grams};
use super::simplex::{Outcome, Program};
use super::target::Target;

/// Bounds in the pool of the last pass.
const POOL: usize = 64;
/// Bounds a task remembers from its own programs.
const RECENT: usize = 24;
/// Pairs completed to find good sets and bounds at first.
const SAMPLED: usize = 120;
/// Rounds in which the best sets found are varied.
const ROUNDS: usize = 1;

/// One variable of the search: an ingredient whose grams are free.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Free {
    /// What a gram adds to each dial.
    pub row: Row,
    /// Least grams when it is in the set.
    pub least: f64,
    /// Greatest grams.
    pub most: f64,
    /// How much caution it calls for, 0 to 7.
    pub weight: u8,
}

/// What to search.
pub struct Space<'a> {
    /// Where each dial should come to.
    pub targets: &'a [Target],
    /// How far each line may stray from the full model; hard limits are widened by it.
    pub margin: &'a Row,
    /// The figures that the fixed part of the batch gives, without anything free.
    pub fixed: Row,
    /// Grams the free ingredients must make up together.
    pub grams: f64,
    /// Always free: what balances (water) and what may stay of the leavers.
    pub always: &'a [Free],
    /// May be chosen.
    pub candidates: &'a [Free],
    /// How many may be chosen at most.
    pub at_most: usize,
    /// A set is kept while fewer than this many are no larger, call for no more caution and miss less.
    pub keep: usize,
}

/// One set worth settling by the full model.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Positions in [`Space::candidates`], ascending.
    pub members: Vec<usize>,
    /// Largest miss by the lines.
    pub miss: f64,
    /// Grams of each `always`, then of each member.
    pub grams: Vec<f64>,
}

/// What a search went through; the proof that nothing better was missed.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Proof {
    /// Sets there are.
    pub sets: u64,
    /// Ruled out by a bound, without solving.
    pub cut: u64,
    /// Solved exactly. With those cut, all sets.
    pub solved: u64,
    /// Of those solved, how many rounding left open; such a set is not kept.
    pub open: u64,
    /// No set that was not kept misses by less than this by the lines; each also ranks behind
    /// [`Space::keep`] kept ones that are no larger and call for no more caution. Infinite when
    /// every set that meets the hard limits was kept.
    pub beyond: f64,
    /// How much less than by the lines a set may miss by the full model, as far as the stated
    /// margins of the lines hold.
    pub doubt: f64,
}

/// The sets worth keeping, least miss first, and the proof.
pub fn search(space: &Space<'_>) -> (Vec<Found>, Proof) {
    // An order of their own: by caution, then by content.
    let mut order: Vec<usize> = (0..space.candidates.len()).collect();
    order.sort_by(|&a, &b| {
        let (a, b) = (&space.candidates[a], &space.candidates[b]);
        let numbers = |f: &Free| f.row.into_iter().chain([f.least, f.most]);
        a.weight.cmp(&b.weight).then_with(|| {
            numbers(a)
                .zip(numbers(b))
                .map(|(x, y)| x.total_cmp(&y))
                .find(|o| o.is_ne())
                .unwrap_or(std::cmp::Ordering::Equal)
        })
    });
    let limits = Limits::new(space.targets, &Limits::give(space.targets, space.margin));
    let always: Vec<Column> = space.always.iter().map(|f| limits.column(f)).collect();
    let candidates: Vec<Column> = order
        .iter()
        .map(|&c| limits.column(&space.candidates[c]))
        .collect();
    let asked = limits.asked(&space.fixed);
    let ground = Ground::new(limits, asked, space.grams, always, candidates);
    let weights: Vec<usize> = order
        .iter()
        .map(|&c| usize::from(space.candidates[c].weight).min(WEIGHTS - 1))
        .collect();
    let search = Search {
        ground: &ground,
        classes: classes(&weights),
        weights: &weights,
        at_most: space.at_most.min(order.len()),
        keep: space.keep,
    };
    let (all, solved, open) = search.run();
    let (mut found, limit) = kept(all, search.at_most, search.keep);
    for found in &mut found {
        // Back to the caller's positions, ascending; the grams go along.
        let fixed = found.grams.len() - found.members.len();
        let mut pairs: Vec<(usize, f64)> = found
            .members
            .iter()
            .zip(&found.grams[fixed..])
            .map(|(&m, &g)| (order[m], g))
            .collect();
        pairs.sort_by_key(|(m, _)| *m);
        found.members = pairs.iter().map(|(m, _)| *m).collect();
        found.grams.truncate(fixed);
        found.grams.extend(pairs.iter().map(|(_, g)| g));
    }
    let sets = (0..=search.at_most as u64)
        .map(|k| choose(order.len() as u64, k))
        .sum();
    let proof = Proof {
        sets,
        cut: sets - solved,
        solved,
        open,
        beyond: limit,
        doubt: doubt(space.targets, space.margin),
    };
    (found, proof)
}

/// How much of a miss the lines may hide: the largest margin in units of its dial's scale.
fn doubt(targets: &[Target], margin: &Row) -> f64 {
    targets
        .iter()
        .zip(margin)
        .map(|(t, m)| m / t.below.min(t.above))
        .fold(0.0, f64::max)
}

/// Ranges of equal weight in an ascending list.
fn classes(weights: &[usize]) -> Vec<(usize, std::ops::Range<usize>)> {
    (0..WEIGHTS)
        .map(|w| {
            let start = weights.partition_point(|&x| x < w);
            (w, start..weights.partition_point(|&x| x <= w))
        })
        .filter(|(_, range)| !range.is_empty())
        .collect()
}

struct Search<'a> {
    ground: &'a Ground,
    classes: Vec<(usize, std::ops::Range<usize>)>,
    weights: &'a [usize],
    at_most: usize,
    keep: usize,
}

impl Search<'_> {
    /// Every set found with its weight, how many were solved in the last pass and how many of them
    /// rounding left open.
    fn run(&self) -> (Vec<(Found, usize)>, u64, u64) {
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
        empty.offer(&pool, &[]);
        let tasks: Vec<Task<'_>> = (0..self.ground.candidates.len())
            .into_par_iter()
            .with_max_len(1)
            .map(|member| {
                let mut task = begin();
                if self.at_most > 0 {
                    task.descend(&pool, &pool.start(), &mut vec![], member..member + 1);
                }
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
            let mut axis = vec![0.0; limits];
            axis[limit] = 1.0;
            self.ground
                .bound(&axis)
                .into_iter()
                .for_each(|b| pool.add(b));
        }
        let mut seen = BTreeSet::new();
        if self.at_most == 0 {
            return (pool, task);
        }
        for c in 0..count {
            task.offer(&pool, &[c]);
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
                self.offer(pool, members);
            }
            let more = self.search.at_most - number;
            if more == 1 {
                self.last(pool, &joined, members, member + 1);
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
        let mut left = vec![];
        for (class, range) in &search.classes {
            let range = range.start.max(from)..range.end;
            if range.is_empty() {
                continue;
            }
            let both = (weight + class).min(WEIGHTS - 1);
            let limit = self.ranks.limit(members.len() + 1, both);
            pool.completions(standing, range, limit, &mut left);
            for (word, &bits) in left.iter().enumerate() {
                let mut bits = bits;
                while bits != 0 {
                    let member = word * 64 + bits.trailing_zeros() as usize;
                    bits &= bits - 1;
                    members.push(member);
                    self.offer(pool, members);
                    members.pop();
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
                    if let Err(place) = members.binary_search(&member) {
                        let mut set = members.to_vec();
                        set.insert(place, member);
                        self.offer(pool, &set);
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

    /// Solves one set unless a bound cuts it, and counts it in when it is worth keeping.
    fn offer(&mut self, pool: &Pool, members: &[usize]) {
        let weight = self.weight(members);
        let limit = self.ranks.limit(members.len(), weight);
        if let Some(n) = self.recent.iter().position(|b| b.of(members) >= limit) {
            self.recent[n].hits += 1;
            let bound = self.recent.remove(n);
            self.recent.insert(0, bound);
            return;
        }
        if pool.bounds.iter().any(|b| b.of(members) >= limit) {
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
                if let Some(bound) = self.search.ground.bound(&multipliers) {
                    self.recent.insert(0, bound);
                    self.recent.truncate(RECENT);
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
                multipliers: vec![0.0; ground.limits.list.len()],
            }
        }
    }
}

/// Sets a bound must have ruled out to be worth a place in the pool.
const USEFUL: u32 = 8;

/// Number of ways to choose `k` of `n`.
fn choose(n: u64, k: u64) -> u64 {
    if k > n {
        0
    } else {
        (0..k).fold(1, |c, i| c * (n - i) / (i + 1))
    }
}
