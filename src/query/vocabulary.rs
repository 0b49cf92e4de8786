//! One phrase to its meanings: the word tables, then ingredient names, then property ids.

use crate::model::{Catalogue, Comparison, Dial, IngredientKey, Meant, Named, Word};
use crate::names::syrup_named;

use super::inflection::base_forms;
use super::sense::{Candidates, Cue, Push, Sense, Unit};

/// Readings offered where a name stands for many.
const CHOICES: usize = 3;

/// Every meaning of a folded phrase; `written` is the phrase as typed, for exact ids.
pub(super) fn senses(folded: &str, written: &str, catalogue: &Catalogue) -> Vec<Sense> {
    if let Some(symbol) = primed(folded, written) {
        return senses(&symbol, &symbol, catalogue);
    }
    let mut out = vec![];
    let meant = catalogue.naming.meant.get(folded);
    let candidates = meant.filter(|m| !m.formula_only).map(stated);
    for word in catalogue.meanings(folded) {
        out.extend(sense(word));
    }
    let id = written.trim().to_lowercase();
    // A bare word may be an id and a name of others; `by_name` then says which was taken.
    let shared = catalogue.bearers(folded).len() > 1;
    let exact = (id.contains('-') || (candidates.is_none() && !shared))
        .then(|| catalogue.key(&id))
        .flatten()
        .map(|key| one(&catalogue.ingredient(key).id));
    // A word that fills or names a kind is no ingredient unless a table says so.
    let silent = out.iter().any(|s| {
        matches!(
            s,
            Sense::Filler(_) | Sense::Cue(_) | Sense::Group(..) | Sense::Unit(_)
        )
    });
    let dish = out.iter().any(|s| matches!(s, Sense::Dish(_)));
    let found = exact.or(candidates).or_else(|| {
        (!silent && !dish)
            .then(|| by_name(folded, catalogue))
            .flatten()
    });
    let found = found.map(|mut candidates| {
        candidates.namesakes = namesakes(folded, &candidates, catalogue);
        candidates
    });
    out.extend(found.map(Sense::Ingredient));
    let property = folded.replace(' ', "_");
    if catalogue.property(&property).is_some()
        && !out.iter().any(|s| matches!(s, Sense::Property(_)))
    {
        out.push(Sense::Property(property));
    }
    if out.is_empty() {
        out.extend(in_other_form(folded, catalogue));
    }
    out
}

/// Whether a folded phrase is in a table that gives it a meaning, or a name.
pub(super) fn phrase_known(folded: &str, catalogue: &Catalogue) -> bool {
    word_known(folded, catalogue) || !catalogue.bearers(folded).is_empty()
}

/// Whether a folded phrase is in a table that gives it a meaning.
pub(super) fn word_known(folded: &str, catalogue: &Catalogue) -> bool {
    let stated = |word: &Word| !Word::WRITTEN_OUT.contains(&word.table.as_str());
    catalogue.naming.meant.contains_key(folded) || catalogue.meanings(folded).any(stated)
}

/// `Tg'` is said `Tg prime`: a prime makes another symbol of one.
fn primed(folded: &str, written: &str) -> Option<String> {
    let marked = written.ends_with(['\'', '’', '′']) && folded.chars().count() == 2;
    marked.then(|| format!("{folded} prime"))
}

/// What a phrase means in another form of its first word: `complaining`, `cousins`, `stood in for`.
fn in_other_form(phrase: &str, catalogue: &Catalogue) -> Option<Sense> {
    let (first, rest) = match phrase.split_once(' ') {
        Some((first, rest)) => (first, format!(" {rest}")),
        None => (phrase, String::new()),
    };
    let forms: Vec<String> = (base_forms(first).into_iter())
        .map(|form| form + &rest)
        .collect();
    let listed = |table: &'static str| {
        let rows = forms.iter().flat_map(|form| catalogue.meanings(form));
        rows.filter(move |row| row.table == table).find_map(sense)
    };
    listed("asides").or_else(|| listed("verbs"))
}

fn one(id: &str) -> Candidates {
    Candidates {
        ids: vec![id.to_string()],
        reason: String::new(),
        assumed: String::new(),
        namesakes: vec![],
    }
}

/// Words after the noun of a name that tell its form.
const FORMS: [&str; 10] = [
    "powder", "leaf", "leaves", "granules", "sheets", "strips", "flakes", "threads", "block",
    "liquid",
];

/// The noun of a plain name without its form: `gelatin` of `gelatin leaf`.
fn noun(plain: &str) -> &str {
    let mut words = plain
        .split(' ')
        .rev()
        .skip_while(|word| FORMS.contains(word));
    words.next().unwrap_or_default()
}

/// A word in one spelling: `gelatine` and `gelatins` are gelatin.
fn stem(word: &str) -> &str {
    word.trim_end_matches('s').trim_end_matches('e')
}

/// All ingredients that differ from the likeliest one in their grade alone; where the noun itself was
/// typed, all of that noun and family.
fn namesakes(typed: &str, candidates: &Candidates, catalogue: &Catalogue) -> Vec<String> {
    let Some(key) = candidates.ids.first().and_then(|id| catalogue.key(id)) else {
        return vec![];
    };
    let family = &catalogue.ingredient(key).family;
    let grade = catalogue.plain_name(key);
    let shared = noun(&grade);
    let by_noun = stem(typed) == stem(shared);
    let same = |plain: &str| plain == grade || by_noun && noun(plain) == shared;
    let alike = |key: IngredientKey| {
        let i = catalogue.ingredient(key);
        let kin = i.family == *family && same(&catalogue.plain_name(key));
        (kin || candidates.ids.contains(&i.id)).then(|| i.id.clone())
    };
    catalogue.keys().filter_map(alike).collect()
}

