//! Bounds that hold for every set of ingredients at once, and the tables that apply them fast.
//!
//! Give every limit of [`super::limits`] a weight `y >= 0`, those of the soft ones summing to one
//! at most. Adding the limits up by weight, whatever the grams `x` of a set,
//! `miss >= base - sum(w x)`, where `w` is what a gram gains over a gram of the balancing
//! ingredient. The grams together are no more than there are, `sum(x) <= all`, so for any price
//! `p >= 0` of a gram `sum(w x) <= p all + sum((w - p) x)`: what gains less than the price only
//! costs. With `least <= x <= most` the rest is at most the sum over members of `own` plus the
//! largest `wide` among them:
//! - an ingredient that may fill at most half the free grams has `own` = the better of
//!   `(w - p) least` and `(w - p) most`, and `wide` = 0;
//! - any other has `own` = `(w - p) least` and `wide` = `max(w - p, 0)` times the grams left beside
//!   its least. Two such share the grams, so the larger counts once.
//!
//! So each direction `y, p` bounds the miss of every set by a few additions, product terms, least
//! doses and greatest doses included. Good directions are the multipliers of programs solved, the
//! price being that of the limit on the grams together.

use super::limits::{Column, Limits};
use super::simplex::Multipliers;

/// One direction and what every candidate gives along it.
pub(super) struct Bound {
    /// The bound of the empty set before what is always free may fill up.
    pub base: f64,
    /// The widest of what is always free.
    pub wide: f64,
    /// Per candidate: what it gains within its own doses.
    pub own: Vec<f64>,
    /// Per candidate: what it gains by filling what is left.
    pub wides: Vec<f64>,
    /// Sets ruled out by it.
    pub hits: u32,
}

/// Everything a bound is computed from.
pub(super) struct Ground {
    /// The limits.
    pub limits: Limits,
    /// What each still asks of the free grams.
    pub asked: Vec<f64>,
    /// Free grams.
    pub grams: f64,
    /// Always free; the first balances.
    pub always: Vec<Column>,
    /// May be chosen.
    pub candidates: Vec<Column>,
    /// Per limit, per candidate: what a gram gains over a gram of what balances.
    gains: Vec<Vec<f64>>,
    /// Per candidate: between which grams it gains for itself, and over how many it fills what is left.
    reaches: Vec<Reach>,
}

/// Grams over which an ingredient's gain counts.
#[derive(Clone, Copy)]
struct Reach {
    least: f64,
    /// Its greatest dose where that fills at most half the free grams, else its least.
    own: f64,
    /// The free grams beside its least where its greatest dose fills more than half of them.
    wide: f64,
}

impl Reach {
    fn new(column: &Column, grams: f64) -> Self {
        let narrow = column.most <= grams / 2.0;
        Reach {
            least: column.least,
            own: if narrow { column.most } else { column.least },
            wide: if narrow { 0.0 } else { grams - column.least },
        }
    }

    /// `own` and `wide` where a gram gains `gain`.
    fn split(&self, gain: f64) -> (f64, f64) {
        (
            (gain * self.least).max(gain * self.own),
            gain.max(0.0) * self.wide,
        )
    }
}

/// Bounds of a pool put in order; the rest follow as they came.
const FIRST: usize = 24;
/// A weight for rows that nothing stretches, where they alone forbid a set.
const HARD: f64 = 1e3;

impl Ground {
    /// Gathers it.
    pub fn new(
        limits: Limits,
        asked: Vec<f64>,
        grams: f64,
        always: Vec<Column>,
        candidates: Vec<Column>,
    ) -> Self {
        let first = &always[0];
        let gains = (0..limits.list.len())
            .map(|limit| {
                candidates
                    .iter()
                    .map(|c| c.per_gram[limit] - first.per_gram[limit])
                    .collect()
            })
            .collect();
        let reaches = candidates.iter().map(|c| Reach::new(c, grams)).collect();
        Ground {
            limits,
            asked,
            grams,
            always,
            candidates,
            gains,
            reaches,
        }
    }

