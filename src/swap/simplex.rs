//! A small exact linear program: few unknowns, many one-sided limits.
//!
//! Knows nothing of food. The dual is solved by the primal simplex method from the identity
//! basis that the sign limits give, so there is no first phase; the multipliers that come out
//! say which limits bind, and when nothing satisfies them all, which limits conflict.

/// Unknowns a program may have.
pub const UNKNOWNS: usize = 6;
/// Limits a program may have beside the sign limits.
pub const LIMITS: usize = 72;

/// Numbers closer than this count as equal.
const CLOSE: f64 = 1e-10;
/// Pivots after which the rule that cannot cycle (Bland's) takes over.
const GREEDY_PIVOTS: usize = 60;
/// Pivots after which numerical trouble is assumed; none of the tests comes near.
const MOST_PIVOTS: usize = 2_000;

/// Minimise the last unknown subject to `row . x >= bound` and `x >= 0`.
#[derive(Clone)]
pub struct Program {
    unknowns: usize,
    rows: [[f64; UNKNOWNS]; LIMITS],
    bounds: [f64; LIMITS],
    limits: usize,
}

/// What a program came to.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// The least value, where it is reached, and the multiplier of every limit in the order added.
    Optimum {
        /// Value of the last unknown.
        least: f64,
        /// All unknowns.
        at: [f64; UNKNOWNS],
        /// One multiplier per limit; those above zero bind.
        multipliers: Vec<f64>,
    },
    /// No point satisfies all limits; the multipliers above zero name limits that conflict.
    Conflict {
        /// One multiplier per limit.
        multipliers: Vec<f64>,
    },
}

impl Program {
    /// A program of `unknowns` unknowns, the last of which is minimised.
    pub fn new(unknowns: usize) -> Self {
        debug_assert!((1..=UNKNOWNS).contains(&unknowns));
        Program {
            unknowns,
            rows: [[0.0; UNKNOWNS]; LIMITS],
            bounds: [0.0; LIMITS],
            limits: 0,
        }
    }

    /// Adds `row . x >= bound`.
    pub fn at_least(&mut self, row: [f64; UNKNOWNS], bound: f64) {
        debug_assert!(self.limits < LIMITS);
        self.rows[self.limits] = row;
        self.bounds[self.limits] = bound;
        self.limits += 1;
    }

    /// Adds `row . x <= bound`.
    pub fn at_most(&mut self, row: [f64; UNKNOWNS], bound: f64) {
        self.at_least(row.map(|a| -a), -bound);
    }

    /// Solves it.
    pub fn solve(&self) -> Outcome {
        let n = self.unknowns;
        let columns = self.limits + n;
        // Columns of the dual: one per limit, then one per sign limit (the starting basis).
        let mut tableau = [[0.0; LIMITS + UNKNOWNS]; UNKNOWNS];
        let mut gain = [0.0; LIMITS + UNKNOWNS];
        let mut right = [0.0; UNKNOWNS];
        let mut basis = [0usize; UNKNOWNS];
        for i in 0..n {
            for j in 0..self.limits {
                tableau[i][j] = self.rows[j][i];
            }
            tableau[i][self.limits + i] = 1.0;
            basis[i] = self.limits + i;
        }
        right[n - 1] = 1.0;
        gain[..self.limits].copy_from_slice(&self.bounds[..self.limits]);
        let mut value = 0.0;
        for pivots in 0..MOST_PIVOTS {
            let Some(enter) = entering(&gain[..columns], pivots >= GREEDY_PIVOTS) else {
                return self.optimum(value, &gain, &basis, &right);
            };
            let Some(leave) = leaving(&tableau, &right, &basis, enter, n) else {
                // The dual grows without bound along this column: a certificate of conflict.
                let mut multipliers = vec![0.0; self.limits];
                if enter < self.limits {
                    multipliers[enter] = 1.0;
                }
                for i in 0..n {
                    if basis[i] < self.limits {
                        multipliers[basis[i]] = -tableau[i][enter];
                    }
                }
                return Outcome::Conflict { multipliers };
            };
            let scale = 1.0 / tableau[leave][enter];
            for cell in &mut tableau[leave][..columns] {
                *cell *= scale;
            }
            right[leave] *= scale;
            let (row, amount) = (tableau[leave], right[leave]);
            for i in (0..n).filter(|&i| i != leave) {
                let factor = tableau[i][enter];
                if factor != 0.0 {
                    for (cell, pivot) in tableau[i][..columns].iter_mut().zip(&row[..columns]) {
                        *cell -= factor * pivot;
                    }
                    right[i] = (right[i] - factor * amount).max(0.0);
                }
            }
            let factor = gain[enter];
            for (cell, pivot) in gain[..columns].iter_mut().zip(&row[..columns]) {
                *cell -= factor * pivot;
            }
            value += factor * amount;
            basis[leave] = enter;
        }
        Outcome::Conflict {
            multipliers: vec![0.0; self.limits],
        }
    }

    fn optimum(
        &self,
        value: f64,
        gain: &[f64],
        basis: &[usize; UNKNOWNS],
        right: &[f64; UNKNOWNS],
    ) -> Outcome {
        let mut at = [0.0; UNKNOWNS];
        for (i, unknown) in at.iter_mut().enumerate().take(self.unknowns) {
            *unknown = (-gain[self.limits + i]).max(0.0);
        }
        let mut multipliers = vec![0.0; self.limits];
        for i in 0..self.unknowns {
            if basis[i] < self.limits {
                multipliers[basis[i]] = right[i];
            }
        }
        Outcome::Optimum {
            least: value.max(0.0),
            at,
            multipliers,
        }
    }
}

fn entering(gain: &[f64], first: bool) -> Option<usize> {
    let mut candidates = gain.iter().enumerate().filter(|(_, g)| **g > CLOSE);
    if first {
        candidates.next().map(|(j, _)| j)
    } else {
        candidates
            .max_by(|a, b| a.1.total_cmp(b.1).then(b.0.cmp(&a.0)))
            .map(|(j, _)| j)
    }
}

fn leaving(
    tableau: &[[f64; LIMITS + UNKNOWNS]; UNKNOWNS],
    right: &[f64; UNKNOWNS],
    basis: &[usize; UNKNOWNS],
    enter: usize,
    n: usize,
) -> Option<usize> {
    let mut best: Option<(f64, usize)> = None;
    for i in 0..n {
        if tableau[i][enter] > CLOSE {
            let ratio = right[i] / tableau[i][enter];
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
        assert_eq!(multipliers.iter().filter(|m| **m > 1e-9).count(), 2);
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
        assert_eq!(
            multipliers.iter().map(|m| *m > 1e-9).collect::<Vec<_>>(),
            [false, true, true]
        );
    }
}
