//! `vegan gums that hydrate below 60 C`, `sugars sweeter than sucrose`.

use crate::model::{Catalogue, Expr};

use super::clause::{Clause, chosen, joined, kinds, plain};
use super::comparison::comparisons;
use super::dish::dish;
use super::exclusion::exclusions;
use super::question::Question;
use super::ranking::{drop_bounded, order};
use super::sense::Cue;
use super::sentence::Sentence;
use super::understood::Understood;
use super::wish::own_shelf;

/// Reads a search: kinds of ingredient and what must hold of them.
pub(super) fn read(sentence: &mut Sentence, catalogue: &Catalogue) -> Option<Understood> {
    let mut clauses: Vec<Clause> = comparisons(sentence, catalogue);
    drop_bounded(sentence);
    let order = order(sentence);
    clauses.extend(exclusions(sentence));
    if let Some(shelf) = own_shelf(sentence, catalogue) {
        let each: Vec<String> = shelf.iter().map(|id| format!("this is {id}")).collect();
        clauses.push(plain(sentence.len(), each.join(" or ")));
    }
    let found = kinds(sentence);
    if found.is_empty() {
        clauses.extend(
            one(sentence)
                .or_else(|| {
                    let bound = !clauses.is_empty() && sentence.has(Cue::Find);
                    grades(sentence, order.is_some() || bound)
                })
                .or_else(|| holding(sentence, !clauses.is_empty())),
        );
    }
    clauses.extend(found);
    set_cold(&mut clauses, sentence);
    clauses.extend(others(sentence));
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

/// `cocoa powder with the most fat`: every grade of what is named.
fn grades(sentence: &mut Sentence, ranked: bool) -> Option<Clause> {
    let graded = |at: &usize| {
        let candidates = sentence.ingredient(*at);
        candidates.is_some_and(|c| c.namesakes.len() > 1)
    };
    let at = (0..sentence.len()).find(graded).filter(|_| ranked)?;
    let each: Vec<String> = (sentence.ingredient(at)?.namesakes.iter())
        .map(|id| format!("this is {id}"))
        .collect();
    sentence.take(at);
    Some(plain(at, each.join(" or ")))
}

/// `gels without heating`: what dissolves cold need not set cold; a protein sets by heat.
fn set_cold(clauses: &mut Vec<Clause>, sentence: &mut Sentence) {
    let has = |said: &str| clauses.iter().any(|clause| clause.condition == said);
    if has("function gelling_agent") && has("cold_soluble = yes") {
        sentence.assume("what sets by heat alone, such as whey or egg protein, is left out");
        clauses.push(plain(
            sentence.len(),
            "not (known denaturation_temperature or family protein or family egg)".to_string(),
        ));
    }
}

/// `coconut oil is out, what other fats are there`: what is named is known already.
fn others(sentence: &mut Sentence) -> Vec<Clause> {
    let other = |at: usize| {
        sentence.is(at, Cue::Find) && sentence.pieces[at].text.to_lowercase().ends_with(" other")
    };
    let mut clauses = vec![];
    if !(0..sentence.len()).any(other) {
        return clauses;
    }
    for at in 0..sentence.len() {
        if let Some((id, assumed)) = chosen(sentence, at) {
            sentence.assume(&assumed);
            sentence.take(at);
            clauses.push(plain(at, format!("not this is {id}")));
        }
    }
    clauses
}

/// `is there a pregelatinised starch that needs no heat`: one ingredient, if it meets the rest.
fn one(sentence: &mut Sentence) -> Option<Clause> {
    if !sentence.has(Cue::Find) {
        return None;
    }
    let at = (0..sentence.len()).find(|&at| {
        let led = sentence
            .before(at)
            .is_none_or(|n| sentence.is(n, Cue::Find));
        led && sentence.ingredient(at).is_some_and(|c| c.ids.len() == 1)
    })?;
    let asked = (0..sentence.len()).any(|n| sentence.attribute(n).is_some())
        || sentence.pieces.iter().any(|piece| piece.used);
    let (id, assumed) = chosen(sentence, at).filter(|_| asked)?;
    sentence.assume(&assumed);
    sentence.take(at);
    Some(plain(at, format!("this is {id}")))
}

/// `dairy under 2 % lactose`: what holds the allergen, where more is asked of it.
fn holding(sentence: &mut Sentence, asked: bool) -> Option<Clause> {
    let at = (0..sentence.len()).find(|&at| sentence.allergen(at).is_some())?;
    let (substances, assumed) = sentence.allergen(at).filter(|_| asked)?;
    let each: Vec<String> = substances
        .iter()
        .map(|s| format!("contains {}", s.replace(' ', "_")))
        .collect();
    let assumed = assumed.to_string();
    sentence.assume(&assumed);
    sentence.take(at);
    Some(plain(at, each.join(" or ")))
}

/// `find pistachio`: an ingredient named alone is looked for by its name.
fn name(sentence: &mut Sentence) -> Option<String> {
    if !sentence.has(Cue::Find) {
        return None;
    }
    let at = (0..sentence.len()).find(|&at| sentence.ingredient(at).is_some())?;
    if sentence.is(sentence.after(at + 1), Cue::In) {
        // `are there eggs in mayonnaise`
        return None;
    }
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
