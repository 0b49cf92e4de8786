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

use super::bound::Ground;
use super::frame::Row;
use super::keep::{WEIGHTS, kept};
use super::limits::{Column, Limits};
use super::pass::Search;
use super::target::Target;

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
    /// Told, now and then, how many more of [`sets`] were gone through.
    pub done: &'a (dyn Fn(u64) + Sync),
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
        done: space.done,
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
    let sets = sets(order.len(), search.at_most);
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

/// Number of sets of up to `at_most` of so many candidates, the empty one included.
pub fn sets(candidates: usize, at_most: usize) -> u64 {
    (0..=at_most as u64)
        .map(|k| choose(candidates as u64, k))
        .sum()
}

/// Number of ways to choose `k` of `n`.
fn choose(n: u64, k: u64) -> u64 {
    if k > n {
        0
    } else {
        (0..k).fold(1, |c, i| c * (n - i) / (i + 1))
    }
}
