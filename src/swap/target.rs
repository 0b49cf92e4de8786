//! What each dial should come to: an aim, how far either side still counts, and hard limits.

use std::collections::BTreeMap;

use crate::formula::{Assessor, Dish, Formula, Part, State};
use crate::model::{Aim, Catalogue, Dial, DishKind, RuleKind, Wish};

/// Fat per gram of water from which a dish that is not frozen is a paste of fat, as ganache is.
/// Source: common-practice (a ganache holds more fat than water, a rich sauce half as much).
const FAT_PHASE: f64 = 0.8;
/// Share of water below which a dish keeps by how little of it is free, as ganache and jam do.
/// Source: common-practice.
pub const KEEPS_DRY: f64 = 0.4;
/// Width within which the little water of such a dish is bound alike, in tolerances of the freezing point:
/// half a kelvin is some 0.005 of its water activity.
/// Source: derived (Raoult: 1 K of freezing point is about 0.01 of water activity).
const BOUND_ALIKE: f64 = 5.0;

/// A figure asked for holds within this part of its tolerance: what is weighed is rounded.
const WEIGHED: f64 = 4.0;

/// How many steps a plain "raise" or "lower" aims at; one step is the least that counts.
pub(super) const STEPS_AIMED: f64 = 2.0;
/// How many steps beyond the aim a plain "raise" or "lower" may go before it counts as a miss.
const STEPS_BEYOND: f64 = 4.0;

/// Figure below which a relative tolerance shrinks no further.
const LEAST_FIGURE: f64 = 1e-3;

/// How closely a dial is kept, and which step a person notices.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Feel {
    /// Kept when within this.
    pub tolerance: f64,
    /// Least change worth calling one.
    pub step: f64,
    /// Width in tolerances within which it is held unasked; 0 is not held.
    pub guard: f64,
    /// The same where a formula's own lines are edited.
    pub guard_edited: f64,
    /// The same, both ways, in a dish that is not frozen; `None` where it is no other.
    pub guard_unfrozen: Option<f64>,
    /// Share of the figure that a plain more or less of it moves.
    pub tasted: f64,
    /// Unasked, only a rise is held against.
    pub only_rise: bool,
}

/// The feel of every dial the rules state, for a mix that is in this state now.
pub fn feels(catalogue: &Catalogue, now: &State) -> BTreeMap<Dial, Feel> {
    let entries = catalogue.rules.iter().filter_map(|rule| match &rule.kind {
        RuleKind::Dial {
            dial,
            tolerance,
            step,
            guard,
            guard_edited,
            guard_unfrozen,
            tasted,
            only_rise,
            relative,
        } => {
            let scale = match relative {
                true => now.dial(*dial)?.abs().max(LEAST_FIGURE) / 100.0,
                false => 1.0,
            };
            let feel = Feel {
                tolerance: *tolerance * scale,
                step: *step * scale,
                guard: *guard,
                guard_edited: *guard_edited,
                guard_unfrozen: *guard_unfrozen,
                tasted: *tasted / 100.0,
                only_rise: *only_rise,
            };
            Some((*dial, feel))
        }
        _ => None,
    });
    entries.collect()
}

/// The feel of every dial in a formula, by the kind of dish it is: ice, and solids as such, are nothing to
/// hold where nothing freezes; where fat outweighs half the water, the water is what keeps it a paste.
pub fn feels_in(assessor: Assessor<'_>, formula: &Formula, now: &State) -> BTreeMap<Dial, Feel> {
    let mut feels = feels(assessor.catalogue, now);
    if Dish::of(assessor, formula, now).kind == DishKind::Frozen {
        return feels;
    }
    let part = |part| now.sums.part(part);
    let paste = part(Part::Fat) > FAT_PHASE * part(Part::Water);
    let dry = part(Part::Water) < KEEPS_DRY * now.sums.grams;
    for (dial, feel) in &mut feels {
        let Some(guard) = feel.guard_unfrozen else {
            continue;
        };
        // The water of a paste, and what binds the little water of what keeps by being dry.
        let of_water = matches!(dial, Dial::TotalSolids | Dial::FreezingPoint);
        if dry && *dial == Dial::FreezingPoint {
            feel.guard = BOUND_ALIKE;
            feel.guard_edited = BOUND_ALIKE;
        } else if !(of_water && (dry || paste)) {
            feel.guard = guard;
            feel.guard_edited = guard;
        }
    }
    feels
}

/// Where one dial should come to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Target {
    /// Which dial.
    pub dial: Dial,
    /// The person named it; otherwise it is held as a guard.
    pub asked: bool,
    /// What the person asked; `Keep` for guards.
    pub wish: Aim,
    /// The best figure.
    pub aim: f64,
    /// Distance below the aim that counts as a miss of one; infinite where it never counts.
    pub below: f64,
    /// Distance above the aim that counts as a miss of one.
    pub above: f64,
    /// Nothing under this will do.
    pub floor: f64,
    /// Nothing over this will do.
    pub ceiling: f64,
}

