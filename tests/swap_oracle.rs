//! The search against two other ways to the same answer, on generated linear questions: every set
//! enumerated, each solved by a general solver; and one mixed-integer program with a yes-or-no
//! variable per candidate. Both oracles' answers are checked before they are believed.

use microlp::{ComparisonOp, OptimizationDirection, Problem, Variable};
use rayon::prelude::*;
use tamis::model::{Aim, Dial};
use tamis::swap::{DIALS, Found, Free, Row, Space, Target, search};

/// Instances; half of the promise would do for a quick run.
const INSTANCES: u64 = 600;
/// Objectives closer than this are equal: what both solvers promise of their own rounding.
const EQUAL: f64 = 1e-6;
/// Share of a scale that every hard limit forgives, as `Target::miss` does.
const FORGIVEN: f64 = 0.02;

/// A small generator with a fixed seed (splitmix64).
struct Draw(u64);

impl Draw {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    fn among(&mut self, low: usize, high: usize) -> usize {
        low + (self.next() % (high - low + 1) as u64) as usize
    }

    fn chance(&mut self, share: f64) -> bool {
        self.unit() < share
    }
}

/// One generated question.
struct Question {
    targets: Vec<Target>,
    fixed: Row,
    grams: f64,
    always: Vec<Free>,
    candidates: Vec<Free>,
    at_most: usize,
    keep: usize,
}

impl Question {
    /// 2 to 8 dials whose scales differ by up to a thousand, 3 to 12 candidates, least and
    /// greatest doses, one to three ingredients always free, hard limits.
    fn draw(seed: u64) -> Self {
        let mut draw = Draw(seed);
        let dials = draw.among(2, 8);
        let grams = draw.between(20.0, 400.0);
        let sizes: Vec<f64> = (0..dials)
            .map(|_| 10f64.powf(draw.between(-1.5, 1.5)))
            .collect();
        let row = |draw: &mut Draw| {
            let mut row = [0.0; DIALS];
            for (cell, size) in row.iter_mut().zip(&sizes) {
                if draw.chance(0.7) {
                    *cell = size * draw.between(-1.0, 3.0) / grams;
                }
            }
            // A few are very strong, as intense sweeteners and gums are.
            if draw.chance(0.1) {
                let strong = draw.among(0, dials - 1);
                row[strong] = 200.0 * sizes[strong] / grams;
            }
            row
        };
        let plain = |row: Row, most: f64| Free {
            row,
            least: 0.0,
            most,
            weight: 0,
        };
        let mut always = vec![plain([0.0; DIALS], f64::INFINITY)];
        for _ in 0..draw.among(0, 2) {
            let most = grams * draw.between(0.1, 1.2);
            always.push(plain(row(&mut draw), most));
        }
        let candidates: Vec<Free> = (0..draw.among(3, 12))
            .map(|_| {
                let row = row(&mut draw);
                let most = match draw.among(0, 2) {
                    0 => f64::INFINITY,
                    1 => grams * draw.between(0.3, 1.0),
                    _ => grams * draw.between(0.002, 0.3),
                };
                let least = if draw.chance(0.6) {
                    most.min(grams) * draw.between(0.0, 0.4)
                } else {
                    0.0
                };
                Free {
                    row,
                    least,
                    most,
                    weight: draw.among(0, 3) as u8,
                }
            })
            .collect();
        // Aims near what some mix of the candidates gives, so that the questions are neither
        // trivial nor hopeless.
        let mut shares: Vec<f64> = candidates
            .iter()
            .map(|_| {
                if draw.chance(0.4) {
                    draw.unit().powi(3)
                } else {
                    0.0
                }
            })
            .collect();
        let all: f64 = shares.iter().sum::<f64>().max(1.0);
        shares.iter_mut().for_each(|s| *s *= grams / all);
        let mut fixed = [0.0; DIALS];
        let targets = (0..dials)
            .map(|d| {
                fixed[d] = sizes[d] * draw.between(0.0, 5.0);
                let mixed: f64 = candidates
                    .iter()
                    .zip(&shares)
                    .map(|(c, s)| c.row[d] * s)
                    .sum();
                let aim = fixed[d] + mixed + sizes[d] * draw.between(-0.2, 0.2);
                let below = sizes[d] * draw.between(0.02, 0.3);
                let above = sizes[d] * draw.between(0.02, 0.3);
                let hard = draw.among(0, 7);
                Target {
                    dial: Dial::ALL[d].0,
                    asked: true,
                    wish: Aim::Keep,
                    aim,
                    below,
                    above,
                    floor: if hard == 0 {
                        aim - draw.between(0.5, 3.0) * below
                    } else {
                        f64::NEG_INFINITY
                    },
                    ceiling: if hard == 1 {
                        aim + draw.between(0.5, 3.0) * above
                    } else {
                        f64::INFINITY
                    },
                }
            })
            .collect();
        Question {
            targets,
            fixed,
            grams,
            always,
            candidates,
            at_most: draw.among(1, 4),
            keep: [1, 3, 40][draw.among(0, 2)],
        }
    }

