//! What a swap says apart from its names: `as a partial substitute, 20 %, for gelatin`.

use crate::model::Catalogue;

use super::clause::Clause;
use super::comparison::against;
use super::goal::share;
use super::question::Amount;
use super::sense::{Cue, Push, Sense, Unit};
use super::sentence::Sentence;

/// Verbs that say what an ingredient does in the mix: `what else but agar sets this`.
const DOES: [&str; 12] = [
    "set",
    "sets",
    "gels",
    "thickens",
    "whips",
    "binds",
    "foams",
    "sweetens",
    "melts",
    "freezes",
    "sours",
    "dissolves",
];

/// How much of what goes is meant, where the amount stands apart from the name:
/// `the filling asks 60 g and I have only treacle`, `a partial replacement`.
pub(super) fn loose_amount(sentence: &mut Sentence) -> Option<Amount> {
    let mut words = vec![];
    let mut figures = vec![];
    for at in 0..sentence.len() {
        let part = sentence.find(at, |s| match s {
            Sense::Share(share, assumed) => Some((*share, assumed.clone())),
            _ => None,
        });
        if let Some((part, assumed)) = part.filter(|_| stands_apart(sentence, at, at)) {
            words.push((at, part, assumed));
        }
        let Some(number) = sentence.number(at) else {
            continue;
        };
        let amount = match sentence.unit(at + 1) {
            Some(Unit::Percent) => Amount::Share(share(number)),
            Some(Unit::Grams(grams)) => Amount::Grams(number * grams),
            _ => continue,
        };
        if stands_apart(sentence, at, at + 1) {
            figures.push((at, amount));
        }
    }
    let (amount, first, last) = match (&figures[..], &words[..]) {
        ([(at, amount)], _) => (*amount, *at, *at + 1),
        ([], [(at, part, assumed)]) => {
            let assumed = assumed.clone();
            sentence.assume(&assumed);
            (Amount::Share(*part), *at, *at)
        }
        _ => return None,
    };
    for (at, ..) in words {
        sentence.take(at);
    }
    let said: Vec<&str> = (first..=last)
        .map(|at| sentence.pieces[at].text.as_str())
        .collect();
    let said = format!("`{}` is taken as how much of it goes", said.join(" "));
    sentence.assume(&said);
    sentence.take_all(first, last);
    Some(amount)
}

/// Whether an amount belongs to nothing that stands beside it.
fn stands_apart(sentence: &Sentence, first: usize, last: usize) -> bool {
    // `cream 35 %`, `cream at 35 %`: a grade.
    let led = |n: &usize| !sentence.fills_ever(*n) && !sentence.is(*n, Cue::At);
    let grade = (0..first).rev().find(led).is_some_and(|n| {
        let mut senses = sentence.pieces[n].senses.iter();
        senses.any(|s| matches!(s, Sense::Ingredient(_)))
    });
    let steered = sentence.before(first).is_some_and(|n| {
        sentence.comparison(n).is_some()
            || sentence.push(n).is_some()
            || sentence.dial(n).is_some()
            || sentence.property(n).is_some()
    });
    let next = sentence.after(last + 1);
    const CLOSES: [Cue; 7] = [
        Cue::And,
        Cue::For,
        Cue::With,
        Cue::By,
        Cue::Substitute,
        Cue::Replace,
        Cue::Instead,
    ];
    let closes = next >= sentence.len()
        || sentence.comma(next)
        || CLOSES.iter().any(|cue| sentence.is(next, *cue))
        || sentence.is(next, Cue::Afterwards);
    // A word nobody knows may be what is measured.
    !grade
        && !steered
        && closes
        && (last + 1..next).all(|n| sentence.fills_ever(n) || sentence.pieces[n].used)
}

/// `a substitute for agave syrup with a lower gi`: less than what goes has of it.
pub(super) fn beyond(sentence: &mut Sentence, leaver: &str, catalogue: &Catalogue) -> Vec<Clause> {
    let Some(key) = catalogue.key(leaver) else {
        return vec![];
    };
    let mut found = vec![];
    for at in 1..sentence.len() {
        let pushed = sentence
            .before(at)
            .and_then(|n| sentence.push(n))
            .is_some_and(|push| push != Push::Keep);
        let measured = sentence.property(at).is_some() && sentence.dial(at).is_none();
        // `with less saturated fat` may speak of the mix.
        let of_mix = sentence
            .before(at)
            .is_some_and(|n| sentence.says(n, &["less", "more"]));
        if !pushed || !measured || of_mix {
            continue;
        }
        if let Some(clause) = against(sentence, at, key, catalogue) {
            let first = sentence.before(at).unwrap_or(at);
            sentence.take_all(first, at);
            found.push(clause);
        }
    }
    found
}

/// `what else but agar powder sets this`: what the stand-in is to do is told, for the swap weighs it.
pub(super) fn tell_what_it_does(sentence: &mut Sentence) {
    for at in 0..sentence.len() {
        let next = sentence.after(at + 1);
        let measured = sentence.comparison(next).is_some()
            || sentence.is(next, Cue::At)
            || sentence.number(next).is_some();
        if !sentence.pieces[at].used && sentence.says(at, &DOES) && !measured {
            sentence.pieces[at].senses = vec![Sense::Filler(true)];
        }
    }
}
