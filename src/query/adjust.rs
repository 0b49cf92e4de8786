//! `I added 200 g of dark chocolate, fix it`, `less sweet please`, `scale to 2 kg`.

use crate::model::{Aim, Catalogue, Dial, Goal, Wish};

use super::amount::{Quantity, quantity};
use super::clause::{chosen, joined};
use super::dish::{dish, flavour};
use super::exclusion::exclusions;
use super::goal::{goals, share};
use super::question::{Amount, Batch, Question};
use super::scale::{Size, scales, size};
use super::sense::{Cue, Push, Unit};
use super::sentence::Sentence;
use super::understood::Understood;
use super::wish::{at_most, shelf};

/// Grams offered where an addition has no amount.
const EXAMPLE_GRAMS: [f64; 3] = [50.0, 100.0, 200.0];

/// Weights offered where a batch is to be scaled to none.
const SCALE_GRAMS: [f64; 3] = [1000.0, 2000.0, 5000.0];

/// Weights of a portion offered where none is said, g.
const PORTION_GRAMS: [f64; 3] = [60.0, 80.0, 120.0];

/// Reads an adjustment: additions, goals, a batch to scale to.
pub(super) fn read(sentence: &mut Sentence, catalogue: &Catalogue) -> Option<Understood> {
    let size = size(sentence);
    let mut goals = goals(sentence);
    for at in 0..sentence.len() {
        if let Some(goal) = sentence.symptom(at).and_then(|(symptom, _)| cured(symptom)) {
            sentence.take(at);
            take_pushed_it(sentence);
            let goal = by_percent(sentence, at, goal);
            if goals.iter().all(|g| g.dial != goal.dial) {
                goals.push(goal);
            }
        }
    }
    take_asked_push(sentence);
    let at_most = at_most(sentence);
    let shelf = shelf(sentence, catalogue);
    let clauses = exclusions(sentence);
    let newcomer = joined(clauses, sentence, catalogue)?;
    if !sentence.has(Cue::Add) {
        flavour(sentence);
    }
    let adds = sentence.has(Cue::Add) || sentence.has(Cue::With);
    let mut added: Vec<(String, Option<Quantity>)> = vec![];
    if adds {
        for at in 0..sentence.len() {
            let Some((id, assumed)) = chosen(sentence, at) else {
                continue;
            };
            let grams = quantity(sentence, at, Some(&id), catalogue)
                .or_else(|| quantity_after(sentence, at));
            sentence.assume(&assumed);
            sentence.take(at);
            added.push((id, grams));
        }
    }
    let dish = dish(sentence);
    if added.is_empty() && size.is_none() && goals.iter().all(|g| g.aim == Aim::Keep) {
        // `stays soft in the freezer` with nothing changed asks for a softer formula.
        for goal in goals.iter_mut() {
            if matches!(goal.dial, Dial::FrozenAt18 | Dial::FrozenAt12) {
                goal.aim = Aim::Lower;
            }
        }
    }
    if added.is_empty() && goals.is_empty() && size.is_none() && !scales(sentence) {
        return None;
    }
    let scaled = added.is_empty() && goals.is_empty();
    let sizes = match &size {
        Some(Size::Either(batches)) => Some(("by how much?", batches.clone())),
        Some(Size::Portions(count)) => Some((
            "how many grams is one portion?",
            PORTION_GRAMS.map(|g| Batch::Grams(count * g)).to_vec(),
        )),
        None if scaled => Some((
            "to how many grams? every ingredient is scaled alike",
            SCALE_GRAMS.map(Batch::Grams).to_vec(),
        )),
        _ => None,
    };
    if let Some((ask, batches)) = sizes {
        let question = |batch: Batch| Question::Adjust {
            added: vec![],
            wish: Wish {
                goals: goals.clone(),
                newcomer: newcomer.clone(),
                shelf: shelf.clone(),
                at_most: at_most.unwrap_or(Wish::default().at_most),
            },
            scale: Some(batch),
            dish: dish.clone(),
        };
        return Some(Understood::Choose {
            ask: ask.to_string(),
            questions: batches.into_iter().map(question).collect(),
        });
    }
    let scale = match size {
        Some(Size::One(batch)) => Some(batch),
        _ => None,
    };
    let wish = Wish {
        goals,
        newcomer,
        shelf: shelf.clone(),
        at_most: at_most.unwrap_or(Wish::default().at_most),
    };
    let question = |grams: f64, density: f64| Question::Adjust {
        added: added
            .iter()
            .map(|(id, quantity)| {
                let known = match quantity {
                    Some(Quantity::Known(Amount::Grams(grams))) => *grams,
                    Some(Quantity::Volume(ml)) => ml * density,
                    _ => grams,
                };
                (id.clone(), known)
            })
            .collect(),
        wish: wish.clone(),
        scale: scale.clone(),
        dish: dish.clone(),
    };
    let missing = added
        .iter()
        .find(|(_, q)| !matches!(q, Some(Quantity::Known(Amount::Grams(_)))));
    let Some((id, quantity)) = missing else {
        return Some(Understood::One(question(0.0, 1.0)));
    };
    let name = id.replace('-', " ");
    Some(match quantity {
        Some(Quantity::Volume(ml)) => Understood::Choose {
            ask: format!("how many grams are {ml} ml of {name}? its density is not known"),
            questions: [1.0, 0.5].map(|density| question(0.0, density)).to_vec(),
        },
        _ => Understood::Choose {
            ask: format!("how many grams of {name}?"),
            questions: EXAMPLE_GRAMS.map(|grams| question(grams, 1.0)).to_vec(),
        },
    })
}

