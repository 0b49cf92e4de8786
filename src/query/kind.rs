//! Which kind of question a sentence is; each kind's own grammar does the rest.

use crate::model::{Catalogue, Comparison};

use super::aside::set_apart;
use super::bound::{commands, counts_new};
use super::question::Question;
use super::ranking;
use super::scale::scales;
use super::sense::{Cue, Push, Sense, Unit};
use super::sentence::Sentence;
use super::understood::Understood;
use super::{
    adjust, compare, diagnose, goal, howto, lack, lookup, mix, search, statement, swap, without,
};

/// A kind's grammar over a sentence.
type Grammar = fn(&mut Sentence, &Catalogue) -> Option<Understood>;

/// Reads a sentence by the first kind that fits; its phrases are marked as used.
pub(super) fn understand(sentence: &mut Sentence, catalogue: &Catalogue) -> Option<Understood> {
    set_apart(sentence);
    if let Some(choice) = open_choice(sentence, catalogue) {
        return Some(choice);
    }
    for grammar in order(sentence, catalogue) {
        let mut trial = sentence.clone();
        if let Some(understood) = grammar(&mut trial, catalogue) {
            *sentence = trial;
            return Some(understood);
        }
    }
    None
}

/// What the other kinds make of a sentence, each with the phrases it took: for asking back.
pub(super) fn other_kinds(sentence: &Sentence, catalogue: &Catalogue) -> Vec<(Question, Sentence)> {
    let grammars = [
        SWAP, WITHOUT, COMPARE, LOOKUP, SEARCH, ADJUST, DIAGNOSE, HOW_TO,
    ];
    let mut found = vec![];
    for grammar in grammars {
        let mut trial = sentence.clone();
        trial.assumed.clear();
        trial.pieces.iter_mut().for_each(|piece| piece.used = false);
        set_apart(&mut trial);
        if let Some(Understood::One(question)) = grammar(&mut trial, catalogue) {
            found.push((question, trial));
        }
    }
    found
}

const SWAP: Grammar = swap::named;
const WITHOUT: Grammar = without::read;
const LOOKUP: Grammar = lookup::read;
const SEARCH: Grammar = search::read;
const COMPARE: Grammar = |s, _| compare::read(s);
const ADJUST: Grammar = adjust::read;
const HOW_TO: Grammar = |s, _| howto::read(s);
const ASSESS: Grammar = |s, _| mix::read(s);
const DIAGNOSE: Grammar = diagnose::read;

