//! What no kind of question can carry: told before a sentence is read, never dropped in silence.

use super::sense::{Cue, Sense, Unit};
use super::sentence::Sentence;

/// Takes tolerances and certificates out of the sentence and says so.
pub(super) fn set_apart(sentence: &mut Sentence) {
    preamble(sentence);
    allowance(sentence);
    into_base(sentence);
    heads(sentence);
    for at in 0..sentence.len() {
        if sentence.is(at, Cue::Within) {
            tolerance(sentence, at);
        }
        ratio(sentence, at);
        inside(sentence, at);
        let told = sentence.has(Cue::Is) || sentence.has(Cue::Lookup);
        let named = (0..sentence.len()).any(|n| sentence.ingredient(n).is_some());
        let swapped = [Cue::Swap, Cue::Substitute, Cue::Replace, Cue::Instead]
            .iter()
            .any(|cue| sentence.has(*cue));
        // `halal stabilisers` is looked for; `is agar halal` is not known.
        if sentence.is(at, Cue::Certified) && told && named && !swapped {
            let text = sentence.pieces[at].text.clone();
            sentence.assume(&format!(
                "whether something is {text} is not known here; its maker must be asked"
            ));
            sentence.take(at);
        }
    }
}

/// `is it ok for toddlers`: what no data of an ingredient says.
pub(super) fn not_judged(sentence: &Sentence) -> Option<String> {
    let at = (0..sentence.len()).find(|&at| sentence.is(at, Cue::Frail))?;
    Some(format!(
        "whether this suits `{}` is not judged here: ask someone qualified",
        sentence.pieces[at].text
    ))
}

/// `I'm pulling sugar and would like to know at what temperature isomalt melts`: what leads up to
/// the question is no part of it, where the question names its ingredient itself.
fn preamble(sentence: &mut Sentence) {
    let Some(at) = (0..sentence.len()).find(|&at| sentence.is(at, Cue::Preamble)) else {
        return;
    };
    let names = |sentence: &Sentence, n: usize| sentence.ingredient(n).is_some();
    if (at + 1..sentence.len()).any(|n| names(sentence, n)) && at > 0 {
        if (0..at).any(|n| !sentence.fills(n) && !sentence.is(n, Cue::And)) {
            sentence.assume("what is told before the question does not narrow it");
        }
        sentence.take_all(0, at);
        for piece in &mut sentence.pieces[..=at] {
            piece.senses = vec![Sense::Filler(false)];
        }
    }
}

/// `dairy free but eggs are fine`: what may stay needs no word, for only what is named goes.
fn allowance(sentence: &mut Sentence) {
    const FINE: [&str; 9] = [
        "fine",
        "ok",
        "okay",
        "good",
        "allowed",
        "alright",
        "welcome",
        "permitted",
        "no problem",
    ];
    let goes = (0..sentence.len()).any(|at| {
        sentence.is(at, Cue::Free) || sentence.is(at, Cue::Without) || sentence.diet(at).is_some()
    });
    let thing = |s: &Sentence, at: usize| {
        s.ingredient(at).is_some() || s.group(at).is_some() || s.allergen(at).is_some()
    };
    for at in 0..sentence.len() {
        let fine = sentence
            .pieces
            .get(at + 2)
            .is_some_and(|piece| FINE.contains(&piece.text.to_lowercase().as_str()));
        let stated = sentence.is(at + 1, Cue::Is) && fine && at + 3 >= sentence.len();
        let joined = sentence
            .before(at)
            .is_some_and(|n| sentence.is(n, Cue::And) || sentence.comma(n));
        if goes && joined && stated && thing(sentence, at) {
            let text = sentence.pieces[at].text.clone();
            sentence.assume(&format!("`{text}` may stay: only what is named goes"));
            sentence.take_all(at, at + 2);
            for piece in &mut sentence.pieces[at..=at + 2] {
                piece.senses = vec![Sense::Filler(false)];
            }
        }
    }
}

/// `for 80 people ... 6 kg`: the weight says how much.
fn heads(sentence: &mut Sentence) {
    const HEADS: [&str; 7] = [
        "people", "persons", "guests", "pax", "heads", "covers", "diners",
    ];
    let weighed = (0..sentence.len()).any(|at| {
        let unit = sentence.unit(at + 1);
        sentence.number(at).is_some() && matches!(unit, Some(Unit::Grams(_) | Unit::Millilitres(_)))
    });
    for at in 0..sentence.len() {
        let heads = sentence
            .pieces
            .get(at + 1)
            .map(|piece| piece.text.to_lowercase());
        let counted = heads.is_some_and(|text| HEADS.contains(&text.as_str()));
        let swapped = [Cue::Substitute, Cue::Instead, Cue::Replace, Cue::Swap]
            .iter()
            .any(|cue| sentence.has(*cue));
        if swapped && counted && sentence.number(at).is_some() {
            sentence.assume("how many it is for does not narrow the swap");
            sentence.take_all(at, at + 1);
        } else if weighed && counted && sentence.number(at).is_some() {
            sentence.assume("how many it is for is set aside: the weight says how much");
            sentence.take_all(at, at + 1);
        }
    }
}

