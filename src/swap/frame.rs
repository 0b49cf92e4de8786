//! The dials of a mix as straight lines in grams, exact at the aim.
//!
//! Composition is linear in grams at a fixed batch. Sweetness is linear too, but for what levels
//! off. Freezing is not, but becomes so at its own aim: a mix freezes at `T` exactly when the liquid water its solutes hold at `T` equals its water. What a
//! gram holds is taken beside the solutes of the mix as it was, so the line is exact for that mix
//! and its tangent for others. The full model has the last word.

use super::target::Target;
use crate::formula::{CABINET, FREEZER, Part, State, Sums};
use crate::model::Dial;
use crate::model::unit::Celsius;

/// Dials a frame may hold.
pub const DIALS: usize = 21;
/// Water added to one gram of an ingredient to read how much liquid it holds at a temperature, g.
const PLENTY: f64 = 1_000.0;
/// Share of the batch by which an ingredient is added to read what it holds in company.
const STEP: f64 = 1e-4;
/// How far the lines may stray from the full model near the aim; hard limits are widened by this
/// before anything is ruled out, and a proof gives it away. `tests/swap_dense.rs` keeps them over
/// generated mixes whose figure is the aim and whose solids lie within eight points of the mix as it was.
/// Sweetness is exact; intense sweeteners, which level off, are taken at their stated ratio here, and only the full model knows their curve.
const FREEZING_MARGIN: f64 = 0.12;
const FROZEN_MARGIN: f64 = 1.2;
const SWEETNESS_MARGIN: f64 = 0.01;

/// One number per dial.
pub type Row = [f64; DIALS];

/// How one dial's line is read off a gram.
#[derive(Clone, Copy)]
enum Line {
    Part(Part),
    Solids,
    Salt,
    Sweetness,
    /// Liquid water held at a temperature; `slope` brings grams of water to degrees.
    Freezing {
        at: Celsius,
        slope: f64,
    },
    /// Liquid water held at a temperature against a wanted frozen share of all water.
    Frozen {
        at: Celsius,
        share: f64,
        water: f64,
    },
    /// Lactose against a wanted grams per 100 g water.
    LactoseInWater {
        aim: f64,
        water: f64,
    },
}

/// The lines of all targets for one batch.
pub struct Frame {
    /// What each line leads to.
    pub targets: Vec<Target>,
    /// How far each line may stray from the full model.
    pub margin: Row,
    lines: Vec<Line>,
    offset: Row,
    batch: f64,
    /// The mix as it was: the solution in which every ingredient holds its water.
    company: Sums,
}

impl Frame {
    /// Lines for `targets` of a batch that now has the state `before`; targets whose dial has no
    /// figure are dropped.
    pub fn new(targets: &[Target], before: &State) -> Self {
        let batch = before.sums.grams;
        let mut frame = Frame {
            targets: vec![],
            margin: [0.0; DIALS],
            lines: vec![],
            offset: [0.0; DIALS],
            batch,
            company: before.sums,
        };
        for target in targets.iter().take(DIALS) {
            let Some(line) = line(target, before) else {
                continue;
            };
            let n = frame.targets.len();
            frame.margin[n] = match line {
                Line::Freezing { .. } => FREEZING_MARGIN,
                Line::Frozen { .. } => FROZEN_MARGIN,
                Line::Sweetness => SWEETNESS_MARGIN,
                Line::LactoseInWater { .. } => 0.2,
                _ => 0.0,
            };
            frame.offset[n] = match line {
                Line::Freezing { .. } | Line::Frozen { .. } | Line::LactoseInWater { .. } => {
                    target.aim
                }
                _ => 0.0,
            };
            frame.targets.push(*target);
            frame.lines.push(line);
        }
        frame
    }

    /// What a mass of these sums adds to each line.
    pub fn row(&self, sums: &Sums) -> Row {
        let mut row = [0.0; DIALS];
        let percent = 100.0 / self.batch;
        for (cell, line) in row.iter_mut().zip(&self.lines) {
            *cell = match line {
                Line::Part(part) => percent * sums.part(*part),
                Line::Solids => {
                    percent * (sums.grams - sums.part(Part::Water) - sums.part(Part::Alcohol))
                }
                Line::Salt => percent * sums.part(Part::Sodium) / 1000.0 * 2.5,
                Line::Sweetness => percent * sums.sweetness,
                Line::Freezing { at, slope } => {
                    (sums.part(Part::Water) - self.held(sums, *at)) / slope
                }
                Line::Frozen { at, share, water } => {
                    100.0 * (sums.part(Part::Water) * (1.0 - share) - self.held(sums, *at)) / water
                }
                Line::LactoseInWater { aim, water } => {
                    (100.0 * sums.part(Part::Lactose) - aim * sums.part(Part::Water)) / water
                }
            };
        }
        row
    }

