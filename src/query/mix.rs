//! What is asked of the formula in hand: `is it vegan`, `which allergens`, `how many calories`.

use super::question::{About, Question};
use super::sense::Cue;
use super::sentence::Sentence;
use super::understood::Understood;

/// Words that stand for the formula in hand.
const POINTERS: [&str; 12] = [
    "it", "this", "that", "its", "mix", "formula", "recipe", "base", "my", "our", "these",
    "mixture",
];

/// Diets an assessment can tell of.
const DIETS: [&str; 2] = ["vegan", "vegetarian"];

/// Whether a sentence asks something of the formula in hand: of nothing that it names itself.
pub(super) fn asked_of_mix(s: &Sentence) -> bool {
    let any = |accept: &dyn Fn(usize) -> bool| (0..s.len()).any(accept);
    let other = any(&|at| {
        let named = s.ingredient(at).is_some() || s.group(at).is_some();
        let topic = s.property(at).is_some() || s.allergen(at).is_some() || s.dial(at).is_some();
        let figure = s.number(at).is_some() || s.comparison(at).is_some();
        named && !topic
            || figure
            || s.push(at).is_some()
            || s.symptom(at).is_some()
            || s.phase(at).is_some()
            || s.attribute(at).is_some()
            || s.means(at, |x| matches!(x, super::sense::Sense::Superlative(..)))
            || s.pieces[at].senses.is_empty()
            || s.dish(at).is_some()
                && !POINTERS.contains(&s.pieces[at].text.to_lowercase().as_str())
    });
    let moved = [
        Cue::Swap,
        Cue::Replace,
        Cue::ReplacedBy,
        Cue::Substitute,
        Cue::Instead,
        Cue::Lack,
        Cue::Compare,
        Cue::Add,
        Cue::Make,
        Cue::Scale,
        Cue::HowTo,
        Cue::Why,
        Cue::Remove,
        Cue::Rescue,
        Cue::Without,
        Cue::Than,
        Cue::Use,
        Cue::Pair,
        Cue::Best,
        Cue::Or,
        Cue::For,
        Cue::Shelf,
        Cue::Only,
        Cue::Not,
    ];
    if other || moved.iter().any(|cue| s.has(*cue)) {
        return false;
    }
    let pointed = any(&|at| POINTERS.contains(&s.pieces[at].text.to_lowercase().as_str()));
    let asked = s.has(Cue::Is)
        || s.has(Cue::Contains)
        || s.has(Cue::Lookup)
        || s.has(Cue::Find)
        || any(&|at| s.pieces[at].text.to_lowercase().starts_with("how"));
    let topics = any(&|at| topic(s, at).is_some());
    topics && (pointed && asked || s.of_formula && !ordered_free(s))
}

/// `nut free version`, `lactose free please`, said of a formula in hand and not asked: it is to be made so.
pub(super) fn ordered_free(s: &Sentence) -> bool {
    let any = |accept: &dyn Fn(usize) -> bool| (0..s.len()).any(accept);
    let asks = [Cue::Is, Cue::Contains, Cue::Lookup, Cue::Find, Cue::Why]
        .iter()
        .any(|cue| s.has(*cue))
        || any(&|at| {
            let text = s.pieces[at].text.to_lowercase();
            text.starts_with("how") || text.contains('?')
        });
    let freed = any(&|at| {
        s.diet(at).is_some() || s.is(at, Cue::Free) && at > 0 && s.allergen(at - 1).is_some()
    });
    let named = any(&|at| s.ingredient(at).is_some() && s.allergen(at).is_none());
    s.of_formula && freed && !asks && !named
}

/// What is asked at a place.
fn topic(s: &Sentence, at: usize) -> Option<Vec<About>> {
    let text = s.pieces[at].text.to_lowercase();
    if text.contains("allergen") && !s.pieces[at].used {
        return Some(vec![About::Allergens]);
    }
    if let Some((diet, _)) = s.diet(at) {
        if let Some(allergen) = diet.strip_prefix("free of ") {
            return Some(vec![About::Contains(allergen.replace('_', " "))]);
        }
        return DIETS
            .contains(&diet)
            .then(|| vec![About::Diet(diet.to_string())]);
    }
    if let Some((substances, _)) = s.allergen(at)
        && (s.dial(at).is_none() || s.is(at + 1, Cue::Free))
    {
        return Some(substances.iter().cloned().map(About::Contains).collect());
    }
    if let Some(diet) = s.property(at).filter(|id| DIETS.contains(id)) {
        return Some(vec![About::Diet(diet.to_string())]);
    }
    if let Some((dial, _)) = s.dial(at) {
        return Some(vec![About::Dial(dial)]);
    }
    let named = crate::model::Dial::ALL.iter().map(|entry| entry.0);
    let property = match s.property(at)? {
        "relative_sweetness" => "sweetness",
        other => other,
    };
    let mut named = named.filter(|dial| dial.id() == property);
    named.next().map(|dial| vec![About::Dial(dial)])
}

/// Reads a question about the formula in hand.
pub(super) fn read(s: &mut Sentence) -> Option<Understood> {
    let mut about: Vec<About> = vec![];
    for at in 0..s.len() {
        let Some(found) = topic(s, at) else {
            continue;
        };
        s.take(at);
        if s.is(at + 1, Cue::Free) {
            s.take(at + 1);
        }
        for one in found {
            if !about.contains(&one) {
                about.push(one);
            }
        }
    }
    for at in 0..s.len() {
        let points = POINTERS.contains(&s.pieces[at].text.to_lowercase().as_str());
        let counts = s.property(at) == Some("use_level");
        if s.is(at, Cue::Contains) || s.is(at, Cue::Free) || points || counts {
            s.take(at);
        }
    }
    (!about.is_empty()).then_some(Understood::One(Question::Assess { about }))
}
