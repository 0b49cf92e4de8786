//! Back to its marks: the smallest edits of a formula's own lines after an addition, or to new marks.
//!
//! What an addition brings for good cannot be taken out again. Then as few marks as can be give way,
//! none that was asked for, and all others hold: what cannot be held at all, and of the rest the
//! smallest set that lets every other mark hold, the one that strays least. Those that give way are
//! held as near as they will go, the worst first: no dial strays further for another's sake than it must.

use rayon::prelude::*;

use super::candidate::limit;
use super::confidence::confidence;
use super::frame::Frame;
use super::refine::{Set, Settled, settle};
use super::search::Free;
use super::target::{STEPS_AIMED, Target, feels_in, targets};
use crate::condition::{Facts, Truth, judge};
use crate::formula::{Assessor, Dish, Formula, Part, State};
use crate::model::{Dial, DishKind, IngredientKey, Wish};

/// Lines edited at once at most, beside the balancing one.
const EDITED: usize = 4;
/// Options shown.
const SHOWN: usize = 3;
/// A line cut to less than this part of itself is as good as gone: another recipe.
/// Source: common-practice.
const LEFT: f64 = 0.4;
/// Share of the batch below which a line of bulk is not worth the weighing.
/// Source: common-practice.
const TRACE: f64 = 0.003;
/// Share of the batch below which what makes up a rest is hardly a line of it.
const NEXT_TO_NONE: f64 = 0.01;

/// By how many widths of their marks less must stray for the batch to grow.
const WORTH_GROWING: f64 = 0.5;

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
    /// With the addition and nothing else done.
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
/// hold again, at the same batch weight or, where that holds less, at one grown by what was added. `helpers` may come in though the formula lacks them.
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
    let mut feels = feels_in(assessor, formula, &before);
    for (dial, feel) in &mut feels {
        feel.guard = feel.guard_edited;
        // A cook who asks for less of something wants to taste it.
        let now = before.dial(*dial).unwrap_or(0.0).abs();
        feel.step = feel.step.max(feel.tasted * now / STEPS_AIMED);
    }
    let (marks, _) = targets(wish, &before, &feels);
    let mut with = merged.clone();
    added.iter().for_each(|(key, grams)| with.add(*key, *grams));
    let lines = [editable(assessor, &with, added, balance), helpers.to_vec()].concat();
    let frozen = Dish::of(assessor, &merged, &before).kind == DishKind::Frozen;
    let refused = |key: &IngredientKey| {
        let facts = Facts::of_newcomer(assessor.catalogue, assessor.catalogue.ingredient(*key));
        judge(&wish.newcomer, &facts) == Truth::No
    };
    let barred: Vec<IngredientKey> = lines.iter().copied().filter(refused).collect();
    let ground = |batch: f64| Ground {
        barred: &barred,
        assessor,
        with: &with,
        before: assessor.state(&merged.scaled(batch / merged.grams().max(1e-9))),
        balance,
        lines: &lines,
        added,
        frozen,
    };
    let mut nearest = ground(merged.grams()).nearest(&marks);
    // A batch that grows by what was added needs nothing taken out for want of room.
    if !nearest.strained.is_empty() && with.grams() > merged.grams() {
        let grown = ground(with.grams()).nearest(&marks);
        let examined = nearest.examined + grown.examined;
        let gives_less = grown.strained.len() < nearest.strained.len();
        let fewer = grown.strained.len() <= nearest.strained.len();
        if gives_less || fewer && grown.strain < nearest.strain - WORTH_GROWING {
            nearest = grown;
        }
        nearest.examined = examined;
    }
    let mut edits: Vec<Edit> = vec![];
    for (_, s) in &nearest.settled {
        let edit = edit(assessor, &merged, added, s, &nearest.targets, &feels);
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
    let mut strained = nearest.strained;
    if let Some(edit) = edits.first() {
        strained.retain(|dial| {
            let mark = marks.iter().find(|t| t.dial == *dial);
            mark.zip(edit.state.dial(*dial))
                .is_some_and(|(t, figure)| t.miss(figure) > 1.0)
        });
    }
    Rebalanced {
        unbalanced: assessor.state(&with),
        before,
        targets: nearest.targets,
        edits,
        strained,
        examined: nearest.examined,
    }
}

/// The edits nearest to the marks at one weight of the batch.
struct Nearest {
    /// Sets of lines with their grams, best first.
    settled: Vec<(Vec<IngredientKey>, Settled)>,
    /// The marks, those that give way with the room they take.
    targets: Vec<Target>,
    /// Marks that give way.
    strained: Vec<Dial>,
    /// By how many widths they stray, all together.
    strain: f64,
    examined: u64,
}

/// Beside what cannot be held at all, marks that give way at most before all may.
const YIELDING: usize = 2;
/// Miss up to which a mark holds: its edge and the rounding of a scale.
const HOLDS: f64 = 1.1;

/// A mark that lets a figure be, and a little more.
fn roomier(t: &Target, figure: f64) -> Target {
    let taken = (figure - t.aim).abs() * LEEWAY;
    let mut t = *t;
    *(if figure < t.aim {
        &mut t.below
    } else {
        &mut t.above
    }) = taken;
    t
}

