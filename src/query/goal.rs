//! What a person wants of the dials: `keep sweetness`, `less sweet`, `fat at most 8 %`.

use crate::model::{Aim, Comparison, Dial, Goal};

use super::sense::{Cue, Push, Sense, Unit};
use super::sentence::Sentence;

/// Takes every goal out of the sentence, in the order they stand in.
pub(super) fn goals(sentence: &mut Sentence) -> Vec<Goal> {
    let mut found: Vec<Goal> = vec![];
    let mut at = 0;
    while at < sentence.len() {
        let goal = bounded(sentence, at)
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
    while let Some(cue) = sentence.cue(next).filter(|cue| {
        [Cue::To, Cue::At, Cue::Of, Cue::Is].contains(cue) && sentence.comparison(next).is_none()
    }) {
        to |= cue == Cue::To;
        next = sentence.after(next + 1);
    }
    sentence.number(next)?;
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

/// `straight from the freezer`, `in the display cabinet`, `at -12 C`: where the frozen water counts.
fn serve(sentence: &mut Sentence, goals: &mut [Goal]) {
    for at in 0..sentence.len() {
        let celsius = sentence.find(at, |s| match s {
            Sense::Temperature(celsius) | Sense::Number(celsius) => Some(*celsius),
            _ => None,
        });
        let dial = match celsius {
            Some(-18.0) => Dial::FrozenAt18,
            Some(-12.0) => Dial::FrozenAt12,
            _ => continue,
        };
        let frozen = |d: Dial| matches!(d, Dial::FrozenAt18 | Dial::FrozenAt12);
        if let Some(goal) = goals.iter_mut().find(|goal| frozen(goal.dial)) {
            goal.dial = dial;
            sentence.take(at);
            if matches!(sentence.unit(at + 1), Some(Unit::Celsius)) {
                sentence.take(at + 1);
            }
        }
    }
}

/// `fat at most 8 %`, `sweetness between 14 and 16`.
fn bounded(sentence: &mut Sentence, at: usize) -> Option<Goal> {
    let (dial, _) = sentence.dial(at)?;
    let mut next = sentence.after(at + 1);
    if sentence.is(next, Cue::Of) || sentence.is(next, Cue::At) || sentence.is(next, Cue::Is) {
        next = sentence.after(next + 1);
    }
    if sentence.means(next, |s| matches!(s, Sense::Between)) {
        let (low, low_end) = figure(sentence, next + 1)?;
        let joint = sentence.after(low_end);
        let (high, end) = figure(sentence, joint + 1)?;
        sentence.take_all(at, end - 1);
        return Some(Goal {
            dial,
            aim: Aim::Between(low, high),
        });
    }
    let comparison = sentence.comparison(next)?;
    let (number, end) = figure(sentence, next + 1)?;
    if sentence.means(end, |s| matches!(s, Sense::New)) {
        // `replace sugar with at most 2 new` counts newcomers.
        return None;
    }
    sentence.take_all(at, end - 1);
    Some(Goal {
        dial,
        aim: aim(comparison, number),
    })
}

/// `at most 8 % fat`, `under 5 g of sugar`.
fn bounded_before(sentence: &mut Sentence, at: usize) -> Option<Goal> {
    if sentence.means(at, |s| matches!(s, Sense::Between)) {
        // `between 8 and 10 % fat`
        let (low, low_end) = figure(sentence, at + 1)?;
        let joint = sentence.after(low_end);
        let (high, end) = figure(sentence, joint + 1)?;
        let noun = sentence.after(end);
        let (dial, _) = sentence.dial(noun)?;
        sentence.take_all(at, noun);
        return Some(Goal {
            dial,
            aim: Aim::Between(low, high),
        });
    }
    let comparison = sentence.comparison(at)?;
    let (number, end) = figure(sentence, at + 1)?;
    let mut next = sentence.after(end);
    if sentence.is(next, Cue::Of) {
        next = sentence.after(next + 1);
    }
    if sentence.dial(next).is_none() {
        // `under 200 kcal`: the unit says the dial.
        next = end - 1;
        let text = sentence.pieces[next].text.clone();
        sentence.dial(next)?;
        sentence.assume(&format!("`{text}` is counted per 100 g of the mix"));
    }
    let (dial, _) = sentence.dial(next)?;
    sentence.take_all(at, next);
    Some(Goal {
        dial,
        aim: aim(comparison, number),
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

fn aim(comparison: Comparison, number: f64) -> Aim {
    match comparison {
        Comparison::Less | Comparison::AtMost => Aim::AtMost(number),
        Comparison::Greater | Comparison::AtLeast => Aim::AtLeast(number),
        Comparison::Equal => Aim::Between(number, number),
    }
}

/// A number with its unit, in Celsius for a temperature, and the place after it.
fn figure(sentence: &Sentence, at: usize) -> Option<(f64, usize)> {
    let at = sentence.after(at);
    let number = sentence.number(at)?;
    match sentence.unit(at + 1) {
        Some(Unit::Fahrenheit) => Some(((number - 32.0) / 1.8, at + 2)),
        Some(_) => Some((number, at + 2)),
        None => Some((number, at + 1)),
    }
}

/// A direction and the nouns or adjectives it governs, before or after it.
fn pushed(sentence: &mut Sentence, at: usize) -> Option<Vec<Goal>> {
    let push = sentence.push(at)?;
    if push == Push::Keep && stays(sentence, at) {
        // `fat same and protein same`
        let kept = dial_before(sentence, at, push)?;
        sentence.take(at);
        return Some(vec![kept]);
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
    measure(sentence, at, last, &mut goals);
    Some(goals)
}

/// `fat same`, `total solids stay`: said of the noun before, where none follows at once.
fn stays(sentence: &Sentence, at: usize) -> bool {
    let next = sentence.after(at + 1);
    let beside = sentence
        .before(at)
        .is_some_and(|n| sentence.dial(n).is_some());
    beside
        && sentence.dial(next).is_none()
        && sentence.quality(next).is_none()
        && sentence.push(next).is_none()
}

/// `fat at most`: the noun has a bound of its own.
fn is_bounded(sentence: &Sentence, at: usize) -> bool {
    let next = sentence.after(at + 1);
    sentence.comparison(next).is_some() || sentence.means(next, |s| matches!(s, Sense::Between))
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
    let before = sentence.before(at)?;
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
    while sentence.is(next, Cue::In) || sentence.dish(next).is_some() {
        next = sentence.after(next + 1);
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
    let part = sentence.after(next + 1);
    let said = sentence.find(part, |s| match s {
        Sense::Share(share, assumed) => Some((*share, assumed.clone())),
        _ => None,
    });
    if let Some((share, assumed)) = said.filter(|_| by) {
        // `by a third`
        sentence.assume(&assumed);
        sentence.take_all(next, part);
        goal.aim = Aim::Relative(sign * share);
        return;
    }
    let Some((number, end)) = figure(sentence, next + 1) else {
        return;
    };
    if by && !matches!(sentence.unit(end - 1), Some(Unit::Percent)) {
        // `by 1 C`: so much of the dial, which no goal says.
        return;
    }
    sentence.take_all(next, end - 1);
    goal.aim = match (by, sign > 0.0) {
        (true, _) => Aim::Relative(sign * share(number)),
        (false, true) => Aim::AtLeast(number),
        (false, false) => Aim::AtMost(number),
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
