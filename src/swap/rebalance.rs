//! Back to its marks: the smallest edits of a formula's own lines after an addition, or to new marks.
//!
//! What an addition brings for good cannot be taken out again. A mark nobody asked for that no edit
//! can hold is held as near as it will go: of the edits that miss least, the dials that pull against
//! each other at that miss are given the room they take, and the others are held again, until all
//! are. So no dial strays further for another's sake than it must.

use rayon::prelude::*;

use super::candidate::limit;
use super::confidence::confidence;
use super::frame::Frame;
use super::refine::{Set, Settled, settle};
use super::search::Free;
use super::target::{Target, feels, targets};
use crate::formula::{Assessor, Formula, Part, State};
use crate::model::{Dial, IngredientKey, Wish};

/// Lines edited at once at most, beside the balancing one.
const EDITED: usize = 4;
/// Options shown.
const SHOWN: usize = 3;

/// How much further than it must a dial may stray that cannot be held, so that fewer edits may do.
const LEEWAY: f64 = 1.1;

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
    /// Marks nobody asked for that no edit holds: they are only as near as they will go.
    pub strained: Vec<Dial>,
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
    let mut feels = feels(assessor.catalogue, &before);
    for feel in feels.values_mut() {
        feel.guard = feel.guard_edited;
    }
    let (mut targets, _) = targets(wish, &before, &feels);
    let mut with = merged.clone();
    added.iter().for_each(|(key, grams)| with.add(*key, *grams));
    let crowded = with.scaled(batch / with.grams().max(1e-9));
    let lines = [editable(assessor, &with, added, balance), helpers.to_vec()].concat();
    let ground = Ground {
        assessor,
        with: &with,
        batch,
        balance,
        lines: &lines,
    };
    let (mut settled, mut examined) = ground.settled(&Frame::new(&targets, &before));
    let marks = targets.clone();
    let mut strained: Vec<Dial> = vec![];
    // Every round gives room to one dial at least, so there are no more than dials and sides.
    for _ in 0..2 * targets.len() {
        let given = match settled.first() {
            Some((_, nearest)) if nearest.miss > 1.0 => room(&mut targets, nearest),
            _ => vec![],
        };
        if given.is_empty() {
            break;
        }
        strained.extend(
            given
                .iter()
                .filter(|d| !strained.contains(d))
                .copied()
                .collect::<Vec<_>>(),
        );
        let (again, more) = ground.settled(&Frame::new(&targets, &before));
        (settled, examined) = (again, examined + more);
    }
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
    // Some were given room that the nearest edit does not need in the end.
    if let Some(nearest) = edits.first() {
        strained.retain(|dial| {
            let mark = marks.iter().find(|t| t.dial == *dial);
            mark.zip(nearest.state.dial(*dial))
                .is_some_and(|(t, figure)| t.miss(figure) > 1.0)
        });
    }
    Rebalanced {
        unbalanced: assessor.state(&crowded),
        before,
        targets,
        edits,
        strained,
        examined,
    }
}

/// Gives the dials that stretch the nearest miss the room they take, those that were asked for aside; which.
fn room(targets: &mut [Target], nearest: &Settled) -> Vec<Dial> {
    let mut given = vec![];
    for t in targets.iter_mut() {
        let Some(figure) = nearest.state.dial(t.dial) else {
            continue;
        };
        if t.asked || !nearest.stretched.contains(&t.dial) {
            continue;
        }
        let side = if figure < t.aim {
            &mut t.below
        } else {
            &mut t.above
        };
        let taken = (figure - t.aim).abs() * LEEWAY;
        if taken > *side {
            *side = taken;
            given.push(t.dial);
        }
    }
    given
}

/// The formula whose lines are edited, and which of them may be.
struct Ground<'a> {
    assessor: Assessor<'a>,
    with: &'a Formula,
    batch: f64,
    balance: IngredientKey,
    lines: &'a [IngredientKey],
}

