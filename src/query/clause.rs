//! What an ingredient must satisfy, said in a cook's words, rewritten in the one condition language.

use crate::condition;
use crate::model::{Catalogue, Expr};

use super::sense::Cue;
use super::sentence::Sentence;

/// One thing that must hold.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Clause {
    /// The place of its first phrase.
    pub at: usize,
    /// What must hold, as a condition.
    pub condition: String,
    /// What has to go for it to hold, where it is about going without.
    pub complement: Option<Complement>,
}

/// What goes when something is gone without.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Complement {
    /// All that meets this condition.
    Condition(String),
    /// One ingredient, by id.
    Ingredient(String),
}

/// The first candidate of the ingredient at a place, and what is assumed with it.
pub(super) fn chosen(sentence: &Sentence, at: usize) -> Option<(String, String)> {
    let candidates = sentence.ingredient(at)?;
    Some((candidates.ids.first()?.clone(), candidates.assumed.clone()))
}

pub(super) fn plain(at: usize, condition: String) -> Clause {
    Clause {
        at,
        condition,
        complement: None,
    }
}

/// Takes the kinds of ingredient out of the sentence: `gums`, `plant milks`; kinds joined by
/// `or`, and by `and` too, are one choice: nothing is both a gum and a starch.
pub(super) fn kinds(sentence: &mut Sentence) -> Vec<Clause> {
    let mut found: Vec<Clause> = vec![];
    let mut last: Option<usize> = None;
    for at in 0..sentence.len() {
        let Some((condition, assumed)) = sentence.group(at) else {
            continue;
        };
        let (condition, assumed) = (condition.to_string(), assumed.to_string());
        let joint = last.map(|last| sentence.after(last + 1)).filter(|&joint| {
            sentence.after(joint + 1) == at
                && (sentence.is(joint, Cue::Or) || sentence.is(joint, Cue::And))
        });
        let apart = sentence.before(at).is_some_and(|n| {
            [Cue::With, Cue::In, Cue::For]
                .iter()
                .any(|cue| sentence.is(n, *cue))
        });
        if joint.is_none() && apart && !found.is_empty() {
            // `stabiliser for ice cream with alcohol`: the second is no kind looked for.
            continue;
        }
        sentence.assume(&assumed);
        sentence.take(at);
        match (joint, found.last_mut()) {
            (Some(joint), Some(before)) => {
                sentence.take(joint);
                let known = before.condition.split(" or ").any(|part| part == condition);
                if !known {
                    // `flours and starches` are one family.
                    before.condition = format!("{} or {condition}", before.condition);
                }
            }
            _ => found.push(plain(at, condition)),
        }
        last = Some(at);
    }
    found
}

/// Joins clauses in the order they stand in; all must hold, but for those with `or` between them.
pub(super) fn joined(
    mut clauses: Vec<Clause>,
    sentence: &mut Sentence,
    catalogue: &Catalogue,
) -> Option<Expr> {
    clauses.sort_by_key(|clause| clause.at);
    // In a cook's words `or` holds its neighbours together: vegan, and a gum or a starch.
    let mut choices: Vec<Vec<String>> = vec![];
    let mut before: Option<usize> = None;
    for clause in clauses {
        let or = before.and_then(|before| {
            (before..clause.at).find(|&n| !sentence.pieces[n].used && sentence.is(n, Cue::Or))
        });
        before = Some(clause.at);
        match (or, choices.last_mut()) {
            (Some(or), Some(choice)) => {
                sentence.take(or);
                choice.push(clause.condition);
            }
            _ => choices.push(vec![clause.condition]),
        }
    }
    let alone = choices.len() == 1;
    let parts: Vec<String> = choices
        .iter()
        .map(|choice| choice.join(" or "))
        .map(|choice| if alone { choice } else { grouped(&choice) })
        .collect();
    let text = parts.join(" and ");
    if text.is_empty() {
        return Some(Expr::Always);
    }
    condition::parse(&text, catalogue).ok()
}

/// In parentheses where the condition holds an `or`; `and` parts stay flat.
pub(super) fn grouped(condition: &str) -> String {
    if condition.contains(" or ") {
        format!("({condition})")
    } else {
        condition.to_string()
    }
}