/// What stands in a sentence, counted once.
struct Signs {
    ingredients: usize,
    properties: usize,
    /// Properties that are no dial too: asking for them is asking for data.
    facts: usize,
    groups: usize,
    diets: usize,
    /// Of the diets, those that say what an ingredient does: no reason for one to go.
    traits: usize,
    /// `how many hours ageing`: a step is asked about.
    phase_asked: bool,
    exclusions: bool,
    fault: bool,
    goals: bool,
    phase: bool,
    amount: bool,
    compared: bool,
    /// A superlative is said of a figure.
    top: bool,
    /// More or less of something is asked about.
    more: bool,
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

/// The grammars to try, the likeliest first.
fn order(s: &Sentence, catalogue: &Catalogue) -> Vec<Grammar> {
    let signs = Signs::of(s);
    let has = |cue: Cue| s.has(cue);
    let ingredients = signs.ingredients;
    let batch = has(Cue::Make) || signs.dish;
    let other = signs.swap || signs.fault || has(Cue::Add) || signs.properties > 0;
    let bare = ingredients == 0 && signs.groups == 0 && !other && !signs.compared && !signs.phase;
    if mix::asked_of_mix(s) {
        return vec![ASSESS];
    }
    if mix::ordered_free(s) && !signs.swap && !signs.fault {
        return vec![WITHOUT];
    }
    if signs.amount && (scales(s) || bare || (batch && ingredients == 0 && signs.groups == 0)) {
        return vec![ADJUST];
    }
    if scales(s) && !other {
        return vec![ADJUST];
    }
    let portions = (0..s.len()).any(|at| matches!(s.unit(at), Some(Unit::Portions)));
    if portions && ingredients == 0 && !other {
        return vec![ADJUST];
    }
    if signs.top && !signs.swap && !signs.fault {
        // `which is the sweetest, xylitol or allulose` compares; `the sweetest polyol` searches.
        let measured = ranking::said_of(s);
        let others = (0..s.len()).filter(|&at| {
            Some(at) != measured && s.ingredient(at).is_some() && s.group(at).is_none()
        });
        let graded = |at: usize| s.ingredient(at).is_some_and(|c| c.namesakes.len() > 1);
        match others.clone().count() {
            0 => return vec![SEARCH],
            // `cocoa powder with the most fat`: of its grades.
            1 if others.clone().all(graded) && !has(Cue::Is) => return vec![SEARCH],
            1 => {}
            _ => return vec![COMPARE],
        }
    }
    if kind_against(s) && ingredients == 1 && !signs.swap && !signs.fault {
        return vec![SEARCH];
    }
    if ingredients >= 2 && !signs.swap && !signs.fault {
        let measured = signs.more && (signs.properties > 0 || has(Cue::Than));
        let sided = (has(Cue::Or) || has(Cue::Than)) && measured;
        let plain = !has(Cue::Add) && !signs.exclusions && signs.groups == 0;
        let chosen = measured && which(s) || either(s) && signs.properties > 0;
        if plain && (sided || chosen || ranked_against(s) || alike_asked(s) || listed(s)) {
            return vec![COMPARE];
        }
    }
    let unnamed = which(s) || s.is(0, Cue::Is) && !s.of_formula;
    if signs.goals && ingredients == 0 && signs.groups == 0 && unnamed && !signs.dish {
        // `which one is sweeter`, `is that one cheaper`: of nothing named.
        return vec![];
    }
    let ordered = (0..s.len()).any(|at| howto::asks_order(s, at)) || howto::asks_making(s);
    let aimed = signs.goals || signs.diets > 0 || signs.exclusions || signs.amount;
    if ordered && ingredients == 0 && !signs.fault && !signs.swap && !aimed {
        return vec![HOW_TO];
    }
    let open = (0..s.len()).any(|at| s.pieces[at].text.to_lowercase().starts_with("what"));
    let offered = ingredients == 2 || ingredients == 1 && (has(Cue::Find) || open);
    if has(Cue::Afterwards) && offered && !signs.swap && !signs.fault && !signs.compared {
        // `we used whole egg and now got yolk, can that go in instead`
        return vec![SWAP];
    }
    if turned_in_dish(s) {
        return vec![SWAP];
    }
    if has(Cue::Pair) && ingredients >= 2 && !signs.swap && !signs.fault && !has(Cue::HowTo) {
        return vec![COMPARE];
    }
    if has(Cue::Only) && signs.goals && ingredients > 0 && !signs.swap && !signs.fault {
        // `raise the solids with inulin only`
        return vec![ADJUST, LOOKUP];
    }
    let kind_than = signs.groups > 0 && has(Cue::Than);
    if lookup::asks_freezing(s) && ingredients > 0 && !signs.swap && !has(Cue::Add) && !kind_than {
        return vec![LOOKUP];
    }
    if made(s) && !signs.swap && !signs.fault && !signs.goals && !signs.exclusions {
        return vec![HOW_TO];
    }
    let moved = (0..s.len()).any(|at| s.push(at).is_some_and(|push| push != Push::Keep));
    let percent = (0..s.len()).any(|at| {
        s.dial(at).is_some() && matches!(s.unit(s.after(s.after(at + 1) + 2)), Some(Unit::Percent))
    });
    let part = |at: usize| s.means(s.after(at + 1), |x| matches!(x, Sense::Share(..)));
    let parted = (0..s.len()).any(|at| s.is(at, Cue::By) && part(at));
    let far = adjust::by_percent_at(s, 0).is_some() || percent || parted;
    let moved_it = !asks_why(s) && (0..s.len()).any(|at| adjust::pushes_it(s, at));
    // `make it sweeter, they found it bland`
    let wanted = |at: usize| {
        let aimed = s.quality(at).is_some_and(|(_, _, base)| !base) && s.symptom(at).is_none();
        aimed && s.pieces[at].text.to_lowercase().ends_with("er")
    };
    let aimed = has(Cue::Make) && (0..s.len()).any(wanted) && !asks_why(s);
    if signs.fault && !signs.swap && (moved && far || moved_it || aimed) {
        // `too sweet, bring it down by 15 %`
        return vec![ADJUST, DIAGNOSE];
    }
    let frozen = (0..s.len()).any(|at| s.property(at) == Some("freeze_thaw"));
    if frozen && signs.dish && ingredients == 0 && signs.groups == 0 && !has(Cue::Find) {
        // `can I freeze panna cotta`
        return vec![HOW_TO, SEARCH];
    }
    if signs.fault && ingredients > 0 && has(Cue::HowTo) && smooth_wanted(s) && !signs.swap {
        // `the cocoa floated in clumps, how do I get it in`
        return vec![HOW_TO];
    }
    if signs.fault && asked_after_fault(s) && !signs.swap {
        // `the lollies slumped, so where does the glass transition of xylitol lie`
        return vec![LOOKUP];
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
    if has(Cue::Compare) && ingredients == 0 && signs.groups > 0 && !signs.fault {
        return vec![SEARCH];
    }
    if has(Cue::Or)
        && ingredients >= 2
        && (has(Cue::Best) || has(Cue::Find) || signs.properties == 0)
        && !has(Cue::Contains)
        && !signs.exclusions
        && !has(Cue::Add)
        && !signs.fault
    {
        return vec![COMPARE];
    }
    if has(Cue::Add) && ingredients > 0 {
        let smooth = (0..s.len()).any(|at| s.phase(at) == Some("disperse"));
        if smooth && !signs.amount && !signs.goals {
            // `adding inulin without lumps`
            return vec![HOW_TO];
        }
        if has(Cue::HowTo) && !signs.amount && !signs.goals {
            return vec![HOW_TO];
        }
        if signs.fault && !signs.amount && !has(Cue::Adjust) {
            return vec![DIAGNOSE, ADJUST];
        }
        return vec![ADJUST];
    }
    if pair(s) && !signs.compared && signs.facts == 0 {
        // `how much xanthan for 1 kg of milk` asks for a dose.
        let dosed = asks_how_much(s) && !alike(s, catalogue);
        return vec![if dosed { LOOKUP } else { SWAP }];
    }
    if told_amount(s) && signs.facts == 0 && alike(s, catalogue) {
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
    if has(Cue::HowTo) && !has(Cue::Find) && signs.groups > 0 {
        let plain = signs.diets == 0 && !signs.exclusions && !signs.goals && !signs.compared;
        if plain && !signs.dish {
            // `in what order do I add gums and sugar`: no list of gums answers that.
            return vec![HOW_TO];
        }
    }
    if statement::asks_held_in_dish(s) {
        return vec![];
    }
    if statement::asks_held(s) && !signs.fault {
        return vec![LOOKUP];
    }
    let searching = has(Cue::Find) || (signs.groups > 0 && !(ingredients > 0 && told));
    if signs.compared && signs.dish && ingredients == 0 && signs.groups == 0 && signs.facts == 0 {
        return vec![ADJUST];
    }
    let keeps = (0..s.len())
        .any(|at| s.push(at) == Some(Push::Keep) || commands(s, at) || goal::aimed(s, at));
    if signs.compared && keeps && ingredients == 0 && signs.groups == 0 && signs.facts == 0 {
        // `keep sugars below 22`
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
    if signs.diets > signs.traits && signs.dish && !signs.plain && !told && !signs.phase_asked {
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
    let contents = has(Cue::Contains) && ingredients == 1 && signs.groups == 0;
    if ingredients > 0
        && (asked || contents)
        && !has(Cue::Make)
        && !(signs.exclusions && signs.dish)
    {
        return vec![LOOKUP];
    }
    if signs.phase_asked && !signs.exclusions && !signs.goals {
        return vec![HOW_TO];
    }
    if signs.exclusions || (signs.diets > signs.traits && making) {
        return vec![WITHOUT, SEARCH];
    }
    if signs.goals {
        return vec![ADJUST, LOOKUP, HOW_TO];
    }
    if signs.phase && !has(Cue::Find) {
        // `where can I buy a batch freezer`: a thing, no step.
        let thing = |at: usize| {
            let before = at.checked_sub(1).map(|n| s.pieces[n].text.to_lowercase());
            s.phase(at).is_none() || matches!(before.as_deref(), Some("a" | "an"))
        };
        let tool = !has(Cue::HowTo) && !signs.dish && (0..s.len()).all(thing);
        return if tool { vec![] } else { vec![HOW_TO] };
    }
    vec![SEARCH, LOOKUP, ADJUST, HOW_TO]
}

/// Words that fit two kinds as they stand: `agar gelatin`, `fat at most 8 %`.
fn open_choice(sentence: &mut Sentence, catalogue: &Catalogue) -> Option<Understood> {
    let silent = |at: usize| sentence.fills(at) || sentence.comma(at);
    let spoken: Vec<usize> = (0..sentence.len()).filter(|&at| !silent(at)).collect();
    // `less lactose, not more than 2 %`
    let moved = |at: usize| {
        let dial = at + 1;
        let stop = sentence.comma(dial + 1);
        sentence.push(at).is_some() && sentence.dial(dial).is_some() && stop
    };
    let told = |at: usize| lack::lacked_before(sentence, at) || commands(sentence, at) || moved(at);
    if (0..sentence.len()).any(told) {
        // `kirsch gone, grappa?`, `cap the fat at 8 %`
        return None;
    }
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

/// `why is it so sweet`
fn asks_why(s: &Sentence) -> bool {
    s.has(Cue::Why) || s.has(Cue::HowTo)
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

/// `which`, `which one`, asked of what stands in the sentence.
fn which(s: &Sentence) -> bool {
    (0..s.len()).any(|at| {
        let text = s.pieces[at].text.to_lowercase();
        text == "which" || text == "which one" || text == "which of"
    })
}

/// `aquafaba or meringue powder: protein`: two names with `or` between them and nothing else to do.
fn either(s: &Sentence) -> bool {
    const OTHERS: [Cue; 5] = [Cue::Is, Cue::HowTo, Cue::Use, Cue::Contains, Cue::Why];
    let name = |n: usize| s.ingredient(n).is_some() && s.dish(n).is_none();
    let joined =
        |at: usize| s.is(at, Cue::Or) && s.before(at).is_some_and(name) && name(s.after(at + 1));
    (0..s.len()).any(joined) && OTHERS.iter().all(|cue| !s.has(*cue))
}

/// `polyols sweeter than maltitol`: a kind, and a bound that an ingredient sets.
fn kind_against(s: &Sentence) -> bool {
    (0..s.len()).any(|at| {
        let measured = s.property(at).is_some();
        let than = s.after(at + 1);
        let kind = (0..at).any(|n| s.group(n).is_some());
        measured && kind && s.is(than, Cue::Than) && s.ingredient(s.after(than + 1)).is_some()
    })
}

/// `guar, xanthan, which one takes freezing best`; `arrowroot clearer than potato starch`.
fn ranked_against(s: &Sentence) -> bool {
    let best = s.has(Cue::Best) && which(s);
    let than = (0..s.len()).any(|at| {
        let thing = |n: usize| s.ingredient(n).is_some();
        s.is(at, Cue::Than) && thing(s.after(at + 1)) && (0..at).any(thing)
    });
    best || than && !s.has(Cue::Find)
}

/// `are muscovado and panela the same`
fn alike_asked(s: &Sentence) -> bool {
    let last = s.before(s.len());
    let same = last.is_some_and(|n| {
        let text = s.pieces[n].text.to_lowercase();
        [
            "the same",
            "same",
            "identical",
            "alike",
            "equal",
            "the same thing",
        ]
        .contains(&text.as_str())
    });
    same && s.has(Cue::Is) && (s.has(Cue::And) || s.has(Cue::Or))
}

/// `lactitol, isomalt, maltitol: calories`: three or more in a list, and one thing asked.
fn listed(s: &Sentence) -> bool {
    let named = |at: &usize| s.ingredient(*at).is_some();
    let count = (0..s.len()).filter(named).count();
    let commas = (0..s.len()).filter(|&at| s.comma(at)).count();
    let plain = (0..s.len()).all(|at| {
        let known = named(&at) || s.property(at).is_some() || s.dial(at).is_some();
        known || s.comma(at) || s.fills(at) || s.is(at, Cue::And)
    });
    let asked = (0..s.len()).any(|at| !named(&at) && s.property(at).is_some());
    count >= 3 && commas >= 1 && plain && asked
}

/// `in my sorbet guar to tara`: a swap, for a ratio has no dish.
fn turned_in_dish(s: &Sentence) -> bool {
    if (0..s.len()).all(|at| s.dish(at).is_none()) {
        return false;
    }
    // `chocolate sorbet`: what stands before the dish flavours it.
    let flavour = |at: usize| {
        s.dish(at + 1).is_some() && (s.group(at).is_some() || s.ingredient(at).is_some())
    };
    let silent = |at: usize| s.fills(at) || s.comma(at) || s.dish(at).is_some() || flavour(at);
    let spoken: Vec<usize> = (0..s.len()).filter(|&at| !silent(at)).collect();
    let spoken = match spoken[..] {
        [first, ..] if s.is(first, Cue::In) => &spoken[1..],
        [.., last] if s.is(last, Cue::In) => &spoken[..spoken.len() - 1],
        _ => &spoken[..],
    };
    turned(s, spoken)
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
    let bounds = |at: &usize| s.comparison(*at).is_some() || s.means(*at, |x| *x == Sense::Between);
    let bound = |at: usize| {
        s.dial(at).is_some()
            || s.is(at, Cue::And)
            || s.means(at, |x| *x == Sense::Between)
            || s.comparison(at).is_some()
            || s.number(at).is_some()
            || s.unit(at).is_some()
    };
    spoken.iter().all(|&at| bound(at))
        && spoken.iter().any(|&at| s.dial(at).is_some())
        && spoken.iter().any(bounds)
}

/// Whether a property of an ingredient is asked for after a fault was told.
fn asked_after_fault(s: &Sentence) -> bool {
    let fault = (0..s.len()).find(|&at| s.symptom(at).is_some());
    let Some(joint) = fault.and_then(|fault| (fault..s.len()).find(|&at| apart(s, at))) else {
        return false;
    };
    let asked = (joint..s.len()).any(|at| lookup::asks_content_at(s, at));
    asked && !s.has(Cue::Why) && (joint..s.len()).all(|at| s.symptom(at).is_none())
}

/// Whether a sign at a place parts what is told from what is asked.
fn apart(s: &Sentence, at: usize) -> bool {
    s.comma(at) || [".", ":", "?", "!"].contains(&s.pieces[at].text.as_str())
}

/// Whether lumps are all that is wrong, and a way in is asked for.
fn smooth_wanted(s: &Sentence) -> bool {
    let lumps = (0..s.len()).all(|at| s.symptom(at).is_none_or(|(symptom, _)| symptom == "lumpy"));
    let way = |at: usize| s.phase(at) == Some("disperse") || s.is(at, Cue::Add);
    lumps && !s.has(Cue::Why) && ((0..s.len()).any(way) || closed_before_how(s))
}

/// `it clumped. How do I ...`: the fault is told, then the way asked for.
fn closed_before_how(s: &Sentence) -> bool {
    let how = (0..s.len()).find(|&at| s.is(at, Cue::HowTo));
    how.is_some_and(|how| {
        let told = |at: usize| s.symptom(at).is_some() && (at..how).any(|n| apart(s, n));
        (0..how).any(told)
    })
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

/// The noun after a place, past `8 g of` before it.
fn measured_noun(s: &Sentence, at: usize) -> usize {
    let mut next = s.after(at + 1);
    if s.number(next).is_some() {
        next = s.after(next + 1);
        if s.unit(next).is_some() {
            next = s.after(next + 1);
        }
        if s.is(next, Cue::Of) {
            next = s.after(next + 1);
        }
    }
    next
}

/// `agar for`, and `agar do I need for`: an ingredient before a place.
fn named_before(s: &Sentence, at: usize) -> bool {
    let mut before = s.before(at);
    while let Some(n) = before.filter(|&n| s.is(n, Cue::Is) || s.is(n, Cue::Use)) {
        before = s.before(n);
    }
    before.is_some_and(|n| s.ingredient(n).is_some())
}

/// Whether an amount is asked for.
fn asks_how_much(s: &Sentence) -> bool {
    (0..s.len()).any(|at| s.property(at) == Some("use_level"))
}

/// `8 g gelatin, how much agar`: an amount of the one, and the other asked for.
fn told_amount(s: &Sentence) -> bool {
    let named: Vec<usize> = (0..s.len())
        .filter(|&at| s.ingredient(at).is_some())
        .collect();
    let [first, second] = named[..] else {
        return false;
    };
    let lead = |at: usize| {
        let before = s.before(at)?;
        if s.is(before, Cue::Of) {
            s.before(before)
        } else {
            Some(before)
        }
    };
    let weighed = |at: usize| lead(at).is_some_and(|n| matches!(s.unit(n), Some(Unit::Grams(_))));
    let asked = |at: usize| lead(at).is_some_and(|n| s.property(n) == Some("use_level"));
    // `agar in the panna cotta, how much for 8 g of gelatin`
    let bare = (0..s.len()).any(|at| {
        let joint = s.after(at + 1);
        s.property(at) == Some("use_level") && s.is(joint, Cue::For) && joint < second && at > first
    });
    (weighed(first) && asked(second)) || weighed(second) && (asked(first) || bare)
}

/// Whether the first two ingredients named do the same job.
fn alike(s: &Sentence, catalogue: &Catalogue) -> bool {
    let mut named = (0..s.len()).filter_map(|at| {
        let candidates = s.ingredient(at)?;
        Some(catalogue.ingredient(catalogue.key(candidates.ids.first()?)?))
    });
    let (Some(one), Some(other)) = (named.next(), named.next()) else {
        return false;
    };
    one.family == other.family || one.functions.iter().any(|f| other.does(f))
}

/// `agar for gelatin`: two ingredients and nothing between them but `for`.
fn pair(s: &Sentence) -> bool {
    let same = |at: usize| {
        // `rennet tablets for junket`: two names of one thing.
        let first = |n: usize| s.ingredient(n).and_then(|c| c.ids.first());
        s.before(at)
            .is_some_and(|n| first(n) == first(measured_noun(s, at)))
    };
    (0..s.len()).any(|at| {
        s.is(at, Cue::For)
            && named_before(s, at)
            && !s.before(at).is_some_and(|n| statement::contained(s, n))
            && !same(at)
            && s.ingredient(measured_noun(s, at)).is_some()
            && s.dish(measured_noun(s, at)).is_none()
    })
}
