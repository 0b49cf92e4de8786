//! The swap against dense sampling of the full model, and the margins of its lines.

use rayon::prelude::*;
use tamis::formula::{Assessor, Formula, State};
use tamis::model::{Aim, Dial, Goal, IngredientKey, Wish};
use tamis::swap::{Frame, Request, Target, feels, swap, targets};

mod kitchen;

use kitchen::KITCHEN;

/// Grams are given to what a scale shows and the grid is finite; a twentieth of a tolerance is both.
const ROUGH: f64 = 0.05;
/// Steps of the grid along each newcomer, and of what stays of the leaver.
const STEPS: u32 = 28;
/// Sets of three drawn from the whole kitchen and solved alone.
const SHELVES: usize = 600;

fn formula(name: &str) -> Formula {
    let file = format!("data/formulas/reference-{name}.csv");
    let bytes = std::fs::read(&file).expect("the reference formula stands in data");
    KITCHEN.read(&file, &bytes).expect("it is sound").merged()
}

fn worst(targets: &[Target], state: &State) -> f64 {
    targets
        .iter()
        .map(|t| state.dial(t.dial).map_or(f64::INFINITY, |f| t.miss(f)))
        .fold(0.0, f64::max)
}

/// The least miss on a grid over what stays and the grams of up to two newcomers; water takes the rest.
struct Grid<'a> {
    assessor: Assessor<'a>,
    targets: &'a [Target],
    fixed: &'a Formula,
    grams: f64,
    leaver: (IngredientKey, f64),
    water: IngredientKey,
}

impl Grid<'_> {
    fn least(&self, newcomers: &[(IngredientKey, f64, f64)]) -> f64 {
        let profile = |key| self.assessor.profile(key).sums;
        let fixed = self.assessor.sums(self.fixed);
        let mut least = f64::INFINITY;
        let mut steps = vec![0u32; newcomers.len() + 1];
        loop {
            let share = |n: usize| f64::from(steps[n]) / f64::from(STEPS);
            let stays = share(newcomers.len()) * self.leaver.1;
            let mut rest = self.grams - stays;
            let mut sums = fixed + profile(self.leaver.0) * stays;
            for (n, (key, low, high)) in newcomers.iter().enumerate() {
                // Squares: small doses closer together.
                let dose = low + (high - low) * share(n).powi(2);
                rest -= dose;
                sums += profile(*key) * dose;
            }
            if rest >= 0.0 {
                sums += profile(self.water) * rest;
                least = least.min(worst(self.targets, &self.assessor.state_of(sums)));
            }
            let Some(n) = steps.iter().position(|s| *s < STEPS) else {
                return least;
            };
            steps[..n].fill(0);
            steps[n] += 1;
        }
    }
}

#[test]
fn dense_sampling_never_beats_the_swap() {
    let catalogue = &KITCHEN.catalogue;
    let assessor = Assessor {
        catalogue,
        profiles: &KITCHEN.profiles,
    };
    let key = |id: &str| catalogue.key(id).expect("a common ingredient");
    let shelf = [
        "dextrose-monohydrate",
        "fructose",
        "erythritol",
        "maltodextrin-de10",
        "inulin",
        "honey",
        "sucralose",
    ];
    let wishes = [
        vec![
            (Dial::Sweetness, Aim::Keep),
            (Dial::FreezingPoint, Aim::Lower),
        ],
        vec![
            (Dial::Sweetness, Aim::Relative(-0.15)),
            (Dial::FreezingPoint, Aim::Keep),
        ],
        vec![
            (Dial::FrozenAt12, Aim::Keep),
            (Dial::Sugars, Aim::Relative(-0.3)),
        ],
    ];
    for name in ["ice-cream", "sorbet"] {
        let formula = formula(name);
        let leaver = (key("sucrose"), formula.grams_of(key("sucrose")));
        for goals in &wishes {
            let wish = Wish {
                goals: goals
                    .iter()
                    .map(|&(dial, aim)| Goal { dial, aim })
                    .collect(),
                shelf: Some(shelf.iter().map(|s| s.to_string()).collect()),
                at_most: 2,
                ..Wish::default()
            };
            let swapped = swap(
                assessor,
                &Request {
                    formula: &formula,
                    leavers: vec![leaver],
                    entirely: false,
                    wish: &wish,
                    balance: key("water"),
                    gives: f64::INFINITY,
                    steady: vec![],
                },
            );
            let closest = swapped.closest.expect("some set is settled");
            let mut fixed = formula.clone();
            fixed.add(leaver.0, -leaver.1);
            let water = fixed.grams_of(key("water"));
            fixed.add(key("water"), -water);
            let grid = Grid {
                assessor,
                targets: &swapped.targets,
                fixed: &fixed,
                grams: leaver.1 + water,
                leaver,
                water: key("water"),
            };
            let list: Vec<(IngredientKey, f64, f64)> = swapped
                .candidates
                .list
                .iter()
                .map(|c| (c.key, c.least, c.most.min(grid.grams)))
                .collect();
            assert!(list.len() >= 5, "the shelf may come in");
            let mut sets: Vec<Vec<(IngredientKey, f64, f64)>> =
                list.iter().map(|c| vec![*c]).collect();
            for (n, a) in list.iter().enumerate() {
                sets.extend(list[n + 1..].iter().map(|b| vec![*a, *b]));
            }
            let sampled = sets
                .par_iter()
                .map(|set| grid.least(set))
                .reduce(|| f64::INFINITY, f64::min);
            eprintln!("{name} {goals:?}: swap {closest:.3}, sampled {sampled:.3}");
            assert!(
                closest <= sampled + ROUGH,
                "{name} {goals:?}: {closest} by swap, {sampled} by sampling"
            );
        }
    }
}

