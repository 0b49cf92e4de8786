//! A small exact linear program: few unknowns, many one-sided limits.
//!
//! Knows nothing of food. The dual is solved by the primal simplex method from the identity
//! basis that the sign limits give, so there is no first phase; the multipliers that come out
//! say which limits bind, and when nothing satisfies them all, which limits conflict. The value
//! only grows from step to step, so a caller who asks no more than "at least this?" gets an early
//! answer. Every answer is checked against the limits as given before it is returned.

/// Unknowns a program may have.
pub const UNKNOWNS: usize = 8;
/// Limits a program may have beside the sign limits.
pub const LIMITS: usize = 104;

/// Numbers closer than this count as equal, after scaling.
const CLOSE: f64 = 1e-10;
/// Share of a sum's terms by which rounding may falsify it.
const ROUNDING: f64 = 1e-8;
/// Pivots after which the rule that cannot cycle (Bland's) takes over.
const GREEDY_PIVOTS: usize = 60;
/// Pivots after which numerical trouble is assumed; none of the tests comes near.
const MOST_PIVOTS: usize = 2_000;

type Wide = [f64; LIMITS + UNKNOWNS];

/// Minimise the last unknown subject to `row . x >= bound` and `x >= 0`.
#[derive(Clone)]
pub struct Program {
    /// One entry per unknown: its factor in every limit.
    factors: Vec<[f64; LIMITS]>,
    bounds: [f64; LIMITS],
    limits: usize,
    /// The largest factor of each unknown.
    largest: [f64; UNKNOWNS],
    tableau: Vec<Wide>,
}

/// The limits that carry a proof, each with its weight above zero.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Multipliers {
    each: [(usize, f64); UNKNOWNS + 1],
    count: usize,
}

impl Multipliers {
    /// One limit alone.
    pub fn one(limit: usize) -> Self {
        let mut one = Multipliers::default();
        one.push(limit, 1.0);
        one
    }

    /// The place of each limit in the order added, and its weight.
    pub fn iter(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.each[..self.count].iter().copied()
    }

    fn push(&mut self, limit: usize, weight: f64) {
        if weight > 0.0 {
            self.each[self.count] = (limit, weight);
            self.count += 1;
        }
    }
}

/// What a program came to.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// The least value, where it is reached, and the limits that bind.
    Optimum {
        /// Value of the last unknown.
        least: f64,
        /// All unknowns.
        at: [f64; UNKNOWNS],
        /// The limits that bind.
        multipliers: Multipliers,
    },
    /// The least value is no less than the one the caller cares for; the multipliers prove it.
    Above {
        /// The limits that prove it.
        multipliers: Multipliers,
    },
    /// No point satisfies all limits.
    Conflict {
        /// The limits that conflict.
        multipliers: Multipliers,
    },
    /// Rounding or the step limit left it open. Says nothing about the program.
    Unsettled,
}

impl Program {
    /// A program of `unknowns` unknowns, the last of which is minimised.
    pub fn new(unknowns: usize) -> Self {
        let mut program = Program {
            factors: vec![],
            bounds: [0.0; LIMITS],
            limits: 0,
            largest: [0.0; UNKNOWNS],
            tableau: vec![],
        };
        program.clear(unknowns);
        program
    }

    /// Forgets all limits, so that one program's memory serves the next.
    pub fn clear(&mut self, unknowns: usize) {
        assert!((1..=UNKNOWNS).contains(&unknowns), "1 to 8 unknowns");
        self.factors.resize(unknowns, [0.0; LIMITS]);
        self.limits = 0;
    }

    /// Adds `row . x >= bound`.
    pub fn at_least(&mut self, row: [f64; UNKNOWNS], bound: f64) {
        for (factors, factor) in self.factors.iter_mut().zip(row) {
            factors[self.limits] = factor;
        }
        self.bounds[self.limits] = bound;
        self.limits += 1;
    }

