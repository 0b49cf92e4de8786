//! Which kind of question a sentence is; each kind's own grammar does the rest.

use crate::model::Catalogue;

use super::aside::set_apart;
use super::sense::{Cue, Sense, Unit};
use super::sentence::Sentence;
use super::understood::Understood;
use super::{adjust, compare, diagnose, howto, lookup, search, swap, without};

/// A kind's grammar over a sentence.
type Grammar = fn(&mut Sentence, &Catalogue) -> Option<Understood>;

/// Reads a sentence by the first kind that fits; its phrases are marked as used.
pub(super) fn understand(sentence: &mut Sentence, catalogue: &Catalogue) -> Option<Understood> {
    set_apart(sentence);
    if let Some(choice) = open_choice(sentence, catalogue) {
        return Some(choice);
    }
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
const WITHOUT: Grammar = without::read;
const LOOKUP: Grammar = |s, _| lookup::read(s);
const SEARCH: Grammar = search::read;
const COMPARE: Grammar = |s, _| compare::read(s);
const ADJUST: Grammar = adjust::read;
const HOW_TO: Grammar = |s, _| howto::read(s);
const DIAGNOSE: Grammar = diagnose::read;

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
    /// An ingredient is named that is no dish too.
    plain: bool,
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
                [Cue::Without, Cue::Remove, Cue::Rescue, Cue::Not]
                    .iter()
                    .any(|cue| s.is(n, *cue))
            }) || s.is(at + 1, Cue::Free)
                || s.is(at + 1, Cue::Allergy)
        };
        let pushed =
            |at: usize| s.dial(at).is_some() && s.before(at).is_some_and(|n| s.push(n).is_some());
        // `no more than 25 % sugars` in a dish measures the mix.
        let measured = |at: usize| {
            let figure = |n: usize| s.unit(n).is_some() || s.number(n).is_some();
            s.dial(at).is_some()
                && (s.comparison(s.after(at + 1)).is_some() || s.before(at).is_some_and(figure))
        };
        let plain = |at: usize| s.ingredient(at).is_some() && s.dish(at).is_none() && !pushed(at);
        let sure = count(&plain);
        Signs {
            ingredients: if sure > 0 || complaint {
                sure
            } else {
                count(&|at| s.ingredient(at).is_some())
            },
            properties: count(&|at| s.property(at).is_some() && s.ingredient(at).is_none()),
            facts: count(&|at| {
                // `how much` asks for an amount in any kind of question.
                let fact = s.property(at).is_some_and(|id| id != "use_level");
                fact && s.dial(at).is_none() && s.ingredient(at).is_none()
            }),
            groups: count(&|at| {
                // `fat in double cream` names a property, not a kind.
                let property = sure > 0 && s.property(at).is_some();
                // `which gum` asks for kinds, `which` before one name does not.
                let one = s
                    .ingredient(at)
                    .is_some_and(|c| c.ids.len() == 1 || !s.has(Cue::Find));
                let kind = s.group(at).is_some() && !one && !property;
                kind && !gone(at) && !pushed(at) && !measured(at)
            }),
            diets: count(&|at| {
                (s.diet(at).is_some() || s.attribute(at).is_some())
                    && (s.quality(at).is_none() || s.has(Cue::Find))
            }),
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
            plain: sure > 0,
        }
    }
}