/// A mark that must hold.
fn hard(t: &Target) -> Target {
    Target {
        floor: t.floor.max(t.aim - t.below),
        ceiling: t.ceiling.min(t.aim + t.above),
        ..*t
    }
}

/// The formula whose lines are edited, and which of them may be.
struct Ground<'a> {
    assessor: Assessor<'a>,
    with: &'a Formula,
    /// The mix whose marks are held, as much of it as the batch shall weigh.
    before: State,
    balance: IngredientKey,
    lines: &'a [IngredientKey],
    /// What was added.
    added: &'a [(IngredientKey, f64)],
    /// Lines that fail what is asked of newcomers: they may only become less.
    barred: &'a [IngredientKey],
    /// The dish is eaten frozen.
    frozen: bool,
}

impl Ground<'_> {
    /// The edits nearest to the marks.
    fn nearest(&self, marks: &[Target]) -> Nearest {
        let (settled, mut examined) = self.settled(marks);
        let plain = Nearest {
            settled,
            targets: marks.to_vec(),
            strained: vec![],
            strain: 0.0,
            examined,
        };
        if plain.settled.first().is_some_and(|(_, s)| s.miss <= 1.0) {
            return plain;
        }
        let Some((targets, strained, strain)) = self.yielding(marks, &mut examined) else {
            return Nearest { examined, ..plain };
        };
        let (settled, more) = self.settled(&targets);
        Nearest {
            settled,
            targets,
            strained,
            strain,
            examined: examined + more,
        }
    }

    /// Which marks give way, with the room they take and by how many widths they stray together;
    /// `None` where those that were asked for cannot hold.
    fn yielding(
        &self,
        marks: &[Target],
        examined: &mut u64,
    ) -> Option<(Vec<Target>, Vec<Dial>, f64)> {
        let unasked: Vec<Dial> = marks.iter().filter(|t| !t.asked).map(|t| t.dial).collect();
        let lost: Vec<Dial> = unasked
            .par_iter()
            .filter(|dial| {
                let others = unasked.iter().filter(|d| d != dial).copied().collect();
                self.given_way(marks, others, 0).is_none()
            })
            .copied()
            .collect();
        *examined += unasked.len() as u64;
        let rest: Vec<Dial> = unasked
            .iter()
            .filter(|d| !lost.contains(d))
            .copied()
            .collect();
        for size in (0..=YIELDING.min(rest.len())).chain([rest.len()]) {
            let sets: Vec<Vec<Dial>> = Combination::new(rest.len(), size)
                .map(|chosen| {
                    chosen
                        .iter()
                        .map(|&n| rest[n])
                        .chain(lost.clone())
                        .collect()
                })
                .collect();
            *examined += sets.len() as u64;
            let best = sets
                .into_par_iter()
                .filter_map(|dials| {
                    let rounds = dials.len();
                    self.given_way(marks, dials, rounds)
                })
                .min_by(|a, b| a.2.total_cmp(&b.2).then_with(|| a.1.cmp(&b.1)));
            if best.is_some() {
                return best;
            }
        }
        None
    }

    /// These marks give way and all others hold: the room each takes, the worst served first, and by
    /// how many widths they stray together; `None` where the others do not hold. Without rounds only
    /// whether they do.
    fn given_way(
        &self,
        marks: &[Target],
        mut dials: Vec<Dial>,
        rounds: usize,
    ) -> Option<(Vec<Target>, Vec<Dial>, f64)> {
        let mut targets: Vec<Target> = marks
            .iter()
            .map(|t| if dials.contains(&t.dial) { *t } else { hard(t) })
            .collect();
        if rounds == 0 {
            targets.retain(|t| !dials.contains(&t.dial));
        }
        let mut best = self.least(&targets, &dials)?;
        let mut open = dials.clone();
        for _ in 0..rounds {
            if best.miss <= 1.0 {
                break;
            }
            // Those that pull against each other at the worst get the room they take, and no more.
            let stretched = best.stretched.clone();
            let mut given = vec![];
            for t in targets.iter_mut().filter(|t| open.contains(&t.dial)) {
                let Some(figure) = best.state.dial(t.dial) else {
                    continue;
                };
                if stretched.contains(&t.dial) && t.strays(figure) > 1.0 {
                    *t = hard(&roomier(t, figure));
                    given.push(t.dial);
                }
            }
            if given.is_empty() {
                break;
            }
            open.retain(|d| !given.contains(d));
            match self.least(&targets, &open) {
                Some(nearer) => best = nearer,
                None => break,
            }
        }
        let strays = |t: &Target| t.strays(best.state.dial(t.dial).unwrap_or(t.aim));
        let strain = marks
            .iter()
            .filter(|t| dials.contains(&t.dial))
            .map(strays)
            .sum();
        dials.sort_unstable();
        // The room that was taken stays, nothing is hard any more.
        for (t, mark) in targets.iter_mut().zip(marks) {
            if let Some(figure) = best.state.dial(t.dial).filter(|f| t.strays(*f) > 1.0) {
                *t = roomier(t, figure);
            }
            (t.floor, t.ceiling) = (mark.floor, mark.ceiling);
        }
        Some((targets, dials, strain))
    }

    /// Of the largest sets of lines the grams of least miss where all marks but the open ones hold.
    fn least(&self, targets: &[Target], open: &[Dial]) -> Option<Settled> {
        let frame = &Frame::new(targets, &self.before);
        let holds = |s: &Settled| {
            let mut held = targets.iter().filter(|t| !open.contains(&t.dial));
            held.all(|t| s.state.dial(t.dial).is_none_or(|f| t.strays(f) <= HOLDS))
        };
        Combination::new(self.lines.len(), EDITED.min(self.lines.len()))
            .filter_map(|chosen| {
                let keys: Vec<IngredientKey> = chosen.iter().map(|&n| self.lines[n]).collect();
                self.edited(frame, &keys).filter(holds)
            })
            .min_by(|a, b| a.miss.total_cmp(&b.miss))
    }

    /// Every set of lines settled, best first, and how many were examined.
    fn settled(&self, targets: &[Target]) -> (Vec<(Vec<IngredientKey>, Settled)>, u64) {
        let frame = &Frame::new(targets, &self.before);
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
            let by_rank = self
                .rank(a)
                .partial_cmp(&self.rank(b))
                .unwrap_or(std::cmp::Ordering::Equal);
            by_rank.then_with(|| a.0.cmp(&b.0))
        });
        (settled, examined)
    }

    /// Kept marks first, then fewer edits, a line cut to a trace of itself counting for two, then the smaller
    /// ones; among misses the smallest.
    fn rank(&self, (keys, s): &(Vec<IngredientKey>, Settled)) -> (u8, usize, f64) {
        if s.miss > 1.0 {
            return (1, 0, s.miss);
        }
        let job = |key: IngredientKey| self.assessor.catalogue.ingredient(key).functions.first();
        let stands_in = |key| self.added.iter().any(|(new, _)| job(*new) == job(key));
        let cut = |key: &&IngredientKey| {
            let was = self.with.grams_of(**key);
            s.formula.grams_of(**key) < LEFT * was && !stands_in(**key)
        };
        let emptied = keys.iter().chain([&self.balance]).filter(cut).count();
        let lines = s.formula.lines.iter().chain(&self.with.lines);
        let mut all: Vec<IngredientKey> = lines.map(|l| l.key).collect();
        all.sort_unstable();
        all.dedup();
        let moved = |k: &IngredientKey| (s.formula.grams_of(*k) - self.with.grams_of(*k)).abs();
        let moved: f64 = all.iter().map(moved).sum();
        // A line of no other use that a rest has to be made up with is an edit as well.
        let batch = self.before.sums.grams;
        let new = self.with.grams_of(self.balance) <= 0.0;
        let fresh = usize::from(new && s.formula.grams_of(self.balance) > NEXT_TO_NONE * batch);
        let edits = keys.len() + emptied + fresh;
        (0, edits, moved * (1.0 + s.miss))
    }

    fn edited(&self, frame: &Frame, keys: &[IngredientKey]) -> Option<Settled> {
        let mut fixed = self.with.clone();
        for key in keys.iter().chain([&self.balance]) {
            let grams = fixed.grams_of(*key);
            fixed.add(*key, -grams);
        }
        let grams = self.before.sums.grams - fixed.grams();
        if grams < 0.0 {
            return None;
        }
        let free = |key: IngredientKey, gone: bool| {
            let row = frame.row(&self.assessor.profile(key).sums);
            // What the formula holds already is no reason to refuse it.
            let (usual, _) = limit(
                self.assessor.catalogue.ingredient(key),
                self.before.sums.grams,
                self.frozen,
            );
            (
                key,
                Free {
                    row,
                    least: 0.0,
                    most: match (gone, self.barred.contains(&key)) {
                        (true, _) => 0.0,
                        // More of what may not come in is a newcomer by its grams.
                        (false, true) => self.with.grams_of(key),
                        (false, false) => usual.max(self.with.grams_of(key)),
                    },
                    weight: 0,
                },
            )
        };
        let settled = |gone: &[IngredientKey]| {
            let lines = [self.balance].into_iter().chain(keys.iter().copied());
            let set = Set {
                fixed_row: frame.row(&self.assessor.sums(&fixed)),
                fixed: &fixed,
                grams,
                free: lines.map(|k| free(k, gone.contains(&k))).collect(),
            };
            settle(self.assessor, frame, &set)
        };
        let found = settled(&[])?;
        // A trace of a line is not worth the weighing: it goes altogether where the rest holds as well.
        let trace = |key: &IngredientKey| {
            let left = found.formula.grams_of(*key);
            let worth = TRACE * self.before.sums.grams;
            left > 0.0 && left < worth && self.with.grams_of(*key) >= worth
        };
        let traces: Vec<IngredientKey> = keys.iter().copied().filter(trace).collect();
        let without = match traces.is_empty() {
            true => None,
            false => settled(&traces).filter(|s| s.miss <= found.miss.max(1.0)),
        };
        Some(without.unwrap_or(found))
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
        let gum = ingredient.is_of("gum-family");
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