    fn space(&self) -> Space<'_> {
        Space {
            targets: &self.targets,
            margin: &[0.0; DIALS],
            fixed: self.fixed,
            grams: self.grams,
            always: &self.always,
            candidates: &self.candidates,
            at_most: self.at_most,
            keep: self.keep,
            done: &|_| {},
        }
    }

    /// The largest miss of given grams, computed from nothing but the question; `None` where a
    /// dose or a hard limit is broken by more than rounding.
    fn miss(&self, members: &[usize], grams: &[f64]) -> Option<f64> {
        let free: Vec<&Free> = self
            .always
            .iter()
            .chain(members.iter().map(|&m| &self.candidates[m]))
            .collect();
        let slack = 1e-7 * self.grams;
        let doses = free
            .iter()
            .zip(grams)
            .all(|(f, g)| *g >= f.least - slack && *g <= f.most + slack);
        let whole = (grams.iter().sum::<f64>() - self.grams).abs() <= slack;
        let mut worst = 0.0f64;
        for (d, t) in self.targets.iter().enumerate() {
            let figure = self.fixed[d]
                + free
                    .iter()
                    .zip(grams)
                    .map(|(f, g)| f.row[d] * g)
                    .sum::<f64>();
            let scale = t.below.min(t.above);
            if figure < t.floor - (FORGIVEN + 1e-6) * scale
                || figure > t.ceiling + (FORGIVEN + 1e-6) * scale
            {
                return None;
            }
            worst = worst.max(if figure < t.aim {
                (t.aim - figure) / t.below
            } else {
                (figure - t.aim) / t.above
            });
        }
        (doses && whole).then_some(worst)
    }

    /// The question for the general solver: of one set, or with `choose` of all sets at once.
    fn general(&self, members: &[usize], choose: Option<usize>) -> Option<(Vec<f64>, f64)> {
        let mut problem = Problem::new(OptimizationDirection::Minimize);
        let miss = problem.add_var(1.0, (0.0, f64::INFINITY));
        let mut doses: Vec<Variable> = self
            .always
            .iter()
            .map(|f| problem.add_var(0.0, (f.least, f.most.min(self.grams))))
            .collect();
        let mut chosen = vec![];
        for &m in members {
            let f = &self.candidates[m];
            let most = f.most.min(self.grams);
            if choose.is_some() {
                let dose = problem.add_var(0.0, (0.0, most));
                let yes = problem.add_binary_var(0.0);
                problem.add_constraint([(dose, 1.0), (yes, -most)], ComparisonOp::Le, 0.0);
                problem.add_constraint([(dose, 1.0), (yes, -f.least)], ComparisonOp::Ge, 0.0);
                chosen.push((yes, 1.0));
                doses.push(dose);
            } else {
                if f.least > most {
                    return None;
                }
                doses.push(problem.add_var(0.0, (f.least, most)));
            }
        }
        if let Some(at_most) = choose {
            problem.add_constraint(&chosen, ComparisonOp::Le, at_most as f64);
        }
        let all: Vec<(Variable, f64)> = doses.iter().map(|v| (*v, 1.0)).collect();
        problem.add_constraint(&all, ComparisonOp::Eq, self.grams);
        for (d, t) in self.targets.iter().enumerate() {
            let rows = self
                .always
                .iter()
                .chain(members.iter().map(|&m| &self.candidates[m]));
            let figure = |scale: f64| -> Vec<(Variable, f64)> {
                doses
                    .iter()
                    .zip(rows.clone())
                    .filter(|(_, f)| f.row[d] != 0.0)
                    .map(|(v, f)| (*v, f.row[d] / scale))
                    .collect()
            };
            let mut under = figure(t.below);
            under.push((miss, 1.0));
            problem.add_constraint(&under, ComparisonOp::Ge, (t.aim - self.fixed[d]) / t.below);
            let mut over = figure(t.above);
            over.push((miss, -1.0));
            problem.add_constraint(&over, ComparisonOp::Le, (t.aim - self.fixed[d]) / t.above);
            let scale = t.below.min(t.above);
            for (edge, sign) in [(t.floor, -1.0), (t.ceiling, 1.0)] {
                if edge.is_finite() {
                    let op = if sign < 0.0 {
                        ComparisonOp::Ge
                    } else {
                        ComparisonOp::Le
                    };
                    let right = (edge + sign * FORGIVEN * scale - self.fixed[d]) / scale;
                    problem.add_constraint(figure(scale), op, right);
                }
            }
        }
        let solution = problem.solve().ok()?.into_solution().ok()?;
        let grams = doses.iter().map(|v| solution.var_value(*v)).collect();
        Some((grams, solution.objective()))
    }

    /// Every set of up to `at_most` candidates.
    fn sets(&self) -> Vec<Vec<usize>> {
        let mut sets: Vec<Vec<usize>> = vec![vec![]];
        let mut from = 0;
        for _ in 0..self.at_most.min(self.candidates.len()) {
            let to = sets.len();
            let stems = sets[from..to].to_vec();
            for stem in stems {
                let next = stem.last().map_or(0, |m| m + 1);
                for m in next..self.candidates.len() {
                    let mut set = stem.clone();
                    set.push(m);
                    sets.push(set);
                }
            }
            from = to;
        }
        sets
    }

    fn weight(&self, set: &[usize]) -> u32 {
        let weight: u32 = set
            .iter()
            .map(|&m| u32::from(self.candidates[m].weight))
            .sum();
        weight.min(7)
    }
}