/// `too sweet, knock it back`: the direction is that of the cure.
fn take_pushed_it(sentence: &mut Sentence) {
    for at in 0..sentence.len() {
        if pushes_it(sentence, at) {
            sentence.take(at);
        }
    }
}

/// `what must I reduce to hold the fat`: which way the rest moves is for the answer to say.
fn take_asked_push(sentence: &mut Sentence) {
    for at in 1..sentence.len() {
        let next = sentence.after(at + 1);
        let ends = next >= sentence.len() || sentence.comma(next) || sentence.is(next, Cue::To);
        let lead = (0..at).rev().find(|&n| {
            let text = sentence.pieces[n].text.to_lowercase();
            text.starts_with("what") || !sentence.fills(n)
        });
        let asked =
            lead.is_some_and(|n| sentence.pieces[n].text.to_lowercase().starts_with("what"));
        if sentence.push(at).is_some() && ends && asked {
            sentence.take(at);
        }
    }
}

/// `knock it back`, `bring it down`: what is moved is the fault told before.
pub(super) fn pushes_it(sentence: &Sentence, at: usize) -> bool {
    let text = sentence.pieces[at].text.to_lowercase();
    text.split(' ').any(|word| word == "it") && sentence.push(at).is_some_and(|p| p != Push::Keep)
}

/// `too sweet, bring it down by 15 %`: the fault says what, the figure how far.
fn by_percent(sentence: &mut Sentence, from: usize, goal: Goal) -> Goal {
    let Some(number) = by_percent_at(sentence, from) else {
        return goal;
    };
    let Some(percent) = sentence.number(number) else {
        return goal;
    };
    let late = sentence.after(number + 2);
    for at in from..=late {
        let by = at + 1 == number && sentence.is(at, Cue::By);
        if sentence.push(at).is_some() || by || at == number || at == number + 1 {
            sentence.take(at);
        }
    }
    let sign = if goal.aim == Aim::Lower { -1.0 } else { 1.0 };
    Goal {
        dial: goal.dial,
        aim: Aim::Relative(sign * share(percent)),
    }
}

/// The place of the number in `by 15 %`, `10 % less`.
pub(super) fn by_percent_at(sentence: &Sentence, from: usize) -> Option<usize> {
    (from..sentence.len()).find(|&at| {
        let percent =
            sentence.number(at).is_some() && matches!(sentence.unit(at + 1), Some(Unit::Percent));
        let by = sentence.before(at).is_some_and(|n| sentence.is(n, Cue::By));
        let moved = sentence
            .push(sentence.after(at + 2))
            .is_some_and(|push| push != Push::Keep);
        percent && (by || moved)
    })
}

/// `pistachio paste 100 g`
fn quantity_after(sentence: &mut Sentence, noun: usize) -> Option<Quantity> {
    let number = sentence.number(noun + 1)?;
    let Some(Unit::Grams(grams)) = sentence.unit(noun + 2) else {
        return None;
    };
    // `honey 100 g sugar`: the amount is of what follows.
    if sentence.ingredient(sentence.after(noun + 3)).is_some() {
        return None;
    }
    sentence.take_all(noun + 1, noun + 2);
    Some(Quantity::Known(Amount::Grams(number * grams)))
}

/// The goal that undoes a fault, where one dial does.
fn cured(symptom: &str) -> Option<Goal> {
    let (dial, aim) = match symptom {
        "too hard" => (Dial::FrozenAt18, Aim::Lower),
        "too soft" => (Dial::FrozenAt18, Aim::Raise),
        "too sweet" => (Dial::Sweetness, Aim::Lower),
        "not sweet enough" => (Dial::Sweetness, Aim::Raise),
        "salty" => (Dial::Salt, Aim::Lower),
        _ => return None,
    };
    Some(Goal { dial, aim })
}