/// Whatever few ingredients of the whole kitchen are searched alone, with no bound to cut any of
/// them, they come no nearer to the wish by the full model than the search of all.
#[test]
fn no_shelf_beats_the_whole_kitchen() {
    let catalogue = &KITCHEN.catalogue;
    let assessor = Assessor {
        catalogue,
        profiles: &KITCHEN.profiles,
    };
    let key = |id: &str| catalogue.key(id).expect("a common ingredient");
    let wishes = [
        vec![
            (Dial::Sweetness, Aim::Keep),
            (Dial::FreezingPoint, Aim::Lower),
        ],
        vec![
            (Dial::Sweetness, Aim::Relative(-0.3)),
            (Dial::FrozenAt18, Aim::Keep),
        ],
        vec![
            (Dial::Sugars, Aim::Relative(-0.5)),
            (Dial::Sweetness, Aim::Keep),
            (Dial::Fibre, Aim::Raise),
        ],
    ];
    for name in ["ice-cream", "sorbet"] {
        let formula = formula(name);
        let sucrose = key("sucrose");
        for goals in &wishes {
            let searched = |shelf: Option<Vec<String>>| {
                let wish = Wish {
                    goals: goals
                        .iter()
                        .map(|&(dial, aim)| Goal { dial, aim })
                        .collect(),
                    shelf,
                    ..Wish::default()
                };
                let request = Request {
                    formula: &formula,
                    leavers: vec![(sucrose, formula.grams_of(sucrose))],
                    entirely: false,
                    wish: &wish,
                    balance: key("water"),
                    gives: f64::INFINITY,
                    steady: vec![],
                };
                swap(assessor, &request)
            };
            let all = searched(None);
            let closest = all.closest.expect("some set is settled");
            let ids: Vec<String> = all
                .candidates
                .list
                .iter()
                .map(|c| catalogue.ingredient(c.key).id.clone())
                .collect();
            assert!(ids.len() > 100 && all.proof.cut > all.proof.solved);
            let mut draw = Draw(0x5e1f);
            let shelves: Vec<Vec<String>> = (0..SHELVES)
                .map(|_| {
                    let mut one = || ids[(draw.unit() * ids.len() as f64) as usize].clone();
                    vec![one(), one(), one()]
                })
                .collect();
            let best = shelves
                .into_par_iter()
                .filter_map(|shelf| Some((searched(Some(shelf.clone())).closest?, shelf)))
                .min_by(|a, b| a.0.total_cmp(&b.0));
            let (least, shelf) = best.expect("some shelf has an answer");
            assert!(
                closest <= least + ROUGH,
                "{name} {goals:?}: all {closest}, {shelf:?} alone {least}"
            );
        }
    }
}

/// A small generator with a fixed seed.
struct Draw(u64);