    /// Liquid water that a mass holds at a temperature, dissolved together with the mix as it was:
    /// solutes hold more water in company than each does alone.
    fn held(&self, sums: &Sums, at: Celsius) -> f64 {
        if sums.grams <= 0.0 {
            return 0.0;
        }
        let share = STEP * self.company.grams / sums.grams;
        (held_water(&(self.company + *sums * share), at) - held_water(&self.company, at)) / share
    }

    /// The dial figures of a whole batch whose lines add up to `row`.
    pub fn figures(&self, row: &Row) -> Row {
        let mut figures = *row;
        for (figure, offset) in figures.iter_mut().zip(self.offset) {
            *figure += offset;
        }
        figures
    }

    /// Whether a state oversteps a hard limit.
    pub fn breaks(&self, state: &State) -> bool {
        let figure = |t: &Target| state.dial(t.dial);
        self.targets
            .iter()
            .any(|t| figure(t).is_some_and(|figure| t.breaks(figure)))
    }

    /// The largest miss of a state over all targets.
    pub fn miss(&self, state: &State) -> f64 {
        self.targets
            .iter()
            .map(|t| {
                state
                    .dial(t.dial)
                    .map_or(f64::INFINITY, |figure| t.miss(figure))
            })
            .fold(0.0, f64::max)
    }
}

fn line(target: &Target, before: &State) -> Option<Line> {
    let water = before.sums.part(Part::Water);
    Some(match target.dial {
        Dial::Sweetness => Line::Sweetness,
        Dial::TotalSolids => Line::Solids,
        Dial::Salt => Line::Salt,
        Dial::Water => Line::Part(Part::Water),
        Dial::Fat => Line::Part(Part::Fat),
        Dial::Protein => Line::Part(Part::Protein),
        Dial::Sugars => Line::Part(Part::Sugars),
        Dial::Lactose => Line::Part(Part::Lactose),
        Dial::Msnf => Line::Part(Part::MilkSolidsNotFat),
        Dial::Polyols => Line::Part(Part::Polyols),
        Dial::Starch => Line::Part(Part::Starch),
        Dial::Fibre => Line::Part(Part::Fibre),
        Dial::Alcohol => Line::Part(Part::Alcohol),
        Dial::Stabiliser => Line::Part(Part::StabiliserContent),
        Dial::Emulsifier => Line::Part(Part::EmulsifierContent),
        Dial::Energy => Line::Part(Part::EnergyEu),
        Dial::Price => Line::Part(Part::Price),
        Dial::LactoseInWater => Line::LactoseInWater {
            aim: target.aim,
            water: water.max(1e-9),
        },
        Dial::FreezingPoint => {
            let at = Celsius::new(target.aim.min(-0.02))?;
            let warmer = Celsius::new(at.get() + 0.01)?;
            // Liquid water the present mix holds, per degree: brings grams of water to degrees.
            let slope = (held_water(&before.sums, warmer) - held_water(&before.sums, at)) / 0.01;
            (slope > 0.0).then_some(Line::Freezing { at, slope })?
        }
        Dial::FrozenAt18 => Line::Frozen {
            at: Celsius::new(FREEZER)?,
            share: target.aim / 100.0,
            water: water.max(1e-9),
        },
        Dial::FrozenAt12 => Line::Frozen {
            at: Celsius::new(CABINET)?,
            share: target.aim / 100.0,
            water: water.max(1e-9),
        },
    })
}

/// Liquid water that the solutes of a mass hold at a temperature, g; its own water does not matter.
fn held_water(sums: &Sums, at: Celsius) -> f64 {
    let mut diluted = sums.solution;
    let plenty = PLENTY * sums.grams;
    diluted.add_water(plenty);
    let all = plenty + sums.solution.water_grams();
    diluted
        .frozen_fraction(at)
        .map_or(0.0, |frozen| (1.0 - frozen) * all)
}
