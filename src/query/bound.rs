//! The figures a dial is held to: `fat at most 8 %`, `between 14 and 16`, `cap the alcohol at 2 %`.

use crate::model::{Aim, Comparison, Goal};

use super::sense::{Cue, Push, Sense, Unit};
use super::sentence::Sentence;

/// What a dial is held to, and the place after it: `at most 8 %`, `8 % at most`, `between 14 and 16`,
/// `at least 30 and at most 34 %`.
fn bound(sentence: &Sentence, at: usize) -> Option<(Aim, usize)> {
    if counts_new(sentence, at) {
        // `more fibre, at most two new` counts newcomers.
        return None;
    }
    if sentence.means(at, |s| matches!(s, Sense::Between)) {
        let (low, low_end) = figure(sentence, at + 1)?;
        let joint = sentence.after(low_end);
        let (high, end) = figure(sentence, joint + 1)?;
        return Some((Aim::Between(low, high), end));
    }
    if sentence.comparison(at).is_some() && sentence.comparison(sentence.after(at + 1)).is_some() {
        // `up to at least 36 %`
        return bound(sentence, sentence.after(at + 1));
    }
    let Some(comparison) = sentence.comparison(at) else {
        let (number, end) = figure(sentence, at)?;
        let closing = sentence.after(end);
        let comparison = sentence.comparison(closing)?;
        let open = figure(sentence, closing + 1).is_none();
        return open.then(|| (aim(comparison, number), closing + 1));
    };
    let (number, end) = figure(sentence, at + 1)?;
    let first = aim(comparison, number);
    let joint = sentence.after(end);
    let joined = sentence.is(joint, Cue::And) || sentence.comma(joint);
    let other = sentence.after(joint + usize::from(joined));
    let second = sentence.comparison(other).and_then(|comparison| {
        let (number, end) = figure(sentence, other + 1)?;
        // `fat at least 8 and at most 12 % sugar` bounds two.
        let alone = sentence.dial(of(sentence, end)).is_none();
        alone.then_some((aim(comparison, number), end))
    });
    Some(match (first, second) {
        (Aim::AtLeast(low), Some((Aim::AtMost(high), end)))
        | (Aim::AtMost(high), Some((Aim::AtLeast(low), end))) => (Aim::Between(low, high), end),
        _ => (first, end),
    })
}

/// The next place from `at` on, past `of`.
pub(super) fn of(sentence: &Sentence, at: usize) -> usize {
    let next = sentence.after(at);
    if sentence.is(next, Cue::Of) {
        sentence.after(next + 1)
    } else {
        next
    }
}

/// The place after a dial where its bound begins: past `of`, `at`, `is`, `to` and the dish.
fn bound_place(sentence: &Sentence, at: usize) -> usize {
    let mut next = sentence.after(at + 1);
    let led = [Cue::Of, Cue::At, Cue::Is, Cue::To, Cue::In];
    let passed = |n: usize| {
        let leads = led.iter().any(|cue| sentence.is(n, *cue)) && sentence.comparison(n).is_none();
        // `less lactose, not more than 2 %`
        let comma = sentence.comma(n) && sentence.comparison(sentence.after(n + 1)).is_some();
        comma
            || leads
            || sentence.dish(n).is_some()
            || sentence.push(n).is_some_and(|p| p != Push::Keep)
    };
    while next < sentence.len() && passed(next) {
        next = sentence.after(next + 1);
    }
    next
}

/// `fat at most 8 %`, `raise the solids to at least 38 %`, `hold lactose at or below 6 %`.
pub(super) fn bounded(sentence: &mut Sentence, at: usize) -> Option<Goal> {
    let (dial, _) = sentence.dial(at)?;
    let place = bound_place(sentence, at);
    let (mut aim, end) = bound(sentence, place)?;
    if (at..place).any(|n| sentence.comma(n)) && sentence.dial(of(sentence, end)).is_some() {
        // `fat, at most 8 % sugars` bounds the second.
        return None;
    }
    let verb = at.checked_sub(1).and_then(|n| {
        (0..=n)
            .rev()
            .find(|&n| !sentence.pieces[n].text.eq_ignore_ascii_case("the"))
    });
    let brought = verb.is_some_and(|n| {
        let text = sentence.pieces[n].text.to_lowercase();
        let brings = ["bring", "get", "take", "push", "move", "lift"].contains(&text.as_str());
        brings || sentence.push(n) == Some(Push::Raise)
    });
    if let (Aim::AtMost(most), true) = (aim, brought)
        && sentence.pieces[place].text.eq_ignore_ascii_case("up to")
    {
        // `bring the solids up to 36 %`
        aim = Aim::AtLeast(most);
    }
    if sentence.means(end, |s| matches!(s, Sense::New)) {
        // `replace sugar with at most 2 new` counts newcomers.
        return None;
    }
    sentence.take_all(at, end - 1);
    if let Some(verb) = sentence.before(at).filter(|&n| sentence.push(n).is_some()) {
        sentence.take(verb);
    }
    Some(Goal { dial, aim })
}