    /// Adds `row . x <= bound`.
    pub fn at_most(&mut self, row: [f64; UNKNOWNS], bound: f64) {
        self.at_least(row.map(|a| -a), -bound);
    }

    /// Adds many limits at once: their bounds, and for every unknown its factor in each.
    pub(super) fn columns<'a>(
        &mut self,
        bounds: impl Iterator<Item = f64>,
        columns: impl Iterator<Item = &'a [f64]>,
    ) {
        let from = self.limits;
        for bound in bounds {
            self.bounds[self.limits] = bound;
            self.limits += 1;
        }
        for (factors, column) in self.factors.iter_mut().zip(columns) {
            factors[from..self.limits].copy_from_slice(column);
        }
    }

    /// Solves it.
    pub fn solve(&mut self) -> Outcome {
        self.solve_below(f64::INFINITY)
    }

    /// Solves it as far as it takes to tell whether the least value lies below `interest`.
    pub fn solve_below(&mut self, interest: f64) -> Outcome {
        for greedy in [GREEDY_PIVOTS, 0] {
            let outcome = self.pivot(interest, greedy);
            if self.stands(&outcome, interest) {
                return outcome;
            }
        }
        Outcome::Unsettled
    }

    fn pivot(&mut self, interest: f64, greedy: usize) -> Outcome {
        let n = self.unknowns();
        let columns = self.limits + n;
        // Columns of the dual: one per limit, then one per sign limit (the starting basis).
        let mut gain = [0.0; LIMITS + UNKNOWNS];
        let mut right = [0.0; UNKNOWNS];
        let mut basis = [0usize; UNKNOWNS];
        let scale = self.scales();
        self.tableau.resize(n, [0.0; LIMITS + UNKNOWNS]);
        for (i, row) in self.tableau.iter_mut().enumerate() {
            for (cell, factor) in row.iter_mut().zip(&self.factors[i][..self.limits]) {
                *cell = factor * scale[i];
            }
            row[self.limits..columns].fill(0.0);
            row[self.limits + i] = 1.0;
            basis[i] = self.limits + i;
        }
        right[n - 1] = 1.0;
        gain[..self.limits].copy_from_slice(&self.bounds[..self.limits]);
        let mut value = 0.0;
        for pivots in 0..MOST_PIVOTS {
            let Some(enter) = entering(&gain[..columns], pivots >= greedy) else {
                return self.optimum(value, &gain, &basis, &right, &scale);
            };
            let Some(leave) = leaving(&self.tableau, &right, &basis, enter) else {
                // The dual grows without bound along this column: a certificate of conflict.
                let mut multipliers = Multipliers::default();
                if enter < self.limits {
                    multipliers.push(enter, 1.0);
                }
                for i in 0..n {
                    if basis[i] < self.limits {
                        multipliers.push(basis[i], -self.tableau[i][enter]);
                    }
                }
                return Outcome::Conflict { multipliers };
            };
            let shrink = 1.0 / self.tableau[leave][enter];
            right[leave] *= shrink;
            let amount = right[leave];
            let (above, rest) = self.tableau.split_at_mut(leave);
            let Some((row, below)) = rest.split_first_mut() else {
                return Outcome::Unsettled;
            };
            let row = &mut row[..columns];
            row.iter_mut().for_each(|cell| *cell *= shrink);
            let others = above.iter_mut().chain(below);
            let rights = (0..n).filter(|&i| i != leave);
            for (other, i) in others.zip(rights) {
                let factor = other[enter];
                if factor != 0.0 {
                    subtract(&mut other[..columns], factor, row);
                    right[i] = (right[i] - factor * amount).max(0.0);
                }
            }
            let factor = gain[enter];
            subtract(&mut gain[..columns], factor, row);
            value += factor * amount;
            basis[leave] = enter;
            if value >= interest {
                return Outcome::Above {
                    multipliers: self.multipliers(&basis, &right),
                };
            }
        }
        Outcome::Unsettled
    }

    fn unknowns(&self) -> usize {
        self.factors.len()
    }

    /// Brings every unknown but the last to a largest factor of one.
    fn scales(&mut self) -> [f64; UNKNOWNS] {
        let mut scale = [1.0; UNKNOWNS];
        let last = self.unknowns() - 1;
        for (n, factors) in self.factors.iter().enumerate() {
            let most = factors[..self.limits]
                .iter()
                .fold(0.0f64, |most, f| most.max(f.abs()));
            self.largest[n] = most;
            if n < last && most > 0.0 {
                scale[n] = 1.0 / most;
            }
        }
        scale
    }

    fn multipliers(&self, basis: &[usize; UNKNOWNS], right: &[f64; UNKNOWNS]) -> Multipliers {
        let mut multipliers = Multipliers::default();
        for i in 0..self.unknowns() {
            if basis[i] < self.limits {
                multipliers.push(basis[i], right[i]);
            }
        }
        multipliers
    }

    fn optimum(
        &self,
        value: f64,
        gain: &Wide,
        basis: &[usize; UNKNOWNS],
        right: &[f64; UNKNOWNS],
        scale: &[f64; UNKNOWNS],
    ) -> Outcome {
        let mut at = [0.0; UNKNOWNS];
        for (i, unknown) in at.iter_mut().enumerate().take(self.unknowns()) {
            *unknown = (-gain[self.limits + i]).max(0.0) * scale[i];
        }
        Outcome::Optimum {
            least: value.max(0.0),
            at,
            multipliers: self.multipliers(basis, right),
        }
    }

    /// Whether an outcome holds in the limits as given, rounding aside.
    fn stands(&self, outcome: &Outcome, interest: f64) -> bool {
        match outcome {
            Outcome::Optimum {
                least,
                at,
                multipliers,
            } => {
                let (value, terms) = self.proven(multipliers);
                let close = (value.max(0.0) - least).abs() <= ROUNDING * (1.0 + terms);
                close && self.within(at) && self.priced(multipliers, 1.0)
            }
            Outcome::Above { multipliers } => {
                let (value, terms) = self.proven(multipliers);
                value >= interest - ROUNDING * (1.0 + terms) && self.priced(multipliers, 1.0)
            }
            Outcome::Conflict { multipliers } => {
                let (value, terms) = self.proven(multipliers);
                value > ROUNDING * terms && self.priced(multipliers, 0.0)
            }
            Outcome::Unsettled => false,
        }
    }

    /// The bounds weighed by the multipliers, and the size of the terms.
    fn proven(&self, multipliers: &Multipliers) -> (f64, f64) {
        multipliers
            .iter()
            .map(|(limit, m)| m * self.bounds[limit])
            .fold((0.0, 0.0), |(sum, size), term| {
                (sum + term, size + term.abs())
            })
    }

    /// Whether the multipliers ask of no unknown more than it costs: nothing, and `last` for the last.
    fn priced(&self, multipliers: &Multipliers, last: f64) -> bool {
        let all: f64 = multipliers.iter().map(|(_, m)| m).sum();
        self.factors.iter().enumerate().all(|(i, factors)| {
            let cost = if i + 1 == self.unknowns() { last } else { 0.0 };
            let sum: f64 = multipliers
                .iter()
                .map(|(limit, m)| m * factors[limit])
                .sum();
            sum <= cost + ROUNDING * (cost + all * self.largest[i])
        })
    }

    /// Whether a point satisfies every limit.
    fn within(&self, at: &[f64; UNKNOWNS]) -> bool {
        (0..self.limits).all(|limit| {
            let (sum, size) = self
                .factors
                .iter()
                .zip(at)
                .fold((0.0, 0.0), |(sum, size), (f, x)| {
                    (sum + f[limit] * x, size + (f[limit] * x).abs())
                });
            let bound = self.bounds[limit];
            sum >= bound - ROUNDING * (1.0 + size + bound.abs())
        })
    }
}