/// `100 ml of espresso into 1 kg of base`: the formula says how much there is.
fn into_base(sentence: &mut Sentence) {
    for at in 0..sentence.len() {
        let into = sentence.is(at, Cue::To) || sentence.is(at, Cue::In);
        let weighed = matches!(
            sentence.unit(at + 2),
            Some(Unit::Grams(_) | Unit::Millilitres(_))
        );
        let number = at + 1;
        if !into || !weighed || sentence.number(number).is_none() || !sentence.has(Cue::Add) {
            continue;
        }
        let base = sentence.after(at + 3);
        let base = if sentence.is(base, Cue::Of) {
            sentence.after(base + 1)
        } else {
            base
        };
        if sentence.dish(base).is_none() {
            continue;
        }
        let text: Vec<&str> = (sentence.pieces[number..=at + 2].iter())
            .map(|piece| piece.text.as_str())
            .collect();
        let text = text.join(" ");
        sentence.assume(&format!(
            "`{text}` is set aside: the formula says how much there is"
        ));
        sentence.take_all(number, at + 2);
        for piece in &mut sentence.pieces[number..=at + 2] {
            piece.senses = vec![Sense::Filler(false)];
        }
    }
}

/// `1:1`: how much comes in for how much is what the answer works out.
fn ratio(sentence: &mut Sentence, at: usize) {
    let to = sentence.is(at + 1, Cue::To) && sentence.unit(at + 3).is_none();
    let colon = to || sentence.pieces.get(at + 1).is_some_and(|p| p.text == ":");
    if !colon || sentence.number(at).is_none() || sentence.number(at + 2).is_none() {
        return;
    }
    let text = format!(
        "{}{}{}",
        sentence.pieces[at].text,
        if to { " to " } else { ":" },
        sentence.pieces[at + 2].text
    );
    sentence.assume(&format!("`{text}` is set aside: the answer says how much"));
    sentence.take_all(at, at + 2);
}

/// `a carton with gellan in it`: what a bought drink holds is no newcomer of its own; a carton that
/// is not named is some plant drink.
fn inside(sentence: &mut Sentence, at: usize) {
    let held = sentence.after(at + 1);
    let within = sentence.after(held + 1);
    let named = sentence.ingredient(held).is_some() || sentence.group(held).is_some();
    let led = sentence.is(at, Cue::With) && named;
    if !led || !sentence.is(within, Cue::In) {
        return;
    }
    // Something named after `in` is where it goes: `gellan in milk`.
    let bare = sentence
        .pieces
        .get(within + 1)
        .is_some_and(|p| matches!(p.text.as_str(), "it" | "them" | "there"));
    if !bare && sentence.pieces[within].text != "inside" {
        return;
    }
    let last = within + usize::from(bare);
    sentence.assume(&format!(
        "the {} inside counts as far as the data states a gum for the drink: read the carton",
        sentence.pieces[held].text
    ));
    sentence.take_all(at, last);
    for piece in &mut sentence.pieces[at..=last] {
        piece.senses = vec![Sense::Filler(false)];
    }
    if let Some(before) = at.checked_sub(1)
        && matches!(sentence.pieces[before].text.as_str(), "carton" | "cartons")
    {
        sentence.pieces[before].senses = vec![Sense::Group(
            "family plant-drink".into(),
            "a carton is taken as a plant drink".into(),
        )];
    }
}

/// `within 5 %`: every answer shows how near it comes, so the width is not needed.
fn tolerance(sentence: &mut Sentence, at: usize) {
    let number = sentence.after(at + 1);
    if sentence.number(number).is_none() {
        return;
    }
    let last = number + usize::from(sentence.unit(number + 1).is_some());
    let text: Vec<&str> = sentence.pieces[at..=last]
        .iter()
        .map(|piece| piece.text.as_str())
        .collect();
    let text = text.join(" ");
    sentence.assume(&format!(
        "`{text}` is set aside: an answer shows how near it comes"
    ));
    sentence.take_all(at, last);
    // `within 5 % of the sweetness`
    if sentence.is(sentence.after(last + 1), Cue::Of) {
        let of = sentence.after(last + 1);
        sentence.pieces[of].senses = vec![Sense::Filler(false)];
    }
}
