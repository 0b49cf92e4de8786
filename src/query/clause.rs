//! What an ingredient must satisfy, said in a cook's words, rewritten in the one condition language.

use crate::condition;
use crate::model::{Catalogue, Comparison, Expr};

use super::sense::{Cue, Sense, Unit};
use super::sentence::Sentence;

/// One thing that must hold.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Clause {
    /// The place of its first phrase.
    pub at: usize,
    /// What must hold, as a condition.
    pub condition: String,
    /// What has to go for it to hold, where it is about going without.
    pub complement: Option<Complement>,
}

/// What goes when something is gone without.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Complement {
    /// All that meets this condition.
    Condition(String),
    /// One ingredient, by id.
    Ingredient(String),
}

/// Takes diets and things gone without out of the sentence.
pub(super) fn exclusions(sentence: &mut Sentence) -> Vec<Clause> {
    let mut found = vec![];
    for at in 0..sentence.len() {
        found.extend(free(sentence, at));
    }
    for at in 0..sentence.len() {
        if starts_without(sentence, at) {
            found.extend(without(sentence, at));
        } else if let Some(clause) = diet(sentence, at) {
            found.push(clause);
        }
    }
    found.sort_by_key(|clause| clause.at);
    found
}

fn starts_without(sentence: &Sentence, at: usize) -> bool {
    if sentence.pieces[at].used {
        return false;
    }
    sentence.is(at, Cue::Without)
        || sentence.is(at, Cue::Remove)
        // `get rid of the dairy`
        || (sentence.is(at, Cue::Rescue) && thing(sentence, sentence.after(at + 1)).is_some())
        || (sentence.is(at, Cue::Not) && thing(sentence, sentence.after(at + 1)).is_some())
        || (sentence.is(at, Cue::Not)
            && sentence.is(sentence.after(at + 1), Cue::Contains)
            && thing(sentence, sentence.after(sentence.after(at + 1) + 1)).is_some())
}

