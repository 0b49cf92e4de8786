//! Every set of newcomers examined, or ruled out by a bound that cannot be wrong.
//!
//! For a set to reach the wanted box of dials, in every direction of dial space at least one
//! member must lie as far out, per gram, as the box asks of the mean gram that comes in
//! (a mean lies among its members; the bound is exact by separating hyperplanes). Each
//! candidate carries one bit per direction, so a set is ruled out when the bits of its members
//! together leave a direction uncovered. What remains is solved exactly as a linear program.

use rayon::prelude::*;

use super::frame::{DIALS, Frame, Row};
use super::simplex::{Outcome, Program, UNKNOWNS};

/// Sets kept for the full model, per number of members and weight of cautions.
const KEPT: usize = 40;
/// The box is widened by these factors until enough sets are inside: 1 is what was asked.
const LEVELS: [f64; 4] = [1.0, 2.0, 4.0, 8.0];
/// Sets inside the box that are enough.
const ENOUGH: usize = 12;
/// Caution weights told apart.
const WEIGHTS: usize = 8;

/// One variable of the search: an ingredient whose grams are free.
#[derive(Debug, Clone, Copy)]
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
    /// Lines and targets.
    pub frame: &'a Frame,
    /// What the fixed part of the batch gives, without anything free.
    pub fixed: Row,
    /// Grams the free ingredients must make up together.
    pub grams: f64,
    /// Always free: what balances (water) and what may stay of the leavers.
    pub always: &'a [Free],
    /// May be chosen.
    pub candidates: &'a [Free],
    /// How many may be chosen at most.
    pub at_most: usize,
}

/// One set that reaches the widened box.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Positions in [`Space::candidates`], ascending.
    pub members: Vec<usize>,
    /// Largest miss by the lines, with their margins given away: a lower bound of the true one.
    pub bound: f64,
    /// Grams of each `always`, then of each member.
    pub grams: Vec<f64>,
}

/// What a search went through; the proof that nothing better was missed.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Proof {
    /// Sets there are.
    pub sets: u64,
    /// Ruled out by directions, without solving.
    pub cut: u64,
    /// Solved exactly.
    pub solved: u64,
    /// Any set not found misses by more than this.
    pub beyond: f64,
}

/// The best sets by their bound, and the proof.
pub fn search(space: &Space<'_>) -> (Vec<Found>, Proof) {
    let mut last = (vec![], Proof::default());
    for level in LEVELS {
        last = at_level(space, level);
        if last.0.len() >= ENOUGH {
            break;
        }
    }
    last
}

type Mask = u128;

fn at_level(space: &Space<'_>, level: f64) -> (Vec<Found>, Proof) {
    let directions = directions(space, level);
    let all: Mask = if directions.len() == 128 {
        Mask::MAX
    } else {
        (1 << directions.len()) - 1
    };
    let mask = |free: &Free| {
        directions
            .iter()
            .enumerate()
            .fold(0, |mask: Mask, (bit, d)| {
                if d.reaches(&free.row, space.grams) {
                    mask | 1 << bit
                } else {
                    mask
                }
            })
    };
    let covered = space.always.iter().map(mask).fold(0, |a, b| a | b);
    let masks: Vec<Mask> = space.candidates.iter().map(mask).collect();
    let missing = all & !covered;
    // For each direction, who covers it: a set must hold one of them.
    let covering: Vec<Vec<usize>> = (0..directions.len())
        .map(|bit| {
            (0..masks.len())
                .filter(|&c| masks[c] >> bit & 1 == 1)
                .collect()
        })
        .collect();
    let rarest = |need: Mask| {
        (0..directions.len())
            .filter(|bit| need >> bit & 1 == 1)
            .min_by_key(|&bit| covering[bit].len())
    };

    let m = space.candidates.len();
    let mut keep = Keep::new(space.at_most);
    let mut solved = 0u64;
    // The empty set: only what balances and stays.
    if missing == 0 {
        solved += 1;
        keep.offer(solve(space, &[], level), space);
    }
    let firsts: Vec<(Keep, u64)> = (0..m)
        .into_par_iter()
        .map(|first| {
            let mut keep = Keep::new(space.at_most);
            let mut solved = 0;
            let mut members = vec![first];
            descend(
                space,
                level,
                &masks,
                &covering,
                &rarest,
                missing & !masks[first],
                &mut members,
                &mut keep,
                &mut solved,
            );
            (keep, solved)
        })
        .collect();
    for (part, count) in firsts {
        keep.merge(part);
        solved += count;
    }
    let sets: u64 = (0..=space.at_most as u64)
        .map(|k| choose(m as u64, k))
        .sum();
    (
        keep.into_sorted(),
        Proof {
            sets,
            cut: sets - solved,
            solved,
            beyond: level,
        },
    )
}

