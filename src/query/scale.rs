//! How large a batch is wanted: `make 3 litres`, `halve it`, `12 portions of 80 g`.

use super::goal::factored_dial;
use super::question::Batch;
use super::sense::{Cue, Sense, Unit};
use super::sentence::Sentence;

/// What a text says of the size of a batch.
pub(super) enum Size {
    /// One size.
    One(Batch),
    /// `double or triple`: one of these.
    Either(Vec<Batch>),
    /// So many portions of a weight that is not said.
    Portions(f64),
}

/// Whether a batch is to be made larger or smaller.
pub(super) fn scales(sentence: &Sentence) -> bool {
    sentence.has(Cue::Scale) || !times(sentence).is_empty()
}

/// The factors said: `double`, `five times`, `times 2.5`; with the places they take.
fn times(sentence: &Sentence) -> Vec<(f64, usize, usize)> {
    let mut found = vec![];
    for at in 0..sentence.len() {
        let factor = sentence.find(at, |s| match s {
            Sense::Factor(factor) => Some(*factor),
            _ => None,
        });
        let times = |at: usize| matches!(sentence.unit(at), Some(Unit::Times));
        if let Some(factor) = factor {
            // `halve the fat` is said of the fat.
            if factored_dial(sentence, at).is_none() {
                found.push((factor, at, at));
            }
        } else if let Some(number) = sentence.number(at) {
            if times(at + 1) {
                found.push((number, at, at + 1));
            } else if at > 0 && times(at - 1) {
                found.push((number, at - 1, at));
            }
        }
    }
    found
}

/// `batch size 3/4`: a part of the batch, where no unit is said.
fn fraction(sentence: &mut Sentence, start: usize) -> Option<Size> {
    let at = (start + 1..sentence.len()).find(|&at| !sentence.fills(at))?;
    let number = sentence.number(at)?;
    let part = sentence.is(start, Cue::Scale) && number.fract() != 0.0 && number < 10.0;
    if !part || sentence.unit(at + 1).is_some() || number <= 0.0 {
        return None;
    }
    sentence.take(at);
    Some(Size::One(Batch::Times(number)))
}

/// Words for those who eat.
const HEADS: [&str; 21] = [
    "people",
    "persons",
    "guests",
    "pax",
    "heads",
    "covers",
    "diners",
    "plates",
    "mouths",
    "clients",
    "customers",
    "regulars",
    "visitors",
    "kids",
    "children",
    "adults",
    "friends",
    "colleagues",
    "cooks",
    "eaters",
    "tables",
];

impl Sentence {
    /// `two of our catering clients refuse palm`, `grappa for kirsch, it is for forty people`: how many
    /// they are is told and changes nothing, but where a batch is to be sized.
    pub fn with_people_counted(mut self) -> Sentence {
        let exchanged = [
            Cue::Swap,
            Cue::Replace,
            Cue::ReplacedBy,
            Cue::Substitute,
            Cue::Instead,
            Cue::Lack,
            Cue::Lacked,
        ];
        let swaps = exchanged.iter().any(|cue| self.has(*cue));
        for at in 0..self.len() {
            let of = self.is(at + 1, Cue::Of);
            let passed = |n: usize| self.fills(n) || self.is(n, Cue::Of);
            let heads = (at + 1..self.len().min(at + 6))
                .find(|&n| self.says(n, &HEADS) || !passed(n))
                .is_some_and(|n| self.says(n, &HEADS));
            if self.number(at).is_some() && heads && (of || swaps) {
                self.pieces[at].senses = vec![Sense::Filler(true)];
            }
        }
        self
    }