    /// The bound of weighed limits; those of single doses are not needed. `None` where none is
    /// left. A bound no longer wanted lends its memory.
    pub fn bound(&self, multipliers: &Multipliers, old: Option<Bound>) -> Option<Bound> {
        let list = &self.limits.list;
        let weighed = || multipliers.iter().filter(|(limit, _)| *limit < list.len());
        let soft: f64 = weighed().map(|(limit, y)| y * list[limit].miss).sum();
        let all: f64 = weighed().map(|(_, y)| y).sum();
        if all <= 0.0 {
            return None;
        }
        let scale = if soft > 1e-6 * all {
            1.0 / soft
        } else {
            HARD / all
        };
        let used = || {
            weighed()
                .map(|(limit, y)| (limit, y * scale))
                // A soft row beside a hard ray would break the sum of one.
                .filter(|(limit, _)| soft > 1e-6 * all || list[*limit].miss == 0.0)
        };
        let first = &self.always[0];
        let mut base: f64 = used()
            .map(|(l, y)| y * (self.asked[l] - first.per_gram[l] * self.grams))
            .sum();
        let gains: Vec<f64> = self.always[1..]
            .iter()
            .map(|other| {
                used()
                    .map(|(l, y)| y * (other.per_gram[l] - first.per_gram[l]))
                    .sum()
            })
            .collect();
        // No less than what is always free may gain, or the price would be better raised to it.
        let price = multipliers
            .iter()
            .find(|(limit, _)| *limit == self.limits.together())
            .map_or(0.0, |(_, y)| y * scale)
            .max(gains.iter().copied().fold(0.0, f64::max));
        base -= price * (self.grams - first.least);
        let mut wide = 0.0f64;
        for (other, gain) in self.always[1..].iter().zip(gains) {
            let (own, more) = Reach::new(other, self.grams).split(gain - price);
            base -= own;
            wide = wide.max(more);
        }
        let (mut own, mut wides) = old.map_or((vec![], vec![]), |b| (b.own, b.wides));
        own.clear();
        own.resize(self.candidates.len(), -price);
        for (limit, y) in used() {
            for (gain, g) in own.iter_mut().zip(&self.gains[limit]) {
                *gain += y * g;
            }
        }
        wides.clear();
        wides.extend(own.iter_mut().zip(&self.reaches).map(|(gain, reach)| {
            let (own, wide) = reach.split(*gain);
            *gain = own;
            wide
        }));
        Some(Bound {
            base,
            wide,
            own,
            wides,
            hits: 0,
        })
    }
}

impl Bound {
    /// The least miss of a set along this direction.
    pub fn of(&self, members: &[usize]) -> f64 {
        let (base, wide) = members
            .iter()
            .fold((self.base, self.wide), |(base, wide), &m| {
                (base - self.own[m], wide.max(self.wides[m]))
            });
        base - wide
    }
}

/// For one quantity of the candidates: which of them exceed a number, as bits.
struct Ladder {
    /// Ascending.
    rungs: Vec<f64>,
    /// Per rung, the candidates at or above it.
    bits: Vec<u64>,
}

impl Ladder {
    fn new(values: &[f64], words: usize) -> Self {
        let mut order: Vec<usize> = (0..values.len()).collect();
        order.sort_by(|&a, &b| values[b].total_cmp(&values[a]));
        // Few candidates reach far: rungs stand close together at the top.
        let mut ranks = vec![];
        let mut rank = 1;
        while rank < values.len() {
            ranks.push(rank);
            rank += 1 + rank / 6;
        }
        let mut rungs = vec![f64::NEG_INFINITY];
        let mut bits = vec![0; words];
        order.iter().for_each(|&c| bits[c / 64] |= 1 << (c % 64));
        let mut set = vec![0; words];
        let mut upper = vec![];
        let mut done = 0;
        for rank in ranks {
            for &c in &order[done..rank] {
                set[c / 64] |= 1u64 << (c % 64);
            }
            done = rank;
            upper.push((values[order[rank - 1]], set.clone()));
        }
        for (rung, set) in upper.into_iter().rev() {
            rungs.push(rung);
            bits.extend(set);
        }
        if let Some(&most) = order.first() {
            rungs.push(values[most]);
            bits.extend(vec![0; words]);
        }
        Ladder { rungs, bits }
    }

    /// The least number that anyone fails to exceed, as far as the rungs tell.
    fn lowest(&self) -> f64 {
        self.rungs.get(1).copied().unwrap_or(f64::INFINITY)
    }

