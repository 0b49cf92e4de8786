//! The names of starch syrups by their DE: `glucose syrup of DE 47`, `maltodextrin DE 12`.
//!
//! Reads names only; [`super::syrup`] works out what such a name stands for.

use crate::model::{SyrupKind, SyrupWords, fold};

/// A starch hydrolysate asked for by kind and DE.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SyrupName {
    /// What it is sold as.
    pub kind: SyrupKind,
    /// Dextrose equivalent, g dextrose per 100 g dry substance, to one decimal.
    pub dextrose_equivalent: f64,
}

impl SyrupName {
    /// Every such name in a text, with its words, folded, as they stand there.
    pub fn all_in(text: &str, known: &SyrupWords) -> Vec<(String, SyrupName)> {
        let folded = fold(text);
        let words: Vec<&str> = folded.split(' ').filter(|w| !w.is_empty()).collect();
        let mut found = vec![];
        let mut at = 0;
        while at < words.len() {
            let Some((name, length)) = Self::at(&words[at..], known) else {
                at += 1;
                continue;
            };
            if at == 0 || !known.others.contains(words[at - 1]) {
                found.push((words[at..at + length].join(" "), name));
            }
            at += length;
        }
        found
    }

    /// The name the whole text is, if it is one.
    pub fn of(text: &str, known: &SyrupWords) -> Option<SyrupName> {
        let whole = fold(text);
        Self::all_in(&whole, known)
            .into_iter()
            .find(|(words, _)| *words == whole)
            .map(|(_, name)| name)
    }

    /// The name the words begin with and how many words it takes: kind and DE in either order.
    fn at(words: &[&str], known: &SyrupWords) -> Option<(SyrupName, usize)> {
        let named = |kind, de: f64, length| {
            let dextrose_equivalent = (de * 10.0).round() / 10.0;
            let name = SyrupName {
                kind,
                dextrose_equivalent,
            };
            (name, length)
        };
        if let Some((kind, length)) = kind(words, known) {
            let gap = words[length..]
                .iter()
                .take_while(|w| known.between.contains(**w))
                .count();
            let (de, taken) = equivalent(&words[length + gap..])?;
            return Some(named(kind, de, length + gap + taken));
        }
        let (de, taken) = equivalent(words)?;
        let (kind, length) = kind(&words[taken..], known)?;
        Some(named(kind, de, taken + length))
    }

    /// The id it has, or would have.
    pub fn id(&self) -> String {
        format!("{}{}", self.kind.stem(), self.dextrose_equivalent)
    }

    /// The name for people.
    pub fn name(&self) -> String {
        format!("{} DE {}", self.kind.word(), self.dextrose_equivalent)
    }
}

fn kind(words: &[&str], known: &SyrupWords) -> Option<(SyrupKind, usize)> {
    known.names.iter().find_map(|(phrase, kind)| {
        let mut length = 0;
        for word in phrase.split(' ') {
            if words.get(length) != Some(&word) {
                return None;
            }
            length += 1;
        }
        Some((*kind, length))
    })
}

/// A DE at the start of the words and how many it takes: `de 47`, `de47`, `47 de`, `47de`, `de of 47`.
fn equivalent(words: &[&str]) -> Option<(f64, usize)> {
    let number = |at: usize| words.get(at).and_then(|w| figure(w));
    match words {
        ["de", "of", _, ..] => Some((number(2)?, 3)),
        ["de", _, ..] => Some((number(1)?, 2)),
        ["dextrose", "equivalent", "of", _, ..] => Some((number(3)?, 4)),
        ["dextrose", "equivalent", _, ..] => Some((number(2)?, 3)),
        [_, "de", ..] => Some((number(0)?, 2)),
        [joined, ..] => {
            let rest = joined
                .strip_prefix("de")
                .or_else(|| joined.strip_suffix("de"))?;
            Some((figure(rest)?, 1))
        }
        [] => None,
    }
}

fn figure(word: &str) -> Option<f64> {
    let word = word.trim_end_matches('.');
    word.starts_with(|c: char| c.is_ascii_digit())
        .then(|| word.parse().ok())
        .flatten()
        .filter(|n: &f64| n.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn known() -> SyrupWords {
        let set = |words: &[&str]| words.iter().map(|w| w.to_string()).collect();
        let name = |(name, kind): (&str, _)| (name.to_string(), kind);
        let names = [
            ("dried glucose syrup", SyrupKind::Dried),
            ("corn syrup solids", SyrupKind::Dried),
            ("glucose syrup", SyrupKind::Liquid),
            ("corn syrup", SyrupKind::Liquid),
            ("maltodextrin", SyrupKind::Maltodextrin),
        ];
        SyrupWords {
            names: names.map(name).into(),
            between: set(&["of", "with", "a"]),
            others: set(&["maltose"]),
        }
    }

    #[test]
    fn people_write_a_syrup_and_its_de_in_many_ways() {
        use SyrupKind::{Dried, Liquid, Maltodextrin};
        for (text, kind, de) in [
            ("glucose-syrup-de47", Liquid, 47.0),
            ("glucose syrup of DE 47", Liquid, 47.0),
            ("Glucose syrup, 47 DE", Liquid, 47.0),
            ("47DE corn syrup", Liquid, 47.0),
            ("glucose syrup with a DE of 47.5", Liquid, 47.5),
            ("dried glucose syrup DE 33", Dried, 33.0),
            ("DE 24 corn syrup solids", Dried, 24.0),
            ("maltodextrin (DE 12)", Maltodextrin, 12.0),
            ("maltodextrin of dextrose equivalent 12", Maltodextrin, 12.0),
        ] {
            let name = SyrupName::of(&fold(text), &known()).unwrap_or_else(|| panic!("{text}"));
            assert_eq!((name.kind, name.dextrose_equivalent), (kind, de), "{text}");
        }
    }

    #[test]
    fn other_texts_name_none() {
        for text in [
            "glucose syrup",
            "glucose syrup 47",
            "high maltose glucose syrup DE 47",
            "sirop de glucose",
            "de 47",
            "glucose syrup de nada",
            "",
        ] {
            assert_eq!(SyrupName::all_in(text, &known()), [], "{text}");
        }
    }

    #[test]
    fn a_sentence_gives_each_name_in_its_own_words() {
        let found = SyrupName::all_in(
            "swap glucose syrup DE 42 for 60 DE glucose syrup in it",
            &known(),
        );
        let words: Vec<&str> = found.iter().map(|(words, _)| words.as_str()).collect();
        assert_eq!(words, ["glucose syrup de 42", "60 de glucose syrup"]);
    }
}