fn stated(meant: &Meant) -> Candidates {
    let (reason, assumed) = match meant.ids.len() {
        0 | 1 => (String::new(), meant.reason.clone()),
        _ => (meant.reason.clone(), String::new()),
    };
    Candidates {
        ids: meant.ids.clone(),
        reason,
        assumed,
        namesakes: vec![],
    }
}

fn by_name(folded: &str, catalogue: &Catalogue) -> Option<Candidates> {
    if catalogue.bearers(folded).is_empty()
        && let Some(key) = syrup_named(catalogue, folded)
    {
        return Some(one(&catalogue.ingredient(key).id));
    }
    let keys = match catalogue.named(folded) {
        Named::Unknown => return None,
        Named::Several(keys) => keys,
        Named::One(_) if catalogue.bearers(folded).len() > 1 => catalogue.bearers(folded).to_vec(),
        Named::One(key) => return Some(one(&catalogue.ingredient(key).id)),
    };
    if let Some(key) = catalogue.key(&folded.replace(' ', "-")) {
        let plain = catalogue.ingredient(key);
        return Some(Candidates {
            assumed: format!("`{folded}` is taken as {}", plain.name),
            ..one(&plain.id)
        });
    }
    // One of each family first, so that the choice is a real one.
    let mut ids: Vec<String> = vec![];
    let mut families: Vec<&str> = vec![];
    for key in &keys {
        let ingredient = catalogue.ingredient(*key);
        if !families.contains(&ingredient.family.as_str()) {
            families.push(&ingredient.family);
            ids.push(ingredient.id.clone());
        }
    }
    for key in &keys {
        let id = &catalogue.ingredient(*key).id;
        if !ids.contains(id) {
            ids.push(id.clone());
        }
    }
    ids.truncate(CHOICES);
    Some(Candidates {
        ids,
        reason: format!("`{folded}` is a name of {} ingredients", keys.len()),
        assumed: String::new(),
        namesakes: vec![],
    })
}

fn sense(word: &Word) -> Option<Sense> {
    let (meaning, detail) = (word.meaning.as_str(), word.detail.as_str());
    match word.table.as_str() {
        "verbs" | "roles" => Cue::parse(meaning).map(Sense::Cue),
        "directions" => Push::parse(meaning).map(Sense::Push),
        "dials" => Dial::parse(meaning).map(|dial| Sense::Dial(dial, detail == "inverse")),
        "qualities" => {
            let (push, dial) = meaning.split_once(' ')?;
            Some(Sense::Quality(
                Dial::parse(dial)?,
                Push::parse(push)?,
                detail == "base",
            ))
        }
        "properties" => Some(Sense::Property(meaning.to_string())),
        "symptoms" => Some(Sense::Symptom(meaning.to_string(), detail == "base")),
        "groups" => Some(Sense::Group(meaning.to_string(), detail.to_string())),
        "diets" => Some(Sense::Diet(meaning.to_string(), detail.to_string())),
        "traits" => Some(Sense::Trait(meaning.to_string())),
        "allergens" => Some(Sense::Allergen(
            meaning.split(';').map(str::to_string).collect(),
            detail.to_string(),
        )),
        "dishes" => Some(Sense::Dish(meaning.to_string())),
        "phases" => Some(Sense::Phase(meaning.to_string())),
        "factors" => Some(Sense::Factor(meaning.parse().ok()?)),
        "superlatives" => Some(Sense::Superlative(meaning == "most", detail.to_string())),
        "shares" => Some(Sense::Share(meaning.parse().ok()?, detail.to_string())),
        // `quarter`: a part is read with what it is a part of.
        "numbers" if detail == "fraction" => None,
        "numbers" => Some(Sense::Number(meaning.parse().ok()?)),
        "temperatures" => Some(Sense::Temperature(meaning.parse().ok()?)),
        "comparisons" if meaning == "between" => Some(Sense::Between),
        "comparisons" => Comparison::ALL
            .iter()
            .find(|(_, sign)| *sign == meaning)
            .map(|(comparison, _)| Sense::Compare(*comparison)),
        "units" => {
            let factor: f64 = detail.parse().ok()?;
            Some(Sense::Unit(match meaning {
                "g" => Unit::Grams(factor),
                "ml" => Unit::Millilitres(factor),
                "%" => Unit::Percent,
                "ppm" => Unit::PartsPerMillion,
                "C" => Unit::Celsius,
                "F" => Unit::Fahrenheit,
                "abv" => Unit::AlcoholByVolume(factor),
                "times" => Unit::Times,
                "portions" => Unit::Portions,
                "proof" => Unit::AlcoholByVolume(factor),
                _ => Unit::Plain,
            }))
        }
        "fillers" => Some(match meaning {
            "new" => Sense::New,
            _ => Sense::Filler(false),
        }),
        "asides" => Some(Sense::Filler(true)),
        _ => None,
    }
}
