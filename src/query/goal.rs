//! What a person wants of the dials: `keep sweetness`, `less sweet`, `fat at most 8 %`.

use crate::model::{Aim, Dial, Goal};

use super::bound::{bounded, bounded_before, figure, is_bounded, is_ordered, of};
use super::part::{part, signed, taken_off};
use super::sense::{Cue, Push, Sense, Unit};
use super::sentence::Sentence;
use super::serving::serve;

/// Takes every goal out of the sentence, in the order they stand in.
pub(super) fn goals(sentence: &mut Sentence) -> Vec<Goal> {
    let mut found: Vec<Goal> = vec![];
    let mut at = 0;
    while at < sentence.len() {
        let goal = bounded(sentence, at)
            .or_else(|| signed(sentence, at))
            .or_else(|| taken_off(sentence, at))
            .or_else(|| bounded_before(sentence, at))
            .or_else(|| factored(sentence, at))
            .map(|goal| vec![goal])
            .or_else(|| pushed(sentence, at))
            .or_else(|| alone(sentence, at).map(|goal| vec![goal]));
        for goal in goal.into_iter().flatten() {
            match found.iter_mut().find(|g| g.dial == goal.dial) {
                // `sweetness the same ... keep sweetness` is said once.
                Some(said) if said.aim == Aim::Keep => *said = goal,
                Some(said) if said.aim == goal.aim => {}
                // `too rich, fat at most 8 %`: the figure says how far.
                Some(said)
                    if matches!(said.aim, Aim::Raise | Aim::Lower) && goal.aim != Aim::Keep =>
                {
                    *said = goal;
                }
                Some(_) => sentence.assume(&format!(
                    "the {} is spoken of twice: what stands first counts",
                    goal.dial.id().replace('_', " ")
                )),
                None => found.push(goal),
            }
        }
        at += 1;
    }
    for at in 0..sentence.len() {
        if let Some(goal) = set_to(sentence, at)
            && found.iter().all(|g| g.dial != goal.dial)
        {
            found.push(goal);
        }
    }
    serve(sentence, &mut found);
    found
}

/// The place of the figure a dial is to have: `sweetness to 18`, `fat at 10 %`, `freezing point of -3 C`.
pub(super) fn marked(sentence: &Sentence, at: usize) -> Option<usize> {
    let (dial, false) = sentence.dial(at)? else {
        return None;
    };
    let mut next = sentence.after(at + 1);
    let mut to = false;
    let mut from = false;
    while let Some(cue) = sentence.cue(next).filter(|cue| {
        let leads = [Cue::To, Cue::At, Cue::Of, Cue::Is, Cue::From].contains(cue);
        leads && sentence.comparison(next).is_none()
    }) {
        to |= cue == Cue::To;
        from |= cue == Cue::From;
        next = sentence.after(next + 1);
    }
    sentence.number(next)?;
    let (_, end) = figure(sentence, next)?;
    let joint = sentence.after(end);
    let last = sentence.after(joint + 1);
    if sentence.is(joint, Cue::To) && sentence.number(last).is_some() {
        // `sugars from 22 to 18 %`
        (next, to) = (last, true);
    } else if from {
        return None;
    }
    let fits = match sentence.unit(next + 1) {
        None => to,
        Some(Unit::Celsius | Unit::Fahrenheit) => dial == Dial::FreezingPoint,
        Some(Unit::Percent) => dial != Dial::FreezingPoint,
        Some(Unit::Plain) => to,
        _ => false,
    };
    // `20 % dextrose`: the figure is said of what follows.
    let of_next = !to && {
        let after = sentence.after(next + 2);
        sentence.ingredient(after).is_some() || sentence.is(after, Cue::Of)
    };
    (fits && !of_next).then_some(next)
}

