//! Time of a search with its proof, over the shipped knowledge base.
//!
//! Wanted on two cores: the whole swap over 450 candidates, up to three newcomers and six
//! constraints, settled by the full model, in 100 ms; four newcomers out of 300 in 2 s.
//! The best set by the lines alone is also asked of a general solver, over several instances.

use std::collections::HashMap;

use divan::Bencher;
use tamis::formula::sheet::Words;
use tamis::formula::{Assessor, Formula, Profiles, Reader};
use tamis::load::Files;
use tamis::model::{Aim, Catalogue, Dial, Expr, Goal, Group, Rule, RuleKind, Wish};
use tamis::names::Names;
use tamis::swap::{Frame, Free, KEPT, Request, Row, Space, Target, feels, search, swap, targets};

fn main() {
    divan::main();
}

/// Six constraints.
const GOALS: [(Dial, Aim); 6] = [
    (Dial::Sweetness, Aim::Keep),
    (Dial::FreezingPoint, Aim::Keep),
    (Dial::TotalSolids, Aim::Keep),
    (Dial::Fat, Aim::Keep),
    (Dial::Protein, Aim::Keep),
    (Dial::Sugars, Aim::Relative(-0.3)),
];

/// The shipped data with a rule that lets everything stand in for sucrose.
fn catalogue() -> Catalogue {
    let mut catalogue =
        tamis::load::catalogue(&Files::embedded()).expect("the shipped data is sound");
    let rule = catalogue
        .rules
        .iter()
        .find(|r| matches!(r.kind, RuleKind::Candidate { .. }))
        .expect("there are candidate rules")
        .clone();
    let out = Group::Ingredient("sucrose".to_owned());
    catalogue.rules.push(Rule {
        kind: RuleKind::Candidate { out },
        when: Expr::Always,
        ..rule
    });
    catalogue
}

fn formula(catalogue: &Catalogue) -> Formula {
    let bytes = include_bytes!("../data/formulas/reference-ice-cream.csv");
    let reader = Reader {
        catalogue,
        names: &Names::default(),
        words: &Words::of(&Files::embedded()),
        batch: None,
        picks: &HashMap::new(),
    };
    let read = reader.read("reference-ice-cream.csv", None, bytes);
    read.expect("it is sound")
}

fn wish(shelf: Vec<String>, at_most: usize) -> Wish {
    Wish {
        goals: GOALS.map(|(dial, aim)| Goal { dial, aim }).to_vec(),
        shelf: Some(shelf),
        at_most,
        ..Wish::default()
    }
}

/// Every ingredient in an order that mixes the families, the same every time.
fn mixed(catalogue: &Catalogue) -> Vec<String> {
    let mut ids: Vec<String> = catalogue.ingredients.iter().map(|i| i.id.clone()).collect();
    ids.sort_by_key(|id| {
        id.bytes()
            .fold(7u64, |h, b| h.wrapping_mul(0x100_0000_01b3) ^ u64::from(b))
    });
    ids
}

/// A shelf that yields as many candidates as asked.
fn shelf(assessor: Assessor<'_>, formula: &Formula, count: usize) -> Vec<String> {
    let catalogue = assessor.catalogue;
    let ids = mixed(catalogue);
    let leaver = catalogue.key("sucrose").expect("sucrose");
    let mut take = count;
    loop {
        let shelf: Vec<String> = ids.iter().take(take).cloned().collect();
        let one = wish(shelf.clone(), 1);
        let request = Request {
            formula,
            leavers: vec![(leaver, formula.grams_of(leaver))],
            entirely: false,
            wish: &one,
            balance: catalogue.key("water").expect("water"),
            gives: f64::INFINITY,
            steady: vec![],
        };
        let found = swap(assessor, &request).candidates.list.len();
        if found >= count || take >= ids.len() {
            return shelf;
        }
        take += count - found;
    }
}

#[divan::bench(args = [(450, 3), (300, 3), (300, 4)], sample_count = 15, sample_size = 1)]
fn whole_swap(bencher: Bencher, (candidates, at_most): (usize, usize)) {
    let catalogue = catalogue();
    let profiles = Profiles::of(&catalogue);
    let assessor = Assessor {
        catalogue: &catalogue,
        profiles: &profiles,
    };
    let formula = formula(&catalogue);
    let wish = wish(shelf(assessor, &formula, candidates), at_most);
    let leaver = catalogue.key("sucrose").expect("sucrose");
    let request = Request {
        formula: &formula,
        leavers: vec![(leaver, formula.grams_of(leaver))],
        entirely: false,
        wish: &wish,
        balance: catalogue.key("water").expect("water"),
        gives: f64::INFINITY,
        steady: vec![],
    };
    bencher.bench_local(|| swap(assessor, &request));
}

/// The lines of six constraints and so many candidates, without guards.
struct Lines {
    targets: Vec<Target>,
    margin: Row,
    fixed: Row,
    grams: f64,
    always: Vec<Free>,
    candidates: Vec<Free>,
}

impl Lines {
    fn new(count: usize) -> Self {
        Self::instance(count, 0)
    }

