//! `hydration temperature of locust bean gum`, `is gelatin vegan`, `xanthan gum`.

use crate::condition::{self, Facts, Truth, judge};
use crate::model::{Catalogue, Dial};

use super::clause::chosen;
use super::dish::{dish, flavour};
use super::question::Question;
use super::sense::{Cue, Sense, Unit};
use super::sentence::Sentence;
use super::statement::{contained, statements};
use super::understood::Understood;

/// Properties that say the same of different families: a gel, a fat and a crystal each melt their
/// own way.
const KIN: [&[&str]; 2] = [
    &["melting_point", "melting_range", "gel_melting_temperature"],
    &[
        "hydration_temperature",
        "gelatinisation_temperature",
        "activation_temperature",
        "denaturation_temperature",
    ],
];

/// Reads a look-up: ingredients, and what is asked about them.
pub(super) fn read(sentence: &mut Sentence, catalogue: &Catalogue) -> Option<Understood> {
    flavour(sentence);
    let mut asked: Vec<(usize, String)> = vec![];
    let content = content_of_name(sentence);
    let ingredients = once(named(sentence, &mut asked));
    if ingredients.is_empty() {
        return kind_meant(sentence, catalogue, asked);
    }
    if let ([one, other], true, true) = (&ingredients[..], asked.is_empty(), content) {
        // `vitamin C in oranges`: no data says it.
        let about = |id: &String| Question::Lookup {
            ingredients: vec![id.clone()],
            properties: vec![],
            allergens: vec![],
        };
        let (what, holder) = (one.replace('-', " "), other.replace('-', " "));
        return Some(Understood::Choose {
            ask: format!("how much {what} is in {holder} is not stated: what is known of which?"),
            questions: vec![about(other), about(one)],
        });
    }
    gelling(sentence, &mut asked);
    if let ([_], true, true) = (
        &ingredients[..],
        asked.is_empty(),
        sentence.has(Cue::Temperature),
    ) {
        // `what temperature for tara gum`
        sentence.assume("the temperature it works from is meant");
        asked.push((0, "hydration_temperature".to_string()));
    }
    freezing(sentence, &mut asked);
    let allergens = statements(sentence, catalogue, &mut asked);
    asked.sort();
    drop_how_much(sentence, &mut asked, catalogue);
    if let [_] = ingredients[..]
        && weighs_volume(sentence)
    {
        for (_, property) in asked.iter_mut().filter(|(_, p)| p == "use_level") {
            *property = "density".to_string();
        }
    }
    let mut properties: Vec<String> = vec![];
    for (_, property) in asked {
        let property = fitting(property, &ingredients, catalogue);
        if !properties.contains(&property) {
            properties.push(property);
        }
    }
    let allergens_too = |piece: &super::sentence::Piece| {
        let text = piece.text.to_lowercase();
        piece.senses.contains(&Sense::Cue(Cue::Lookup)) && text.contains("allergens")
    };
    if !properties.is_empty() && sentence.pieces.iter().any(allergens_too) {
        // `how much protein has it, and which allergens`
        sentence.assume("all that is known is shown, its allergens too");
        properties.clear();
    }
    pass_over_amounts(sentence, &properties);
    pass_over_temperature(sentence, !properties.is_empty());
    let dish = dish(sentence);
    if !dish.is_empty() {
        sentence.assume(&format!(
            "what is known does not depend on the dish ({dish})"
        ));
    }
    Some(Understood::One(Question::Lookup {
        ingredients,
        properties,
        allergens,
    }))
}

/// `vitamin C in oranges`: one name in another, and nothing else.
fn content_of_name(sentence: &Sentence) -> bool {
    let spoken: Vec<usize> = (0..sentence.len())
        .filter(|&at| !sentence.fills(at))
        .collect();
    matches!(spoken[..], [what, within, holder] if sentence.is(within, Cue::In)
        && sentence.ingredient(what).is_some()
        && sentence.ingredient(holder).is_some()
        && sentence.dish(holder).is_none())
}