impl Ground<'_> {
    /// Every set of lines settled, best first, and how many were examined.
    fn settled(&self, frame: &Frame) -> (Vec<(Vec<IngredientKey>, Settled)>, u64) {
        let mut settled: Vec<(Vec<IngredientKey>, Settled)> = vec![];
        let mut examined = 0;
        for size in 0..=EDITED.min(self.lines.len()) {
            let sets: Vec<Vec<IngredientKey>> = Combination::new(self.lines.len(), size)
                .map(|chosen| chosen.iter().map(|&n| self.lines[n]).collect())
                .collect();
            examined += sets.len() as u64;
            // Each set on its own, so in parallel; their order is kept.
            settled.par_extend(
                sets.into_par_iter()
                    .filter_map(|keys| Some((keys.clone(), self.edited(frame, &keys)?))),
            );
            // Larger sets cost more edits; stop when smaller ones keep every mark well.
            if settled.iter().filter(|(_, s)| s.miss <= 0.7).count() >= SHOWN {
                break;
            }
        }
        settled.sort_by(|a, b| {
            let by_rank = rank(a)
                .partial_cmp(&rank(b))
                .unwrap_or(std::cmp::Ordering::Equal);
            by_rank.then_with(|| a.0.cmp(&b.0))
        });
        (settled, examined)
    }

    fn edited(&self, frame: &Frame, keys: &[IngredientKey]) -> Option<Settled> {
        let mut fixed = self.with.clone();
        for key in keys.iter().chain([&self.balance]) {
            let grams = fixed.grams_of(*key);
            fixed.add(*key, -grams);
        }
        let grams = self.batch - fixed.grams();
        if grams < 0.0 {
            return None;
        }
        let free = |key: IngredientKey| {
            let row = frame.row(&self.assessor.profile(key).sums);
            // What the formula holds already is no reason to refuse it.
            let (usual, _) = limit(self.assessor.catalogue.ingredient(key), self.batch);
            (
                key,
                Free {
                    row,
                    least: 0.0,
                    most: usual.max(self.with.grams_of(key)),
                    weight: 0,
                },
            )
        };
        let set = Set {
            fixed_row: frame.row(&self.assessor.sums(&fixed)),
            fixed: &fixed,
            grams,
            free: [self.balance]
                .iter()
                .chain(keys)
                .map(|k| free(*k))
                .collect(),
        };
        settle(self.assessor, frame, &set)
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

/// Jobs whose lines are edited: what sweetens, gives body, fat, milk solids or wets. Flavours, gums,
/// emulsifiers, acids and salts stay as they are, gums only as long as the addition brings none.
const EDITABLE: [&str; 7] = [
    "sweetener",
    "bulking agent",
    "freezing point depressant",
    "fat source",
    "milk solids source",
    "protein source",
    "liquid",
];

/// Lines that may be edited: not what was added, and not the balancing one, which always is.
fn editable(
    assessor: Assessor<'_>,
    with: &Formula,
    added: &[(IngredientKey, f64)],
    balance: IngredientKey,
) -> Vec<IngredientKey> {
    let brings_gum = added
        .iter()
        .any(|(k, _)| assessor.profile(*k).number(Part::StabiliserContent) > 0.0);
    let wanted = |key: &IngredientKey| {
        let ingredient = assessor.catalogue.ingredient(*key);
        let job = ingredient.functions.first().map_or("", String::as_str);
        let gum = matches!(ingredient.family.as_str(), "stabiliser" | "gelling-agent");
        let acid = ingredient.does("acidity regulator");
        (EDITABLE.contains(&job) && !acid) || (gum && brings_gum)
    };
    let lines = with.lines.iter().map(|l| l.key);
    lines
        .filter(|key| *key != balance && !added.iter().any(|(a, _)| a == key) && wanted(key))
        .collect()
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
}

impl Iterator for Combination {
    type Item = Vec<usize>;

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