/// Takes a multiple of one row from another.
fn subtract(cells: &mut [f64], factor: f64, row: &[f64]) {
    for (cell, pivot) in cells.iter_mut().zip(row) {
        *cell -= factor * pivot;
    }
}

fn entering(gain: &[f64], first: bool) -> Option<usize> {
    if first {
        return gain.iter().position(|g| *g > CLOSE);
    }
    let mut best = (CLOSE, None);
    for (j, &g) in gain.iter().enumerate() {
        if g > best.0 {
            best = (g, Some(j));
        }
    }
    best.1
}

fn leaving(
    tableau: &[Wide],
    right: &[f64; UNKNOWNS],
    basis: &[usize; UNKNOWNS],
    enter: usize,
) -> Option<usize> {
    let mut best: Option<(f64, usize)> = None;
    for (i, row) in tableau.iter().enumerate() {
        if row[enter] > CLOSE {
            let ratio = right[i] / row[enter];
            let better = best.is_none_or(|(r, b)| {
                ratio < r - CLOSE || (ratio < r + CLOSE && basis[i] < basis[b])
            });
            if better {
                best = Some((ratio, i));
            }
        }
    }
    best.map(|(_, i)| i)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(values: &[f64]) -> [f64; UNKNOWNS] {
        let mut row = [0.0; UNKNOWNS];
        row[..values.len()].copy_from_slice(values);
        row
    }

    #[test]
    fn the_nearest_point_to_two_limits_lies_half_way() {
        // Find x >= 0 with x as near to 1 and to 3 as possible: x = 2, miss 1 (by hand).
        let mut program = Program::new(2);
        for target in [1.0, 3.0] {
            program.at_least(row(&[1.0, 1.0]), target);
            program.at_most(row(&[1.0, -1.0]), target);
        }
        let Outcome::Optimum {
            least,
            at,
            multipliers,
        } = program.solve()
        else {
            panic!("it has an optimum")
        };
        assert!((least - 1.0).abs() < 1e-9 && (at[0] - 2.0).abs() < 1e-9);
        assert_eq!(multipliers.iter().filter(|(_, m)| *m > 1e-9).count(), 2);
    }

    #[test]
    fn limits_that_contradict_each_other_are_named() {
        let mut program = Program::new(2);
        program.at_most(row(&[1.0]), 5.0);
        program.at_least(row(&[1.0]), 3.0);
        program.at_most(row(&[1.0]), 2.0);
        let Outcome::Conflict { multipliers } = program.solve() else {
            panic!("3 <= x <= 2 has no solution")
        };
        let mut named: Vec<usize> = multipliers.iter().map(|(limit, _)| limit).collect();
        named.sort_unstable();
        assert_eq!(named, [1, 2]);
    }

    #[test]
    fn numbers_of_very_different_size_do_not_mislead() {
        // 600 x + y = 12 within 0.6, x + y = 3 within 1: exact at x = 9/599, y = 3 - 9/599 (by hand).
        let mut program = Program::new(3);
        for (factors, aim, scale) in [([600.0, 1.0], 12.0, 0.6), ([1.0, 1.0], 3.0, 1.0)] {
            let one = factors.map(|f| f / scale);
            program.at_least(row(&[one[0], one[1], 1.0]), aim / scale);
            program.at_most(row(&[one[0], one[1], -1.0]), aim / scale);
        }
        let Outcome::Optimum { least, at, .. } = program.solve() else {
            panic!("it has an optimum")
        };
        assert!(least < 1e-9 && (at[0] - 9.0 / 599.0).abs() < 1e-9);
    }

    #[test]
    fn a_value_of_no_interest_is_not_solved_to_the_end() {
        let mut program = Program::new(2);
        for target in [1.0, 3.0] {
            program.at_least(row(&[1.0, 1.0]), target);
            program.at_most(row(&[1.0, -1.0]), target);
        }
        assert!(matches!(program.solve_below(0.5), Outcome::Above { .. }));
        assert!(matches!(program.solve_below(1.5), Outcome::Optimum { .. }));
    }
}
