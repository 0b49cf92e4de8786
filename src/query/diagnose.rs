//! `my sorbet is icy`, `why did the custard split`.

use crate::model::Catalogue;

use super::amount::quantity;
use super::clause::chosen;
use super::dish::dish_first;
use super::exclusion::exclusions;
use super::question::Question;
use super::sense::Sense;
use super::sentence::Sentence;
use super::understood::Understood;

/// Reads a fault: its symptoms, the dish and the ingredients named with it.
pub(super) fn read(sentence: &mut Sentence, catalogue: &Catalogue) -> Option<Understood> {
    let context = exclusions(sentence);
    if !context.is_empty() {
        let said: Vec<&str> = context
            .iter()
            .map(|clause| clause.condition.as_str())
            .collect();
        sentence.assume(&format!(
            "causes are not narrowed by `{}`",
            said.join(" and ")
        ));
    }
    let mut symptoms: Vec<String> = vec![];
    for at in 0..sentence.len() {
        if let Some((symptom, _)) = sentence.symptom(at) {
            let symptom = symptom.to_string();
            if let Some(before) = sentence.before(at)
                && sentence.push(before).is_some()
            {
                // `less icy`, `keeps breaking`
                sentence.take(before);
            }
            sentence.take(at);
            if !symptoms.contains(&symptom) {
                symptoms.push(symptom);
            }
        }
    }
    if symptoms.is_empty() {
        return None;
    }
    for at in 0..sentence.len() {
        let celsius = sentence.find(at, |s| match s {
            Sense::Temperature(celsius) => Some(*celsius),
            _ => None,
        });
        if let Some(celsius) = celsius {
            let text = sentence.pieces[at].text.clone();
            sentence.assume(&format!("`{text}` is taken as {celsius} C"));
            sentence.take(at);
        }
    }
    for at in 0..sentence.len() {
        let time = sentence.number(at).is_some()
            && sentence.unit(at + 1).is_none()
            && sentence.means(at + 1, |s| matches!(s, Sense::Filler(true)));
        if time {
            // `after two weeks`
            sentence.assume("times are not looked at in a fault");
            sentence.take(at);
        }
    }
    let dish = dish_first(sentence);
    let mut ingredients: Vec<String> = vec![];
    for at in 0..sentence.len() {
        if let Some((id, assumed)) = chosen(sentence, at) {
            if quantity(sentence, at, Some(&id), catalogue).is_some() {
                sentence.assume("amounts are not looked at in a fault");
            }
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
