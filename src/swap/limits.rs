//! What a wish asks of a batch, as rows a linear program understands.
//!
//! Every soft aim is two limits that the miss may stretch (`factor` of the figure plus the miss is
//! at least `right`, in units of the dial's scale), every floor or ceiling one that it may not.

use super::frame::{Frame, Row};
use super::search::Free;
use super::simplex::{Multipliers, Program, UNKNOWNS};
use super::target::Target;

/// Share of a dial's scale by which a hard limit may be overstepped: the rounding that
/// [`Target::miss`] forgives.
const FORGIVEN: f64 = 0.02;

/// One limit: `factor * figure + miss * m >= right`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Limit {
    dial: usize,
    factor: f64,
    /// 1 where the miss stretches it, 0 where nothing does.
    pub miss: f64,
    right: f64,
}

/// All limits of a wish on one batch.
pub(super) struct Limits {
    pub list: Vec<Limit>,
}

/// What a gram of one ingredient adds to every limit.
pub(super) struct Column {
    pub per_gram: Vec<f64>,
    pub least: f64,
    pub most: f64,
}

impl Limits {
    /// The limits of `targets`; hard ones are widened by `give`, one number per dial.
    pub fn new(targets: &[Target], give: &Row) -> Self {
        let mut list = vec![];
        for (dial, t) in targets.iter().enumerate() {
            let mut push = |factor: f64, miss: f64, right: f64| {
                list.push(Limit {
                    dial,
                    factor,
                    miss,
                    right: right * factor,
                });
            };
            for (factor, scale) in [(1.0, t.below), (-1.0, t.above)] {
                if scale.is_finite() {
                    push(factor / scale, 1.0, t.aim);
                }
            }
            let scale = t.below.min(t.above);
            if t.floor.is_finite() {
                push(1.0 / scale, 0.0, t.floor - give[dial]);
            }
            if t.ceiling.is_finite() {
                push(-1.0 / scale, 0.0, t.ceiling + give[dial]);
            }
        }
        Limits { list }
    }

    /// How far hard limits are widened in a search: by what the lines may stray and the rounding forgiven.
    pub fn give(targets: &[Target], margin: &Row) -> Row {
        let mut give = *margin;
        for (give, t) in give.iter_mut().zip(targets) {
            *give += FORGIVEN * t.below.min(t.above);
        }
        give
    }

    /// What a gram of an ingredient adds to every limit.
    pub fn column(&self, free: &Free) -> Column {
        Column {
            per_gram: self
                .list
                .iter()
                .map(|limit| limit.factor * free.row[limit.dial])
                .collect(),
            least: free.least,
            most: free.most,
        }
    }

    /// What each limit still asks when the fixed part of the batch gives these figures.
    pub fn asked(&self, figures: &Row) -> Vec<f64> {
        self.list
            .iter()
            .map(|limit| limit.right - limit.factor * figures[limit.dial])
            .collect()
    }

    /// The dials, by their place among the targets, of the soft limits that multipliers name.
    pub fn stretched(&self, multipliers: &Multipliers) -> Vec<usize> {
        let limits = multipliers.iter().filter_map(|(n, _)| self.list.get(n));
        limits.filter(|l| l.miss > 0.0).map(|l| l.dial).collect()
    }

    /// The place, in a written program, of the limit on the grams of all but the first together.
    pub fn together(&self) -> usize {
        self.list.len()
    }

    /// Writes the program of one set. The first free ingredient takes what the others leave, so the
    /// unknowns are the grams of the others above their least, and last the miss. False when their
    /// least doses alone exceed the grams there are.
    pub fn write(
        &self,
        program: &mut Program,
        asked: &[f64],
        total: f64,
        free: &[&Column],
        scratch: &mut Vec<f64>,
    ) -> bool {
        let (first, others) = (free[0], &free[1..]);
        let miss = others.len();
        let spare = total - others.iter().map(|f| f.least).sum::<f64>();
        if spare < first.least || others.iter().any(|f| f.most < f.least) {
            return false;
        }
        program.clear(miss + 1);
        // Others' gain over the first, limit by limit, then the miss; and what is left to ask.
        scratch.clear();
        scratch.extend(
            asked
                .iter()
                .zip(&first.per_gram)
                .map(|(a, f)| a - f * spare),
        );
        let rows = self.list.len();
        for other in others {
            for (bound, per_gram) in scratch[..rows].iter_mut().zip(&other.per_gram) {
                *bound -= per_gram * other.least;
            }
            scratch.extend(
                other
                    .per_gram
                    .iter()
                    .zip(&first.per_gram)
                    .map(|(o, f)| o - f),
            );
        }
        scratch.extend(self.list.iter().map(|limit| limit.miss));
        let (bounds, columns) = scratch.split_at(rows);
        program.columns(bounds.iter().copied(), columns.chunks(rows.max(1)));
        let mut together = [0.0; UNKNOWNS];
        together[..miss].fill(1.0);
        program.at_most(together, spare - first.least);
        if first.most < total {
            program.at_least(together, spare - first.most);
        }
        for (n, f) in others.iter().enumerate() {
            if f.most < total {
                let mut row = [0.0; UNKNOWNS];
                row[n] = 1.0;
                program.at_most(row, f.most - f.least);
            }
        }
        true
    }
}

/// The linear program of one set whose fixed part gives the lines `fixed`, and the limits it is
/// written from; `None` where its least doses do not fit or it has too many free ingredients.
pub(super) fn program(
    frame: &Frame,
    fixed: &Row,
    total: f64,
    free: &[&Free],
) -> Option<(Program, Limits)> {
    let limits = Limits::new(&frame.targets, &[0.0; super::frame::DIALS]);
    let columns: Vec<Column> = free.iter().map(|f| limits.column(f)).collect();
    let columns: Vec<&Column> = columns.iter().collect();
    if free.len() > UNKNOWNS {
        return None;
    }
    let mut program = Program::new(1);
    let asked = limits.asked(&frame.figures(fixed));
    limits
        .write(&mut program, &asked, total, &columns, &mut vec![])
        .then_some((program, limits))
}

/// Grams of every free ingredient at a solution, from the grams of all but the first above their least.
pub(super) fn grams(
    least: impl Iterator<Item = f64>,
    total: f64,
    at: &[f64; UNKNOWNS],
) -> Vec<f64> {
    let mut grams = vec![0.0];
    grams.extend(least.skip(1).zip(at).map(|(least, x)| least + x));
    grams[0] = (total - grams[1..].iter().sum::<f64>()).max(0.0);
    grams
}