/// The grammars to try, the likeliest first.
fn order(s: &Sentence) -> Vec<Grammar> {
    let signs = Signs::of(s);
    let has = |cue: Cue| s.has(cue);
    let ingredients = signs.ingredients;
    let batch = has(Cue::Make) || signs.dish;
    if signs.amount && (has(Cue::Scale) || (batch && ingredients == 0 && signs.groups == 0)) {
        return vec![ADJUST];
    }
    let other = signs.swap || signs.fault || has(Cue::Add) || signs.properties > 0;
    if has(Cue::Scale) && !other {
        return vec![ADJUST];
    }
    if has(Cue::Pair) && ingredients >= 2 && !signs.swap && !signs.fault && !has(Cue::HowTo) {
        return vec![COMPARE];
    }
    if lookup::asks_freezing(s) && ingredients > 0 && !signs.swap && !has(Cue::Add) {
        return vec![LOOKUP];
    }
    if made(s) && !signs.swap && !signs.fault && !signs.goals && !signs.exclusions {
        return vec![HOW_TO];
    }
    if told_fault(s) {
        return vec![DIAGNOSE];
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
        && (has(Cue::Best) || has(Cue::Find) || signs.properties == 0)
        && !signs.exclusions
        && !has(Cue::Add)
        && !signs.fault
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
    if lookup::asks_content(s) && !signs.fault && !signs.goals && !has(Cue::HowTo) {
        return vec![LOOKUP];
    }
    if signs.fault && !(has(Cue::Find) && signs.compared) {
        return vec![DIAGNOSE];
    }
    let making = has(Cue::Make) || has(Cue::Remove) || signs.dish;
    let told = has(Cue::Lookup) || has(Cue::Is);
    let searching = has(Cue::Find) || (signs.groups > 0 && !(ingredients > 0 && told));
    if signs.compared && signs.dish && ingredients == 0 && signs.groups == 0 && signs.facts == 0 {
        return vec![ADJUST];
    }
    if signs.compared && ingredients == 0 && !(making && signs.facts == 0) {
        return vec![SEARCH, ADJUST];
    }
    let restricted = (signs.diets > 0 || signs.exclusions) && !signs.dish;
    if searching && (signs.groups > 0 || restricted || signs.compared) {
        return vec![SEARCH];
    }
    if has(Cue::HowTo) && ingredients > 0 && !signs.goals && !signs.exclusions {
        return vec![HOW_TO, LOOKUP];
    }
    if signs.diets > 0 && signs.dish && !signs.plain && !told {
        // `vegetarian marshmallows` are a dish to be made so.
        return vec![WITHOUT];
    }
    if has(Cue::HowTo) && has(Cue::Use) && ingredients > 0 {
        return vec![HOW_TO];
    }
    let asked = has(Cue::Is) || has(Cue::Lookup) || signs.properties > 0;
    if ingredients == 1 && asked && signs.phase && signs.properties == 0 && !signs.goals {
        // `does agar need boiling`
        return vec![HOW_TO];
    }
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

/// Words that fit two kinds as they stand: `agar gelatin`, `fat at most 8 %`.
fn open_choice(sentence: &mut Sentence, catalogue: &Catalogue) -> Option<Understood> {
    let silent = |at: usize| sentence.fills(at) || sentence.comma(at);
    let spoken: Vec<usize> = (0..sentence.len()).filter(|&at| !silent(at)).collect();
    let named = |at: &usize| sentence.ingredient(*at).is_some();
    let (ask, grammars): (&str, [Grammar; 2]) =
        if turned(sentence, &spoken) || spoken.len() == 2 && spoken.iter().all(named) {
            (
                "compare the two, or swap the first for the second?",
                [COMPARE, SWAP],
            )
        } else if bound_alone(sentence, &spoken) {
            (
                "ingredients that meet this, or a formula brought to it?",
                [SEARCH, ADJUST],
            )
        } else {
            return None;
        };
    let mut questions = vec![];
    let mut last = sentence.clone();
    for grammar in grammars {
        let mut trial = sentence.clone();
        if let Some(Understood::One(question)) = grammar(&mut trial, catalogue) {
            questions.push(question);
            last = trial;
        }
    }
    (questions.len() == 2).then(|| {
        *sentence = last;
        Understood::Choose {
            ask: ask.to_string(),
            questions,
        }
    })
}

/// `sugar to dextrose`: a swap, or a ratio.
fn turned(s: &Sentence, spoken: &[usize]) -> bool {
    let told = |at: &usize| s.dish(*at).is_none() && !s.is(*at, Cue::In);
    let spoken: Vec<usize> = spoken.iter().copied().filter(told).collect();
    matches!(spoken[..], [from, to, into] if s.is(to, Cue::To)
        && s.ingredient(from).is_some()
        && s.ingredient(into).is_some())
}

/// A dial with a bound and nothing else.
fn bound_alone(s: &Sentence, spoken: &[usize]) -> bool {
    let bound = |at: usize| {
        s.dial(at).is_some()
            || s.comparison(at).is_some()
            || s.number(at).is_some()
            || s.unit(at).is_some()
    };
    spoken.iter().all(|&at| bound(at))
        && spoken.iter().any(|&at| s.dial(at).is_some())
        && spoken.iter().any(|&at| s.comparison(at).is_some())
}

/// `butter lumps with milk instead of cream`: a fault first, and no question after it.
fn told_fault(s: &Sentence) -> bool {
    let sure = |at: usize| s.symptom(at).is_some_and(|(_, base)| !base);
    let Some(fault) = (0..s.len()).find(|&at| sure(at)) else {
        return false;
    };
    let asked = [
        Cue::Use,
        Cue::Substitute,
        Cue::Replace,
        Cue::Find,
        Cue::HowTo,
        Cue::Swap,
    ];
    (fault..s.len()).any(|at| s.is(at, Cue::Instead)) && !asked.iter().any(|cue| s.has(*cue))
}

/// `make invert sugar at home`: an ingredient is what is made.
fn made(s: &Sentence) -> bool {
    (0..s.len()).any(|at| {
        let next = s.after(at + 1);
        s.is(at, Cue::Make) && s.ingredient(next).is_some() && s.dish(next).is_none()
    })
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