/// `is the syrup gluten free`: a kind where one ingredient must be named.
fn kind_meant(
    sentence: &mut Sentence,
    catalogue: &Catalogue,
    asked: Vec<(usize, String)>,
) -> Option<Understood> {
    let led = |at: usize| {
        at.checked_sub(1)
            .is_some_and(|n| sentence.pieces[n].text.eq_ignore_ascii_case("the"))
    };
    let at = (0..sentence.len()).find(|&at| sentence.group(at).is_some() && led(at))?;
    let kind = condition::parse(sentence.group(at)?.0, catalogue).ok()?;
    let mut asked = asked;
    sentence.take(at);
    let allergens = statements(sentence, catalogue, &mut asked);
    let properties: Vec<String> = asked.into_iter().map(|(_, property)| property).collect();
    if properties.is_empty() && allergens.is_empty() {
        return None;
    }
    let meant = (catalogue.ingredients.iter())
        .filter(|i| judge(&kind, &Facts::of(catalogue, i)) == Truth::Yes)
        .take(CHOICES);
    Some(Understood::Choose {
        ask: format!("which {}? the word names a kind", sentence.pieces[at].text),
        questions: meant
            .map(|i| Question::Lookup {
                ingredients: vec![i.id.clone()],
                properties: properties.clone(),
                allergens: allergens.clone(),
            })
            .collect(),
    })
}

/// Each id the first time it is named.
fn once(ids: Vec<String>) -> Vec<String> {
    let mut found: Vec<String> = vec![];
    for id in ids {
        if !found.contains(&id) {
            found.push(id);
        }
    }
    found
}

/// Ingredients offered where a kind is named.
const CHOICES: usize = 3;

/// The property, or the one of its kin that is kept for the families of any of these.
fn fitting(property: String, ingredients: &[String], catalogue: &Catalogue) -> String {
    let keys: Vec<_> = (ingredients.iter())
        .filter_map(|id| catalogue.key(id))
        .collect();
    let kept = |id: &str| {
        let property = catalogue.property(id);
        keys.iter().any(|key| {
            let ingredient = catalogue.ingredient(*key);
            ingredient.value(id).is_some()
                || property.is_some_and(|p| p.applies_to(&ingredient.family))
        })
    };
    let kin = KIN.iter().find(|kin| kin.contains(&property.as_str()));
    let mut kin = kin.copied().unwrap_or_default().iter();
    match kin.find(|id| kept(id)) {
        Some(other) if !kept(&property) => other.to_string(),
        _ => property,
    }
}

/// `how much fat is in it`, `starch, how much` ask for the content; `vegan, and how much do I use`
/// for both.
fn drop_how_much(sentence: &Sentence, asked: &mut Vec<(usize, String)>, catalogue: &Catalogue) {
    let places: Vec<usize> = asked.iter().map(|(at, _)| *at).collect();
    let grams = |id: &str| {
        let unit = catalogue.property(id).map_or("", |p| p.unit.as_str());
        ["g/100 g", "mg/100 g", "g/day"].contains(&unit) && id != "use_level"
    };
    let content = matches!(&asked[..], [(_, one), (_, other)] if grams(one) || grams(other));
    asked.retain(|(at, property)| {
        let next = (at + 1..sentence.len()).find(|&n| !sentence.fills_ever(n));
        let text = sentence.pieces[*at].text.to_lowercase();
        let amount = text.starts_with("how m") && content && !sentence.has(Cue::And);
        property != "use_level" || !amount && next.is_none_or(|next| !places.contains(&next))
    });
}

/// `at what temperature does it gel`: the verb, not the dish.
fn gelling(sentence: &mut Sentence, asked: &mut Vec<(usize, String)>) {
    if !sentence.has(Cue::Temperature) {
        return;
    }
    for at in 0..sentence.len() {
        if matches!(sentence.dish(at), Some("gel")) {
            sentence.take(at);
            asked.push((at, "setting_temperature".to_string()));
        }
    }
}

/// `3 cups of sugar, how many grams`: a volume of it is to be weighed.
fn weighs_volume(sentence: &Sentence) -> bool {
    let named = |at: usize| {
        let means = |s: &Sense| matches!(s, Sense::Ingredient(_));
        sentence.pieces[at].senses.iter().any(means)
    };
    (0..sentence.len()).filter(|&at| named(at)).any(|at| {
        let mut before = (0..at).rev().filter(|&n| !sentence.is(n, Cue::Of));
        let unit = before.next();
        unit.is_some_and(|n| matches!(sentence.unit(n), Some(Unit::Millilitres(_))))
    })
}

/// Whether the freezing point of an ingredient, or how far it lowers one, is asked for.
pub(super) fn asks_freezing(sentence: &Sentence) -> bool {
    let plain = (0..sentence.len()).all(|at| sentence.comparison(at).is_none());
    let asked = [Cue::Lookup, Cue::Is, Cue::Of, Cue::Why]
        .iter()
        .any(|cue| sentence.has(*cue))
        || (0..sentence.len()).any(|at| sentence.property(at) == Some("use_level"));
    plain && asked && freezing_at(sentence).is_some()
}