/// `dairy-free`, `nut allergy`.
fn free(sentence: &mut Sentence, at: usize) -> Vec<Clause> {
    if !(sentence.is(at, Cue::Free) || sentence.is(at, Cue::Allergy)) || at == 0 {
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
    while sentence.is(next, Cue::Contains) || sentence.is(next, Cue::Use) || sentence.is(next, Cue::With) {
        next = sentence.after(next + 1);
    }
    while let Some(clause) = excluded(sentence, next, at) {
        sentence.take_all(if clauses.is_empty() { at } else { next }, next);
        clauses.push(clause);
        let joint = sentence.after(next + 1);
        let joined = sentence.comma(joint)
            || [Cue::And, Cue::Or, Cue::Without].iter().any(|cue| sentence.is(joint, *cue));
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
    let (id, assumed) = chosen(sentence, place)?;
    sentence.assume(&assumed);
    Some(Clause {
        at,
        condition: format!("not this is {id}"),
        complement: Some(Complement::Ingredient(id)),
    })
}

/// The first candidate of the ingredient at a place, and what is assumed with it.
pub(super) fn chosen(sentence: &Sentence, at: usize) -> Option<(String, String)> {
    let candidates = sentence.ingredient(at)?;
    Some((candidates.ids.first()?.clone(), candidates.assumed.clone()))
}

/// `vegan`, `not vegan`, `keto`.
fn diet(sentence: &mut Sentence, at: usize) -> Option<Clause> {
    let (condition, assumed) = sentence.diet(at)?;
    let (condition, assumed) = (condition.to_string(), assumed.to_string());
    let negated = at > 0 && !sentence.pieces[at - 1].used && sentence.is(at - 1, Cue::Not);
    // `keep it vegan`
    if let Some(before) = sentence.before(at)
        && sentence.push(before) == Some(super::sense::Push::Keep)
    {
        sentence.take(before);
    }
    sentence.assume(&assumed);
    sentence.take(at);
    if negated {
        sentence.take(at - 1);
    }
    let opposite = match condition.strip_prefix("not ") {
        Some(inner) => inner.to_string(),
        None => format!("not {}", grouped(&condition)),
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

/// Takes comparisons of properties out of the sentence: `hydrates below 60 C`, `at least 40 % fat`.
pub(super) fn comparisons(sentence: &mut Sentence, catalogue: &Catalogue) -> Vec<Clause> {
    let mut found = vec![];
    for at in 0..sentence.len() {
        let clause = compared(sentence, at, catalogue)
            .or_else(|| compared_before(sentence, at, catalogue))
            .or_else(|| worded(sentence, at, catalogue))
            .or_else(|| contained(sentence, at));
        found.extend(clause);
    }
    found
}

/// `hydrates below 60 C`, `melting point between 30 and 40 C`, `DE above 60`.
fn compared(sentence: &mut Sentence, at: usize, catalogue: &Catalogue) -> Option<Clause> {
    let property = number_property(sentence, at, catalogue)?;
    let mut next = sentence.after(at + 1);
    while [Cue::Of, Cue::Is, Cue::At, Cue::In, Cue::To].iter().any(|cue| sentence.is(next, *cue))
        && sentence.comparison(next).is_none()
    {
        next = sentence.after(next + 1);
    }
    if sentence.means(next, |s| matches!(s, Sense::Between)) {
        let (low, low_end) = figure(sentence, next + 1, &property, catalogue)?;
        let joint = sentence.after(low_end);
        let (high, end) = figure(sentence, joint + 1, &property, catalogue)?;
        // The unit after the second number holds for both.
        let fahrenheit = matches!(sentence.unit(end - 1), Some(Unit::Fahrenheit));
        let low = if fahrenheit && sentence.unit(low_end - 1).is_none() {
            celsius(low)
        } else {
            low
        };
        sentence.take_all(at, end - 1);
        return Some(plain(at, format!("{property} between {low} and {high}")));
    }
    let comparison = sentence.comparison(next)?;
    let (number, end) = figure(sentence, next + 1, &property, catalogue)?;
    sentence.take_all(at, end - 1);
    let temperature = temperature(sentence, end);
    Some(plain(
        at,
        format!("{property} {} {number}{temperature}", comparison.sign()),
    ))
}

/// `at least 40 % fat`, `40 % fat or more`.
fn compared_before(sentence: &mut Sentence, at: usize, catalogue: &Catalogue) -> Option<Clause> {
    let first = sentence.comparison(at);
    let start = if first.is_some() { at + 1 } else { at };
    sentence.number(sentence.after(start))?;
    let mut next = sentence.after(start) + 1;
    if sentence.unit(next).is_some() {
        next += 1;
    }
    next = sentence.after(next);
    let late = sentence.comparison(next).filter(|_| first.is_none());
    if late.is_some() {
        next = sentence.after(next + 1);
    }
    if sentence.is(next, Cue::Of) {
        next = sentence.after(next + 1);
    }
    let (property, last) = match number_property(sentence, next, catalogue) {
        Some(property) => (property, next),
        None => {
            let (_, end) = figure(sentence, start, "hydration_temperature", catalogue)?;
            let thermal = matches!(
                sentence.unit(end - 1),
                Some(Unit::Celsius | Unit::Fahrenheit)
            );
            if !thermal {
                return None;
            }
            sentence.assume("the temperature is taken as the hydration temperature");
            ("hydration_temperature".to_string(), end - 1)
        }
    };
    let (number, _) = figure(sentence, start, &property, catalogue)?;
    let after = sentence.after(last + 1);
    let (comparison, last) = match first.or(late) {
        Some(comparison) => (comparison, last),
        None => (sentence.comparison(after)?, after),
    };
    sentence.take_all(at, last);
    Some(plain(
        at,
        format!("{property} {} {number}", comparison.sign()),
    ))
}

/// A choice property said as a fact: `reducing`, `freeze-thaw good`.
fn worded(sentence: &mut Sentence, at: usize, catalogue: &Catalogue) -> Option<Clause> {
    let property = sentence.property(at)?.to_string();
    let crate::model::PropertyKind::Choice(words) = &catalogue.property(&property)?.kind else {
        return None;
    };
    let mut next = sentence.after(at + 1);
    while sentence.is(next, Cue::Is) || sentence.comparison(next) == Some(Comparison::Equal) {
        next = sentence.after(next + 1);
    }
    let typed = sentence.pieces.get(next)?.text.to_lowercase();
    let word = words.iter().find(|word| **word == typed)?.clone();
    sentence.take_all(at, next);
    Some(plain(at, format!("{property} = {}", word.replace(' ', "_"))))
}

/// `containing milk`.
fn contained(sentence: &mut Sentence, at: usize) -> Option<Clause> {
    if sentence.pieces[at].used || !sentence.is(at, Cue::Contains) {
        return None;
    }
    let next = sentence.after(at + 1);
    let (substances, assumed) = sentence.allergen(next)?;
    let parts: Vec<String> = substances
        .iter()
        .map(|s| format!("contains {}", s.replace(' ', "_")))
        .collect();
    let assumed = assumed.to_string();
    sentence.assume(&assumed);
    sentence.take_all(at, next);
    Some(plain(at, parts.join(" or ")))
}

fn plain(at: usize, condition: String) -> Clause {
    Clause {
        at,
        condition,
        complement: None,
    }
}

fn number_property(sentence: &Sentence, at: usize, catalogue: &Catalogue) -> Option<String> {
    let id = sentence.property(at)?;
    let property = catalogue.property(id)?;
    (property.kind == crate::model::PropertyKind::Number).then(|| id.to_string())
}

/// A number in the property's unit and the place after it.
fn figure(
    sentence: &Sentence,
    at: usize,
    property: &str,
    catalogue: &Catalogue,
) -> Option<(f64, usize)> {
    let at = sentence.after(at);
    if let Some(celsius) = sentence.find(at, |s| match s {
        Sense::Temperature(celsius) => Some(*celsius),
        _ => None,
    }) {
        return Some((celsius, at + 1));
    }
    let number = sentence.number(at)?;
    let unit = catalogue.property(property).map_or("", |p| p.unit.as_str());
    match sentence.unit(at + 1) {
        None => Some((number, at + 1)),
        Some(Unit::Fahrenheit) if unit == "C" => Some((celsius(number), at + 2)),
        Some(Unit::PartsPerMillion) if unit == "g/100 g" => Some((number / 1e4, at + 2)),
        Some(_) => {
            // `g per 100 g` and the like: the unit may go on.
            let mut end = at + 2;
            while sentence.means(end, |s| matches!(s, Sense::Unit(Unit::Plain))) {
                end += 1;
            }
            Some((number, end))
        }
    }
}

/// Degrees Celsius of a Fahrenheit figure, to a tenth.
fn celsius(fahrenheit: f64) -> f64 {
    ((fahrenheit - 32.0) / 1.8 * 10.0).round() / 10.0
}

/// ` at 20 C` where a temperature follows.
fn temperature(sentence: &mut Sentence, at: usize) -> String {
    let at_cue = sentence.after(at);
    let (place, last) = if sentence.is(at_cue, Cue::At) {
        let place = sentence.after(at_cue + 1);
        (place, place)
    } else {
        (at_cue, at_cue)
    };
    let known = sentence.find(place, |s| match s {
        Sense::Temperature(celsius) => Some(*celsius),
        _ => None,
    });
    if let Some(celsius) = known {
        sentence.take_all(at_cue, last);
        return format!(" at {celsius} C");
    }
    match (sentence.number(place), sentence.unit(place + 1)) {
        (Some(number), Some(Unit::Celsius)) => {
            sentence.take_all(at_cue, place + 1);
            format!(" at {number} C")
        }
        (Some(number), Some(Unit::Fahrenheit)) => {
            sentence.take_all(at_cue, place + 1);
            format!(" at {} C", celsius(number))
        }
        _ => String::new(),
    }
}

/// Takes the kinds of ingredient out of the sentence: `gums`, `plant milks`; kinds joined by
/// `or`, and by `and` too, are one choice: nothing is both a gum and a starch.
pub(super) fn kinds(sentence: &mut Sentence) -> Vec<Clause> {
    let mut found: Vec<Clause> = vec![];
    let mut last: Option<usize> = None;
    for at in 0..sentence.len() {
        let Some((condition, assumed)) = sentence.group(at) else {
            continue;
        };
        let (condition, assumed) = (condition.to_string(), assumed.to_string());
        let joint = last.map(|last| sentence.after(last + 1)).filter(|&joint| {
            sentence.after(joint + 1) == at
                && (sentence.is(joint, Cue::Or) || sentence.is(joint, Cue::And))
        });
        let apart = sentence.before(at).is_some_and(|n| {
            [Cue::With, Cue::In, Cue::For].iter().any(|cue| sentence.is(n, *cue))
        });
        if joint.is_none() && apart && !found.is_empty() {
            // `stabiliser for ice cream with alcohol`: the second is no kind looked for.
            continue;
        }
        sentence.assume(&assumed);
        sentence.take(at);
        match (joint, found.last_mut()) {
            (Some(joint), Some(before)) => {
                sentence.take(joint);
                before.condition = format!("{} or {condition}", before.condition);
            }
            _ => found.push(plain(at, condition)),
        }
        last = Some(at);
    }
    found
}

/// Joins clauses in the order they stand in; all must hold, but for those with `or` between them.
pub(super) fn joined(
    mut clauses: Vec<Clause>,
    sentence: &mut Sentence,
    catalogue: &Catalogue,
) -> Option<Expr> {
    clauses.sort_by_key(|clause| clause.at);
    // In a cook's words `or` holds its neighbours together: vegan, and a gum or a starch.
    let mut choices: Vec<Vec<String>> = vec![];
    let mut before: Option<usize> = None;
    for clause in clauses {
        let or = before.and_then(|before| {
            (before..clause.at).find(|&n| !sentence.pieces[n].used && sentence.is(n, Cue::Or))
        });
        before = Some(clause.at);
        match (or, choices.last_mut()) {
            (Some(or), Some(choice)) => {
                sentence.take(or);
                choice.push(clause.condition);
            }
            _ => choices.push(vec![clause.condition]),
        }
    }
    let alone = choices.len() == 1;
    let parts: Vec<String> = choices
        .iter()
        .map(|choice| choice.join(" or "))
        .map(|choice| if alone { choice } else { grouped(&choice) })
        .collect();
    let text = parts.join(" and ");
    if text.is_empty() {
        return Some(Expr::Always);
    }
    condition::parse(&text, catalogue).ok()
}

/// In parentheses where the condition holds an `or`; `and` parts stay flat.
fn grouped(condition: &str) -> String {
    if condition.contains(" or ") {
        format!("({condition})")
    } else {
        condition.to_string()
    }
}