impl Draw {
    fn unit(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// Sweetness an intense sweetener may gain or lose by its curve before its mix is no longer compared, points.
const LEVELLED: f64 = 0.005;

#[test]
fn lines_stray_no_further_than_their_margins() {
    let catalogue = &KITCHEN.catalogue;
    let assessor = Assessor {
        catalogue,
        profiles: &KITCHEN.profiles,
    };
    let key = |id: &str| catalogue.key(id).expect("a common ingredient");
    // Dial, and how far from the mix as it was an aim may lie: twice what a plain "lower" asks.
    // Solids are held within three points where nobody names them.
    let dials = [
        (Dial::FreezingPoint, 1.0),
        (Dial::FrozenAt18, 8.0),
        (Dial::FrozenAt12, 8.0),
        (Dial::Sweetness, 5.0),
    ];
    let mut draw = Draw(1);
    for name in ["ice-cream", "sorbet"] {
        let formula = formula(name);
        let before = assessor.state(&formula);
        let (sucrose, water) = (key("sucrose"), key("water"));
        let wish = Wish {
            goals: vec![Goal {
                dial: Dial::Sweetness,
                aim: Aim::Keep,
            }],
            ..Wish::default()
        };
        let (kept, _) = targets(&wish, &before, &feels(catalogue, &before));
        assert!(!kept.is_empty());
        let swapped = swap(
            assessor,
            &Request {
                formula: &formula,
                leavers: vec![(sucrose, formula.grams_of(sucrose))],
                entirely: false,
                wish: &Wish { at_most: 1, ..wish },
                balance: water,
                gives: f64::INFINITY,
                steady: vec![],
            },
        );
        let list = swapped.candidates.list;
        let mut strays = [vec![], vec![], vec![], vec![]];
        for _ in 0..3_000 {
            let mut mix = formula.clone();
            let grams = formula.grams_of(sucrose);
            let stays = if draw.unit() < 0.5 {
                0.0
            } else {
                draw.unit() * grams
            };
            let mut room = grams + formula.grams_of(water) - stays;
            mix.add(sucrose, stays - grams);
            mix.add(water, -formula.grams_of(water));
            for _ in 0..1 + (draw.unit() * 3.0) as usize {
                let c = &list[(draw.unit() * list.len() as f64) as usize];
                let most = c.most.min(1.5 * grams).min(room);
                let dose = c.least + draw.unit() * (most - c.least);
                if most >= c.least {
                    room -= dose;
                    mix.add(c.key, dose);
                }
            }
            mix.add(water, room);
            let state = assessor.state(&mix);
            // Sweeteners that level off bend too far for a line: such mixes are left to the full model.
            if state.sums.levelling.loss(state.sums.grams).abs() > LEVELLED {
                continue;
            }
            for (n, (dial, near)) in dials.into_iter().enumerate() {
                let (Some(is), Some(was)) = (state.dial(dial), before.dial(dial)) else {
                    continue;
                };
                let solids = |s: &State| s.dial(Dial::TotalSolids).unwrap_or(0.0);
                if (is - was).abs() > near || (solids(&state) - solids(&before)).abs() > 8.0 {
                    continue;
                }
                let target = Target {
                    dial,
                    asked: true,
                    wish: Aim::Keep,
                    aim: is,
                    below: 1.0,
                    above: 1.0,
                    floor: f64::NEG_INFINITY,
                    ceiling: f64::INFINITY,
                };
                let frame = Frame::new(&[target], &before);
                let mut row = frame.row(&assessor.sums(&Formula::default()));
                for line in &mix.lines {
                    row[0] += line.grams * frame.row(&assessor.profile(line.key).sums)[0];
                }
                strays[n].push(((frame.figures(&row)[0] - is).abs(), frame.margin[0]));
            }
        }
        for ((dial, _), strays) in dials.iter().zip(&mut strays) {
            strays.sort_by(|a, b| b.0.total_cmp(&a.0));
            let (most, margin) = strays[0];
            eprintln!(
                "{name} {dial:?}: {} mixes, most {most:.3}, one in a hundred {:.3}, half {:.4}, margin {margin}",
                strays.len(),
                strays[strays.len() / 100].0,
                strays[strays.len() / 2].0
            );
            assert!(
                most <= margin + 1e-9,
                "{name} {dial:?}: {most} beyond {margin}"
            );
        }
    }
}