    /// One of several questions: other candidates, and another cut of the sugars.
    fn instance(count: usize, number: usize) -> Self {
        let catalogue = catalogue();
        let profiles = Profiles::of(&catalogue);
        let assessor = Assessor {
            catalogue: &catalogue,
            profiles: &profiles,
        };
        let formula = formula(&catalogue).merged();
        let before = assessor.state(&formula);
        let batch = formula.grams();
        let mut wish = wish(vec![], 3);
        wish.goals[5].aim = Aim::Relative(-0.3 + 0.04 * number as f64);
        let (all, _) = targets(&wish, &before, &feels(&catalogue, &before));
        let asked: Vec<Target> = all.into_iter().filter(|t| t.asked).collect();
        let frame = Frame::new(&asked, &before);
        let free = |id: &str, least: f64, most: f64| Free {
            row: frame.row(&assessor.profile(catalogue.key(id).expect("an id")).sums),
            least,
            most,
            weight: 0,
        };
        let sucrose = catalogue.key("sucrose").expect("sucrose");
        let grams = formula.grams_of(sucrose);
        let mut fixed = formula;
        fixed.add(sucrose, -grams);
        let candidates = mixed(&catalogue)
            .iter()
            .cycle()
            .skip(71 * number)
            .filter(|id| !["sucrose", "water"].contains(&id.as_str()))
            .take(count)
            .map(|id| free(id, 0.0025 * batch, f64::INFINITY))
            .collect();
        Lines {
            fixed: frame.figures(&frame.row(&assessor.sums(&fixed))),
            margin: frame.margin,
            grams,
            always: vec![
                free("water", 0.0, f64::INFINITY),
                free("sucrose", 0.0, grams),
            ],
            candidates,
            targets: frame.targets,
        }
    }

    fn space(&self, at_most: usize, keep: usize) -> Space<'_> {
        Space {
            targets: &self.targets,
            margin: &self.margin,
            fixed: self.fixed,
            grams: self.grams,
            always: &self.always,
            candidates: &self.candidates,
            at_most,
            keep,
            done: &|_| {},
        }
    }
}

#[divan::bench(args = [(300, 3), (450, 3), (300, 4)], sample_count = 15, sample_size = 1)]
fn search_of_the_lines(bencher: Bencher, (candidates, at_most): (usize, usize)) {
    let lines = Lines::new(candidates);
    bencher.bench_local(|| search(&lines.space(at_most, KEPT)));
}

/// The best set only, which is what a general solver is asked.
#[divan::bench(args = [30, 100, 300, 450], sample_count = 15, sample_size = 1)]
fn search_of_the_best(bencher: Bencher, candidates: usize) {
    let lines = Lines::new(candidates);
    bencher.bench_local(|| search(&lines.space(3, 1)));
}

/// Questions on which the search is compared with a general solver.
const INSTANCES: std::ops::Range<usize> = 0..11;

/// The best set of each instance with 450 candidates.
#[divan::bench(args = INSTANCES, sample_count = 5, sample_size = 1)]
fn instance_by_search(bencher: Bencher, number: usize) {
    let lines = Lines::instance(450, number);
    bencher.bench_local(|| search(&lines.space(3, 1)));
}

/// The same as one mixed-integer program with a yes-or-no variable per candidate.
#[divan::bench(args = INSTANCES, sample_count = 1, sample_size = 1)]
fn instance_by_general_solver(bencher: Bencher, number: usize) {
    let lines = Lines::instance(450, number);
    bencher.bench_local(|| general_solver(&lines));
}

fn general_solver(lines: &Lines) -> f64 {
    use microlp::{ComparisonOp, OptimizationDirection, Problem};
    let mut problem = Problem::new(OptimizationDirection::Minimize);
    let miss = problem.add_var(1.0, (0.0, f64::INFINITY));
    let mut doses = vec![];
    let mut chosen = vec![];
    for f in &lines.always {
        doses.push((problem.add_var(0.0, (0.0, f.most.min(lines.grams))), f));
    }
    for f in &lines.candidates {
        let most = f.most.min(lines.grams);
        let dose = problem.add_var(0.0, (0.0, most));
        let yes = problem.add_binary_var(0.0);
        problem.add_constraint([(dose, 1.0), (yes, -most)], ComparisonOp::Le, 0.0);
        problem.add_constraint([(dose, 1.0), (yes, -f.least)], ComparisonOp::Ge, 0.0);
        chosen.push((yes, 1.0));
        doses.push((dose, f));
    }
    problem.add_constraint(&chosen, ComparisonOp::Le, 3.0);
    let all: Vec<_> = doses.iter().map(|(v, _)| (*v, 1.0)).collect();
    problem.add_constraint(&all, ComparisonOp::Eq, lines.grams);
    for (d, t) in lines.targets.iter().enumerate() {
        for (scale, sign, op) in [
            (t.below, 1.0, ComparisonOp::Ge),
            (t.above, -1.0, ComparisonOp::Le),
        ] {
            let mut row: Vec<_> = doses
                .iter()
                .filter(|(_, f)| (f.row[d] / scale).abs() > 1e-8)
                .map(|(v, f)| (*v, f.row[d] / scale))
                .collect();
            row.push((miss, sign));
            problem.add_constraint(&row, op, (t.aim - lines.fixed[d]) / scale);
        }
    }
    problem
        .solve()
        .expect("the question has an answer")
        .into_solution()
        .expect("no limit of time is set")
        .objective()
}
