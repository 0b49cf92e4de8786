//! Which kind of question a sentence is; each kind's own grammar does the rest.

use crate::model::Catalogue;

use super::sense::{Cue, Sense, Unit};
use super::sentence::Sentence;
use super::understood::Understood;
use super::{adjust, compare, diagnose, howto, lookup, search, swap};

/// A kind's grammar over a sentence.
type Grammar = fn(&mut Sentence, &Catalogue) -> Option<Understood>;

/// Reads a sentence by the first kind that fits; its phrases are marked as used.
pub(super) fn understand(sentence: &mut Sentence, catalogue: &Catalogue) -> Option<Understood> {
    for grammar in order(sentence) {
        let mut trial = sentence.clone();
        if let Some(understood) = grammar(&mut trial, catalogue) {
            *sentence = trial;
            return Some(understood);
        }
    }
    None
}

const SWAP: Grammar = swap::named;
const WITHOUT: Grammar = swap::without;
const LOOKUP: Grammar = |s, _| lookup::read(s);
const SEARCH: Grammar = search::read;
const COMPARE: Grammar = |s, _| compare::read(s);
const ADJUST: Grammar = adjust::read;
const HOW_TO: Grammar = |s, _| howto::read(s);
const DIAGNOSE: Grammar = |s, _| diagnose::read(s);

/// What stands in a sentence, counted once.
struct Signs {
    ingredients: usize,
    properties: usize,
    /// Properties that are no dial too: asking for them is asking for data.
    facts: usize,
    groups: usize,
    diets: usize,
    exclusions: bool,
    fault: bool,
    goals: bool,
    phase: bool,
    amount: bool,
    compared: bool,
    swap: bool,
    dish: bool,
}

impl Signs {
    fn of(s: &Sentence) -> Signs {
        let places = 0..s.len();
        let count =
            |accept: &dyn Fn(usize) -> bool| places.clone().filter(|&at| accept(at)).count();
        let any = |accept: &dyn Fn(usize) -> bool| places.clone().any(accept);
        let has = |cues: &[Cue]| cues.iter().any(|cue| s.has(*cue));
        let complaint = has(&[Cue::Why, Cue::Too, Cue::Is, Cue::Fix, Cue::Rescue]);
        let thing = |at: usize| {
            s.allergen(at).is_some() || s.group(at).is_some() || s.ingredient(at).is_some()
        };
        let gone = |at: usize| {
            let before = s.before(at);
            before.is_some_and(|n| {
                [Cue::Without, Cue::Remove, Cue::Rescue]
                    .iter()
                    .any(|cue| s.is(n, *cue))
            }) || s.is(at + 1, Cue::Free)
                || s.is(at + 1, Cue::Allergy)
        };
        let pushed =
            |at: usize| s.dial(at).is_some() && s.before(at).is_some_and(|n| s.push(n).is_some());
        let plain = |at: usize| s.ingredient(at).is_some() && s.dish(at).is_none();
        let sure = count(&plain);
        Signs {
            ingredients: if sure > 0 || complaint {
                sure
            } else {
                count(&|at| s.ingredient(at).is_some())
            },
            properties: count(&|at| s.property(at).is_some() && s.ingredient(at).is_none()),
            facts: count(&|at| {
                s.property(at).is_some() && s.dial(at).is_none() && s.ingredient(at).is_none()
            }),
            groups: count(&|at| {
                s.group(at).is_some() && s.ingredient(at).is_none() && !gone(at) && !pushed(at)
            }),
            diets: count(&|at| s.diet(at).is_some()),
            exclusions: any(&|at| thing(at) && gone(at)),
            fault: any(&|at| {
                s.symptom(at).is_some_and(|(_, base)| {
                    (!base || complaint) && s.quality(at).is_none_or(|(_, _, b)| !b || complaint)
                })
            }),
            goals: any(&|at| {
                (s.push(at).is_some() && !s.has(Cue::Find))
                    || s.quality(at)
                        .is_some_and(|(_, _, base)| !base || has(&[Cue::Make]))
            }),
            phase: any(&|at| s.phase(at).is_some()),
            amount: any(&|at| {
                s.number(at).is_some()
                    && matches!(s.unit(at + 1), Some(Unit::Grams(_) | Unit::Millilitres(_)))
            }),
            compared: any(&|at| {
                s.comparison(at).is_some() || s.means(at, |x| matches!(x, Sense::Between))
            }),
            swap: has(&[
                Cue::Swap,
                Cue::Replace,
                Cue::ReplacedBy,
                Cue::Substitute,
                Cue::Instead,
            ]) || any(&|at| s.is(at, Cue::Lack) && thing(s.after(at + 1))),
            dish: any(&|at| s.dish(at).is_some()),
        }
    }
}

