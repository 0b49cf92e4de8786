//! Shapes of a sentence that tell its kind: a pair, a list, a fault before a question.

use crate::model::Catalogue;

use super::sense::{Cue, Sense, Unit};
use super::sentence::Sentence;
use super::{lookup, statement};

/// `why is it so sweet`
pub(super) fn asks_why(s: &Sentence) -> bool {
    s.has(Cue::Why) || s.has(Cue::HowTo)
}

/// `which`, `which one`, asked of what stands in the sentence.
pub(super) fn which(s: &Sentence) -> bool {
    (0..s.len()).any(|at| {
        let text = s.pieces[at].text.to_lowercase();
        text == "which" || text == "which one" || text == "which of"
    })
}

/// `aquafaba or meringue powder: protein`: two names with `or` between them and nothing else to do.
pub(super) fn either(s: &Sentence) -> bool {
    const OTHERS: [Cue; 5] = [Cue::Is, Cue::HowTo, Cue::Use, Cue::Contains, Cue::Why];
    let name = |n: usize| s.ingredient(n).is_some() && s.dish(n).is_none();
    let joined =
        |at: usize| s.is(at, Cue::Or) && s.before(at).is_some_and(name) && name(s.after(at + 1));
    (0..s.len()).any(joined) && OTHERS.iter().all(|cue| !s.has(*cue))
}

/// `polyols sweeter than maltitol`: a kind, and a bound that an ingredient sets.
pub(super) fn kind_against(s: &Sentence) -> bool {
    (0..s.len()).any(|at| {
        let measured = s.property(at).is_some();
        let than = s.after(at + 1);
        let kind = (0..at).any(|n| s.group(n).is_some());
        measured && kind && s.is(than, Cue::Than) && s.ingredient(s.after(than + 1)).is_some()
    })
}

/// `guar, xanthan, which one takes freezing best`; `arrowroot clearer than potato starch`.
pub(super) fn ranked_against(s: &Sentence) -> bool {
    let best = s.has(Cue::Best) && which(s);
    let than = (0..s.len()).any(|at| {
        let thing = |n: usize| s.ingredient(n).is_some();
        s.is(at, Cue::Than) && thing(s.after(at + 1)) && (0..at).any(thing)
    });
    best || than && !s.has(Cue::Find)
}

/// `are muscovado and panela the same`
pub(super) fn alike_asked(s: &Sentence) -> bool {
    let last = s.before(s.len());
    let same = last.is_some_and(|n| {
        let text = s.pieces[n].text.to_lowercase();
        [
            "the same",
            "same",
            "identical",
            "alike",
            "equal",
            "the same thing",
        ]
        .contains(&text.as_str())
    });
    same && s.has(Cue::Is) && (s.has(Cue::And) || s.has(Cue::Or))
}

/// `lactitol, isomalt, maltitol: calories`: three or more in a list, and one thing asked.
pub(super) fn listed(s: &Sentence) -> bool {
    let named = |at: &usize| s.ingredient(*at).is_some();
    let count = (0..s.len()).filter(named).count();
    let commas = (0..s.len()).filter(|&at| s.comma(at)).count();
    let plain = (0..s.len()).all(|at| {
        let known = named(&at) || s.property(at).is_some() || s.dial(at).is_some();
        known || s.comma(at) || s.fills(at) || s.is(at, Cue::And)
    });
    let asked = (0..s.len()).any(|at| !named(&at) && s.property(at).is_some());
    count >= 3 && commas >= 1 && plain && asked
}

/// `in my sorbet guar to tara`: a swap, for a ratio has no dish.
pub(super) fn turned_in_dish(s: &Sentence) -> bool {
    if (0..s.len()).all(|at| s.dish(at).is_none()) {
        return false;
    }
    // `chocolate sorbet`: what stands before the dish flavours it.
    let flavour = |at: usize| {
        s.dish(at + 1).is_some() && (s.group(at).is_some() || s.ingredient(at).is_some())
    };
    let silent = |at: usize| s.fills(at) || s.comma(at) || s.dish(at).is_some() || flavour(at);
    let spoken: Vec<usize> = (0..s.len()).filter(|&at| !silent(at)).collect();
    let spoken = match spoken[..] {
        [first, ..] if s.is(first, Cue::In) => &spoken[1..],
        [.., last] if s.is(last, Cue::In) => &spoken[..spoken.len() - 1],
        _ => &spoken[..],
    };
    turned(s, spoken)
}

/// `sugar to dextrose`: a swap, or a ratio.
pub(super) fn turned(s: &Sentence, spoken: &[usize]) -> bool {
    let told = |at: &usize| s.dish(*at).is_none() && !s.is(*at, Cue::In);
    let spoken: Vec<usize> = spoken.iter().copied().filter(told).collect();
    matches!(spoken[..], [from, to, into] if s.is(to, Cue::To)
        && s.ingredient(from).is_some()
        && s.ingredient(into).is_some())
}

/// A dial with a bound and nothing else.
pub(super) fn bound_alone(s: &Sentence, spoken: &[usize]) -> bool {
    let bounds = |at: &usize| s.comparison(*at).is_some() || s.means(*at, |x| *x == Sense::Between);
    let bound = |at: usize| {
        s.dial(at).is_some()
            || s.is(at, Cue::And)
            || s.means(at, |x| *x == Sense::Between)
            || s.comparison(at).is_some()
            || s.number(at).is_some()
            || s.unit(at).is_some()
    };
    spoken.iter().all(|&at| bound(at))
        && spoken.iter().any(|&at| s.dial(at).is_some())
        && spoken.iter().any(bounds)
}

