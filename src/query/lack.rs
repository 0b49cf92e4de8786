//! What there is none of, and what is offered for it: `golden syrup is sold out, honey ok?`.

use super::sense::{Cue, Sense};
use super::sentence::Sentence;

impl Sentence {
    /// `which flours have no gluten`: what a kind lacks is no thing run out of.
    pub fn with_kinds_lacking(mut self) -> Sentence {
        for at in 0..self.len() {
            let kind = self.before(at).is_some_and(|n| self.group(n).is_some());
            let next = self.after(at + 1);
            let held = self.allergen(next).is_some() || self.property(next).is_some();
            if self.is(at, Cue::Lack) && kind && held {
                self.pieces[at].senses = vec![Sense::Cue(Cue::Without)];
            }
        }
        self
    }
}

/// `golden syrup isn't sold here`: what is lacking stands before the words that say so.
pub(super) fn lacked_before(sentence: &Sentence, at: usize) -> bool {
    let thing = |n: usize| {
        let senses = &sentence.pieces[n].senses;
        let named = |s: &Sense| {
            matches!(
                s,
                Sense::Ingredient(_) | Sense::Group(..) | Sense::Allergen(..)
            )
        };
        senses.iter().any(named)
    };
    sentence.is(at, Cue::Lacked)
        && (0..at)
            .rev()
            .find(|&n| !sentence.fills_ever(n))
            .is_some_and(thing)
}

/// `in my recipe stands icing sugar; I have only vanilla sugar`: the one there is stands in.
pub(super) fn only_had(sentence: &Sentence, at: usize) -> bool {
    let named = |n: &usize| sentence.ingredient(*n).is_some() && sentence.dish(*n).is_none();
    let stop =
        |n: usize| sentence.comma(n) || matches!(sentence.pieces[n].text.as_str(), "." | "?" | "!");
    let end = (at + 1..sentence.len())
        .find(|&n| stop(n))
        .unwrap_or(sentence.len());
    let one = (at + 1..end).filter(named).count() == 1;
    // `I only have guar gum, no locust bean gum`
    let lacking = |n: usize| n > 0 && sentence.is(n - 1, Cue::Without);
    let other = (0..at)
        .chain(end..sentence.len())
        .any(|n| named(&n) && !lacking(n));
    sentence.is(at, Cue::Only) && sentence.is(at, Cue::Have) && one && other
}

/// Words that offer what stands beside them.
const OFFERS: [&str; 14] = [
    "ok", "okay", "do", "fine", "good", "any good", "alright", "instead", "work", "works", "will",
    "would", "can", "is",
];

/// `, ricotta ok`: the end of a clause, and after it what is offered for what is lacking.
pub(super) fn offered(sentence: &Sentence, at: usize) -> bool {
    let text = sentence.pieces[at].text.as_str();
    let stop = matches!(text, "." | "?" | "!" | ":");
    let asks = [
        "is", "will", "would", "can", "could", "does", "do", "might", "may",
    ]
    .contains(&text.to_lowercase().as_str());
    if !stop && !sentence.comma(at) && !asks {
        return false;
    }
    let named = |n: usize| sentence.ingredient(n).is_some() && sentence.dish(n).is_none();
    let offers = |n: usize| {
        let text = sentence.pieces[n].text.to_lowercase();
        OFFERS.contains(&text.as_str())
    };
    let rest = || at + 1..sentence.len();
    let listed = rest().any(|n| sentence.is(n, Cue::And) || sentence.is(n, Cue::Or));
    rest().any(named) && (stop || asks || !listed || rest().any(offers))
}