fn freezing_at(sentence: &Sentence) -> Option<usize> {
    (0..sentence.len()).find(|&at| matches!(sentence.dial(at), Some((Dial::FreezingPoint, _))))
}

/// `freezing point of dextrose`: only a mix has one; what decides it is known.
fn freezing(sentence: &mut Sentence, asked: &mut Vec<(usize, String)>) {
    let Some(at) = freezing_at(sentence) else {
        return;
    };
    sentence.take(at);
    for n in 0..sentence.len() {
        if sentence.push(n).is_some() {
            sentence.take(n);
        }
    }
    asked.retain(|(_, property)| property != "use_level");
    asked.push((at, "molar_mass".to_string()));
    asked.push((at, "number_average_molar_mass".to_string()));
    sentence.assume("how far it lowers the freezing point hangs on its molar mass and the mix");
}

/// Ingredients and properties; a word that is both is a property where another ingredient stands.
pub(super) fn named(sentence: &mut Sentence, asked: &mut Vec<(usize, String)>) -> Vec<String> {
    // `lactose in skimmed milk powder`: what stands before `in` is the property.
    let of_another = |sentence: &Sentence, at: usize| {
        let led = content_of(sentence, at);
        led.is_some_and(|from| (from..sentence.len()).any(|n| sentence.ingredient(n).is_some()))
    };
    let mut ingredients = vec![];
    for at in 0..sentence.len() {
        let both = sentence.ingredient(at).is_some() && sentence.property(at).is_some();
        let held = sentence
            .before(at)
            .is_some_and(|n| sentence.is(n, Cue::Contains));
        let counted = (sentence.before(at)).is_some_and(|n| {
            // `less fructose than sugar` names two ingredients.
            let moved =
                sentence.push(n).is_some() && !sentence.is(sentence.after(at + 1), Cue::Than);
            moved || sentence.means(n, |s| matches!(s, Sense::Superlative(..)))
        });
        // `how do maple syrup and agave syrup differ in fructose`, `put the water in the two side
        // by side`
        let between = ingredients.len() > 1
            && sentence.has(Cue::Compare)
            && (sentence.before(at).is_some_and(|n| {
                sentence.is(n, Cue::In) || sentence.is(n, Cue::By) || sentence.is(n, Cue::For)
            }) || content_of(sentence, at).is_some()
                || ends_after_comma(sentence, at));
        let as_property = both
            && (held
                || counted
                || between
                || of_another(sentence, at) && !after_list(sentence, at));
        let place = sentence.before(at).is_some_and(|n| sentence.is(n, Cue::In));
        if place && ingredients.len() > 1 && sentence.property(at).is_none() {
            // `agar vs gelatin in candied fruit`: the third is where, not what.
            continue;
        }
        if contained(sentence, at) {
            continue;
        }
        if in_water(sentence, at) && !ingredients.is_empty() {
            // `gelatinises in excess water`, `dissolves in 100 g of water`
            sentence.assume("water is what it is in, not what is asked about");
            sentence.take(at);
            continue;
        }
        if sentence.group(at).is_some() && !ingredients.is_empty() && of_kind(sentence, at) {
            // `is allulose a sugar`
            let text = sentence.pieces[at].text.clone();
            sentence.assume(&format!(
                "its family and functions tell whether it is a {text}"
            ));
            sentence.take(at);
            continue;
        }
        if holds_another(sentence, at) {
            // `how much cornstarch is in icing sugar` asks for the starch.
            let starch = chosen(sentence, at).is_some_and(|(id, _)| id.ends_with("-starch"));
            if starch {
                sentence.take(at);
                asked.push((at, "starch".to_string()));
            }
            continue;
        }
        if let Some((id, assumed)) = chosen(sentence, at).filter(|_| !as_property) {
            sentence.assume(&assumed);
            sentence.take(at);
            ingredients.push(id);
        } else if let Some(property) = sentence.property(at).map(str::to_string) {
            sentence.take(at);
            if asked.iter().all(|(_, known)| *known != property) {
                asked.push((at, property));
            }
        }
    }
    ingredients
}

/// Whether water is named as what something is in.
fn in_water(sentence: &Sentence, at: usize) -> bool {
    let water =
        (sentence.ingredient(at)).is_some_and(|c| c.ids.first().is_some_and(|id| id == "water"));
    let mut before = (0..at)
        .rev()
        .filter(|&n| !sentence.pieces[n].senses.is_empty());
    let led = before.next();
    water
        && led.is_some_and(|n| {
            let weighed = matches!(sentence.unit(n), Some(Unit::Grams(_)));
            let joint = sentence.is(n, Cue::In) || sentence.is(n, Cue::Of);
            weighed || joint && sentence.property(at).is_none() || sentence.is(n, Cue::In)
        })
}

