//! How much: `200 g of`, `half of the`, `2 cups`, `3 yolks`.

use crate::model::Catalogue;

use super::goal::share;
use super::question::Amount;
use super::sense::{Cue, Push, Sense, Unit};
use super::sentence::Sentence;

/// An amount of one ingredient.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Quantity {
    /// Grams or a share.
    Known(Amount),
    /// Millilitres of something whose density is not known.
    Volume(f64),
}

impl Sentence {
    /// `2 litres and a half` is two and a half litres.
    pub fn with_halves_added(mut self) -> Sentence {
        for at in 0..self.len() {
            let weighed = matches!(
                self.unit(at + 1),
                Some(Unit::Grams(_) | Unit::Millilitres(_))
            );
            let half = self.after(at + 3);
            let is_half = self.means(
                half,
                |s| matches!(s, Sense::Share(share, _) if *share == 0.5),
            ) || self.number(half) == Some(0.5);
            let next = self.after(half + 1);
            let other = self.ingredient(next).is_some()
                || self.group(next).is_some()
                || self.dial(next).is_some()
                || self.unit(next).is_some();
            let Some(number) = self.number(at) else {
                continue;
            };
            if weighed && self.is(at + 2, Cue::And) && is_half && !other {
                self.pieces[at].senses = vec![Sense::Number(number + 0.5)];
                for piece in &mut self.pieces[at + 2..=half] {
                    piece.senses = vec![Sense::Filler(false)];
                }
            }
        }
        self
    }
}

/// The quantity that stands right before the noun at `noun`; its words are taken.
pub(super) fn quantity(
    sentence: &mut Sentence,
    noun: usize,
    id: Option<&str>,
    catalogue: &Catalogue,
) -> Option<Quantity> {
    let mut before = sentence.before(noun)?;
    if sentence.is(before, Cue::Of) {
        before = sentence.before(before)?;
        if sentence.comma(before) {
            // `a tin, 400 g, of coconut milk`
            before = sentence.before(before)?;
        }
    }
    let extra = sentence.is(before, Cue::Add)
        || sentence.has(Cue::Add) && sentence.push(before) == Some(Push::Raise);
    if extra
        && let Some(measure) = sentence.before(before)
        && (sentence.unit(measure).is_some() || sentence.number(measure).is_some())
    {
        // `30 g too much sugar`, `20 g extra inulin`
        before = measure;
    }
    let share_word = sentence.find(before, |s| match s {
        Sense::Share(share, assumed) => Some((*share, assumed.clone())),
        _ => None,
    });
    if let Some((share, assumed)) = share_word {
        // `half a cup of`: the share is of the unit and is read below.
        sentence.assume(&assumed);
        sentence.take_all(before, noun - 1);
        return Some(Quantity::Known(Amount::Share(share)));
    }
    if let Some(unit) = sentence.unit(before) {
        let number_at = sentence.before(before);
        let (number, first) = match number_at.and_then(|n| Some((count(sentence, n)?, n))) {
            Some((number, n)) => mixed(sentence, number, n),
            // `a teaspoon of`
            None => (1.0, before),
        };
        let found = match unit {
            Unit::Grams(grams) => Quantity::Known(Amount::Grams(number * grams)),
            Unit::Percent => Quantity::Known(Amount::Share(share(number))),
            Unit::Millilitres(ml) => {
                let density = id
                    .and_then(|id| catalogue.key(id))
                    .and_then(|key| catalogue.ingredient(key).number("density"));
                match density {
                    Some(density) => Quantity::Known(Amount::Grams(rounded(number * ml * density))),
                    None => Quantity::Volume(number * ml),
                }
            }
            _ => return None,
        };
        sentence.take_all(first, noun - 1);
        return Some(found);
    }
    let number = sentence.number(before)?;
    let grams = piece_grams(catalogue, id?)?;
    sentence.take_all(before, noun - 1);
    sentence.assume(&format!(
        "one {} is taken as {grams} g",
        id.unwrap_or_default().replace('-', " ")
    ));
    Some(Quantity::Known(Amount::Grams(number * grams)))
}

/// `1 1/2`: a whole number and a fraction.
fn mixed(sentence: &Sentence, fraction: f64, at: usize) -> (f64, usize) {
    match at.checked_sub(1).and_then(|n| sentence.number(n)) {
        Some(whole) if fraction < 1.0 && whole >= 1.0 => (whole + fraction, at - 1),
        _ => (fraction, at),
    }
}

/// A number, or `half` before a unit.
fn count(sentence: &Sentence, at: usize) -> Option<f64> {
    sentence.number(at).or_else(|| {
        sentence.find(at, |s| match s {
            Sense::Share(share, _) => Some(*share),
            _ => None,
        })
    })
}

/// Grams to a hundredth.
fn rounded(grams: f64) -> f64 {
    (grams * 100.0).round() / 100.0
}

/// What one of it weighs, g.
fn piece_grams(catalogue: &Catalogue, id: &str) -> Option<f64> {
    let mut pieces = catalogue.naming.pieces.iter();
    let whole = pieces.find(|piece| piece.ingredient == id && piece.piece.is_empty())?;
    Some(whole.typical)
}
