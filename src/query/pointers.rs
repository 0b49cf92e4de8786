//! Signs between two things: an arrow swaps the first for the second, a stroke sets them against
//! each other.

use super::sense::{Cue, Sense};
use super::sentence::Sentence;

/// Cues of a text in which things named side by side are not compared.
const NOT_COMPARED: [Cue; 9] = [
    Cue::Swap,
    Cue::Replace,
    Cue::ReplacedBy,
    Cue::Substitute,
    Cue::Instead,
    Cue::Without,
    Cue::Free,
    Cue::Remove,
    Cue::Add,
];

impl Sentence {
    /// Gives `→` and `/` the direction they have between names.
    pub fn with_pointers(mut self) -> Sentence {
        for at in 0..self.len() {
            match self.pieces[at].text.as_str() {
                "→" => {
                    let sense = self.pointed(at);
                    if sense == Sense::Cue(Cue::ReplacedBy) {
                        self.lead_with_amount(at);
                    }
                    self.pieces[at].senses = vec![sense];
                }
                "/" => {
                    if let Some(senses) = self.set_against(at) {
                        self.pieces[at].senses = senses;
                    }
                }
                _ => {}
            }
        }
        self
    }

    /// `butter 50 g → oil` swaps, `4 % → 6 %` leads from one figure to another, and `maltitol →
    /// brix?` asks.
    fn pointed(&self, at: usize) -> Sense {
        let thing = |n: usize| {
            self.ingredient(n).is_some() || self.group(n).is_some() || self.allergen(n).is_some()
        };
        let figure = |n: usize| self.number(n).is_some() || self.unit(n).is_some();
        let named_before = (0..at)
            .rev()
            .find(|&n| !self.fills(n) && !figure(n) && !self.is(n, Cue::Of));
        let named_after =
            (at + 1..self.len()).find(|&n| !self.fills(n) && !figure(n) && !self.is(n, Cue::Of));
        let asks = |n: usize| self.says(n, &["when", "how", "what", "why", "which", "where"]);
        let named_after = named_after.filter(|&n| !(at..n).any(asks));
        match (named_before, named_after) {
            (Some(before), Some(after)) if thing(before) && thing(after) => {
                Sense::Cue(Cue::ReplacedBy)
            }
            _ if figure(self.after(at + 1)) => Sense::Cue(Cue::To),
            _ => Sense::Sign(','),
        }
    }

    /// `butter 50 g → oil`: the amount is told before what it is of.
    fn lead_with_amount(&mut self, arrow: usize) {
        let Some(name) = arrow.checked_sub(3) else {
            return;
        };
        let weighed = self.number(name + 1).is_some() && self.unit(name + 2).is_some();
        if weighed && self.ingredient(name).is_some() {
            self.pieces[name..arrow].rotate_left(1);
        }
    }

    /// `rice syrup / maple syrup`: compared, unless the text swaps or bars them.
    fn set_against(&self, at: usize) -> Option<Vec<Sense>> {
        let named = |n: usize| self.ingredient(n).is_some();
        let before = at.checked_sub(1)?;
        if !named(before) || !named(at + 1) {
            return None;
        }
        let barred = NOT_COMPARED.iter().any(|cue| self.has(*cue));
        Some(if barred {
            vec![Sense::Cue(Cue::Or)]
        } else {
            vec![Sense::Cue(Cue::Compare), Sense::Cue(Cue::Or)]
        })
    }
}