    /// Where the bits of a superset of the candidates above `need` begin.
    fn above(&self, need: f64, words: usize) -> usize {
        // Everyone above the need is above the highest rung that is not; minus infinity always is not.
        (self.rungs.partition_point(|r| *r <= need).max(1) - 1) * words
    }
}

/// The most that any of some candidates gives along a bound.
#[derive(Clone, Copy)]
struct Rest {
    own: f64,
    wide: f64,
    /// `own` and `wide` of one candidate together.
    both: f64,
}

/// Bounds with their tables.
pub(super) struct Pool {
    /// The bounds.
    pub bounds: Vec<Bound>,
    ladders: Vec<(Ladder, Ladder)>,
    /// Per bound, per candidate: the most that any from there on gives.
    rests: Vec<Vec<Rest>>,
    /// Words of 64 candidates.
    words: usize,
    /// Per candidate, its `own` and `wide` along every bound in turn.
    gives: Vec<Vec<(f64, f64)>>,
}

/// Where a set stands along every bound of a pool: what is left of the base, and the widest so far.
pub(super) type Standing = Vec<(f64, f64)>;

impl Pool {
    /// An empty pool for so many candidates.
    pub fn new(candidates: usize) -> Self {
        Pool {
            bounds: vec![],
            ladders: vec![],
            rests: vec![],
            words: candidates.div_ceil(64),
            gives: vec![vec![]; candidates],
        }
    }

    /// Adds a bound.
    pub fn add(&mut self, bound: Bound) {
        let both: Vec<f64> = bound
            .own
            .iter()
            .zip(&bound.wides)
            .map(|(o, w)| o + w)
            .collect();
        self.ladders.push((
            Ladder::new(&bound.own, self.words),
            Ladder::new(&both, self.words),
        ));
        let none = Rest {
            own: f64::NEG_INFINITY,
            wide: 0.0,
            both: f64::NEG_INFINITY,
        };
        let mut rests = vec![none; bound.own.len() + 1];
        for c in (0..bound.own.len()).rev() {
            let rest = rests[c + 1];
            rests[c] = Rest {
                own: rest.own.max(bound.own[c]),
                wide: rest.wide.max(bound.wides[c]),
                both: rest.both.max(both[c]),
            };
        }
        self.rests.push(rests);
        let both = bound.own.iter().zip(&bound.wides);
        for (gives, (own, wide)) in self.gives.iter_mut().zip(both) {
            gives.push((*own, *wide));
        }
        self.bounds.push(bound);
    }

    /// The standing of the empty set.
    pub fn start(&self) -> Standing {
        self.bounds.iter().map(|b| (b.base, b.wide)).collect()
    }

    /// The standing after `candidate` joins.
    pub fn join(&self, standing: &Standing, candidate: usize, joined: &mut Standing) {
        joined.clear();
        joined.extend(
            standing
                .iter()
                .zip(&self.gives[candidate])
                .map(|((left, wide), (own, more))| (left - own, wide.max(*more))),
        );
    }

    /// Whether some bound puts a set of this standing with one `candidate` more at `limit` or above.
    pub fn cuts_with(&self, standing: &Standing, candidate: usize, limit: f64) -> bool {
        let each = standing.iter().zip(&self.gives[candidate]);
        each.into_iter()
            .any(|((left, wide), (own, more))| left - own - wide.max(*more) >= limit)
    }

    /// Whether some bound puts a set of this standing at `limit` or above.
    pub fn cuts(&self, standing: &Standing, limit: f64) -> bool {
        standing.iter().any(|(left, wide)| left - wide >= limit)
    }

    /// Whether some bound puts every set that adds up to `more` candidates from `from` on at `limit` or above.
    pub fn cuts_all(&self, standing: &Standing, from: usize, more: usize, limit: f64) -> bool {
        standing
            .iter()
            .zip(&self.rests)
            .any(|((left, wide), rest)| {
                let rest = rest[from];
                left - more as f64 * rest.own.max(0.0) - wide.max(rest.wide) >= limit
            })
    }