/// Solves the set in hand when it is covered, then adds every later candidate that can still help.
#[allow(clippy::too_many_arguments)]
fn descend(
    space: &Space<'_>,
    level: f64,
    masks: &[Mask],
    covering: &[Vec<usize>],
    rarest: &(impl Fn(Mask) -> Option<usize> + Sync),
    need: Mask,
    members: &mut Vec<usize>,
    keep: &mut Keep,
    solved: &mut u64,
) {
    if need == 0 {
        *solved += 1;
        keep.offer(solve(space, members, level), space);
    }
    let room = space.at_most - members.len();
    if room == 0 {
        return;
    }
    let last = members[members.len() - 1];
    if room == 1 && need != 0 {
        // The last member must cover all that is missing: look only at those who cover the rarest.
        let bit = rarest(need).expect("some direction is needed");
        for &next in covering[bit]
            .iter()
            .filter(|&&c| c > last && masks[c] & need == need)
        {
            members.push(next);
            *solved += 1;
            keep.offer(solve(space, members, level), space);
            members.pop();
        }
        return;
    }
    for next in last + 1..space.candidates.len() {
        members.push(next);
        descend(
            space,
            level,
            masks,
            covering,
            rarest,
            need & !masks[next],
            members,
            keep,
            solved,
        );
        members.pop();
    }
}

/// One direction of dial space and how far the box lies along it.
struct Direction {
    along: Vec<(usize, f64)>,
    needed: f64,
}

impl Direction {
    /// Whether a gram lies as far out as the mean gram must.
    fn reaches(&self, row: &Row, grams: f64) -> bool {
        let along: f64 = self.along.iter().map(|(d, w)| w * row[*d]).sum();
        // Rounding may not rule anything out.
        along * grams >= self.needed - 1e-7 * (1.0 + self.needed.abs())
    }
}

/// Both ways along every dial, and along sums and differences of pairs of dials in units of their scale.
fn directions(space: &Space<'_>, level: f64) -> Vec<Direction> {
    let (low, high) = limits(space.frame, level);
    let count = space.frame.targets.len();
    let at = |d: usize| space.frame.figures(&space.fixed)[d];
    let scale = |d: usize| 1.0 / (high[d] - low[d]).clamp(1e-6, 1e6);
    let mut out = vec![];
    let mut push = |along: Vec<(usize, f64)>| {
        // The least the box asks along this direction, beyond what the fixed part gives.
        let needed: f64 = along
            .iter()
            .map(|(d, w)| {
                if *w > 0.0 {
                    w * (low[*d] - at(*d))
                } else {
                    w * (high[*d] - at(*d))
                }
            })
            .sum();
        if needed.is_finite() && out.len() < 128 {
            out.push(Direction { along, needed });
        }
    };
    for d in 0..count {
        push(vec![(d, scale(d))]);
        push(vec![(d, -scale(d))]);
    }
    // Asked dials first among the pairs: they are the tight ones.
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by_key(|&d| !space.frame.targets[d].asked);
    for (n, &a) in order.iter().enumerate() {
        for &b in &order[n + 1..] {
            for (x, y) in [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)] {
                push(vec![(a, x * scale(a)), (b, y * scale(b))]);
            }
        }
    }
    out
}

/// The box of dial figures at a level, widened by the margins of the lines.
fn limits(frame: &Frame, level: f64) -> (Row, Row) {
    let (mut low, mut high) = ([f64::NEG_INFINITY; DIALS], [f64::INFINITY; DIALS]);
    for (n, t) in frame.targets.iter().enumerate() {
        low[n] = (t.aim - level * t.below).max(t.floor) - frame.margin[n];
        high[n] = (t.aim + level * t.above).min(t.ceiling) + frame.margin[n];
    }
    (low, high)
}

/// Least possible miss of one set by the lines; `None` when hard limits forbid it or it exceeds `level`.
fn solve(space: &Space<'_>, members: &[usize], level: f64) -> Option<Found> {
    let free: Vec<&Free> = space
        .always
        .iter()
        .chain(members.iter().map(|&m| &space.candidates[m]))
        .collect();
    let program = program(space.frame, &space.fixed, space.grams, &free, true)?;
    match program.solve() {
        Outcome::Optimum { least, at, .. } if least <= level => Some(Found {
            members: members.to_vec(),
            bound: least,
            grams: grams(&free, space.grams, &at),
        }),
        _ => None,
    }
}

