//! Properties compared with figures: `hydrates below 60 C`, `at least 40 % fat`.

use crate::model::{Catalogue, Comparison, IngredientKey, PropertyKind};

use super::clause::{Clause, plain};
use super::sense::{Cue, Push, Sense, Unit};
use super::sentence::Sentence;

/// Takes comparisons of properties out of the sentence: `hydrates below 60 C`, `at least 40 % fat`.
pub(super) fn comparisons(sentence: &mut Sentence, catalogue: &Catalogue) -> Vec<Clause> {
    let mut found = vec![];
    for at in 0..sentence.len() {
        let clause = times_as(sentence, at)
            .or_else(|| than_another(sentence, at, catalogue))
            .or_else(|| compared(sentence, at, catalogue))
            .or_else(|| compared_before(sentence, at, catalogue))
            .or_else(|| worded(sentence, at, catalogue))
            .or_else(|| contained(sentence, at));
        found.extend(clause);
    }
    found
}

/// `at least 200 times as sweet as sugar`, `under half as sweet as sucrose`: a figure that counts
/// table sugar as one.
fn times_as(sentence: &mut Sentence, at: usize) -> Option<Clause> {
    let comparison = sentence.comparison(at)?;
    let first = sentence.after(at + 1);
    let share = sentence.find(first, |s| match s {
        Sense::Share(share, _) => Some(*share),
        Sense::Factor(factor) => Some(*factor),
        _ => None,
    });
    let (number, mut next) = match (share, sentence.number(first)) {
        (Some(share), _) => (share, first + 1),
        (None, Some(number)) if matches!(sentence.unit(first + 1), Some(Unit::Times)) => {
            (number, first + 2)
        }
        _ => return None,
    };
    let passed = |s: &Sentence, n: usize| s.is(n, Cue::As) || s.fills(n) || s.push(n).is_some();
    while passed(sentence, next) {
        next += 1;
    }
    if sentence.property(next) != Some("relative_sweetness") {
        return None;
    }
    let mut last = next;
    next += 1;
    while passed(sentence, next) || sentence.is(next, Cue::Than) || sentence.is(next, Cue::Of) {
        next += 1;
    }
    let sugar = |c: &super::sense::Candidates| c.ids.iter().any(|id| id == "sucrose");
    if sentence.ingredient(next).is_some_and(sugar) {
        last = next;
    }
    sentence.take_all(at, last);
    let sign = comparison.sign();
    Some(plain(at, format!("relative_sweetness {sign} {number}")))
}

/// `polyols sweeter than maltitol`, `syrups less viscous than honey`: the bound is what is stated of
/// the ingredient.
fn than_another(sentence: &mut Sentence, at: usize, catalogue: &Catalogue) -> Option<Clause> {
    let than = sentence.after(at + 1);
    let other = sentence.after(than + 1);
    sentence
        .property(at)
        .filter(|_| sentence.is(than, Cue::Than))?;
    let candidates = sentence.ingredient(other)?;
    let key = catalogue.key(candidates.ids.first()?)?;
    let clause = against(sentence, at, key, catalogue)?;
    let pushed = at.checked_sub(1).and_then(|n| sentence.push(n));
    sentence.take_all(at - usize::from(pushed.is_some()), other);
    Some(clause)
}

/// The bound on the property at a place that an ingredient sets; told, and nothing taken.
pub(super) fn against(
    sentence: &mut Sentence,
    at: usize,
    key: IngredientKey,
    catalogue: &Catalogue,
) -> Option<Clause> {
    let property = sentence.property(at)?.to_string();
    let ingredient = catalogue.ingredient(key);
    let bound = ingredient.number(&property)?;
    let stated = ingredient.value(&property)?.condition.clone();
    let unit = &catalogue.property(&property)?.unit;
    let mut said = format!("{} is taken by its {bound} {unit}", ingredient.name);
    if !stated.is_empty() {
        // A viscosity without its concentration says little.
        said.push_str(&format!(" ({stated})"));
    }
    let text = crate::model::fold(&sentence.pieces[at].text);
    let inverse =
        (catalogue.meanings(&text)).any(|word| word.table == "properties" && word.detail == "less");
    let pushed = sentence.before(at).and_then(|n| sentence.push(n));
    let less = inverse != (pushed == Some(Push::Lower));
    let sign = if less { "<" } else { ">" };
    sentence.assume(&said);
    Some(plain(at, format!("{property} {sign} {bound}")))
}