    /// Whether some bound puts every set that adds one candidate from `from` on at `limit` or above.
    pub fn cuts_each(&self, standing: &Standing, from: usize, limit: f64) -> bool {
        standing
            .iter()
            .zip(&self.rests)
            .any(|((left, wide), rest)| {
                let rest = rest[from];
                left - (rest.own + wide).max(rest.both) >= limit
            })
    }

    /// Puts first the bounds that together rule out most completions of these standings: each of
    /// the first is the one that adds most to those before it.
    pub fn sort_by_use(&mut self, standings: &[Standing], limit: f64) {
        let words = self.words;
        // Per bound, the bits it leaves of every standing in turn.
        let passed: Vec<Vec<u64>> = (0..self.bounds.len())
            .map(|n| {
                let (own, both) = &self.ladders[n];
                standings
                    .iter()
                    .flat_map(|standing| {
                        let (rest, wide) = standing[n];
                        let need = rest - limit;
                        let narrow = own.above(need - wide, words);
                        let broad = both.above(need, words);
                        (0..words).map(move |w| own.bits[narrow + w] | both.bits[broad + w])
                    })
                    .collect()
            })
            .collect();
        let mut left = vec![u64::MAX; words * standings.len()];
        let mut order: Vec<usize> = vec![];
        let mut others: Vec<usize> = (0..passed.len()).collect();
        while order.len() < FIRST && !others.is_empty() {
            let cut = |n: &usize| -> u64 {
                left.iter()
                    .zip(&passed[*n])
                    .map(|(left, passed)| u64::from((left & !passed).count_ones()))
                    .sum()
            };
            let cuts: Vec<u64> = others.iter().map(cut).collect();
            let best = (0..cuts.len())
                .max_by_key(|&i| (cuts[i], std::cmp::Reverse(others[i])))
                .unwrap_or(0);
            let n = others.remove(best);
            left.iter_mut().zip(&passed[n]).for_each(|(l, p)| *l &= p);
            order.push(n);
        }
        order.extend(others);
        let mut old: Vec<_> = std::mem::take(&mut self.bounds)
            .into_iter()
            .zip(std::mem::take(&mut self.ladders))
            .zip(std::mem::take(&mut self.rests))
            .map(Some)
            .collect();
        for gives in &mut self.gives {
            *gives = order.iter().map(|&n| gives[n]).collect();
        }
        for n in order {
            if let Some(((bound, ladders), rests)) = old[n].take() {
                self.bounds.push(bound);
                self.ladders.push(ladders);
                self.rests.push(rests);
            }
        }
    }

    /// The standing of a set.
    pub fn standing(&self, members: &[usize]) -> Standing {
        let (mut standing, mut joined) = (self.start(), Standing::new());
        for &m in members {
            self.join(&standing, m, &mut joined);
            std::mem::swap(&mut standing, &mut joined);
        }
        standing
    }

    /// The candidates of a range that no table rules out as the last member of a set that must stay under `limit`.
    pub fn completions(
        &self,
        standing: &Standing,
        range: std::ops::Range<usize>,
        limit: f64,
        left: &mut Vec<u64>,
    ) {
        let first = range.start / 64;
        let last = range.end.div_ceil(64);
        left.clear();
        left.resize(self.words, 0);
        for (word, bits) in left.iter_mut().enumerate().take(last).skip(first) {
            *bits = between(range.start, range.end, word);
        }
        for ((rest, wide), (own, both)) in standing.iter().zip(&self.ladders) {
            let need = rest - limit;
            // Below the lowest rung everyone passes.
            if need - wide < own.lowest() {
                continue;
            }
            let narrow = own.above(need - wide, self.words);
            let broad = both.above(need, self.words);
            let mut any = 0;
            let own = &own.bits[narrow + first..narrow + last];
            let both = &both.bits[broad + first..broad + last];
            for (left, (own, both)) in left[first..last].iter_mut().zip(own.iter().zip(both)) {
                *left &= own | both;
                any |= *left;
            }
            if any == 0 {
                return;
            }
        }
    }
}

/// The bits of one word that lie in a range of candidates.
fn between(start: usize, end: usize, word: usize) -> u64 {
    let below = |n: usize| match n.saturating_sub(word * 64) {
        n if n >= 64 => u64::MAX,
        n => (1 << n) - 1,
    };
    below(end) & !below(start)
}
