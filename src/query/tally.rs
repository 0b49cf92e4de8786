//! What stands in a sentence, counted once: what its kind is told by.

use crate::model::Comparison;

use super::bound::counts_new;
use super::sense::{Cue, Push, Sense, Unit};
use super::sentence::Sentence;
use super::shapes::which;
use super::{goal, lack, ranking, swap};

/// What stands in a sentence, counted once.
pub(super) struct Signs {
    pub ingredients: usize,
    pub properties: usize,
    /// Properties that are no dial too: asking for them is asking for data.
    pub facts: usize,
    pub groups: usize,
    pub diets: usize,
    /// Of the diets, those that say what an ingredient does: no reason for one to go.
    pub traits: usize,
    /// `how many hours ageing`: a step is asked about.
    pub phase_asked: bool,
    pub exclusions: bool,
    pub fault: bool,
    pub goals: bool,
    pub phase: bool,
    pub amount: bool,
    pub compared: bool,
    /// A superlative is said of a figure.
    pub top: bool,
    /// More or less of something is asked about.
    pub more: bool,
    pub swap: bool,
    pub dish: bool,
    /// An ingredient is named that is no dish too.
    pub plain: bool,
}

impl Signs {
    pub fn of(s: &Sentence) -> Signs {
        let places = 0..s.len();
        let count =
            |accept: &dyn Fn(usize) -> bool| places.clone().filter(|&at| accept(at)).count();
        let any = |accept: &dyn Fn(usize) -> bool| places.clone().any(accept);
        let has = |cues: &[Cue]| cues.iter().any(|cue| s.has(*cue));
        let complaint = has(&[Cue::Why, Cue::Too, Cue::Is, Cue::Fix, Cue::Rescue])
            || any(&|at| turned_bad(s, at));
        let thing = |at: usize| {
            s.allergen(at).is_some() || s.group(at).is_some() || s.ingredient(at).is_some()
        };
        let gone = |at: usize| {
            // `drop the alcohol to 3 %` sets a mark.
            let mut before = s.before(at).filter(|_| !goal::aimed(s, at));
            while let Some(n) = before.filter(|&n| s.is(n, Cue::Contains) && !s.is(n, Cue::Without))
            {
                // `no ingredient containing soy`
                let anything = s.before(n).filter(|&n| s.is(n, Cue::Find) && !thing(n));
                before = anything.and_then(|n| s.before(n));
            }
            before.is_some_and(|n| {
                [Cue::Without, Cue::Remove, Cue::Rescue, Cue::Not]
                    .iter()
                    .any(|cue| s.is(n, *cue))
            }) || s.is(at + 1, Cue::Free)
                || s.is(at + 1, Cue::Allergy)
                || super::exclusion::removed(s, at + 1)
        };
        // `less fat`, `take the fat down`
        let pushed = |at: usize| {
            let factor = |n: usize| s.means(n, |x| matches!(x, Sense::Factor(_)));
            let beside = |n: usize| s.push(n).is_some() || factor(n) && n < at;
            let after = s.after(at + 1);
            // `salt lowers the freezing point` moves the second.
            let late = beside(after) && s.dial(s.after(after + 1)).is_none();
            s.dial(at).is_some() && (s.before(at).is_some_and(beside) || late)
        };
        // `no more than 25 % sugars` in a dish measures the mix.
        let measured = |at: usize| {
            let figure = |n: usize| s.unit(n).is_some() || s.number(n).is_some();
            s.dial(at).is_some()
                && (goal::aimed(s, at)
                    || s.comparison(s.after(at + 1)).is_some()
                    || s.before(at).is_some_and(figure)
                    || goal::marked(s, at).is_some())
        };
        let marked = |at: usize| goal::aimed(s, at);
        // `vegan chocolate ice cream`: the chocolate flavours the dish.
        let diet = any(&|at| s.diet(at).is_some());
        // `churning time of fruit ice cream`
        let step = any(&|at| s.phase(at).is_some()) && !s.has(Cue::Find);
        let flavours = |at: usize| {
            let wished = any(&|n| s.push(n).is_some_and(|push| push != Push::Keep));
            let named = (diet || step) && s.group(at).is_some()
                || wished && s.ingredient(at).is_some() && !s.has(Cue::Find);
            named && s.dish(at + 1).is_some()
        };
        let plain = |at: usize| {
            let counted = s.ingredient(at).is_some() && s.dish(at).is_none();
            counted && !pushed(at) && !marked(at) && !flavours(at)
        };
        let sure = count(&plain);
        // `starch that survives freezing`
        let asked = any(&|at| s.attribute(at).is_some());
        Signs {
            ingredients: if sure > 0 || complaint {
                sure
            } else {
                count(&|at| {
                    let counted = s.ingredient(at).is_some() && !flavours(at);
                    counted && !pushed(at) && !marked(at)
                })
            },
            properties: count(&|at| {
                let fact = s.property(at).is_some() && s.ingredient(at).is_none();
                fact && !marked(at) && !pushed(at)
            }),
            facts: count(&|at| {
                // `how much` asks for an amount in any kind of question.
                let fact = s.property(at).is_some_and(|id| id != "use_level");
                // `don't let it get sweeter`, `with a lower gi`
                let moved = s.before(at).is_some_and(|n| s.push(n).is_some());
                let wished = moved && s.quality(at).is_some();
                fact && !wished && s.dial(at).is_none() && s.ingredient(at).is_none()
            }),
            groups: count(&|at| {
                // `fat in double cream` names a property, not a kind.
                let other = places.clone().any(|n| n != at && plain(n));
                let property = other && s.property(at).is_some();
                // `which gum` asks for kinds, `which` before one name does not.
                let one = s
                    .ingredient(at)
                    .is_some_and(|c| c.ids.len() == 1 || !(s.has(Cue::Find) || asked));
                let kind = s.group(at).is_some() && !one && !property && !flavours(at);
                kind && !gone(at) && !pushed(at) && !measured(at)
            }),
            diets: count(&|at| {
                (s.diet(at).is_some() || s.attribute(at).is_some())
                    && (s.quality(at).is_none() || s.has(Cue::Find))
            }),
            traits: count(&|at| s.diet(at).is_none() && s.attribute(at).is_some()),
            phase_asked: has(&[Cue::HowTo]) && any(&|at| s.phase(at).is_some()),
            exclusions: any(&|at| thing(at) && gone(at)),
            fault: any(&|at| {
                // `cocoa butter or shea butter, which melts before` tells of no fault.
                let asked = sure > 1 && which(s) && s.property(at).is_some();
                // `how long should it age for the fat to crystallise` wants it to.
                let wanted = has(&[Cue::HowTo])
                    && any(&|n| s.phase(n).is_some())
                    && at.checked_sub(1).is_some_and(|n| s.pieces[n].text == "to");
                s.symptom(at)
                    .filter(|_| !asked && !wanted)
                    .is_some_and(|(_, base)| {
                        (!base || complaint)
                            && s.quality(at).is_none_or(|(_, _, b)| !b || complaint)
                    })
            }),
            goals: any(&|at| {
                (s.push(at).is_some() && !s.has(Cue::Find))
                    || s.means(at, |x| matches!(x, Sense::Factor(_)))
                        && goal::factored_dial(s, at).is_some()
                    || marked(at)
                    || s.quality(at)
                        .is_some_and(|(_, _, base)| !base || has(&[Cue::Make]))
            }),
            phase: any(&|at| s.phase(at).is_some()),
            amount: any(&|at| {
                s.number(at).is_some()
                    && matches!(s.unit(at + 1), Some(Unit::Grams(_) | Unit::Millilitres(_)))
            }),
            top: ranking::asked(s),
            more: any(&|at| {
                s.push(at).is_some_and(|push| push != Push::Keep)
                    || matches!(
                        s.comparison(at),
                        Some(Comparison::Less | Comparison::Greater)
                    )
                    || s.is(at, Cue::Than)
                    || s.property(at).is_some() && comparative(&s.pieces[at].text)
                    || s.quality(at).is_some_and(|(_, _, base)| !base)
            }),
            compared: any(&|at| {
                let bound = s.comparison(at).is_some() && !counts_new(s, at);
                bound || s.means(at, |x| matches!(x, Sense::Between))
            }),
            swap: has(&[
                Cue::Swap,
                Cue::Replace,
                Cue::ReplacedBy,
                Cue::Substitute,
                Cue::Instead,
            ]) || any(&|at| s.is(at, Cue::Lack) && thing(s.after(at + 1)))
                || any(&|at| swap::used_as(s, at))
                || any(&|at| {
                    lack::lacked_before(s, at) || swap::exchanged_by(s, at) || lack::only_had(s, at)
                }),
            dish: any(&|at| s.dish(at).is_some()),
            plain: sure > 0,
        }
    }
}

/// `stronger`, `fattier`; no `water`.
fn comparative(word: &str) -> bool {
    let word = word.to_lowercase();
    word.ends_with("er") && !["water", "fiber", "silver"].contains(&word.as_str())
}

/// `went thin`, `came out soft`: it was not so before.
fn turned_bad(s: &Sentence, at: usize) -> bool {
    const TURNED: [&str; 16] = [
        "went",
        "goes",
        "gone",
        "going",
        "turned",
        "turns",
        "turned out",
        "turns out",
        "became",
        "becomes",
        "come",
        "came",
        "came out",
        "comes out",
        "coming out",
        "got",
    ];
    let before = at.checked_sub(1).map(|n| s.pieces[n].text.to_lowercase());
    s.symptom(at).is_some() && before.is_some_and(|text| TURNED.contains(&text.as_str()))
}
