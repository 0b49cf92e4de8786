//! What an equation answers: a value, how far it may be off, and whether it left its range.

use crate::model::unit::KelvinDelta;
use crate::physics::osmolyte::Osmolyte;

/// A computed quantity with how far it may be off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading<T> {
    /// The quantity.
    pub value: T,
    /// Half-width of the band the evidence supports, as a temperature.
    pub model_error: KelvinDelta,
    /// Why the reading lies outside what was checked; `None` inside.
    pub range: Option<Beyond>,
}

/// Frozen water with its band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frozen {
    /// Share of the water that is ice, 0 to 1.
    pub share: f64,
    /// The share were the mix to freeze as much lower as the model may be off.
    pub low: f64,
    /// The share were the mix to freeze as much higher as the model may be off.
    pub high: f64,
    /// Why the reading lies outside what was checked; `None` inside.
    pub range: Option<Beyond>,
}

/// Why a reading lies outside what was checked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beyond {
    /// The unfrozen phase has reached the freeze limit: freezing stops for want of mobility.
    FreezeLimit,
    /// The temperature is colder than the ice line was compared.
    IceLine,
    /// An osmolyte is stronger than its data reach.
    Osmolyte(Osmolyte),
}