/// `at most 8 % fat`, `under 5 g of sugar`, `5 % of fat maximum`, `cap the alcohol at 2 %`.
pub(super) fn bounded_before(sentence: &mut Sentence, at: usize) -> Option<Goal> {
    if let Some(goal) = capped(sentence, at).or_else(|| closed(sentence, at)) {
        return Some(goal);
    }
    let (aim, end) = bound(sentence, at)?;
    let mut noun = of(sentence, end);
    if (end..noun).any(|n| sentence.is(n, Cue::And)) {
        // `at least 38 % while the sweetness stays`
        noun = end;
    }
    if sentence.dial(noun).is_none() {
        // `under 200 kcal`: the unit says the dial.
        noun = (at..end).rev().find(|&n| sentence.unit(n).is_some())?;
        let text = sentence.pieces[noun].text.clone();
        sentence.dial(noun)?;
        sentence.assume(&format!("`{text}` is counted per 100 g of the mix"));
    }
    let (dial, _) = sentence.dial(noun)?;
    sentence.take_all(at, noun.max(end - 1));
    Some(Goal { dial, aim })
}

/// `cap the alcohol at 2 %`, `max fat 8 %`: the dial stands between the comparison and its figure.
fn capped(sentence: &mut Sentence, at: usize) -> Option<Goal> {
    let comparison = sentence.comparison(at)?;
    let noun = sentence.after(at + 1);
    let (dial, _) = sentence.dial(noun)?;
    let place = bound_place(sentence, noun);
    let (number, end) = figure(sentence, place)?;
    sentence.take_all(at, end - 1);
    Some(Goal {
        dial,
        aim: aim(comparison, number),
    })
}

/// `5 % fat maximum`: the comparison closes the phrase.
fn closed(sentence: &mut Sentence, at: usize) -> Option<Goal> {
    let (number, end) = figure(sentence, at).filter(|_| sentence.number(at).is_some())?;
    let noun = of(sentence, end);
    let (dial, _) = sentence.dial(noun)?;
    let closing = sentence.after(noun + 1);
    let comparison = sentence.comparison(closing)?;
    if figure(sentence, closing + 1).is_some() {
        return None;
    }
    sentence.take_all(at, closing);
    Some(Goal {
        dial,
        aim: aim(comparison, number),
    })
}

fn aim(comparison: Comparison, number: f64) -> Aim {
    match comparison {
        Comparison::Less | Comparison::AtMost => Aim::AtMost(number),
        Comparison::Greater | Comparison::AtLeast => Aim::AtLeast(number),
        Comparison::Equal => Aim::Between(number, number),
    }
}

/// A number with its unit, in Celsius for a temperature, and the place after it.
pub(super) fn figure(sentence: &Sentence, at: usize) -> Option<(f64, usize)> {
    let at = sentence.after(at);
    let number = sentence.number(at)?;
    match sentence.unit(at + 1) {
        Some(Unit::Fahrenheit) => Some(((number - 32.0) / 1.8, at + 2)),
        Some(_) => Some((number, at + 2)),
        None => Some((number, at + 1)),
    }
}

/// `lactose is not to exceed 6 %`, `cap the alcohol at 2 %`: a bound that is ordered.
pub(super) fn is_ordered(sentence: &Sentence, at: usize) -> bool {
    let place = bound_place(sentence, at);
    let after = commands(sentence, place) && bound(sentence, place).is_some();
    let led = sentence.before(at).is_some_and(|n| commands(sentence, n));
    after || led && figure(sentence, place).is_some()
}

/// Whether a comparison is an order: `cap`, `must not exceed`.
pub(super) fn commands(sentence: &Sentence, at: usize) -> bool {
    const ORDERS: [&str; 8] = [
        "cap", "limit", "restrict", "not to", "must", "may not", "should", "shall",
    ];
    let Some(_) = sentence.comparison(at) else {
        return false;
    };
    let text = sentence.pieces[at].text.to_lowercase();
    let orders = |order: &&str| text.starts_with(*order) || text.contains(&format!(" {order}"));
    ORDERS.iter().any(orders)
}

/// `at most 2 new`: the comparison counts newcomers.
pub(super) fn counts_new(sentence: &Sentence, at: usize) -> bool {
    let number = sentence.after(at + 1);
    sentence.comparison(at).is_some() && sentence.means(number + 1, |s| matches!(s, Sense::New))
}

/// `fat at most`: the noun has a bound of its own.
pub(super) fn is_bounded(sentence: &Sentence, at: usize) -> bool {
    bound(sentence, bound_place(sentence, at)).is_some()
}