/// How often the oracles agreed, and how often one had to be overruled.
#[derive(Default, Debug, Clone, Copy, PartialEq)]
struct Tally {
    compared: u32,
    feasible: u32,
    sets: u64,
    cut: u64,
    false_infeasible: u32,
    false_optimum: u32,
    open: u64,
}

#[test]
fn search_equals_enumeration_and_a_general_solver() {
    let tallies: Vec<Tally> = (0..INSTANCES).into_par_iter().map(compare).collect();
    let mut all = Tally::default();
    for t in tallies {
        all.compared += t.compared;
        all.feasible += t.feasible;
        all.sets += t.sets;
        all.cut += t.cut;
        all.false_infeasible += t.false_infeasible;
        all.false_optimum += t.false_optimum;
        all.open += t.open;
    }
    eprintln!("{all:?}");
    assert_eq!(u64::from(all.compared), INSTANCES);
    assert!(
        all.feasible >= 500,
        "most questions have an answer: {all:?}"
    );
    assert_eq!(all.open, 0, "rounding left no set open: {all:?}");
}

fn compare(seed: u64) -> Tally {
    let question = Question::draw(seed);
    let (found, proof) = search(&question.space());
    let mut tally = Tally {
        compared: 1,
        sets: proof.sets,
        cut: proof.cut,
        open: proof.open,
        ..Tally::default()
    };
    let sets = question.sets();
    assert_eq!(proof.sets, sets.len() as u64, "seed {seed}");
    assert_eq!(proof.sets, proof.cut + proof.solved, "seed {seed}");
    for found in &found {
        let miss = question.miss(&found.members, &found.grams);
        assert!(
            miss.is_some_and(|m| (m - found.miss).abs() <= EQUAL * (1.0 + m)),
            "seed {seed}: {found:?} really misses by {miss:?}"
        );
    }
    // Enumeration: the general solver's point counts where it stands up to the question.
    let mut solved: Vec<(&Vec<usize>, f64)> = vec![];
    for set in &sets {
        let ours = found.iter().find(|f| f.members == *set);
        match question.general(set, None) {
            Some((grams, objective)) => {
                let real = question.miss(set, &grams);
                let real = real.filter(|r| (r - objective).abs() <= EQUAL * (1.0 + r));
                match real {
                    Some(real) => solved.push((set, real)),
                    None => tally.false_optimum += 1,
                }
            }
            None => {
                if let Some(ours) = ours {
                    // Verified above: the general solver was wrong.
                    tally.false_infeasible += 1;
                    solved.push((set, ours.miss));
                }
            }
        }
    }
    for (set, miss) in &solved {
        let ours = found.iter().find(|f| f.members == **set);
        if let Some(ours) = ours {
            assert!(
                (ours.miss - miss).abs() <= EQUAL * (1.0 + miss),
                "seed {seed}: {set:?} misses by {miss}, not {}",
                ours.miss
            );
        } else {
            not_worth_keeping(&question, set, *miss, &solved, seed);
            assert!(*miss >= proof.beyond - EQUAL, "seed {seed}: beyond");
        }
    }
    let least = |found: &[Found]| found.first().map(|f| f.miss);
    let enumerated = solved.iter().map(|(_, m)| *m).fold(f64::INFINITY, f64::min);
    match least(&found) {
        Some(ours) => {
            tally.feasible = 1;
            assert!(
                (ours - enumerated).abs() <= EQUAL * (1.0 + ours),
                "seed {seed}: {ours} by search, {enumerated} by enumeration"
            );
        }
        None => assert!(enumerated.is_infinite(), "seed {seed}: {enumerated}"),
    }
    // One mixed-integer program over all candidates.
    let everyone: Vec<usize> = (0..question.candidates.len()).collect();
    match (
        question.general(&everyone, Some(question.at_most)),
        least(&found),
    ) {
        (Some((grams, objective)), Some(ours)) => {
            let (members, doses) = question.rounded(&grams);
            let real = question.miss(&members, &doses);
            if real.is_some_and(|r| (r - objective).abs() <= EQUAL * (1.0 + r)) {
                assert!(
                    (ours - objective).abs() <= EQUAL * (1.0 + ours),
                    "seed {seed}: {ours} by search, {objective} by the general solver"
                );
            } else {
                tally.false_optimum += 1;
                assert!(ours <= objective + EQUAL * (1.0 + ours), "seed {seed}");
            }
        }
        (None, Some(_)) => tally.false_infeasible += 1,
        (Some((_, objective)), None) => {
            panic!("seed {seed}: the general solver found {objective}, the search nothing")
        }
        (None, None) => {}
    }
    tally
}

