//! The dish a question names, and what only flavours it.

use super::sense::Cue;
use super::sentence::Sentence;

/// The dish named; a name that is also an ingredient counts as the dish only after `in` or `make`.
pub(super) fn dish(sentence: &mut Sentence) -> String {
    take_dish(sentence, false)
}

/// The dish named, where a name that is also an ingredient is the dish.
pub(super) fn dish_first(sentence: &mut Sentence) -> String {
    take_dish(sentence, true)
}

fn take_dish(sentence: &mut Sentence, first: bool) -> String {
    let mut found = String::new();
    for at in 0..sentence.len() {
        let Some(dish) = sentence.dish(at).map(str::to_string) else {
            continue;
        };
        let other = sentence.ingredient(at).is_some();
        let before = sentence.before(at);
        let led = before.is_none_or(|n| {
            sentence.is(n, Cue::In)
                || sentence.is(n, Cue::Make)
                || (sentence.is(n, Cue::For) && !other)
        });
        if other && !led && !first {
            continue;
        }
        sentence.take(at);
        // `ice cream base` after `sorbet` adds nothing; `base` says less than `gelato`.
        if found.is_empty() || found == "base" {
            found = dish;
        } else if dish != "base" && found != dish {
            found = format!("{found} {dish}");
        }
    }
    found
}

/// `passion fruit mousse`: an ingredient right before the dish belongs to the dish's name.
pub(super) fn flavour(sentence: &mut Sentence) {
    for at in 2..sentence.len() {
        // `banana only ice cream`
        let base = sentence.is(at - 1, Cue::Only) && sentence.ingredient(at - 2).is_some();
        if base && sentence.dish(at).is_some() {
            let text = sentence.pieces[at - 2].text.clone();
            sentence.assume(&format!("`{text}` is taken as part of the dish's name"));
            sentence.take_all(at - 2, at - 1);
        }
    }
    for at in 1..sentence.len() {
        // `in a dairy flan`: after `in` an allergen is no reason to go without.
        let place = sentence.before(at - 1);
        let inside = place.is_some_and(|n| sentence.is(n, Cue::In));
        let named = sentence.ingredient(at - 1).is_some()
            || sentence.group(at - 1).is_some()
            || inside && sentence.allergen(at - 1).is_some();
        if sentence.dish(at).is_none() || !named || sentence.dish(at - 1).is_some() {
            continue;
        }
        // `agar gel`: what makes it is no flavour.
        if sentence.dish(at) == Some("gel") {
            continue;
        }
        let led = at >= 2
            && (sentence
                .cues(at - 2)
                .any(|cue| cue != Cue::In && cue != Cue::Make && cue != Cue::For)
                || sentence.unit(at - 2).is_some()
                || sentence.property(at - 2).is_some() && sentence.ingredient(at - 2).is_none());
        if led {
            continue;
        }
        let text = sentence.pieces[at - 1].text.clone();
        sentence.assume(&format!("`{text}` is taken as part of the dish's name"));
        sentence.take(at - 1);
    }
}
