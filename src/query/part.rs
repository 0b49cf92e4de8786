//! How far a dial moves, as a part of what it is: `10 % off the cost`, `sweetness -5 %`.

use crate::model::{Aim, Goal};

use super::goal::share;
use super::sense::{Cue, Sense, Unit};
use super::sentence::Sentence;

/// `10 % off the cost`, `a third off the sugar`.
pub(super) fn taken_off(sentence: &mut Sentence, at: usize) -> Option<Goal> {
    let (part, end) = part(sentence, at)?;
    let off = sentence.pieces.get(end)?.text.eq_ignore_ascii_case("off");
    let noun = sentence.after(end + 1);
    let (dial, inverse) = sentence.dial(noun).filter(|_| off)?;
    if let Some(verb) = sentence
        .before(at)
        .filter(|&n| sentence.push(n).is_some() || sentence.is(n, Cue::Remove))
    {
        sentence.take(verb);
    }
    sentence.take_all(at, noun);
    let sign = if inverse { 1.0 } else { -1.0 };
    Some(Goal {
        dial,
        aim: Aim::Relative(sign * part),
    })
}

/// `sweetness -5 %`, `fibre +20 %`: a signed figure says how far.
pub(super) fn signed(sentence: &mut Sentence, at: usize) -> Option<Goal> {
    let (dial, inverse) = sentence.dial(at)?;
    let plus = sentence.pieces.get(at + 1).is_some_and(|p| p.text == "+");
    let place = at + 1 + usize::from(plus);
    let number = sentence.number(place)?;
    let percent = matches!(sentence.unit(place + 1), Some(Unit::Percent));
    if !percent || !(plus || number < 0.0) {
        return None;
    }
    sentence.take_all(at, place + 1);
    let sign = if inverse { -1.0 } else { 1.0 };
    Some(Goal {
        dial,
        aim: Aim::Relative(sign * share(number)),
    })
}

/// A share and the place after it: `a third`, `10 %`.
pub(super) fn part(sentence: &mut Sentence, at: usize) -> Option<(f64, usize)> {
    let said = sentence.find(at, |s| match s {
        Sense::Share(share, assumed) => Some((*share, assumed.clone())),
        _ => None,
    });
    if let Some((share, assumed)) = said {
        sentence.assume(&assumed);
        return Some((share, at + 1));
    }
    let number = sentence.number(at)?;
    matches!(sentence.unit(at + 1), Some(Unit::Percent)).then(|| (share(number), at + 2))
}
