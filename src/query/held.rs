//! Names that the formula at hand decides: `the cream` is the cream of the mix.

use super::sense::Sense;
use super::sentence::Sentence;
use crate::model::{Catalogue, Ingredient, IngredientKey, fold};

/// What a fruit or a nut is there for in any of its forms.
const FLAVOUR: &str = "flavour";

/// Narrows every name that could mean several ingredients, or is taken as a usual one, to what the
/// formula holds of them, and tells so.
pub fn narrow(sentence: &mut Sentence, held: &[IngredientKey], catalogue: &Catalogue) {
    let pieces = sentence.pieces.iter_mut();
    let pieces = pieces.map(|piece| (piece.text.as_str(), &mut piece.senses));
    narrow_all(pieces, held, catalogue);
}

/// The same for stretches of a text with their meanings.
pub(super) fn narrow_all<'a>(
    stretches: impl Iterator<Item = (&'a str, &'a mut Vec<Sense>)>,
    held: &[IngredientKey],
    catalogue: &Catalogue,
) {
    for (text, senses) in stretches {
        for sense in senses {
            let Sense::Ingredient(candidates) = sense else {
                continue;
            };
            let open = candidates.ids.len() > 1 || !candidates.assumed.is_empty();
            let usual = candidates.ids.first().and_then(|id| catalogue.key(id));
            let Some(usual) = usual else { continue };
            // `passion fruit` where the formula holds its puree.
            let made_of = |key: &&IngredientKey| {
                let ingredient = catalogue.ingredient(**key);
                let id = ingredient.id.strip_prefix(&catalogue.ingredient(usual).id);
                let flavours = |i: &Ingredient| i.functions.iter().any(|f| f == FLAVOUR);
                id.is_some_and(|rest| rest.starts_with('-'))
                    && flavours(ingredient)
                    && flavours(catalogue.ingredient(usual))
            };
            if !open {
                let mut made = held.iter().filter(made_of);
                if let (false, Some(key), None) = (held.contains(&usual), made.next(), made.next())
                {
                    let id = &catalogue.ingredient(*key).id;
                    candidates.assumed = format!("`{text}` is taken as the {id} of the formula");
                    candidates.ids = vec![id.clone()];
                }
                continue;
            }
            let meant = |key: &&IngredientKey| {
                let ingredient = catalogue.ingredient(**key);
                candidates.ids.contains(&ingredient.id)
                    || (ingredient.family == catalogue.ingredient(usual).family
                        && (called(ingredient, text)
                            || based(ingredient, catalogue.ingredient(usual), text)))
            };
            let ids: Vec<String> = held
                .iter()
                .filter(meant)
                .map(|key| catalogue.ingredient(*key).id.clone())
                .collect();
            if ids.is_empty() || ids == candidates.ids {
                continue;
            }
            candidates.assumed = match ids.as_slice() {
                [id] => format!("`{text}` is taken as the {id} of the formula"),
                _ => String::new(),
            };
            candidates.ids = ids;
        }
    }
}

/// Letters by which a word may be longer than the base it names: `gelatine`, `eggs`.
const ENDING: usize = 2;

/// Whether a word names the base of two ingredients and no form of it: `gelatine` of powder and leaf.
fn based(ingredient: &Ingredient, usual: &Ingredient, text: &str) -> bool {
    let base = |i: &'_ Ingredient| i.id.split('-').next().unwrap_or_default().to_string();
    let word = fold(text);
    let ending = word.strip_prefix(&base(usual));
    base(ingredient) == base(usual) && ending.is_some_and(|ending| ending.len() <= ENDING)
}

/// Whether every word of a text stands in the name of an ingredient.
fn called(ingredient: &Ingredient, text: &str) -> bool {
    let name = fold(&ingredient.name);
    let mut words = text.split_whitespace();
    words.all(|word| name.split_whitespace().any(|part| part == fold(word)))
}
