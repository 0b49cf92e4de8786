//! `my sorbet is icy`, `why did the custard split`.

use super::clause::chosen;
use super::question::Question;
use super::sentence::Sentence;
use super::swap::dish_first;
use super::understood::Understood;

/// Reads a fault: its symptoms, the dish and the ingredients named with it.
pub(super) fn read(sentence: &mut Sentence) -> Option<Understood> {
    let mut symptoms: Vec<String> = vec![];
    for at in 0..sentence.len() {
        if let Some((symptom, _)) = sentence.symptom(at) {
            let symptom = symptom.to_string();
            sentence.take(at);
            if !symptoms.contains(&symptom) {
                symptoms.push(symptom);
            }
        }
    }
    if symptoms.is_empty() {
        return None;
    }
    let dish = dish_first(sentence);
    let mut ingredients: Vec<String> = vec![];
    for at in 0..sentence.len() {
        if let Some((id, assumed)) = chosen(sentence, at) {
            sentence.assume(&assumed);
            sentence.take(at);
            if !ingredients.contains(&id) {
                ingredients.push(id);
            }
        }
    }
    Some(Understood::One(Question::Diagnose {
        symptoms,
        dish,
        ingredients,
    }))
}
