//! A set's best grams by the full model, then grams a scale can show.

use super::frame::{DIALS, Frame, Row};
use super::limits::{grams, program};
use super::search::Free;
use super::simplex::Outcome;
use crate::formula::{Assessor, Formula, State, weighed};
use crate::model::{Dial, IngredientKey};

/// Corrections of the lines by the full model; two are enough, the rest is for odd mixes.
const CORRECTIONS: usize = 5;

/// What is free in one set, and what is not.
pub struct Set<'a> {
    /// Everything that is not free.
    pub fixed: &'a Formula,
    /// What the fixed part gives each line.
    pub fixed_row: Row,
    /// Grams the free ingredients make up together.
    pub grams: f64,
    /// The free ingredients; the first takes what the others leave.
    pub free: Vec<(IngredientKey, Free)>,
}

/// A set with its grams settled.
#[derive(Debug, Clone, PartialEq)]
pub struct Settled {
    /// Grams of each free ingredient before rounding.
    pub dose: Vec<f64>,
    /// Its largest miss before rounding, which does not depend on the size of the batch.
    pub exact: f64,
    /// The dials that pull against each other at that miss.
    pub stretched: Vec<Dial>,
    /// The whole formula.
    pub formula: Formula,
    /// Its state.
    pub state: State,
    /// Its largest miss.
    pub miss: f64,
}

/// Grams that one correction led to.
struct Tried {
    dose: Vec<f64>,
    /// Whether they overstep a hard limit, which counts first, and the largest miss.
    miss: (bool, f64),
    stretched: Vec<Dial>,
}

/// Finds the grams of least miss by the full model; `None` when hard limits forbid the set.
pub fn settle(assessor: Assessor<'_>, frame: &Frame, set: &Set<'_>) -> Option<Settled> {
    let free: Vec<&Free> = set.free.iter().map(|(_, f)| f).collect();
    let fixed_sums = assessor.sums(set.fixed);
    let mut correction = [0.0; DIALS];
    let mut best: Option<Tried> = None;
    for _ in 0..CORRECTIONS {
        let mut start = set.fixed_row;
        for (s, c) in start.iter_mut().zip(correction) {
            *s += c;
        }
        let (mut program, limits) = program(frame, &start, set.grams, &free)?;
        let Outcome::Optimum {
            at, multipliers, ..
        } = program.solve()
        else {
            break;
        };
        let dose = grams(free.iter().map(|f| f.least), set.grams, &at);
        let mut sums = fixed_sums;
        let mut row = set.fixed_row;
        for ((key, f), g) in set.free.iter().zip(&dose) {
            sums += assessor.profile(*key).sums * *g;
            for (cell, per_gram) in row.iter_mut().zip(f.row) {
                *cell += per_gram * g;
            }
        }
        let state = assessor.state_of(sums);
        let miss = (frame.breaks(&state), frame.miss(&state));
        let close = best
            .as_ref()
            .is_some_and(|b| b.miss.0 == miss.0 && (b.miss.1 - miss.1).abs() < 1e-4);
        if best.as_ref().is_none_or(|b| miss < b.miss) {
            let stretched = limits.stretched(&multipliers);
            let dials = stretched.iter().map(|&n| frame.targets[n].dial);
            best = Some(Tried {
                dose,
                miss,
                stretched: dials.collect(),
            });
        }
        if close {
            break;
        }
        let figures = frame.figures(&row);
        for (n, t) in frame.targets.iter().enumerate() {
            correction[n] = state.dial(t.dial)? - figures[n];
        }
    }
    let Tried {
        dose,
        miss: (_, exact),
        stretched,
    } = best?;
    let (formula, state) = rounded(assessor, set, &dose);
    let miss = frame.miss(&state);
    Some(Settled {
        dose,
        exact,
        stretched,
        formula,
        state,
        miss,
    })
}

/// The formula in grams that a scale shows, the first free ingredient taking up the rest, and its state.
fn rounded(assessor: Assessor<'_>, set: &Set<'_>, dose: &[f64]) -> (Formula, State) {
    let mut grams: Vec<f64> = dose
        .iter()
        .map(|g| weighed(*g).parse().unwrap_or(*g))
        .collect();
    let others: f64 = grams[1..].iter().sum();
    if others <= set.grams {
        grams[0] = ((set.grams - others) * 100.0).round() / 100.0;
    } else {
        grams = dose.to_vec();
    }
    let mut formula = set.fixed.clone();
    for ((key, _), g) in set.free.iter().zip(&grams) {
        formula.add(*key, *g);
    }
    let state = assessor.state(&formula);
    (formula, state)
}
