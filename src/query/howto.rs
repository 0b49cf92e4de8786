//! `how do I disperse xanthan gum`, `how long should the base age`.

use super::clause::chosen;
use super::dish::{dish_first, flavour};
use super::exclusion::exclusions;
use super::question::Question;
use super::sense::Cue;
use super::sentence::Sentence;
use super::understood::Understood;

/// Properties whose verb asks for the heating: `melt`, `gelatinise`, `activate`.
const HEATS: [&str; 5] = [
    "melting_point",
    "melting_range",
    "gelatinisation_temperature",
    "activation_temperature",
    "denaturation_temperature",
];

/// Reads a question about the process.
pub(super) fn read(sentence: &mut Sentence) -> Option<Understood> {
    if !without_lumps(sentence) && !exclusions(sentence).is_empty() {
        sentence.assume("the process is not narrowed by what is left out");
    }
    let mut phase = String::new();
    let asked = (0..sentence.len()).any(|at| sentence.phase(at).is_some() && !done(sentence, at));
    for at in 0..sentence.len() {
        if sentence.ingredient(at).is_some() {
            continue;
        }
        if let Some(found) = sentence.phase(at).map(str::to_string) {
            if asked && done(sentence, at) {
                sentence.assume(&format!(
                    "`{}` is done already",
                    sentence.pieces[at].text.clone()
                ));
            } else if phase.is_empty() {
                phase = found;
            }
            sentence.take(at);
        } else if sentence.property(at) == Some("hydration_temperature") {
            // `how do I hydrate guar` asks for the whole way in.
            sentence.take(at);
        } else if sentence.property(at).is_some_and(|id| HEATS.contains(&id)) {
            // `how do I melt white chocolate`
            sentence.take(at);
            if phase.is_empty() {
                phase = "heat".to_string();
            }
        } else if sentence.property(at) == Some("freeze_thaw") {
            // `can I freeze panna cotta`
            sentence.take(at);
            phase = "harden".to_string();
        } else if sentence.symptom(at).is_some_and(|(s, _)| s == "lumpy") {
            sentence.take(at);
            phase = "disperse".to_string();
        }
    }
    if !phase.is_empty() {
        flavour(sentence);
    }
    let dish = dish_first(sentence);
    let mut ingredients = vec![];
    for at in 0..sentence.len() {
        if let Some((id, assumed)) = chosen(sentence, at) {
            sentence.assume(&assumed);
            sentence.take(at);
            ingredients.push(id);
        }
    }
    if let Some(at) = (0..sentence.len()).find(|&at| sentence.is(at, Cue::Make)) {
        // `liquid glucose from glucose powder`: the making of the first is asked about.
        let from = (at..sentence.len()).any(|n| sentence.is(n, Cue::From));
        if from && ingredients.len() == 2 {
            let from = ingredients.remove(1).replace('-', " ");
            sentence.assume(&format!(
                "that it is made from {from} does not narrow the answer"
            ));
        }
    }
    let ordered = (0..sentence.len()).any(|at| asks_order(sentence, at)) || asks_making(sentence);
    if ingredients.is_empty() && phase.is_empty() && !ordered {
        return None;
    }
    if phase == "store" && !ingredients.is_empty() && dish.is_empty() && asks_shelf_life(sentence) {
        // How long an ingredient keeps is not known.
        return None;
    }
    Some(Understood::One(Question::HowTo {
        ingredients,
        phase,
        dish,
    }))
}

/// `how is the cooked base cooled`, `how do I cool it after the cooking`, `I froze it warm once.
/// How is it cooled`: a step that has been.
fn done(sentence: &Sentence, at: usize) -> bool {
    let closed = |n: usize| [".", "!"].contains(&sentence.pieces[n].text.as_str());
    let asks = |n: usize| sentence.is(n, Cue::HowTo);
    let end = (at..sentence.len()).find(|&n| closed(n));
    if let Some(end) = end
        && (end..sentence.len()).any(asks)
        && !(0..end).any(asks)
    {
        return true;
    }
    let text = sentence.pieces[at].text.to_lowercase();
    let describes = text.ends_with("ed") && sentence.dish(at + 1).is_some();
    let before = (0..at)
        .rev()
        .map(|n| sentence.pieces[n].text.to_lowercase())
        .find(|word| !["the", "it", "its"].contains(&word.as_str()));
    describes || before.is_some_and(|word| word == "after" || word == "once")
}

/// `in what order do I add everything`: all the steps answer.
pub(super) fn asks_order(sentence: &Sentence, at: usize) -> bool {
    let text = sentence.pieces[at].text.to_lowercase();
    sentence.is(at, Cue::HowTo) && (text.contains("order") || text.contains("sequence"))
}

/// `how do I make this`: all the steps of what is in hand.
pub(super) fn asks_making(sentence: &Sentence) -> bool {
    let last = (0..sentence.len())
        .rev()
        .find(|&at| sentence.pieces[at].text != "?");
    let it = |at: usize| {
        let text = sentence.pieces[at].text.to_lowercase();
        [
            "it", "this", "make it", "this mix", "mix", "recipe", "formula",
        ]
        .contains(&text.as_str())
    };
    sentence.has(Cue::HowTo) && sentence.has(Cue::Make) && last.is_some_and(it)
}

/// `shelf life of inulin`
fn asks_shelf_life(sentence: &Sentence) -> bool {
    let said = |piece: &super::sentence::Piece| piece.text.to_lowercase().contains("shelf life");
    sentence.pieces.iter().any(said)
}

/// `without it clumping`: what is to be avoided is no ingredient.
fn without_lumps(sentence: &Sentence) -> bool {
    sentence.has(Cue::Without)
}
