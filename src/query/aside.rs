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
    let colon = sentence.pieces.get(at + 1).is_some_and(|p| p.text == ":");
    if !colon || sentence.number(at).is_none() || sentence.number(at + 2).is_none() {
        return;
    }
    let text = format!(
        "{}:{}",
        sentence.pieces[at].text,
        sentence.pieces[at + 2].text
    );
    sentence.assume(&format!("`{text}` is set aside: the answer says how much"));
    sentence.take_all(at, at + 2);
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
