//! Diets and things gone without: `vegan`, `dairy-free`, `without eggs or nuts`.

use super::clause::{Clause, Complement, chosen, grouped, plain};
use super::sense::{Cue, Push};
use super::sentence::Sentence;

/// Takes diets and things gone without out of the sentence.
pub(super) fn exclusions(sentence: &mut Sentence) -> Vec<Clause> {
    let mut found = vec![];
    for at in 0..sentence.len() {
        found.extend(free(sentence, at));
    }
    for at in 0..sentence.len() {
        if starts_without(sentence, at) {
            found.extend(without(sentence, at));
        } else if let Some(clause) = diet(sentence, at).or_else(|| attribute(sentence, at)) {
            found.push(clause);
            // `without lactose and eggs` goes on.
            let text = sentence.pieces[at].text.to_lowercase();
            let joint = sentence.after(at + 1);
            let goes_on = text.starts_with("without ") || text.starts_with("no ");
            if goes_on && (sentence.is(joint, Cue::And) || sentence.is(joint, Cue::Or)) {
                found.extend(without(sentence, joint));
            }
        }
    }
    if !found.is_empty() {
        (0..sentence.len()).for_each(|at| {
            reason(sentence, at);
            none_remains(sentence, at);
        });
    }
    found.sort_by_key(|clause| clause.at);
    // `gluten free for a coeliac` says it twice.
    let mut once: Vec<Clause> = vec![];
    for clause in found {
        if !once.iter().any(|c| c.condition == clause.condition) {
            once.push(clause);
        }
    }
    once
}

/// `so that no soy remains`: said of what is gone without.
fn none_remains(sentence: &mut Sentence, at: usize) {
    let next = sentence.after(at + 1);
    let goes = at > 0 && sentence.pieces[at - 1].used;
    if goes
        && sentence.push(at) == Some(Push::Keep)
        && sentence.dial(next).is_none()
        && sentence.quality(next).is_none()
    {
        sentence.take(at);
    }
}

/// `hazelnuts must come out, allergy at table 7`: what goes is said, the allergy says why.
fn reason(sentence: &mut Sentence, at: usize) {
    let named =
        at > 0 && (sentence.pieces[at - 1].senses.is_empty() || thing(sentence, at - 1).is_some());
    if !sentence.is(at, Cue::Allergy) || sentence.pieces[at].used || named {
        return;
    }
    sentence.take(at);
    let place = sentence.after(at + 1);
    let seat = |n: usize| {
        sentence.number(n).is_some()
            || sentence.pieces.get(n).is_some_and(|piece| {
                let text = piece.text.to_lowercase();
                let digits = text.trim_start_matches(char::is_alphabetic);
                text.len() <= 4 && !digits.is_empty() && digits.chars().all(|c| c.is_ascii_digit())
            })
    };
    if !sentence.is(place, Cue::At) && !sentence.is(place, Cue::For) {
        return;
    }
    let table = sentence
        .pieces
        .get(place + 1)
        .is_some_and(|p| p.text.eq_ignore_ascii_case("table"));
    let last = place + 1 + usize::from(table);
    if seat(last) {
        sentence.take_all(place, last);
    }
}

fn starts_without(sentence: &Sentence, at: usize) -> bool {
    if sentence.pieces[at].used {
        return false;
    }
    let marked = super::goal::marked(sentence, sentence.after(at + 1)).is_some();
    sentence.is(at, Cue::Without)
        || (sentence.is(at, Cue::Remove) && !marked)
        // `get rid of the dairy`
        || (sentence.is(at, Cue::Rescue)
            && thing(sentence, sentence.after(at + 1)).is_some()
            && (0..sentence.len()).all(|n| sentence.symptom(n).is_none()))
        || (sentence.is(at, Cue::Not) && thing(sentence, sentence.after(at + 1)).is_some())
        || (sentence.is(at, Cue::Not)
            && sentence.is(sentence.after(at + 1), Cue::Contains)
            && thing(sentence, sentence.after(sentence.after(at + 1) + 1)).is_some())
}

/// `hazelnuts have to come out`: what goes stands before the words that say so, and nothing after.
pub(super) fn removed(sentence: &Sentence, at: usize) -> bool {
    let before = at > 0 && thing(sentence, at - 1).is_some();
    before && sentence.is(at, Cue::Remove) && thing(sentence, sentence.after(at + 1)).is_none()
}

/// `dairy-free`, `nut allergy`.
fn free(sentence: &mut Sentence, at: usize) -> Vec<Clause> {
    let told = sentence.is(at, Cue::Free) || sentence.is(at, Cue::Allergy) || removed(sentence, at);
    if !told || at == 0 {
        return vec![];
    }
    // `egg and dairy free` is free of both.
    let mut places = vec![at - 1];
    let mut first = at - 1;
    while first >= 2
        && (sentence.is(first - 1, Cue::And) || sentence.comma(first - 1))
        && sentence.allergen(first - 2).is_some()
        && sentence.allergen(first).is_some()
    {
        first -= 2;
        places.insert(0, first);
    }
    let clauses: Vec<Clause> = places
        .iter()
        .filter_map(|&place| excluded(sentence, place, place))
        .collect();
    if !clauses.is_empty() {
        sentence.take_all(first, at);
    }
    clauses
}