    /// `12 covers instead of 6` is twice as much; of `5 kilos, not 1` the first counts.
    pub fn with_sizes_compared(mut self) -> Sentence {
        for at in 0..self.len() {
            let comma = self.after(at + 2);
            let joint = if self.comma(comma) {
                self.after(comma + 1)
            } else {
                comma
            };
            let against = self.is(joint, Cue::Instead) || self.is(joint, Cue::Not);
            let other = self.after(joint + 1);
            let (Some(number), Some(before)) = (self.number(at), self.number(other)) else {
                continue;
            };
            let heads = self
                .pieces
                .get(at + 1)
                .is_some_and(|p| HEADS.contains(&p.text.to_lowercase().as_str()));
            let counted = heads || matches!(self.unit(at + 1), Some(Unit::Portions));
            let weighed = matches!(
                self.unit(at + 1),
                Some(Unit::Grams(_) | Unit::Millilitres(_))
            );
            if !against || !(counted || weighed) || before <= 0.0 {
                continue;
            }
            let mut last = other;
            while self.unit(last + 1).is_some()
                || self
                    .pieces
                    .get(last + 1)
                    .is_some_and(|p| HEADS.contains(&p.text.to_lowercase().as_str()))
            {
                last += 1;
            }
            if self.ingredient(self.after(last + 1)).is_some() {
                continue;
            }
            let first = if counted { at } else { joint };
            for piece in &mut self.pieces[first..=last] {
                piece.senses = vec![Sense::Filler(false)];
            }
            if counted {
                self.pieces[at].senses = vec![Sense::Factor(number / before)];
            }
        }
        self
    }
}

/// Takes the size of the batch out of the sentence.
pub(super) fn size(sentence: &mut Sentence) -> Option<Size> {
    let named = (0..sentence.len())
        .any(|at| sentence.ingredient(at).is_some() && sentence.dish(at).is_none());
    let factors = times(sentence);
    let start = (0..sentence.len()).find(|&at| {
        sentence.is(at, Cue::Scale) || sentence.is(at, Cue::Make) || sentence.dish(at).is_some()
    });
    let measured = |unit: Option<Unit>| match unit {
        Some(Unit::Grams(grams)) => Some(Batch::Grams(grams)),
        Some(Unit::Millilitres(ml)) => Some(Batch::Millilitres(ml)),
        _ => None,
    };
    let portions = (0..sentence.len()).find(|&at| {
        sentence.number(at).is_some() && matches!(sentence.unit(at + 1), Some(Unit::Portions))
    });
    let amounts = (0..sentence.len())
        .filter(|&at| sentence.number(at).is_some() && measured(sentence.unit(at + 1)).is_some())
        .count();
    let amount = (0..sentence.len()).find_map(|at| {
        let number = sentence.number(at)?;
        Some((at, number, measured(sentence.unit(at + 1))?))
    });
    let alone = amounts == 1 && !named;
    let wanted = alone || start.is_some() || !factors.is_empty() || portions.is_some();
    if !wanted || named && !scales(sentence) && portions.is_none() {
        return None;
    }
    if let Some(start) = start
        && sentence.dish(start).is_none()
    {
        sentence.take(start);
    }
    for at in 0..sentence.len() {
        // `scale it down to`
        if matches!(sentence.pieces[at].text.as_str(), "up" | "down") && scales(sentence) {
            sentence.take(at);
        }
    }
    let sized = |number: f64, unit: Batch| match unit {
        Batch::Grams(grams) => Batch::Grams(number * grams),
        Batch::Millilitres(ml) => Batch::Millilitres(number * ml),
        Batch::Times(times) => Batch::Times(number * times),
        Batch::Of(id, grams) => Batch::Of(id, number * grams),
    };
    if let Some((at, number, unit)) = amount {
        sentence.take_all(at, at + 1);
        for (_, first, last) in &factors {
            // `double it to 3 kg`: the weight decides.
            sentence.take_all(*first, *last);
        }
        let count = match portions {
            Some(place) => {
                let count = sentence.number(place).unwrap_or(1.0);
                sentence.take_all(place, place + 1);
                count
            }
            None => 1.0,
        };
        return Some(Size::One(sized(count * number, unit)));
    }
    if let Some(place) = portions {
        let count = sentence.number(place)?;
        sentence.take_all(place, place + 1);
        return Some(Size::Portions(count));
    }
    for (_, first, last) in &factors {
        sentence.take_all(*first, *last);
    }
    let mut factors = factors;
    // `12 covers instead of 6, so double it` says it twice.
    factors.dedup_by(|one, other| one.0 == other.0);
    match factors[..] {
        [] => start.and_then(|start| fraction(sentence, start)),
        [(factor, ..)] => Some(Size::One(Batch::Times(factor))),
        _ => Some(Size::Either(
            factors.iter().map(|(f, ..)| Batch::Times(*f)).collect(),
        )),
    }
}
