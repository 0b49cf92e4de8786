//! Ice and liquid in equilibrium, per mole of water: the two roots behind every freezing answer.

use crate::model::unit::{Celsius, KelvinDelta};
use crate::physics::ice;
use crate::physics::osmolyte::Osmolyte;
use crate::physics::reading::{Beyond, Reading};

/// Molar mass of water, g/mol. Source: crc-102.
pub const WATER_MOLAR_MASS: f64 = 18.015_28;
/// Dissolved solids of the unfrozen phase at which freezing stops, as a share of its mass.
/// Source: roos-karel-1991 (memory): 79 to 81 % for sugars; 73 to 87 % is the published spread.
pub const FREEZE_LIMIT: f64 = 0.8;
/// Half-width of every reading, K: rounding and smoothing of the tables the model rests on.
/// Source: derived from crc-102 rows.
const ERROR_FLOOR: f64 = 0.02;
/// Half-width added per kelvin of depression: the miss of the form and of the mixture rule.
/// Source: derived from crc-102 rows predicted from constants fitted below 20 %.
const ERROR_PER_KELVIN: f64 = 0.02;
/// Newton steps after which a root is taken as found; five are enough from a cold start.
const STEPS: usize = 40;
/// Change of the concentration factor, relative, at which a root is found.
const CLOSE: f64 = 1.0e-10;

/// A solution per mole of its water, which is all the equations see.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Equilibrium {
    /// Moles of molecular solutes.
    pub(crate) solute: f64,
    /// Sum of `sqrt(K)` on the ice line.
    pub(crate) q_ice: f64,
    /// Sum of `sqrt(K)` at 20 °C.
    pub(crate) q_20: f64,
    /// Sum of the softening.
    pub(crate) beta: f64,
    /// Sum of the half-widths of `sqrt(K)` on the ice line.
    pub(crate) q_doubt: f64,
    /// Molality of each osmolyte, mol/kg.
    pub(crate) molality: [f64; Osmolyte::COUNT],
    /// Grams dissolved per gram of water.
    pub(crate) solids: f64,
}

/// Which set of constants the activity is taken with.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Line {
    /// Of the ice line.
    Ice,
    /// Of 20 °C.
    Twenty,
}

/// Share of the water that is ice when the liquid has shrunk by this factor.
pub(crate) fn frozen_share(factor: f64) -> f64 {
    1.0 - 1.0 / factor
}

impl Equilibrium {
    /// Logarithm of the activity and its slope, when the water has shrunk by this factor.
    pub(crate) fn ln_activity(&self, line: Line, factor: f64) -> (f64, f64) {
        let crowd = 1.0 + self.solute * factor;
        let per_crowd = 1.0 / crowd;
        let (q, beta) = match line {
            Line::Ice => (self.q_ice, self.beta),
            Line::Twenty => (self.q_20, 0.0),
        };
        let reach = factor * per_crowd;
        let reach_slope = per_crowd * per_crowd;
        let s = q * reach;
        let soft = 1.0 - beta * reach;
        let mut value = -(self.solute * factor).ln_1p() - s * s * soft;
        let mut slope =
            -self.solute * per_crowd - reach_slope * (2.0 * s * q * soft - s * s * beta);
        for (index, &molality) in self.molality.iter().enumerate() {
            if molality > 0.0 {
                let constants = Osmolyte::ALL[index].constants();
                let phi = match line {
                    Line::Ice => &constants.phi,
                    Line::Twenty => &constants.phi_20,
                };
                let (strength, per_molality) = constants.strength(phi, molality * factor);
                value -= WATER_MOLAR_MASS / 1000.0 * strength;
                slope -= WATER_MOLAR_MASS / 1000.0 * per_molality * molality;
            }
        }
        (value, slope)
    }

    /// Largest factor by which the water may shrink before the freeze limit.
    pub(crate) fn most_concentrated(&self) -> f64 {
        let limit = FREEZE_LIMIT / (1.0 - FREEZE_LIMIT) / self.solids;
        limit.max(1.0)
    }

    /// Factor by which the liquid water has shrunk at this temperature, one where none has frozen.
    /// Infinite for pure water below its freezing point.
    pub(crate) fn concentration(&self, temperature: Celsius, start: Option<f64>) -> f64 {
        let target = ice::ln_water_activity(temperature);
        let (fresh, fresh_slope) = self.ln_activity(Line::Ice, 1.0);
        if fresh <= target {
            return 1.0;
        }
        let most = self.most_concentrated();
        if most.is_infinite() {
            return most;
        }
        if self.ln_activity(Line::Ice, most).0 >= target {
            return most;
        }
        let (mut low, mut high) = (1.0, most);
        let mut factor = match start {
            Some(start) if start > low && start < high => start,
            _ => (1.0 + (target - fresh) / fresh_slope).clamp(low, high),
        };
        for _ in 0..STEPS {
            let (value, slope) = self.ln_activity(Line::Ice, factor);
            if value > target {
                low = factor;
            } else {
                high = factor;
            }
            let mut next = factor + (target - value) / slope;
            // Not `<`: a NaN must not pass.
            if !(next > low && next < high) {
                next = (low * high).sqrt();
            }
            let moved = (next - factor).abs();
            factor = next;
            if moved <= CLOSE * factor {
                break;
            }
        }
        factor
    }

    /// The freezing point when the water has shrunk by this factor.
    pub(crate) fn freezing_point(&self, factor: f64) -> Reading<Celsius> {
        if factor.is_infinite() {
            return Reading {
                value: Celsius::ZERO,
                model_error: KelvinDelta::default(),
                range: None,
            };
        }
        let value = ice::melting_line(self.ln_activity(Line::Ice, factor).0);
        Reading {
            value,
            model_error: self.model_error(factor, value),
            range: self.beyond(factor, value),
        }
    }

    /// Half-width of a freezing point: the floor, the form, `K` and the osmotic coefficients.
    fn model_error(&self, factor: f64, value: Celsius) -> KelvinDelta {
        let reach = factor / (1.0 + self.solute * factor);
        let mut in_ln = 2.0 * self.q_ice * reach * self.q_doubt * reach;
        for (index, &molality) in self.molality.iter().enumerate() {
            if molality > 0.0 {
                let constants = Osmolyte::ALL[index].constants();
                let (strength, _) = constants.strength(&constants.phi, molality * factor);
                in_ln += WATER_MOLAR_MASS / 1000.0 * strength * constants.doubt;
            }
        }
        let form = if self.solids > 0.0 {
            ERROR_FLOOR - ERROR_PER_KELVIN * value.get()
        } else {
            0.0
        };
        KelvinDelta::new(form + in_ln / ice::slope(value)).unwrap_or_default()
    }

    pub(crate) fn beyond(&self, factor: f64, temperature: Celsius) -> Option<Beyond> {
        if self.solids > 0.0 && factor >= self.most_concentrated() {
            return Some(Beyond::FreezeLimit);
        }
        let strong = Osmolyte::ALL
            .into_iter()
            .find(|osmolyte| self.molality[osmolyte.index()] * factor > osmolyte.constants().clamp);
        if let Some(osmolyte) = strong {
            return Some(Beyond::Osmolyte(osmolyte));
        }
        (temperature < ice::COLDEST_CHECKED).then_some(Beyond::IceLine)
    }
}
