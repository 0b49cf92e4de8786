//! `hydration temperature of locust bean gum`, `is gelatin vegan`, `xanthan gum`.

use super::clause::chosen;
use super::question::Question;
use super::sense::{Cue, Sense};
use super::sentence::Sentence;
use super::swap::dish;
use super::understood::Understood;

/// Reads a look-up: ingredients, and the properties asked about.
pub(super) fn read(sentence: &mut Sentence) -> Option<Understood> {
    let mut properties: Vec<String> = vec![];
    let ingredients = named(sentence, &mut properties);
    if ingredients.is_empty() {
        return None;
    }
    statements(sentence, &mut properties);
    if properties.len() > 1 {
        // `how much fat is in it` asks for the fat.
        properties.retain(|p| p != "use_level");
    }
    pass_over_spoons(sentence, &properties);
    let dish = dish(sentence);
    if !dish.is_empty() {
        sentence.assume(&format!(
            "what is known does not depend on the dish ({dish})"
        ));
    }
    Some(Understood::One(Question::Lookup {
        ingredients,
        properties,
    }))
}

/// Ingredients and properties; a word that is both is a property where another ingredient stands.
pub(super) fn named(sentence: &mut Sentence, properties: &mut Vec<String>) -> Vec<String> {
    // `lactose in skimmed milk powder`: what stands before `in` is the property.
    let of_another = |sentence: &Sentence, at: usize| {
        let next = sentence.after(at + 1);
        let led = sentence.is(next, Cue::Of) || sentence.is(next, Cue::In);
        led && (next..sentence.len()).any(|n| sentence.ingredient(n).is_some())
    };
    let mut ingredients = vec![];
    for at in 0..sentence.len() {
        let both = sentence.ingredient(at).is_some() && sentence.property(at).is_some();
        let as_property = both && of_another(sentence, at) && !after_list(sentence, at);
        if contained(sentence, at) {
            continue;
        }
        if let Some((id, assumed)) = chosen(sentence, at).filter(|_| !as_property) {
            sentence.assume(&assumed);
            sentence.take(at);
            ingredients.push(id);
        } else if let Some(property) = sentence.property(at).map(str::to_string) {
            sentence.take(at);
            if !properties.contains(&property) {
                properties.push(property);
            }
        }
    }
    ingredients
}

/// `contain milk` asks for a statement, not for a second ingredient.
fn contained(sentence: &Sentence, at: usize) -> bool {
    let before = sentence.before(at);
    sentence.allergen(at).is_some()
        && (before.is_some_and(|n| sentence.is(n, Cue::Contains) || sentence.is(n, Cue::Without))
            || sentence.is(at + 1, Cue::Free))
}

/// Whether the word stands in a list of ingredients: `honey and sorbitol`.
fn after_list(sentence: &Sentence, at: usize) -> bool {
    let Some(joint) = at.checked_sub(1) else {
        return false;
    };
    let joined = sentence.comma(joint)
        || [Cue::And, Cue::Or, Cue::Compare]
            .iter()
            .any(|cue| sentence.is(joint, *cue));
    joined
        && joint.checked_sub(1).is_some_and(|n| {
            sentence.pieces[n]
                .senses
                .iter()
                .any(|s| matches!(s, Sense::Ingredient(_)))
        })
}

/// `does it contain milk`, `is it gluten free`: the property that states it.
fn statements(sentence: &mut Sentence, properties: &mut Vec<String>) {
    for at in 0..sentence.len() {
        let stated = if let Some((substances, _)) = sentence.allergen(at) {
            Some(substances.iter().any(|s| s == "cereals containing gluten"))
        } else if sentence.diet(at).is_some() {
            None
        } else {
            continue;
        };
        if sentence.is(at + 1, Cue::Free) {
            sentence.take(at + 1);
        }
        if stated == Some(true) {
            properties.push("gluten".to_string());
        } else if stated == Some(false) {
            properties.clear();
            sentence.assume("allergens are shown with all that is known");
        } else {
            continue;
        }
        sentence.take(at);
    }
    for at in 0..sentence.len() {
        if sentence.is(at, Cue::Contains) || sentence.is(at, Cue::Without) {
            sentence.take(at);
        }
    }
}

/// `a teaspoon of` in a question about density or dose says how it will be measured.
fn pass_over_spoons(sentence: &mut Sentence, properties: &[String]) {
    if !properties
        .iter()
        .any(|p| p == "density" || p == "use_level")
    {
        return;
    }
    for at in 0..sentence.len() {
        let quantity = sentence.unit(at).is_some() || sentence.number(at).is_some();
        if quantity {
            let text = sentence.pieces[at].text.clone();
            sentence.assume(&format!(
                "`{text}` is for the reader to work out from the value"
            ));
            sentence.take(at);
        }
    }
}