/// `without eggs or nuts`: every thing of the list.
fn without(sentence: &mut Sentence, at: usize) -> Vec<Clause> {
    let mut clauses = vec![];
    let mut next = sentence.after(at + 1);
    let passed = |n: usize| {
        // `no ingredient containing soy`
        let cues = [Cue::Contains, Cue::Use, Cue::With, Cue::Of, Cue::From];
        let anything = sentence.is(n, Cue::Find) && thing(sentence, n).is_none();
        anything || cues.iter().any(|cue| sentence.is(n, *cue))
    };
    while passed(next) {
        next = sentence.after(next + 1);
    }
    while let Some(clause) = excluded(sentence, next, at) {
        sentence.take_all(if clauses.is_empty() { at } else { next }, next);
        clauses.push(clause);
        let joint = if sentence.pieces.get(next + 1).is_some_and(|p| p.text == "/") {
            next + 1
        } else {
            sentence.after(next + 1)
        };
        let joined = sentence.comma(joint)
            || joint == next + 1 && sentence.fills(joint)
            || [Cue::And, Cue::Or, Cue::Without]
                .iter()
                .any(|cue| sentence.is(joint, *cue));
        let following = sentence.after(joint + 1);
        if !joined || thing(sentence, following).is_none() || leads_elsewhere(sentence, following) {
            break;
        }
        sentence.take(joint);
        next = following;
    }
    clauses
}

/// A thing after `and` that belongs to the next phrase: `without eggs and milk free`.
fn leads_elsewhere(sentence: &Sentence, at: usize) -> bool {
    sentence.is(at + 1, Cue::Free) || sentence.comparison(sentence.after(at + 1)).is_some()
}

fn thing(sentence: &Sentence, at: usize) -> Option<()> {
    let known = sentence.allergen(at).is_some()
        || sentence.group(at).is_some()
        || sentence.ingredient(at).is_some();
    known.then_some(())
}

/// The clause that excludes the thing at `place`, noted at `at`.
fn excluded(sentence: &mut Sentence, place: usize, at: usize) -> Option<Clause> {
    if let Some((substances, assumed)) = sentence.allergen(place) {
        let each = |verb: &str, joint: &str| {
            let parts: Vec<String> = substances
                .iter()
                .map(|s| format!("{verb} {}", s.replace(' ', "_")))
                .collect();
            parts.join(joint)
        };
        let clause = Clause {
            at,
            condition: each("free of", " and "),
            complement: Some(Complement::Condition(each("contains", " or "))),
        };
        let assumed = assumed.to_string();
        sentence.assume(&assumed);
        return Some(clause);
    }
    if let Some((condition, assumed)) = sentence.group(place) {
        let clause = Clause {
            at,
            condition: format!("not {}", grouped(condition)),
            complement: Some(Complement::Condition(condition.to_string())),
        };
        let assumed = assumed.to_string();
        sentence.assume(&assumed);
        return Some(clause);
    }
    let candidates = sentence.ingredient(place)?.clone();
    let several = match candidates.ids[..] {
        [_, _, ..] if candidates.namesakes.len() < 2 => &candidates.ids,
        [_] if sentence.pieces[place].text.contains(' ') => &candidates.ids,
        _ => &candidates.namesakes,
    };
    if let [_, _, ..] = several[..] {
        // A name of several: none of them.
        let any: Vec<String> = several.iter().map(|id| format!("this is {id}")).collect();
        let any = any.join(" or ");
        let text = sentence.pieces[place].text.clone();
        sentence.assume(&format!("`{text}` names several: all of them are left out"));
        let one = match &candidates.ids[..] {
            // What goes is the usual one, or what the formula holds; none of them comes in.
            [id] => Complement::Ingredient(id.clone()),
            _ => Complement::Condition(any.clone()),
        };
        return Some(Clause {
            at,
            condition: format!("not {}", grouped(&any)),
            complement: Some(one),
        });
    }
    let (id, assumed) = chosen(sentence, place)?;
    sentence.assume(&assumed);
    Some(Clause {
        at,
        condition: format!("not this is {id}"),
        complement: Some(Complement::Ingredient(id)),
    })
}

/// `vegan`, `not vegan`, `keto`.
fn diet(sentence: &mut Sentence, at: usize) -> Option<Clause> {
    let (condition, assumed) = sentence.diet(at)?;
    let (condition, assumed) = (condition.to_string(), assumed.to_string());
    let negated = at > 0 && !sentence.pieces[at - 1].used && sentence.is(at - 1, Cue::Not);
    // `keep it vegan`
    if let Some(before) = sentence.before(at)
        && sentence.push(before) == Some(Push::Keep)
    {
        sentence.take(before);
    }
    sentence.assume(&assumed);
    sentence.take(at);
    if negated {
        sentence.take(at - 1);
    }
    let opposite = match (
        condition.strip_prefix("not "),
        condition.strip_prefix("free of "),
    ) {
        (Some(inner), _) => inner.to_string(),
        (_, Some(allergen)) => format!("contains {allergen}"),
        _ => format!("not {}", grouped(&condition)),
    };
    let (condition, complement) = if negated {
        (opposite, condition)
    } else {
        (condition, opposite)
    };
    Some(Clause {
        at,
        condition,
        complement: Some(Complement::Condition(complement)),
    })
}

/// `freezes well`, `hydrates cold`: asked of what comes, no reason for anything to go.
fn attribute(sentence: &mut Sentence, at: usize) -> Option<Clause> {
    let condition = sentence.attribute(at)?.to_string();
    sentence.take(at);
    if at > 0 && sentence.is(at - 1, Cue::Not) {
        sentence.take(at - 1);
        return Some(plain(at, format!("not {condition}")));
    }
    Some(plain(at, condition))
}
