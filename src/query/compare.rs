//! `agar vs gelatin`, `which is sweeter, allulose or erythritol`.

use crate::model::Dial;

use super::dish::{dish, flavour};
use super::lookup::named;
use super::question::Question;
use super::sense::{Cue, Sense};
use super::sentence::Sentence;
use super::understood::Understood;

/// Reads a comparison of two or more ingredients.
pub(super) fn read(sentence: &mut Sentence) -> Option<Understood> {
    flavour(sentence);
    let mut asked = vec![];
    let named = named(sentence, &mut asked);
    let mut ingredients: Vec<String> = vec![];
    for id in &named {
        if !ingredients.contains(id) {
            ingredients.push(id.clone());
        }
    }
    if let ([same], true) = (&ingredients[..], named.len() > 1) {
        // `is E 415 the same as xanthan`
        sentence.assume(&format!("both names mean {}", same.replace('-', " ")));
        return Some(Understood::One(Question::Lookup {
            ingredients,
            properties: vec![],
            allergens: vec![],
        }));
    }
    if ingredients.len() < 2 {
        return None;
    }
    for at in 0..sentence.len() {
        let solids = sentence.dial(at) == Some((Dial::TotalSolids, false));
        if solids && sentence.property(at).is_none() {
            sentence.assume("solids are what is not water");
            sentence.take(at);
            asked.push((at, "water".to_string()));
        }
    }
    for at in 0..sentence.len() {
        let acid = matches!(sentence.group(at), Some(("family acid", _)));
        if acid && sentence.ingredient(at).is_none() {
            // `what is the difference in the acid`
            sentence.take(at);
            asked.push((at, "organic_acids".to_string()));
        }
    }
    for at in 0..sentence.len() {
        // `which has more fat`: both are shown, so either way round is answered.
        let degree = sentence.means(at, |s| matches!(s, Sense::Superlative(..)));
        if sentence.push(at).is_some() || sentence.comparison(at).is_some() || degree {
            sentence.take(at);
        }
    }
    if sentence.has(Cue::Pair) {
        sentence.assume("how they go together is read from their data side by side");
    }
    let dish = dish(sentence);
    if !dish.is_empty() {
        sentence.assume(&format!(
            "what is compared does not depend on the dish ({dish})"
        ));
    }
    Some(Understood::One(Question::Compare {
        ingredients,
        properties: asked.into_iter().map(|(_, property)| property).collect(),
    }))
}
