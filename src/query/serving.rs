//! Where the frozen water counts: in the freezer at -18 C, in the display cabinet at -12 C.

use crate::model::{Dial, Goal};

use super::sense::{Cue, Sense, Unit};
use super::sentence::Sentence;

impl Sentence {
    /// `hardness at -12 C`: the place of serving belongs to the dial.
    pub fn with_places_of_serving(mut self) -> Sentence {
        for at in 0..self.len() {
            let frozen = |s: &Sense| {
                matches!(
                    s,
                    Sense::Dial(Dial::FrozenAt18, _) | Sense::Quality(Dial::FrozenAt18, ..)
                )
            };
            if !self.means(at, frozen) {
                continue;
            }
            let mut place = at + 1;
            while self.fills(place) || self.is(place, Cue::At) {
                place += 1;
            }
            // No mix is frozen at 18 C: the minus is meant.
            let dial = match self.celsius(place).map(f64::abs) {
                Some(18.0) => Dial::FrozenAt18,
                Some(12.0) => Dial::FrozenAt12,
                _ => continue,
            };
            for sense in &mut self.pieces[at].senses {
                if let Sense::Dial(said, _) | Sense::Quality(said, ..) = sense
                    && *said == Dial::FrozenAt18
                {
                    *said = dial;
                }
            }
            let last = place + usize::from(matches!(self.unit(place + 1), Some(Unit::Celsius)));
            for piece in &mut self.pieces[at + 1..=last] {
                piece.senses = vec![Sense::Filler(false)];
            }
        }
        self
    }

    /// The temperature at a place.
    fn celsius(&self, at: usize) -> Option<f64> {
        self.find(at, |s| match s {
            Sense::Temperature(celsius) | Sense::Number(celsius) => Some(*celsius),
            _ => None,
        })
    }
}

/// `straight from the freezer`, `in the display cabinet`, `at -12 C`: where the frozen water counts.
pub(super) fn serve(sentence: &mut Sentence, goals: &mut [Goal]) {
    for at in 0..sentence.len() {
        let dial = match sentence.celsius(at) {
            Some(-18.0) => Dial::FrozenAt18,
            Some(-12.0) => Dial::FrozenAt12,
            _ => continue,
        };
        let frozen = |d: Dial| matches!(d, Dial::FrozenAt18 | Dial::FrozenAt12);
        if let Some(goal) = goals.iter_mut().find(|goal| frozen(goal.dial)) {
            goal.dial = dial;
            sentence.take(at);
            if matches!(sentence.unit(at + 1), Some(Unit::Celsius)) {
                sentence.take(at + 1);
            }
        }
    }
}