/// Whether a dial has a figure, a bound that is ordered, or a part to be taken off it.
pub(super) fn aimed(sentence: &Sentence, at: usize) -> bool {
    if sentence.dial(at).is_none() {
        return false;
    }
    let off =
        (at.saturating_sub(2)..at).any(|n| sentence.pieces[n].text.eq_ignore_ascii_case("off"));
    let before = sentence.before(at);
    let pushed = |n: usize| sentence.push(n).is_some();
    // `the fat, bring it up to 10 % at least`
    let beside = before.is_some_and(pushed) || pushed(sentence.after(at + 1));
    let moved = beside && is_bounded(sentence, at);
    off || moved || is_ordered(sentence, at) || marked(sentence, at).is_some()
}

/// `sweetness to 18`: a mark, no direction.
fn set_to(sentence: &mut Sentence, at: usize) -> Option<Goal> {
    let place = marked(sentence, at)?;
    let (dial, _) = sentence.dial(at)?;
    let (number, end) = figure(sentence, place)?;
    if let Some(verb) = sentence.before(at)
        && (sentence.pieces[verb].text.eq_ignore_ascii_case("set")
            || sentence.is(verb, Cue::Remove))
    {
        sentence.take(verb);
    }
    sentence.take_all(at, end - 1);
    Some(Goal {
        dial,
        aim: Aim::Between(number, number),
    })
}

/// `halve the fat`, `double the fibre`: the factor is said of the dial, not of the batch.
fn factored(sentence: &mut Sentence, at: usize) -> Option<Goal> {
    let factor = sentence.find(at, |s| match s {
        Sense::Factor(factor) => Some(*factor),
        _ => None,
    })?;
    let noun = factored_dial(sentence, at)?;
    let (dial, _) = sentence.dial(noun)?;
    sentence.take_all(at, noun);
    Some(Goal {
        dial,
        aim: Aim::Relative(factor - 1.0),
    })
}

/// The place of the dial a factor is said of.
pub(super) fn factored_dial(sentence: &Sentence, at: usize) -> Option<usize> {
    let noun = sentence.after(at + 1);
    let (dial, inverse) = sentence.dial(noun)?;
    (!inverse && dial != Dial::FreezingPoint).then_some(noun)
}

/// A direction and the nouns or adjectives it governs, before or after it.
fn pushed(sentence: &mut Sentence, at: usize) -> Option<Vec<Goal>> {
    let push = sentence.push(at)?;
    if push == Push::Keep && (stays(sentence, at) || rest_before(sentence, at)) {
        // `fat same and protein same`
        let kept = dial_before(sentence, at, push);
        if kept.is_none() && !rest(sentence, at) {
            return None;
        }
        kept_twice(sentence, at);
        return Some(kept.into_iter().collect());
    }
    if push == Push::Raise && weighed_before(sentence, at) {
        // `200 g more sugar` is an addition.
        return None;
    }
    let mut goals: Vec<Goal> = vec![];
    let mut last = at;
    let mut next = sentence.after(at + 1);
    let mut distance = next - at;
    while next < sentence.len() {
        let joint = sentence.comma(next)
            || [Cue::And, Cue::Or, Cue::Of, Cue::In, Cue::Make, Cue::As]
                .iter()
                .any(|cue| sentence.is(next, *cue));
        if sentence.push(next).is_some_and(|other| other != push) {
            break;
        }
        if sentence.dial(next).is_some() && is_bounded(sentence, next) {
            break;
        }
        if !goals.is_empty() && pushed_after(sentence, next) {
            // `raise the fat, sugars constant`
            break;
        }
        if let Some((dial, inverse)) = sentence.dial(next) {
            let push = if inverse { push.opposite() } else { push };
            goals.push(goal(dial, push));
            sentence.take(next);
            last = next;
            distance = 0;
        } else if let Some((dial, own, base)) = sentence.quality(next) {
            // After a comma or `and`, an adjective of its own direction is its own goal.
            if !goals.is_empty() && !base {
                break;
            }
            let push = match push {
                Push::Keep => Push::Keep,
                Push::Raise => own,
                Push::Lower => own.opposite(),
            };
            goals.push(goal(dial, push));
            sentence.take(next);
            last = next;
            distance = 0;
        } else if !joint && sentence.dish(next).is_none() {
            break;
        }
        next = sentence.after(next + 1);
        distance += 1;
        if distance > 4 {
            break;
        }
    }
    if goals.is_empty() {
        goals.push(dial_before(sentence, at, push)?);
    }
    sentence.take(at);
    if push == Push::Keep {
        kept_twice(sentence, last);
    }
    measure(sentence, at, last, &mut goals);
    Some(goals)
}