/// `panela vs muscovado, water`: the last word, after a comma.
fn ends_after_comma(sentence: &Sentence, at: usize) -> bool {
    let comma = at
        .checked_sub(1)
        .is_some_and(|n| sentence.comma(n) || sentence.pieces[n].text == ":");
    comma && sentence.after(at + 1) >= sentence.len()
}

/// `how much cornstarch is in icing sugar`: asks for a content that no property states.
fn holds_another(sentence: &Sentence, at: usize) -> bool {
    let next = sentence.after(at + 1);
    let place = sentence.after(next + 1);
    let other = sentence.after(place + 1);
    sentence.property(at).is_none()
        && sentence.is(next, Cue::Is)
        && sentence.is(place, Cue::In)
        && sentence.ingredient(other).is_some()
        && sentence.dish(other).is_none()
}

/// The place after `fat of`, `lactose is in`, where the word at `at` is a property.
fn content_of(sentence: &Sentence, at: usize) -> Option<usize> {
    sentence.property(at)?;
    let mut next = sentence.after(at + 1);
    if sentence.is(next, Cue::Is) {
        next = sentence.after(next + 1);
    }
    let led = sentence.is(next, Cue::Of) || sentence.is(next, Cue::In);
    led.then(|| sentence.after(next + 1))
}

/// Whether a property of an ingredient is asked for: `lactose in butter`.
pub(super) fn asks_content(sentence: &Sentence) -> bool {
    (0..sentence.len()).any(|at| asks_content_at(sentence, at))
}

/// Whether the word at a place is a property asked of an ingredient.
pub(super) fn asks_content_at(sentence: &Sentence, at: usize) -> bool {
    content_of(sentence, at)
        .is_some_and(|n| sentence.ingredient(n).is_some() && sentence.dish(n).is_none())
}

/// `a sugar` after what is asked about: a kind, no second ingredient.
fn of_kind(sentence: &Sentence, at: usize) -> bool {
    let article = at
        .checked_sub(1)
        .map(|n| sentence.pieces[n].text.to_lowercase());
    matches!(article.as_deref(), Some("a" | "an")) && sentence.is(0, Cue::Is)
}

/// Whether the word stands in a list of ingredients: `honey and sorbitol`.
fn after_list(sentence: &Sentence, at: usize) -> bool {
    let Some(joint) = at.checked_sub(1) else {
        return false;
    };
    let joined = sentence.comma(joint)
        || [Cue::And, Cue::Or, Cue::Compare]
            .iter()
            .any(|cue| sentence.is(joint, *cue));
    joined
        && joint.checked_sub(1).is_some_and(|n| {
            sentence.pieces[n]
                .senses
                .iter()
                .any(|s| matches!(s, Sense::Ingredient(_)))
        })
}

/// `a teaspoon of`, `per 100 g`, in a question about a value, says how it will be used.
fn pass_over_amounts(sentence: &mut Sentence, properties: &[String]) {
    let dose = properties
        .iter()
        .any(|p| p == "density" || p == "use_level");
    for at in 0..sentence.len() {
        let weighed = matches!(
            sentence.unit(at),
            Some(Unit::Grams(_) | Unit::Millilitres(_))
        );
        let share = sentence.means(at, |s| matches!(s, Sense::Share(..)));
        let counted =
            dose && (share || sentence.unit(at).is_some() || sentence.number(at).is_some());
        if properties.is_empty() || !(weighed || counted) {
            continue;
        }
        let first = match at.checked_sub(1) {
            Some(before) if sentence.number(before).is_some() => before,
            _ => at,
        };
        let text: Vec<&str> = sentence.pieces[first..=at]
            .iter()
            .map(|piece| piece.text.as_str())
            .collect();
        let text = text.join(" ");
        sentence.assume(&format!(
            "`{text}` is for the reader to work out from the value"
        ));
        sentence.take_all(first, at);
    }
}

/// `at 20 C`: values are shown with the temperature they hold at.
fn pass_over_temperature(sentence: &mut Sentence, asked: bool) {
    for at in 0..sentence.len() {
        if asked && sentence.means(at, |s| matches!(s, Sense::Temperature(_))) {
            sentence.assume("every value is shown with the temperature it holds at");
            sentence.take(at);
        }
        let thermal = matches!(
            sentence.unit(at + 1),
            Some(Unit::Celsius | Unit::Fahrenheit)
        );
        if thermal && sentence.number(at).is_some() {
            sentence.assume("every value is shown with the temperature it holds at");
            sentence.take_all(at, at + 1);
        }
    }
}
