//! Which sets are worth keeping: those that few others beat on miss, number and caution at once.

use super::search::Found;

/// A swap keeps a set while fewer than this many are no larger, call for no more caution and miss less.
pub const KEPT: usize = 40;
/// Caution weights told apart; a set of more counts as this less one.
pub(super) const WEIGHTS: usize = 8;

/// The least misses found so far, by number of members and caution.
#[derive(Clone)]
pub(super) struct Ranks {
    /// Per number and weight: the least misses among sets of no more of either, ascending.
    least: Vec<Vec<f64>>,
    /// How many of them count.
    keep: usize,
}

impl Ranks {
    /// No set found yet.
    pub fn new(at_most: usize, keep: usize) -> Self {
        Ranks {
            least: vec![vec![]; (at_most + 1) * WEIGHTS],
            keep: keep.max(1),
        }
    }

    /// The miss at which a set of this number and weight is not worth keeping any more.
    pub fn limit(&self, number: usize, weight: usize) -> f64 {
        let least = &self.least[number * WEIGHTS + weight];
        least.get(self.keep - 1).copied().unwrap_or(f64::INFINITY)
    }

    /// Counts a set in.
    pub fn count(&mut self, number: usize, weight: usize, miss: f64) {
        for row in self.least.chunks_mut(WEIGHTS).skip(number) {
            for least in &mut row[weight..] {
                let place = least.partition_point(|m| *m <= miss);
                if place < self.keep {
                    least.insert(place, miss);
                    least.truncate(self.keep);
                }
            }
        }
    }
}

/// The sets worth keeping of all found, least miss first, and the miss from which on others were not kept.
pub(super) fn kept(mut all: Vec<(Found, usize)>, at_most: usize, keep: usize) -> (Vec<Found>, f64) {
    all.sort_by(|(a, _), (b, _)| {
        a.miss
            .total_cmp(&b.miss)
            .then_with(|| a.members.len().cmp(&b.members.len()))
            .then_with(|| a.members.cmp(&b.members))
    });
    let mut ranks = Ranks::new(at_most, keep);
    let mut kept = vec![];
    for (found, weight) in all {
        let number = found.members.len();
        if ranks.limit(number, weight).is_infinite() {
            ranks.count(number, weight, found.miss);
            kept.push(found);
        }
    }
    (kept, ranks.limit(at_most, WEIGHTS - 1))
}
