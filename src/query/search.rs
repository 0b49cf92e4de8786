//! `vegan gums that hydrate below 60 C`, `sugars sweeter than sucrose`.

use crate::model::{Catalogue, Expr};

use super::clause::{Clause, joined, kinds};
use super::comparison::comparisons;
use super::dish::dish;
use super::exclusion::exclusions;
use super::question::Question;
use super::sense::Cue;
use super::sentence::Sentence;
use super::superlative::order;
use super::understood::Understood;

/// Reads a search: kinds of ingredient and what must hold of them.
pub(super) fn read(sentence: &mut Sentence, catalogue: &Catalogue) -> Option<Understood> {
    let order = order(sentence);
    let mut clauses: Vec<Clause> = comparisons(sentence, catalogue);
    clauses.extend(exclusions(sentence));
    clauses.extend(kinds(sentence));
    let text = if clauses.is_empty() && order.is_none() {
        name(sentence)?
    } else {
        String::new()
    };
    let condition = joined(clauses, sentence, catalogue)?;
    let dish = dish(sentence);
    if !dish.is_empty() {
        sentence.assume(&format!("the dish ({dish}) does not narrow the search"));
    }
    Some(Understood::One(Question::Search {
        text,
        condition,
        order,
    }))
}

/// `find pistachio`: an ingredient named alone is looked for by its name.
fn name(sentence: &mut Sentence) -> Option<String> {
    if !sentence.has(Cue::Find) {
        return None;
    }
    let at = (0..sentence.len()).find(|&at| sentence.ingredient(at).is_some())?;
    sentence.take(at);
    Some(sentence.pieces[at].text.to_lowercase())
}

/// A search for a word among the names.
pub(super) fn by_name(word: &str) -> Question {
    Question::Search {
        text: word.to_lowercase(),
        condition: Expr::Always,
        order: None,
    }
}
