//! Superlatives: `the sweetest polyol`, `which sugar lowers the freezing point most`.

use crate::model::Dial;

use super::question::Order;
use super::sense::{Cue, Push, Sense};
use super::sentence::Sentence;

/// Where a superlative stands, whether it asks for the most, and what of, if it says so itself;
/// to compare a kind by a figure ranks it by that figure.
fn superlative(sentence: &Sentence) -> Option<(usize, bool, String)> {
    let compared = || {
        let at = (0..sentence.len()).find(|&at| sentence.is(at, Cue::Compare))?;
        let named = (0..sentence.len())
            .any(|n| sentence.ingredient(n).is_some() && sentence.group(n).is_none());
        // A kind to rank: two dishes side by side are none.
        let kind = (0..sentence.len()).any(|n| sentence.group(n).is_some());
        (!named && kind).then(|| (at, true, String::new()))
    };
    let found = (0..sentence.len()).find_map(|at| {
        let (most, of) = sentence.find(at, |s| match s {
            Sense::Superlative(most, of) => Some((*most, of.clone())),
            _ => None,
        })?;
        Some((at, most, of))
    });
    found.or_else(|| abundant(sentence)).or_else(compared)
}

/// `nuts high in protein`, `syrups low in fructose`: much or little of a figure, said of a kind.
fn abundant(sentence: &Sentence) -> Option<(usize, bool, String)> {
    if sentence.has_dish() {
        // `a sorbet low in sugar` is to be made so.
        return None;
    }
    (0..sentence.len()).find_map(|at| {
        if let Some((dial, push, _)) = sentence.quality(at)
            && sentence.pieces[at].text.contains(" in ")
            && (0..sentence.len()).any(|n| sentence.group(n).is_some())
        {
            // `rich in fibre`
            return Some((at, push == Push::Raise, dial.id().to_string()));
        }
        let push = sentence.push(at).filter(|push| *push != Push::Keep)?;
        let figure = sentence.after(at + 1);
        let said = sentence.pieces[at].text.to_lowercase().ends_with(" in");
        let kind = (0..sentence.len()).any(|n| n != figure && sentence.group(n).is_some());
        let measured = said && kind && sentence.property(figure).is_some();
        measured.then(|| (at, push == Push::Raise, String::new()))
    })
}

/// The place of the figure a superlative is said of: the nearest after it, else before it.
fn figure_at(sentence: &Sentence, at: usize) -> Option<usize> {
    let figure = |n: &usize| {
        // `how much` asks, `use level` is a figure.
        let asks = sentence.pieces[*n].text.to_lowercase().starts_with("how");
        sentence.property(*n).is_some() && !asks
            || matches!(sentence.dial(*n), Some((Dial::FreezingPoint, _)))
    };
    let held = |n: &usize| sentence.ingredient(*n).is_none() || *n > at;
    (at + 1..sentence.len())
        .find(figure)
        .or_else(|| (0..at).rev().filter(figure).find(held))
}

/// Whether a superlative is asked for and there is a figure it can be said of.
pub(super) fn asked(sentence: &Sentence) -> bool {
    superlative(sentence)
        .is_some_and(|(at, _, of)| !of.is_empty() || figure_at(sentence, at).is_some())
}

/// The place of the word the superlative is said of, where it names a kind as well.
pub(super) fn said_of(sentence: &Sentence) -> Option<usize> {
    let (at, _, of) = superlative(sentence)?;
    if of.is_empty() {
        figure_at(sentence, at)
    } else {
        None
    }
}

/// `hardly any lactose, under 3 %`: the bound says it exactly, so the word adds nothing.
pub(super) fn drop_bounded(sentence: &mut Sentence) {
    let Some((at, _, _)) = superlative(sentence) else {
        return;
    };
    let next = (at + 1..sentence.len()).find(|&n| !sentence.fills_ever(n));
    if next.is_some_and(|n| sentence.pieces[n].used) {
        sentence.take(at);
    }
}

/// Takes the superlative and its figure out of the sentence.
pub(super) fn order(sentence: &mut Sentence) -> Option<Order> {
    let (at, mut most, mut by) = superlative(sentence)?;
    if by.is_empty() {
        let figure = figure_at(sentence, at)?;
        if let Some((Dial::FreezingPoint, inverse)) = sentence.dial(figure) {
            // `lowers the freezing point most` asks for the lowest.
            let lowered = (0..sentence.len()).find(|&n| sentence.push(n) == Some(Push::Lower));
            if let Some(n) = lowered {
                sentence.take(n);
            }
            most = most == (lowered.is_none() && !inverse);
            by = Dial::FreezingPoint.id().to_string();
            sentence.assume("ranked by the freezing point of 10 g in 90 g of water");
        } else {
            by = sentence.property(figure)?.to_string();
        }
        sentence.take(figure);
    }
    sentence.take(at);
    said_again(sentence, &by, most);
    Some(Order { by, most })
}

/// `gentle on salt, I mean low in sodium`: the same said twice.
fn said_again(sentence: &mut Sentence, by: &str, most: bool) {
    for at in 0..sentence.len() {
        let figure = sentence.after(at + 1);
        let same = sentence.find(at, |s| match s {
            Sense::Superlative(most, _) => Some(*most),
            Sense::Push(push) if *push != Push::Keep => Some(*push == Push::Raise),
            _ => None,
        });
        if same == Some(most) && sentence.property(figure) == Some(by) {
            sentence.take_all(at, figure);
        }
    }
}