/// The linear program of one set. The first free ingredient takes what the others leave, so the
/// unknowns are the grams of the others above their least, and last the miss.
pub fn program(
    frame: &Frame,
    fixed: &Row,
    total: f64,
    free: &[&Free],
    give_margin: bool,
) -> Option<Program> {
    let others = &free[1..];
    let spare = total - others.iter().map(|f| f.least).sum::<f64>();
    if spare < 0.0 || others.len() + 1 > UNKNOWNS {
        return None;
    }
    let miss = others.len();
    let mut program = Program::new(miss + 1);
    let first = &free[0].row;
    let start = frame.figures(fixed);
    for (d, t) in frame.targets.iter().enumerate() {
        let mut row = [0.0; UNKNOWNS];
        let mut base = start[d] + first[d] * spare;
        for (n, f) in others.iter().enumerate() {
            base += f.row[d] * f.least;
            row[n] = f.row[d] - first[d];
        }
        let margin = if give_margin { frame.margin[d] } else { 0.0 };
        // figure + below * miss >= aim ; figure - above * miss <= aim, each widened by the margin.
        let mut under = row;
        under[miss] = t.below;
        program.at_least(under, t.aim - margin - base);
        let mut over = row;
        over[miss] = -t.above;
        program.at_most(over, t.aim + margin - base);
        if t.floor.is_finite() {
            program.at_least(row, t.floor - margin - base);
        }
        if t.ceiling.is_finite() {
            program.at_most(row, t.ceiling + margin - base);
        }
    }
    let mut together = [0.0; UNKNOWNS];
    together[..miss].fill(1.0);
    program.at_most(together, spare);
    if free[0].most < total {
        program.at_least(together, spare - free[0].most);
    }
    for (n, f) in others.iter().enumerate() {
        if f.most < total {
            let mut row = [0.0; UNKNOWNS];
            row[n] = 1.0;
            program.at_most(row, f.most - f.least);
        }
    }
    Some(program)
}

/// Grams of every free ingredient at a solution.
pub fn grams(free: &[&Free], total: f64, at: &[f64; UNKNOWNS]) -> Vec<f64> {
    let others: Vec<f64> = free[1..].iter().zip(at).map(|(f, x)| f.least + x).collect();
    let rest = (total - others.iter().sum::<f64>()).max(0.0);
    std::iter::once(rest).chain(others).collect()
}

/// The best sets so far, by number of members and weight of cautions.
struct Keep {
    shelves: Vec<Vec<Found>>,
}

impl Keep {
    fn new(at_most: usize) -> Self {
        Keep {
            shelves: vec![vec![]; (at_most + 1) * WEIGHTS],
        }
    }

    fn offer(&mut self, found: Option<Found>, space: &Space<'_>) {
        let Some(found) = found else { return };
        let weight: usize = found
            .members
            .iter()
            .map(|&m| space.candidates[m].weight as usize)
            .sum::<usize>()
            .min(WEIGHTS - 1);
        let shelf = &mut self.shelves[found.members.len() * WEIGHTS + weight];
        insert(shelf, found);
    }

    fn merge(&mut self, other: Keep) {
        for (shelf, more) in self.shelves.iter_mut().zip(other.shelves) {
            more.into_iter().for_each(|found| insert(shelf, found));
        }
    }

    fn into_sorted(self) -> Vec<Found> {
        let mut all: Vec<Found> = self.shelves.into_iter().flatten().collect();
        all.sort_by(order);
        all
    }
}

fn order(a: &Found, b: &Found) -> std::cmp::Ordering {
    a.bound
        .total_cmp(&b.bound)
        .then_with(|| a.members.cmp(&b.members))
}

fn insert(shelf: &mut Vec<Found>, found: Found) {
    let place = shelf
        .binary_search_by(|f| order(f, &found))
        .unwrap_or_else(|place| place);
    if place < KEPT {
        shelf.insert(place, found);
        shelf.truncate(KEPT);
    }
}

/// Number of ways to choose `k` of `n`.
fn choose(n: u64, k: u64) -> u64 {
    if k > n {
        0
    } else {
        (0..k).fold(1, |c, i| c * (n - i) / (i + 1))
    }
}