/// The grammars to try, the likeliest first.
fn order(s: &Sentence) -> Vec<Grammar> {
    let signs = Signs::of(s);
    let has = |cue: Cue| s.has(cue);
    let ingredients = signs.ingredients;
    if has(Cue::Scale) && signs.amount {
        return vec![ADJUST];
    }
    if signs.fault && signs.swap && (has(Cue::Use) || has(Cue::Add) || has(Cue::Why)) {
        return vec![DIAGNOSE];
    }
    if signs.swap && !(has(Cue::Compare) && ingredients >= 2 && !has(Cue::Instead)) {
        return vec![SWAP, WITHOUT];
    }
    if has(Cue::Compare) && ingredients >= 2 {
        return vec![COMPARE];
    }
    if has(Cue::Or)
        && ingredients >= 2
        && (signs.properties > 0 || has(Cue::Best) || has(Cue::Find))
        && !signs.exclusions
    {
        return vec![COMPARE];
    }
    if has(Cue::Add) && ingredients > 0 {
        if has(Cue::HowTo) && !signs.amount && !signs.goals {
            return vec![HOW_TO];
        }
        if signs.fault && !signs.amount && !has(Cue::Adjust) {
            return vec![DIAGNOSE, ADJUST];
        }
        return vec![ADJUST];
    }
    if pair(s) && !signs.compared && signs.facts == 0 {
        return vec![SWAP];
    }
    if has(Cue::Without) && has(Cue::HowTo) && ingredients > 0 && signs.phase && !signs.exclusions {
        return vec![HOW_TO];
    }
    if signs.fault && !(has(Cue::Find) && signs.compared) {
        return vec![DIAGNOSE];
    }
    let making = has(Cue::Make) || has(Cue::Remove) || signs.dish;
    let searching = has(Cue::Find) || signs.groups > 0;
    if signs.compared && ingredients == 0 && !(making && signs.facts == 0) {
        return vec![SEARCH, ADJUST];
    }
    if searching && (signs.groups > 0 || signs.diets > 0 || signs.exclusions || signs.compared) {
        return vec![SEARCH];
    }
    if has(Cue::HowTo) && ingredients > 0 && !signs.goals && !signs.exclusions {
        return vec![HOW_TO, LOOKUP];
    }
    let asked = has(Cue::Is) || has(Cue::Lookup) || signs.properties > 0;
    if ingredients > 0 && asked && !has(Cue::Make) && !(signs.exclusions && signs.dish) {
        return vec![LOOKUP];
    }
    if signs.exclusions || (signs.diets > 0 && making) {
        return vec![WITHOUT, SEARCH];
    }
    if signs.goals {
        return vec![ADJUST, LOOKUP];
    }
    if signs.phase && !has(Cue::Find) {
        return vec![HOW_TO];
    }
    vec![SEARCH, LOOKUP, ADJUST, HOW_TO]
}

/// `agar for gelatin`: two ingredients and nothing between them but `for`.
fn pair(s: &Sentence) -> bool {
    (0..s.len()).any(|at| {
        s.is(at, Cue::For)
            && s.before(at).is_some_and(|n| s.ingredient(n).is_some())
            && s.ingredient(s.after(at + 1)).is_some()
            && s.dish(s.after(at + 1)).is_none()
    })
}
