//! `make it dairy-free`, `ice cream without eggs`: whatever does not comply has to go.

use crate::condition;
use crate::model::{Aim, Catalogue, Dial, Goal, Wish};

use super::clause::{Clause, Complement, chosen, joined};
use super::dish::{dish_first, flavour};
use super::exclusion::exclusions;
use super::goal::goals;
use super::question::{Leaver, Question};
use super::sense::Cue;
use super::sentence::Sentence;
use super::understood::Understood;
use super::wish::{at_most, shelf};

/// Reads `make it dairy-free`, `ice cream without eggs`: whatever does not comply has to go.
pub(super) fn read(sentence: &mut Sentence, catalogue: &Catalogue) -> Option<Understood> {
    let goals = goals(sentence);
    let at_most = at_most(sentence);
    let shelf = shelf(sentence, catalogue);
    let clauses = exclusions(sentence);
    flavour(sentence);
    if clauses.is_empty() {
        return None;
    }
    if let Some(clause) = clauses.iter().find(|clause| limits_mix(&clause.condition)) {
        return carbohydrates(clause, catalogue);
    }
    if let Some(question) = one_freed(sentence, catalogue, &clauses, &goals) {
        return Some(Understood::One(question));
    }
    let mut conditions = vec![];
    let mut ingredients = vec![];
    for clause in &clauses {
        match &clause.complement {
            Some(Complement::Condition(condition)) => conditions.push(condition.clone()),
            Some(Complement::Ingredient(id)) => ingredients.push(id.clone()),
            None => {}
        }
    }
    if conditions.is_empty() && ingredients.is_empty() {
        return None;
    }
    sentence.without = true;
    let (leaver, newcomer) = if conditions.is_empty() {
        // What goes stays out by itself; of a noun that several share, the others stay out too.
        let shared: Vec<Clause> = (clauses.into_iter())
            .filter(|clause| clause.condition.contains(" or "))
            .collect();
        let newcomer = joined(shared, sentence, catalogue)?;
        (Leaver::Ingredients(ingredients), newcomer)
    } else {
        let goes = conditions
            .iter()
            .cloned()
            .chain(ingredients.iter().map(|id| format!("this is {id}")))
            .collect::<Vec<_>>()
            .join(" or ");
        let expr = condition::parse(&goes, catalogue).ok()?;
        (
            Leaver::Matching(expr),
            joined(clauses, sentence, catalogue)?,
        )
    };
    let dish = dish_first(sentence);
    let newcomers = brought(sentence);
    Some(Understood::One(Question::Swap {
        leaver,
        newcomers,
        amount: None,
        wish: Wish {
            goals,
            newcomer,
            shelf,
            at_most: at_most.unwrap_or(Wish::default().at_most),
        },
        dish,
    }))
}

/// Whether a diet limits the carbohydrates of the whole mix, as keto does, which no list of
/// ingredients settles.
fn limits_mix(condition: &str) -> bool {
    condition.contains("family sugar") && condition.contains("family starch")
}

/// `keto ice cream`: how far the carbohydrates go down is not said.
fn carbohydrates(clause: &Clause, catalogue: &Catalogue) -> Option<Understood> {
    let Some(Complement::Condition(goes)) = &clause.complement else {
        return None;
    };
    let swap = Question::Swap {
        leaver: Leaver::Matching(condition::parse(goes, catalogue).ok()?),
        newcomers: vec![],
        amount: None,
        wish: Wish {
            newcomer: condition::parse(&clause.condition, catalogue).ok()?,
            ..Wish::default()
        },
        dish: String::new(),
    };
    let lower = Question::Adjust {
        added: vec![],
        wish: Wish {
            goals: vec![Goal {
                dial: Dial::Sugars,
                aim: Aim::Lower,
            }],
            ..Wish::default()
        },
        scale: None,
        dish: String::new(),
    };
    Some(Understood::Choose {
        ask: "how far? the carbohydrates of the whole mix count, not the ingredients alone"
            .to_string(),
        questions: vec![swap, lower],
    })
}

/// `milk-free sour cream`, `vegan butter`: one ingredient, and what must hold of its stand-in.
fn one_freed(
    sentence: &mut Sentence,
    catalogue: &Catalogue,
    clauses: &[Clause],
    goals: &[Goal],
) -> Option<Question> {
    let silent = |at: usize| sentence.pieces[at].used || sentence.fills(at);
    let mut spoken = (0..sentence.len()).filter(|&at| !silent(at));
    let (at, None) = (spoken.next()?, spoken.next()) else {
        return None;
    };
    let free = |clause: &Clause| matches!(clause.complement, Some(Complement::Condition(_)));
    if sentence.dish(at).is_some() || sentence.has(Cue::Make) || !clauses.iter().all(free) {
        return None;
    }
    let (id, assumed) = chosen(sentence, at)?;
    let newcomer = joined(clauses.to_vec(), sentence, catalogue)?;
    sentence.assume(&assumed);
    sentence.take(at);
    Some(Question::Swap {
        leaver: Leaver::Ingredients(vec![id]),
        newcomers: vec![],
        amount: None,
        wish: Wish {
            goals: goals.to_vec(),
            newcomer,
            ..Wish::default()
        },
        dish: String::new(),
    })
}

/// Ingredients after `with` or `use`: what comes in.
fn brought(sentence: &mut Sentence) -> Vec<String> {
    let mut ids = vec![];
    let mut open = false;
    for at in 0..sentence.len() {
        if sentence.pieces[at].used {
            continue;
        }
        if sentence.is(at, Cue::With) || sentence.is(at, Cue::Use) {
            open = true;
        } else if open && let Some((id, assumed)) = chosen(sentence, at) {
            sentence.assume(&assumed);
            sentence.take(at);
            ids.push(id);
        } else if !sentence.fills(at) && !sentence.is(at, Cue::And) && !sentence.comma(at) {
            open = false;
        }
    }
    ids
}
