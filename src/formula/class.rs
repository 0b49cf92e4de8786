//! The class of a dish: by the words of its name, else by its composition.

use crate::condition::{Facts, Mix, Truth, judge};
use crate::model::class::{ClassWord, Classes};
use crate::model::{Catalogue, fold};

/// From this weight on a sign is a fact that also narrows a name of the same kind.
const FACT: u8 = 90;
/// A sign of another kind this near to the winner leaves a doubt.
const NEAR: u8 = 5;
/// Letters that must stand before the end of a longer word.
const STEM: usize = 3;

/// A class told by words or composition.
#[derive(Debug, Clone, PartialEq)]
pub struct Classed {
    /// Its id.
    pub class: String,
    /// What of the composition says so; empty where words do.
    pub because: String,
    /// Another class that it may be as well; empty where none is near.
    pub or: String,
}

/// One word of a class found in a text.
struct Met<'a> {
    start: usize,
    end: usize,
    word: &'a ClassWord,
}

/// The class a name tells. Of words that overlap the longest counts; what stands after the first link
/// counts only where nothing before it names a class; then the greatest weight wins, and of equals
/// the last. The weight is told too.
pub fn by_words<'a>(classes: &'a Classes, name: &str) -> Option<(&'a str, u8)> {
    let met = met(classes, name);
    best(&met).map(|best| (best.word.class.as_str(), best.word.weight))
}

/// The class a name tells, then those of the words within its word: `soft serve` in `protein soft serve`.
/// None where the word is no name of a dish of its own, such as `base`.
pub fn within_words<'a>(classes: &'a Classes, name: &str) -> Vec<&'a str> {
    let met = met(classes, name);
    let Some(best) = best(&met).filter(|best| best.word.weight > 0) else {
        return vec![];
    };
    let inside = |m: &&Met<'a>| m.start >= best.start && m.end <= best.end;
    let mut all: Vec<&Met<'a>> = met.iter().filter(inside).collect();
    all.sort_by_key(|m| std::cmp::Reverse(m.end - m.start));
    all.into_iter().map(|m| m.word.class.as_str()).collect()
}

/// The words of classes in a text, by place.
fn met<'a>(classes: &'a Classes, name: &str) -> Vec<Met<'a>> {
    let text = format!(" {} ", fold(name));
    let mut met: Vec<Met<'a>> = vec![];
    for word in &classes.words {
        let pattern = match word.ends {
            true => format!("{} ", word.word),
            false => format!(" {} ", word.word),
        };
        for (at, _) in text.match_indices(&pattern) {
            let start = if word.ends { at } else { at + 1 };
            let before = text[..start]
                .chars()
                .rev()
                .take_while(|c| c.is_alphanumeric());
            if word.ends && before.count() < STEM {
                continue;
            }
            met.push(Met {
                start,
                end: at + pattern.len() - 1,
                word,
            });
        }
    }
    met.sort_by_key(|m| (m.start, std::cmp::Reverse(m.end)));
    met
}

/// The word that counts.
fn best<'m, 'a>(met: &'m [Met<'a>]) -> Option<&'m Met<'a>> {
    let longest = |m: &Met<'_>| {
        let inside = |other: &Met<'_>| {
            let overlaps = other.start < m.end && m.start < other.end;
            overlaps && other.end - other.start > m.end - m.start
        };
        !met.iter().any(inside)
    };
    let counted: Vec<&'m Met<'a>> = met.iter().filter(|m| longest(m)).collect();
    let link = counted
        .iter()
        .find(|m| m.word.class == "link")
        .map(|m| m.start);
    let names = |m: &&&'m Met<'a>| !["link", "none"].contains(&m.word.class.as_str());
    let before = |m: &&&'m Met<'a>| link.is_none_or(|link| m.start < link);
    let head: Vec<&&'m Met<'a>> = counted.iter().filter(names).filter(before).collect();
    let pool = match head.is_empty() {
        true => counted.iter().filter(names).collect(),
        false => head,
    };
    pool.into_iter()
        .max_by_key(|m| (m.word.weight, m.start))
        .copied()
}

/// The class a composition tells.
pub fn by_signs(catalogue: &Catalogue, mix: &dyn Mix) -> Option<Classed> {
    let classes = &catalogue.classes;
    let facts = Facts {
        catalogue,
        this: None,
        newcomer: None,
        leaver: None,
        mix: Some(mix),
    };
    let mut held = classes
        .signs
        .iter()
        .filter(|sign| judge(&sign.when, &facts) == Truth::Yes);
    let first = held.next()?;
    let kind = |id: &str| classes.get(id).map_or("", |class| class.kind.as_str());
    let near = held
        .find(|sign| sign.weight + NEAR >= first.weight && kind(&sign.class) != kind(&first.class));
    Some(Classed {
        class: first.class.clone(),
        because: first.because.clone(),
        or: near.map_or(String::new(), |sign| sign.class.clone()),
    })
}

/// The class of a dish of this name: what its words say, narrowed by facts of its composition, else
/// what its composition tells.
pub fn classed(catalogue: &Catalogue, name: &str, mix: &dyn Mix) -> Option<Classed> {
    let classes = &catalogue.classes;
    let named = by_words(classes, name);
    let kind = |id: &str| classes.get(id).map_or("", |class| class.kind.as_str());
    let plain = |class: &str| Classed {
        class: class.to_string(),
        because: String::new(),
        or: String::new(),
    };
    let Some((class, weight)) = named else {
        return by_signs(catalogue, mix);
    };
    let signed = by_signs(catalogue, mix);
    let fact = signed.as_ref().filter(|signed| {
        let sign = classes
            .signs
            .iter()
            .find(|s| s.class == signed.class && s.because == signed.because);
        sign.is_some_and(|s| s.weight >= FACT) && kind(&signed.class) == kind(class)
    });
    match (weight, fact, signed.clone()) {
        (0, _, Some(signed)) => Some(signed),
        (_, Some(fact), _) => Some(plain(&fact.class)),
        _ => Some(plain(class)),
    }
}
