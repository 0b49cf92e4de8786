//! Which kind of question a sentence is; each kind's own grammar does the rest.

use crate::model::Catalogue;

use super::aside::set_apart;
use super::bound::commands;
use super::question::Question;
use super::ranking;
use super::scale::scales;
use super::sense::{Cue, Push, Sense, Unit};
use super::sentence::Sentence;
use super::shapes::{
    alike, alike_asked, asked_after_fault, asks_how_much, asks_why, bound_alone, either,
    kind_against, listed, made, pair, ranked_against, smooth_wanted, told_amount, told_fault,
    turned, turned_in_dish, which,
};
use super::tally::Signs;
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
