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

impl Sentence {
    /// What stands in for a name that comes first: `instead of honey, maple syrup?`, `no gelatin, agar
    /// ok?`.
    pub fn with_stand_ins(mut self) -> Sentence {
        for at in 0..self.len() {
            let Some(mark) = self.mark_after(at) else {
                continue;
            };
            if self.is(at, Cue::Instead) {
                self.pieces[mark].senses = vec![Sense::Cue(Cue::Use)];
            } else if self.says(at, &["no"]) && self.closes_with_offer(mark) {
                self.pieces[at].senses = vec![Sense::Cue(Cue::Lack)];
            }
        }
        self
    }

    /// The mark after the first name, where another name follows it and nothing is asked there.
    fn mark_after(&self, at: usize) -> Option<usize> {
        let named = |n: usize| self.ingredient(n).is_some() && self.dish(n).is_none();
        let led = self.is(at, Cue::Instead) || self.is(at, Cue::Without);
        if !led || (0..at).any(|n| !self.fills(n)) {
            return None;
        }
        let thing = self.past_amount(at + 1);
        if self.ingredient(thing).is_none() && self.group(thing).is_none() {
            return None;
        }
        let passed = |n: &usize| {
            // `instead of sugar and honey, agave`
            let listed = self.is(*n, Cue::And) || named(*n) && self.is(*n - 1, Cue::And);
            self.fills(*n) || listed || self.is(*n, Cue::In) || self.dish(*n).is_some()
        };
        let mark = (thing + 1..self.len()).find(|n| !passed(n) || self.says(*n, &["?"]))?;
        let other = self.past_amount(mark + 1);
        let asks = |n: usize| {
            let text = self.pieces[n].text.to_lowercase();
            let asks = [Cue::Use, Cue::Find, Cue::HowTo, Cue::Compare];
            ["what", "which", "how"]
                .iter()
                .any(|word| text.starts_with(word))
                || asks.iter().any(|cue| self.is(n, *cue))
        };
        let open = (mark + 1..self.len()).any(asks);
        let marks = self.comma(mark) || self.says(mark, &["?"]);
        (marks && named(other) && !open).then_some(mark)
    }

    /// `, agar ok?`
    fn closes_with_offer(&self, mark: usize) -> bool {
        let asked = self.pieces.last().is_some_and(|piece| piece.text == "?");
        let offers = |n: usize| {
            let text = self.pieces[n].text.to_lowercase();
            OFFERS[..10].contains(&text.as_str())
        };
        asked && (mark + 1..self.len()).any(offers)
    }
}