impl Question {
    /// The set a mixed-integer answer means: candidates with more than a trace of a dose. Its
    /// doses below their least by rounding are raised to it at the expense of what balances.
    fn rounded(&self, grams: &[f64]) -> (Vec<usize>, Vec<f64>) {
        let fixed = self.always.len();
        let members: Vec<usize> = (0..self.candidates.len())
            .filter(|&m| grams[fixed + m] > 1e-7 * self.grams)
            .collect();
        let mut doses = grams[..fixed].to_vec();
        doses.extend(members.iter().map(|&m| grams[fixed + m]));
        (members, doses)
    }
}

/// A set that was left out ranks behind enough sets that are no larger and call for no more caution.
fn not_worth_keeping(
    question: &Question,
    set: &[usize],
    miss: f64,
    solved: &[(&Vec<usize>, f64)],
    seed: u64,
) {
    let before = solved
        .iter()
        .filter(|(other, m)| {
            *m <= miss + EQUAL * (1.0 + miss)
                && other.len() <= set.len()
                && question.weight(other) <= question.weight(set)
        })
        .count();
    assert!(
        before >= question.keep,
        "seed {seed}: {set:?} with {miss} was left out behind {before}"
    );
}

#[test]
fn neither_threads_nor_order_of_candidates_change_the_answer() {
    for seed in 0..60 {
        let mut question = Question::draw(seed);
        let one = rayon::ThreadPoolBuilder::new()
            .num_threads(1)
            .build()
            .expect("a pool of one");
        let four = rayon::ThreadPoolBuilder::new()
            .num_threads(4)
            .build()
            .expect("a pool of four");
        let (found, proof) = one.install(|| search(&question.space()));
        assert_eq!(
            four.install(|| search(&question.space())),
            (found.clone(), proof),
            "seed {seed}"
        );
        question.candidates.reverse();
        let last = question.candidates.len() - 1;
        let (mirrored, proof_mirrored) = search(&question.space());
        assert_eq!(proof, proof_mirrored, "seed {seed}");
        let misses = |found: &[Found]| found.iter().map(|f| f.miss).collect::<Vec<_>>();
        assert_eq!(misses(&found), misses(&mirrored), "seed {seed}");
        let mut sets: Vec<Vec<usize>> = mirrored
            .iter()
            .map(|f| f.members.iter().rev().map(|m| last - m).collect())
            .collect();
        let mut plain: Vec<Vec<usize>> = found.iter().map(|f| f.members.clone()).collect();
        sets.sort();
        plain.sort();
        assert_eq!(plain, sets, "seed {seed}");
    }
}

#[test]
fn more_candidates_never_give_a_worse_best() {
    for seed in 0..200 {
        let mut question = Question::draw(seed);
        let more = search(&question.space()).0;
        question.candidates.pop();
        let fewer = search(&question.space()).0;
        if let (Some(fewer), Some(more)) = (fewer.first(), more.first()) {
            assert!(more.miss <= fewer.miss + EQUAL, "seed {seed}");
        } else {
            assert!(fewer.is_empty(), "seed {seed}: the answer was lost");
        }
    }
}