impl Target {
    /// How far a figure misses: 0 at the aim, 1 at the edge of what was asked.
    pub fn miss(&self, figure: f64) -> f64 {
        let soft = self.strays(figure);
        if self.breaks(figure) {
            soft.max(1.0) + 1.0
        } else {
            soft
        }
    }

    /// How far a figure lies from the aim, in widths of its side, hard limits aside.
    pub fn strays(&self, figure: f64) -> f64 {
        if figure < self.aim {
            (self.aim - figure) / self.below
        } else {
            (figure - self.aim) / self.above
        }
    }

    /// Whether a figure oversteps a hard limit; by a hundredth of the dial's scale is rounding.
    pub fn breaks(&self, figure: f64) -> bool {
        let slack = 0.02 * self.below.min(self.above);
        figure < self.floor - slack || figure > self.ceiling + slack
    }
}

/// Targets for a wish, from the state before; guards for the dials nobody named.
///
/// A dial that cannot be computed is left out, and a goal on it is returned as unmet.
pub fn targets(
    wish: &Wish,
    before: &State,
    feels: &BTreeMap<Dial, Feel>,
) -> (Vec<Target>, Vec<Dial>) {
    let mut targets = vec![];
    let mut unknown = vec![];
    for (dial, ..) in Dial::ALL {
        let feel = feels.get(&dial).copied().unwrap_or(Feel {
            tolerance: 1.0,
            step: 1.0,
            guard: 0.0,
            guard_edited: 0.0,
            guard_unfrozen: None,
            tasted: 0.0,
            only_rise: false,
        });
        let aim = wish.aim(dial);
        match (aim, before.dial(dial)) {
            (Some(_), None) => unknown.push(dial),
            (Some(aim), Some(now)) => targets.push(asked(dial, aim, now, feel)),
            (None, Some(now)) if feel.guard > 0.0 && !implied(dial, wish) => {
                targets.push(held(dial, now, feel))
            }
            _ => {}
        }
    }
    (targets, unknown)
}

/// Guards that a goal makes void: frozen water and freezing point are one thing, and so are water and solids.
fn implied(dial: Dial, wish: &Wish) -> bool {
    let named = |dials: &[Dial]| dials.iter().any(|d| wish.aim(*d).is_some());
    match dial {
        Dial::FreezingPoint => named(&[Dial::FrozenAt12, Dial::FrozenAt18]),
        Dial::TotalSolids => named(&[Dial::Water]),
        Dial::Lactose => named(&[Dial::LactoseInWater, Dial::Msnf]),
        _ => false,
    }
}

fn held(dial: Dial, now: f64, feel: Feel) -> Target {
    let width = feel.tolerance * feel.guard;
    Target {
        dial,
        asked: false,
        wish: Aim::Keep,
        aim: now,
        below: if feel.only_rise { f64::INFINITY } else { width },
        above: width,
        floor: f64::NEG_INFINITY,
        ceiling: f64::INFINITY,
    }
}

fn asked(dial: Dial, wish: Aim, now: f64, feel: Feel) -> Target {
    let (floor, ceiling) = (f64::NEG_INFINITY, f64::INFINITY);
    let base = Target {
        dial,
        asked: true,
        wish,
        aim: now,
        below: feel.tolerance,
        above: feel.tolerance,
        floor,
        ceiling,
    };
    let wide = feel.step * STEPS_BEYOND;
    match wish {
        Aim::Keep => base,
        // One step short of the aim is the least that counts.
        Aim::Raise => Target {
            aim: now + feel.step * STEPS_AIMED,
            below: feel.step * (STEPS_AIMED - 1.0),
            above: wide,
            ..base
        },
        Aim::Lower => Target {
            aim: now - feel.step * STEPS_AIMED,
            above: feel.step * (STEPS_AIMED - 1.0),
            below: wide,
            ..base
        },
        Aim::AtLeast(least) => {
            let aim = now.max(least);
            Target {
                aim,
                below: (aim - least).max(feel.tolerance / 10.0),
                above: wide,
                floor: least,
                ..base
            }
        }
        Aim::AtMost(most) => {
            let aim = now.min(most);
            Target {
                aim,
                above: (most - aim).max(feel.tolerance / 10.0),
                below: wide,
                ceiling: most,
                ..base
            }
        }
        Aim::Between(low, high) => {
            // A narrow span is a figure with its rounding: its middle is meant, as near as a scale
            // weighs it.
            let figure = high - low <= 2.0 * feel.tolerance;
            let aim = if figure {
                (low + high) / 2.0
            } else {
                now.clamp(low, high)
            };
            let edge = feel.tolerance / if figure { WEIGHED } else { 10.0 };
            let (below, above) = ((aim - low).max(edge), (high - aim).max(edge));
            Target {
                aim,
                below,
                above,
                floor: low.min(aim - below),
                ceiling: high.max(aim + above),
                ..base
            }
        }
        Aim::Relative(share) => Target {
            aim: now + share * now.abs(),
            below: feel.tolerance / WEIGHED,
            above: feel.tolerance / WEIGHED,
            ..base
        },
    }
}