/// Whether a property of an ingredient is asked for after a fault was told.
pub(super) fn asked_after_fault(s: &Sentence) -> bool {
    let fault = (0..s.len()).find(|&at| s.symptom(at).is_some());
    let Some(joint) = fault.and_then(|fault| (fault..s.len()).find(|&at| apart(s, at))) else {
        return false;
    };
    let asked = (joint..s.len()).any(|at| lookup::asks_content_at(s, at));
    asked && !s.has(Cue::Why) && (joint..s.len()).all(|at| s.symptom(at).is_none())
}

/// Whether a sign at a place parts what is told from what is asked.
fn apart(s: &Sentence, at: usize) -> bool {
    s.comma(at) || [".", ":", "?", "!"].contains(&s.pieces[at].text.as_str())
}

/// Whether lumps are all that is wrong, and a way in is asked for.
pub(super) fn smooth_wanted(s: &Sentence) -> bool {
    let lumps = (0..s.len()).all(|at| s.symptom(at).is_none_or(|(symptom, _)| symptom == "lumpy"));
    let way = |at: usize| s.phase(at) == Some("disperse") || s.is(at, Cue::Add);
    lumps && !s.has(Cue::Why) && ((0..s.len()).any(way) || closed_before_how(s))
}

/// `it clumped. How do I ...`: the fault is told, then the way asked for.
fn closed_before_how(s: &Sentence) -> bool {
    let how = (0..s.len()).find(|&at| s.is(at, Cue::HowTo));
    how.is_some_and(|how| {
        let told = |at: usize| s.symptom(at).is_some() && (at..how).any(|n| apart(s, n));
        (0..how).any(told)
    })
}

/// `butter lumps with milk instead of cream`: a fault first, and no question after it.
pub(super) fn told_fault(s: &Sentence) -> bool {
    let sure = |at: usize| s.symptom(at).is_some_and(|(_, base)| !base);
    let Some(fault) = (0..s.len()).find(|&at| sure(at)) else {
        return false;
    };
    let asked = [
        Cue::Use,
        Cue::Substitute,
        Cue::Replace,
        Cue::Find,
        Cue::HowTo,
        Cue::Swap,
    ];
    (fault..s.len()).any(|at| s.is(at, Cue::Instead)) && !asked.iter().any(|cue| s.has(*cue))
}

/// `make invert sugar at home`: an ingredient is what is made.
pub(super) fn made(s: &Sentence) -> bool {
    (0..s.len()).any(|at| {
        let next = s.after(at + 1);
        s.is(at, Cue::Make) && s.ingredient(next).is_some() && s.dish(next).is_none()
    })
}

/// The noun after a place, past `8 g of` before it.
fn measured_noun(s: &Sentence, at: usize) -> usize {
    let mut next = s.after(at + 1);
    if s.number(next).is_some() {
        next = s.after(next + 1);
        if s.unit(next).is_some() {
            next = s.after(next + 1);
        }
        if s.is(next, Cue::Of) {
            next = s.after(next + 1);
        }
    }
    next
}

/// `agar for`, and `agar do I need for`: an ingredient before a place.
fn named_before(s: &Sentence, at: usize) -> bool {
    let mut before = s.before(at);
    while let Some(n) = before.filter(|&n| s.is(n, Cue::Is) || s.is(n, Cue::Use)) {
        before = s.before(n);
    }
    before.is_some_and(|n| s.ingredient(n).is_some())
}

/// Whether an amount is asked for.
pub(super) fn asks_how_much(s: &Sentence) -> bool {
    (0..s.len()).any(|at| s.property(at) == Some("use_level"))
}

/// `8 g gelatin, how much agar`: an amount of the one, and the other asked for.
pub(super) fn told_amount(s: &Sentence) -> bool {
    let named: Vec<usize> = (0..s.len())
        .filter(|&at| s.ingredient(at).is_some())
        .collect();
    let [first, second] = named[..] else {
        return false;
    };
    let lead = |at: usize| {
        let before = s.before(at)?;
        if s.is(before, Cue::Of) {
            s.before(before)
        } else {
            Some(before)
        }
    };
    let weighed = |at: usize| lead(at).is_some_and(|n| matches!(s.unit(n), Some(Unit::Grams(_))));
    let asked = |at: usize| lead(at).is_some_and(|n| s.property(n) == Some("use_level"));
    // `agar in the panna cotta, how much for 8 g of gelatin`
    let bare = (0..s.len()).any(|at| {
        let joint = s.after(at + 1);
        s.property(at) == Some("use_level") && s.is(joint, Cue::For) && joint < second && at > first
    });
    (weighed(first) && asked(second)) || weighed(second) && (asked(first) || bare)
}

/// Whether the first two ingredients named do the same job.
pub(super) fn alike(s: &Sentence, catalogue: &Catalogue) -> bool {
    let mut named = (0..s.len()).filter_map(|at| {
        let candidates = s.ingredient(at)?;
        Some(catalogue.ingredient(catalogue.key(candidates.ids.first()?)?))
    });
    let (Some(one), Some(other)) = (named.next(), named.next()) else {
        return false;
    };
    one.family == other.family || one.functions.iter().any(|f| other.does(f))
}

/// `agar for gelatin`: two ingredients and nothing between them but `for`.
pub(super) fn pair(s: &Sentence) -> bool {
    let same = |at: usize| {
        // `rennet tablets for junket`: two names of one thing.
        let first = |n: usize| s.ingredient(n).and_then(|c| c.ids.first());
        s.before(at)
            .is_some_and(|n| first(n) == first(measured_noun(s, at)))
    };
    (0..s.len()).any(|at| {
        s.is(at, Cue::For)
            && named_before(s, at)
            && !s.before(at).is_some_and(|n| statement::contained(s, n))
            && !same(at)
            && s.ingredient(measured_noun(s, at)).is_some()
            && s.dish(measured_noun(s, at)).is_none()
    })
}
