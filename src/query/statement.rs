//! What is asked of allergens and diets: `does it contain milk`, `is it gluten free`.

use crate::model::Catalogue;

use super::sense::{Cue, Sense};
use super::sentence::Sentence;

/// `does it contain milk`, `is it gluten free`: the property that states it, or the allergens.
pub(super) fn statements(
    sentence: &mut Sentence,
    catalogue: &Catalogue,
    asked: &mut Vec<(usize, String)>,
) -> Vec<String> {
    let mut allergens: Vec<String> = vec![];
    for at in 0..sentence.len() {
        // `suitable for vegans`, `is it keto`, `less sweet than sugar`
        let diet =
            (sentence.diet(at)).map(|(said, assumed)| (said.to_string(), assumed.to_string()));
        if let Some((said, assumed)) = &diet
            && let Some(allergen) = said.strip_prefix("free of ")
        {
            // `ok for coeliacs`
            match allergen {
                "cereals_containing_gluten" => asked.push((at, "gluten".to_string())),
                other => allergens.push(other.replace('_', " ")),
            }
            sentence.assume(assumed);
            sentence.take(at);
            continue;
        }
        let said = (sentence.attribute(at)).map(|said| (said.to_string(), String::new()));
        if let Some((said, assumed)) = diet.or(said)
            && !said.contains("free of")
        {
            // What names ingredients or families is no property: all that is known tells.
            let plain = !said.contains("this is");
            let words = said.split([' ', '(', ')']).filter(|_| plain);
            let named = words.filter_map(|word| catalogue.property(word));
            asked.extend(named.map(|property| (at, property.id.clone())));
            sentence.assume(&assumed);
            sentence.take(at);
            continue;
        }
        let Some((substances, assumed)) = sentence.allergen(at) else {
            continue;
        };
        let (substances, assumed) = (substances.to_vec(), assumed.to_string());
        if substances.iter().any(|s| s == "cereals containing gluten") {
            asked.push((at, "gluten".to_string()));
        } else {
            sentence.assume(&assumed);
            allergens.extend(substances);
        }
        sentence.take(at);
        if sentence.is(at + 1, Cue::Free) || sentence.is(at + 1, Cue::Allergy) {
            sentence.take(at + 1);
        }
    }
    for at in 0..sentence.len() {
        if sentence.is(at, Cue::Contains) || sentence.is(at, Cue::Without) {
            sentence.take(at);
        }
    }
    allergens
}

/// `contain milk`, `have milk in it`, `milk in white chocolate` ask for a statement, not for a second
/// ingredient.
pub(super) fn contained(sentence: &Sentence, at: usize) -> bool {
    if sentence.allergen(at).is_none() {
        return false;
    }
    let before = sentence.before(at);
    let listed = before
        .filter(|&n| sentence.is(n, Cue::Or) || sentence.is(n, Cue::And) || sentence.comma(n))
        .and_then(|n| sentence.before(n));
    before.is_some_and(|n| sentence.is(n, Cue::Contains) || sentence.is(n, Cue::Without))
        || sentence.is(at + 1, Cue::Free)
        || sentence.is(at + 1, Cue::Allergy)
        || had(sentence, at)
        || held_in(sentence, at)
        || held_in_dish(sentence, at)
        || listed.is_some_and(|n| contained(sentence, n))
}

/// `does white chocolate have milk`: said of what stands before.
fn had(sentence: &Sentence, at: usize) -> bool {
    let have = (0..at).rev().take(2).find(|&n| sentence.is(n, Cue::Have));
    have.is_some_and(|have| {
        let named = |n: usize| {
            sentence.pieces[n]
                .senses
                .iter()
                .any(|s| matches!(s, Sense::Ingredient(_)))
        };
        sentence.has(Cue::Is) && (0..have).any(named)
    })
}

/// `are there eggs in marzipan`, `marzipan, is there gluten in it`
fn held_in(sentence: &Sentence, at: usize) -> bool {
    let place = sentence.after(at + 1);
    let holder = sentence.after(place + 1);
    let asked = sentence.has(Cue::Is) || sentence.has(Cue::Find);
    let it = holder >= sentence.len()
        && place < sentence.len()
        && (sentence.pieces.last()).is_some_and(|p| ["it", "?"].contains(&p.text.as_str()))
        && (0..at).any(|n| sentence.is(n, Cue::Find))
        && (sentence.pieces[..at].iter())
            .any(|p| p.senses.iter().any(|s| matches!(s, Sense::Ingredient(_))));
    let named = sentence.property(at).is_none()
        && sentence.ingredient(holder).is_some()
        && sentence.dish(holder).is_none();
    sentence.is(place, Cue::In) && asked && (it || named)
}

/// `are there eggs in mayonnaise`: a dish has no data.
fn held_in_dish(sentence: &Sentence, at: usize) -> bool {
    let place = sentence.after(at + 1);
    let there = sentence
        .before(at)
        .is_some_and(|n| sentence.is(n, Cue::Find));
    there && sentence.is(place, Cue::In) && sentence.dish(sentence.after(place + 1)).is_some()
}

/// Whether it is asked if a dish holds an allergen, which no data says.
pub(super) fn asks_held_in_dish(sentence: &Sentence) -> bool {
    let named = |at: usize| sentence.ingredient(at).is_some() && sentence.dish(at).is_none();
    let asked = |at: usize| sentence.allergen(at).is_some() && held_in_dish(sentence, at);
    (0..sentence.len()).any(asked) && (0..sentence.len()).filter(|&at| named(at)).count() <= 1
}

/// Whether it is asked if an ingredient holds an allergen.
pub(super) fn asks_held(sentence: &Sentence) -> bool {
    (0..sentence.len()).any(|at| held_in(sentence, at))
}