/// `sugars constant`, `fat down`: the direction stands after the noun and has no other.
fn pushed_after(sentence: &Sentence, at: usize) -> bool {
    let mut next = sentence.after(at + 1);
    while sentence.is(next, Cue::Is) || sentence.is(next, Cue::To) {
        next = sentence.after(next + 1);
    }
    let own = sentence.after(next + 1);
    sentence.dial(at).is_some()
        && sentence.push(next).is_some()
        && sentence.dial(own).is_none()
        && sentence.quality(own).is_none()
}

/// `hold the sweetness constant`, `remain unchanged`: what says once more that it stays.
fn kept_twice(sentence: &mut Sentence, at: usize) {
    sentence.take(at);
    let mut next = sentence.after(at + 1);
    while sentence.is(next, Cue::At) || sentence.is(next, Cue::As) {
        next = sentence.after(next + 1);
    }
    let own = sentence.after(next + 1);
    if sentence.push(next) == Some(Push::Keep)
        && sentence.dial(own).is_none()
        && sentence.quality(own).is_none()
    {
        sentence.take(next);
    }
}

/// `200 g more sugar` after a word of adding.
fn weighed_before(sentence: &Sentence, at: usize) -> bool {
    let unit = sentence.before(at).and_then(|n| sentence.unit(n));
    sentence.has(Cue::Add) && matches!(unit, Some(Unit::Grams(_) | Unit::Millilitres(_)))
}

/// Words for all that is not named.
const REST: [&str; 5] = ["rest", "everything else", "all else", "else", "others"];

fn is_rest(sentence: &Sentence, at: usize) -> bool {
    let text = sentence.pieces.get(at).map(|p| p.text.to_lowercase());
    text.is_some_and(|text| REST.contains(&text.as_str()))
}

/// `rest as is`
fn rest_before(sentence: &Sentence, at: usize) -> bool {
    (0..at)
        .rev()
        .find(|&n| !sentence.is(n, Cue::Is))
        .is_some_and(|n| is_rest(sentence, n))
}

/// Takes `rest as is`, `leave the rest alone`: what is not named keeps its mark anyway.
fn rest(sentence: &mut Sentence, at: usize) -> bool {
    let before = (0..at).rev().find(|&n| is_rest(sentence, n));
    match before {
        Some(n) => {
            sentence.take(n);
            sentence.assume("what is not named keeps its mark as near as it can");
            true
        }
        None => false,
    }
}

/// `fat same`, `total solids stay`: said of the noun before, where none follows at once.
fn stays(sentence: &Sentence, at: usize) -> bool {
    let next = sentence.after(at + 1);
    let mut before = sentence.before(at);
    while let Some(n) = before.filter(|&n| sentence.is(n, Cue::Is) || sentence.is(n, Cue::To)) {
        before = sentence.before(n);
    }
    let beside = before.is_some_and(|n| sentence.dial(n).is_some());
    let twice = sentence.push(next) == Some(Push::Keep)
        && sentence.dial(sentence.after(next + 1)).is_none();
    beside
        && sentence.dial(next).is_none()
        && sentence.quality(next).is_none()
        && (sentence.push(next).is_none() || twice)
}

fn goal(dial: Dial, push: Push) -> Goal {
    let aim = match push {
        Push::Keep => Aim::Keep,
        Push::Raise => Aim::Raise,
        Push::Lower => Aim::Lower,
    };
    Goal { dial, aim }
}