/// `hydrates below 60 C`, `melting point between 30 and 40 C`, `DE above 60`.
fn compared(sentence: &mut Sentence, at: usize, catalogue: &Catalogue) -> Option<Clause> {
    let property = number_property(sentence, at, catalogue)?;
    let mut next = sentence.after(at + 1);
    while [Cue::Of, Cue::Is, Cue::At, Cue::In, Cue::To]
        .iter()
        .any(|cue| sentence.is(next, *cue))
        && sentence.comparison(next).is_none()
    {
        next = sentence.after(next + 1);
    }
    if sentence.comma(next) && sentence.comparison(sentence.after(next + 1)).is_some() {
        // `lactose, under 3 %`
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
    if let Some((number, end)) = figure(sentence, next, &property, catalogue)
        && let late = sentence.after(end)
        && let Some(comparison) = sentence.comparison(late)
        && sentence.pieces[late].text.to_lowercase().starts_with("or ")
    {
        // `DE 40 or lower`
        sentence.take_all(at, late);
        return Some(plain(
            at,
            format!("{property} {} {number}", comparison.sign()),
        ));
    }
    let Some(comparison) = sentence.comparison(next) else {
        return at_temperature(sentence, at, next, &property, catalogue);
    };
    let (number, end) = figure(sentence, next + 1, &property, catalogue)?;
    if sentence.group(at).is_some() && number_property(sentence, end, catalogue).is_some() {
        // `fats over 40 % saturated`: the figure is of the word after it.
        return None;
    }
    sentence.take_all(at, end - 1);
    let temperature = temperature(sentence, end);
    Some(plain(
        at,
        format!("{property} {} {number}{temperature}", comparison.sign()),
    ))
}

/// `sets at 20 C`, `melts at 30 C`, `stays solid at room temperature`: a temperature by which it
/// has happened.
fn at_temperature(
    sentence: &mut Sentence,
    at: usize,
    place: usize,
    property: &str,
    catalogue: &Catalogue,
) -> Option<Clause> {
    if catalogue.property(property)?.unit != "C" {
        return None;
    }
    let told = sentence.pieces[place.saturating_sub(1)].text.to_lowercase() == "at"
        || sentence.means(place, |s| matches!(s, Sense::Temperature(_)));
    let (number, end) = figure(sentence, place, property, catalogue).filter(|_| told)?;
    let lasts = ["stay", "remain", "solid", "are solid", "is solid"]
        .iter()
        .any(|word| sentence.pieces[at].text.to_lowercase().starts_with(word));
    let sign = if lasts {
        ">"
    } else if property == "setting_temperature" {
        ">="
    } else {
        "<="
    };
    sentence.take_all(at, end - 1);
    Some(plain(at, format!("{property} {sign} {number}")))
}

/// `at least 40 % fat`, `40 % fat or more`.
fn compared_before(sentence: &mut Sentence, at: usize, catalogue: &Catalogue) -> Option<Clause> {
    if sentence.means(at, |s| matches!(s, Sense::Between)) {
        // `between 20 and 30 % fat`
        let (low, low_end) = figure(sentence, at + 1, "", catalogue)?;
        let joint = sentence.after(low_end);
        let (high, end) = figure(sentence, joint + 1, "", catalogue)?;
        let noun = sentence.after(end);
        let property = number_property(sentence, noun, catalogue)?;
        sentence.take_all(at, noun);
        return Some(plain(at, format!("{property} between {low} and {high}")));
    }
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
    let unit_at = sentence.after(start) + 1;
    let named = number_property(sentence, next, catalogue).map(|property| (property, next));
    // `under 80 Brix`: the unit says the property.
    let implied = || Some((number_property(sentence, unit_at, catalogue)?, unit_at));
    let (property, last) = match named.or_else(implied) {
        Some(found) => found,
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
    let (number, end) = figure(sentence, start, &property, catalogue)?;
    let last = last.max(end - 1);
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
    let PropertyKind::Choice(words) = &catalogue.property(&property)?.kind else {
        return None;
    };
    let mut next = sentence.after(at + 1);
    while sentence.is(next, Cue::Is) || sentence.comparison(next) == Some(Comparison::Equal) {
        next = sentence.after(next + 1);
    }
    let typed = sentence.pieces.get(next)?.text.to_lowercase();
    let word = words.iter().find(|word| **word == typed)?.clone();
    sentence.take_all(at, next);
    Some(plain(
        at,
        format!("{property} = {}", word.replace(' ', "_")),
    ))
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

fn number_property(sentence: &Sentence, at: usize, catalogue: &Catalogue) -> Option<String> {
    let id = sentence.property(at)?;
    // A gel melts at its own temperature, not at that of a fat.
    let gels = || {
        (0..sentence.len()).any(|n| {
            let means = &sentence.pieces[n].senses;
            means
                .iter()
                .any(|s| matches!(s, Sense::Group(c, _) if c == "function gelling_agent"))
        })
    };
    let id = match id {
        "melting_point" if gels() => "gel_melting_temperature",
        id => id,
    };
    let property = catalogue.property(id)?;
    (property.kind == PropertyKind::Number).then(|| id.to_string())
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
            // `2 kcal per gram` where the property counts per 100 g.
            if let Some((grams, end)) = per(sentence, at + 2) {
                let per_grams = [("/100 g", 100.0), ("/kg", 1000.0)];
                let counted = per_grams.iter().find(|(suffix, _)| unit.ends_with(suffix));
                if let Some((_, counted)) = counted {
                    return Some((number * counted / grams, end));
                }
            }
            // `g per 100 g` and the like: the unit may go on.
            let mut end = at + 2;
            while sentence.means(end, |s| matches!(s, Sense::Unit(Unit::Plain))) {
                end += 1;
            }
            Some((number, end))
        }
    }
}

/// `per gram`, `per 100 g`: the grams and the place after them.
fn per(sentence: &Sentence, at: usize) -> Option<(f64, usize)> {
    if !matches!(sentence.pieces.get(at)?.text.as_str(), "per" | "/" | "a") {
        return None;
    }
    let (number, unit) = match sentence.number(at + 1) {
        Some(number) => (number, at + 2),
        None => (1.0, at + 1),
    };
    match sentence.unit(unit) {
        Some(Unit::Grams(grams)) => Some((number * grams, unit + 1)),
        _ => None,
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
