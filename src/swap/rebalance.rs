//! Back to its marks: the smallest edits of a formula's own lines after an addition, or to new marks.

use super::confidence::confidence;
use super::frame::Frame;
use super::refine::{Set, Settled, settle};
use super::search::Free;
use super::target::{Target, feels, targets};
use crate::formula::{Assessor, Formula, State};
use crate::model::{IngredientKey, Wish};

/// Lines edited at once at most, beside the balancing one.
const EDITED: usize = 4;
/// Options shown.
const SHOWN: usize = 3;

/// One way back to the marks.
#[derive(Debug, Clone, PartialEq)]
pub struct Edit {
    /// What changes, g: positive is more.
    pub changes: Vec<(IngredientKey, f64)>,
    /// The formula after.
    pub formula: Formula,
    /// Its state.
    pub state: State,
    /// Largest miss: 1 is the edge of the tolerances.
    pub miss: f64,
    /// Share of seeded draws in which the marks hold.
    pub confidence: f64,
}

/// What a rebalance came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Rebalanced {
    /// The state whose marks are held.
    pub before: State,
    /// With the addition and nothing else done, at the same batch weight.
    pub unbalanced: State,
    /// The marks.
    pub targets: Vec<Target>,
    /// The edits, smallest first; the last is the closest.
    pub edits: Vec<Edit>,
    /// Whether the best of them keeps every mark.
    pub kept: bool,
    /// Sets of lines examined.
    pub examined: u64,
}

/// Edits `formula` after `added` came in so that the marks of `wish` (or its own, as they were)
/// hold again at the same batch weight. `helpers` may come in though the formula lacks them.
pub fn rebalance(
    assessor: Assessor<'_>,
    formula: &Formula,
    added: &[(IngredientKey, f64)],
    wish: &Wish,
    balance: IngredientKey,
    helpers: &[IngredientKey],
) -> Rebalanced {
    let merged = formula.merged();
    let before = assessor.state(&merged);
    let batch = merged.grams();
    let feels = feels(assessor.catalogue);
    let (targets, _) = targets(wish, &before, &feels);
    let frame = Frame::new(&targets, &before);
    let mut with = merged.clone();
    added.iter().for_each(|(key, grams)| with.add(*key, *grams));
    let crowded = with.scaled(batch / with.grams().max(1e-9));
    let lines: Vec<IngredientKey> = editable(&with, added, balance)
        .into_iter()
        .chain(helpers.iter().copied())
        .collect();
    let mut settled: Vec<(Vec<IngredientKey>, Settled)> = vec![];
    let mut examined = 0;
    for size in 0..=EDITED.min(lines.len()) {
        let mut combination = Combination::new(lines.len(), size);
        while let Some(chosen) = combination.next() {
            examined += 1;
            let keys: Vec<IngredientKey> = chosen.iter().map(|&n| lines[n]).collect();
            if let Some(s) = edited(assessor, &frame, &with, batch, balance, &keys) {
                settled.push((keys, s));
            }
        }
        // Every larger set holds a smaller one; stop when the smaller already keeps every mark well.
        if settled.iter().filter(|(_, s)| s.miss <= 0.7).count() >= SHOWN {
            break;
        }
    }
    settled.sort_by(|a, b| {
        rank(a)
            .partial_cmp(&rank(b))
            .unwrap_or(std::cmp::Ordering::Equal)
            .then_with(|| a.0.cmp(&b.0))
    });
    let mut edits: Vec<Edit> = vec![];
    for (_, s) in &settled {
        let edit = edit(assessor, &merged, added, s, &targets, &feels);
        let same = |other: &Edit| {
            other
                .changes
                .iter()
                .map(|c| c.0)
                .eq(edit.changes.iter().map(|c| c.0))
        };
        if !edits.iter().any(same) {
            edits.push(edit);
        }
        if edits.len() == SHOWN {
            break;
        }
    }
    let kept = edits.iter().any(|e| e.miss <= 1.0);
    Rebalanced {
        before,
        unbalanced: assessor.state(&crowded),
        targets,
        edits,
        kept,
        examined,
    }
}

/// Kept marks first, then fewer edits, then the smaller miss; among misses the smallest.
fn rank((keys, s): &(Vec<IngredientKey>, Settled)) -> (u8, usize, f64) {
    if s.miss <= 1.0 {
        (0, keys.len(), s.miss)
    } else {
        (1, 0, s.miss)
    }
}

/// Lines that may be edited: not what was added, and not the balancing one, which always is.
fn editable(
    with: &Formula,
    added: &[(IngredientKey, f64)],
    balance: IngredientKey,
) -> Vec<IngredientKey> {
    with.lines
        .iter()
        .map(|l| l.key)
        .filter(|key| *key != balance && !added.iter().any(|(a, _)| a == key))
        .collect()
}

fn edited(
    assessor: Assessor<'_>,
    frame: &Frame,
    with: &Formula,
    batch: f64,
    balance: IngredientKey,
    keys: &[IngredientKey],
) -> Option<Settled> {
    let mut fixed = with.clone();
    for key in keys.iter().chain([&balance]) {
        let grams = fixed.grams_of(*key);
        fixed.add(*key, -grams);
    }
    let grams = batch - fixed.grams();
    if grams < 0.0 {
        return None;
    }
    let free = |key: IngredientKey| {
        (
            key,
            Free {
                row: frame.row(&assessor.profile(key).sums),
                least: 0.0,
                most: f64::INFINITY,
                weight: 0,
            },
        )
    };
    let set = Set {
        fixed_row: frame.row(&assessor.sums(&fixed)),
        fixed: &fixed,
        grams,
        free: [balance].iter().chain(keys).map(|k| free(*k)).collect(),
    };
    settle(assessor, frame, &set)
}

fn edit(
    assessor: Assessor<'_>,
    before: &Formula,
    added: &[(IngredientKey, f64)],
    s: &Settled,
    targets: &[Target],
    feels: &std::collections::BTreeMap<crate::model::Dial, super::target::Feel>,
) -> Edit {
    let mut keys: Vec<IngredientKey> = before
        .lines
        .iter()
        .chain(&s.formula.lines)
        .map(|l| l.key)
        .collect();
    keys.sort_unstable();
    keys.dedup();
    let change = |key: IngredientKey| {
        let extra: f64 = added
            .iter()
            .filter(|(a, _)| *a == key)
            .map(|(_, g)| g)
            .sum();
        (key, s.formula.grams_of(key) - before.grams_of(key) - extra)
    };
    let mut changes: Vec<(IngredientKey, f64)> = keys
        .into_iter()
        .map(change)
        .filter(|(_, g)| g.abs() >= 0.005)
        .collect();
    changes.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
    Edit {
        confidence: confidence(assessor, before, &s.formula, targets, feels),
        changes,
        formula: s.formula.clone(),
        state: s.state.clone(),
        miss: s.miss,
    }
}

/// Every choice of `k` of `n`, in order.
struct Combination {
    n: usize,
    chosen: Option<Vec<usize>>,
}

impl Combination {
    fn new(n: usize, k: usize) -> Self {
        Combination {
            n,
            chosen: (k <= n).then(|| (0..k).collect()),
        }
    }

    fn next(&mut self) -> Option<Vec<usize>> {
        let now = self.chosen.clone()?;
        let k = now.len();
        let mut next = now.clone();
        self.chosen = (0..k).rev().find(|&i| next[i] < self.n - k + i).map(|i| {
            next[i] += 1;
            for j in i + 1..k {
                next[j] = next[j - 1] + 1;
            }
            next
        });
        Some(now)
    }
}