/// `sweetness the same`, `sweetness down`.
fn dial_before(sentence: &mut Sentence, at: usize, push: Push) -> Option<Goal> {
    let mut before = sentence.before(at)?;
    let passed = |n: usize| {
        // `sweetness is to remain constant`, `get the cost of this base down`
        let flavours = sentence.dish(n + 1).is_some() && sentence.ingredient(n).is_some();
        sentence.is(n, Cue::Is)
            || sentence.is(n, Cue::To)
            || sentence.is(n, Cue::Of)
            || sentence.dish(n).is_some()
            || flavours
    };
    while passed(before) {
        before = sentence.before(before)?;
    }
    let (dial, inverse) = sentence.dial(before)?;
    sentence.take(before);
    Some(goal(dial, if inverse { push.opposite() } else { push }))
}

/// `by 20 %`, `to 8 %` after the goal or `20 %` before it turn a direction into an amount.
fn measure(sentence: &mut Sentence, first: usize, last: usize, goals: &mut [Goal]) {
    let Some(goal) = goals.last_mut() else {
        return;
    };
    let sign = match goal.aim {
        Aim::Raise => 1.0,
        Aim::Lower => -1.0,
        _ => return,
    };
    let percent_before = first >= 2
        && matches!(sentence.unit(first - 1), Some(Unit::Percent))
        && sentence.number(first - 2).is_some();
    if percent_before && let Some(number) = sentence.number(first - 2) {
        sentence.take_all(first - 2, first - 1);
        goal.aim = Aim::Relative(sign * share(number));
        return;
    }
    let mut next = sentence.after(last + 1);
    while sentence.is(next, Cue::In)
        || sentence.dish(next).is_some()
        || sentence.is(next, Cue::Of) && sentence.dish(sentence.after(next + 1)).is_some()
    {
        next = sentence.after(next + 1);
    }
    if let Some((part, end)) = part(sentence, next).filter(|(_, end)| *end == next + 2) {
        // `sweetness down 8 %`; `less fat, 20 % dextrose` speaks of another.
        let follows = of(sentence, end);
        let other = sentence.ingredient(follows).is_some() || sentence.dial(follows).is_some();
        if !other && sentence.comparison(follows).is_none() {
            sentence.take_all(next, end - 1);
            goal.aim = Aim::Relative(sign * part);
        }
        return;
    }
    let in_half = sentence.find(next, |s| match s {
        Sense::Share(share, _) => Some(*share),
        _ => None,
    });
    if let (Some(part), true) = (in_half, next > last + 1) {
        // `cut the sugar in half`
        sentence.take(next);
        goal.aim = Aim::Relative(sign * part);
        return;
    }
    let (by, to) = (sentence.is(next, Cue::By), sentence.is(next, Cue::To));
    if !by && !to {
        return;
    }
    if by {
        // `by a third`, `by 20 %`
        let place = sentence.after(next + 1);
        if let Some((part, end)) = part(sentence, place) {
            sentence.take_all(next, end - 1);
            goal.aim = Aim::Relative(sign * part);
        }
        // `by 1 C`: so much of the dial, which no goal says.
        return;
    }
    let Some((number, end)) = figure(sentence, next + 1) else {
        return;
    };
    sentence.take_all(next, end - 1);
    goal.aim = if sign > 0.0 {
        Aim::AtLeast(number)
    } else {
        Aim::AtMost(number)
    };
}

/// A percentage as a share, without the dust of binary division: 30 is 0.3.
pub(super) fn share(percent: f64) -> f64 {
    format!("{percent}e-2").parse().unwrap_or(percent / 100.0)
}

/// `softer` on its own; a base form such as `soft` only where something is made or asked for.
fn alone(sentence: &mut Sentence, at: usize) -> Option<Goal> {
    let (dial, push, base) = sentence.quality(at)?;
    if base && sentence.before(at).is_some_and(|n| sentence.is(n, Cue::As)) {
        // `just as sweet`
        let as_before = sentence.before(at).unwrap_or(at);
        sentence.take_all(as_before, at);
        return Some(goal(dial, Push::Keep));
    }
    let wanted = sentence.has(Cue::Make) || sentence.has(Cue::HowTo) || sentence.has(Cue::Adjust);
    if (base && !wanted) || sentence.is(at + 1, Cue::Than) {
        return None;
    }
    let mut goals = [goal(dial, push)];
    measure(sentence, at, at, &mut goals);
    sentence.take(at);
    Some(goals[0])
}
