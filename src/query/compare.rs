//! `agar vs gelatin`, `which is sweeter, allulose or erythritol`.

use super::lookup::named;
use super::question::Question;
use super::sentence::Sentence;
use super::swap::dish;
use super::understood::Understood;

/// Reads a comparison of two or more ingredients.
pub(super) fn read(sentence: &mut Sentence) -> Option<Understood> {
    let mut properties = vec![];
    let mut ingredients = named(sentence, &mut properties);
    ingredients.dedup();
    if ingredients.len() < 2 {
        return None;
    }
    let dish = dish(sentence);
    if !dish.is_empty() {
        sentence.assume(&format!("what is compared does not depend on the dish ({dish})"));
    }
    Some(Understood::One(Question::Compare {
        ingredients,
        properties,
    }))
}
