//! What no kind of question can carry: told before a sentence is read, never dropped in silence.

use super::sense::{Cue, Sense};
use super::sentence::Sentence;

/// Takes tolerances and certificates out of the sentence and says so.
pub(super) fn set_apart(sentence: &mut Sentence) {
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
