//! Every name of the catalogue under the keys it can be found by: its words in any order, its words
//! without qualifiers, its letters without spaces.

use std::collections::{BTreeMap, HashMap};

use super::words::{Word, bag, words};
use crate::model::{Catalogue, IngredientKey, Meant, Qualifier, fold};

/// A name as a candidate for a typed one.
#[derive(Debug, Clone)]
pub(super) struct Entry {
    /// Whose name it is.
    pub key: IngredientKey,
    /// Stems of its qualifiers.
    pub qualifiers: Vec<String>,
    /// It is part of a longer name, such as `cream` of `cream (about 19 % fat)`.
    pub shortened: bool,
}

/// Look-ups over all names.
#[derive(Debug, Default)]
pub(super) struct NameIndex {
    by_bag: HashMap<String, Vec<IngredientKey>>,
    by_core: HashMap<String, Vec<Entry>>,
    by_letters: HashMap<String, Vec<IngredientKey>>,
    meant: HashMap<String, Meant>,
    /// Stems with the number of names that hold them, in order.
    pub vocabulary: BTreeMap<String, u32>,
    /// Words as they are written in names, with their stems, for slips of the keys.
    pub written: BTreeMap<String, String>,
    /// The same words by their consonants.
    by_consonants: HashMap<String, Vec<String>>,
    /// Ingredients with a name that holds a stem, and how many words the shortest such name has; for
    /// what is near.
    by_stem: HashMap<String, BTreeMap<IngredientKey, usize>>,
}

impl NameIndex {
    /// Reads every name of a catalogue.
    pub fn of(catalogue: &Catalogue) -> Self {
        let mut index = NameIndex::default();
        for key in catalogue.keys() {
            let ingredient = catalogue.ingredient(key);
            let (slips, names): (Vec<_>, Vec<_>) =
                (ingredient.names.iter()).partition(|name| name.kind == "misspelling");
            // A slip that is listed is a name, and no word to take another for.
            for slip in slips {
                let words = words(&slip.name, &catalogue.naming);
                push(&mut index.by_bag, whole(&words), key);
            }
            let names = names.into_iter().map(|name| name.name.as_str());
            let names = names.chain([ingredient.name.as_str()]);
            for name in names {
                index.enter(name, key, false, catalogue);
                let short = shortened(name);
                if short != name {
                    index.enter(&short, key, true, catalogue);
                }
            }
            index.enter(&ingredient.id.replace('-', " "), key, false, catalogue);
        }
        for (name, meant) in &catalogue.naming.meant {
            let words = words(name, &catalogue.naming);
            index.note(&words);
            let core = bag(core(&words));
            index.meant.entry(core).or_insert_with(|| meant.clone());
            index.meant.insert(whole(&words), meant.clone());
        }
        for word in index.written.keys() {
            let alike = index.by_consonants.entry(consonants(word)).or_default();
            alike.push(word.clone());
        }
        index
    }

    fn enter(&mut self, name: &str, key: IngredientKey, shortened: bool, catalogue: &Catalogue) {
        let words = words(name, &catalogue.naming);
        if words.is_empty() {
            return;
        }
        self.note(&words);
        if !shortened {
            push(&mut self.by_bag, whole(&words), key);
            push(&mut self.by_letters, letters(&words), key);
        }
        for word in &words {
            let keys = self.by_stem.entry(word.stem.clone()).or_default();
            let shortest = keys.entry(key).or_insert(words.len());
            *shortest = words.len().min(*shortest);
        }
        let qualifiers = words.iter().filter(|word| word.qualifier.is_some());
        let entry = Entry {
            key,
            qualifiers: qualifiers.map(|word| word.stem.clone()).collect(),
            shortened,
        };
        let core = bag(core(&words));
        if !core.is_empty() {
            self.by_core.entry(core).or_default().push(entry);
        }
    }

    fn note(&mut self, words: &[Word]) {
        for word in words {
            *self.vocabulary.entry(word.stem.clone()).or_default() += 1;
            let written = self.written.entry(word.typed.clone());
            written.or_insert_with(|| word.stem.clone());
        }
    }

    /// Ingredients of which these words, in any order, are a name.
    pub fn named(&self, words: &[Word]) -> &[IngredientKey] {
        let found = self.by_bag.get(&whole(words));
        let found = found.or_else(|| self.by_letters.get(&letters(words)));
        found.map_or(&[], Vec::as_slice)
    }

    /// Whether a name of an ingredient holds a stem.
    pub fn speaks(&self, stem: &str, key: IngredientKey) -> bool {
        self.by_stem
            .get(stem)
            .is_some_and(|keys| keys.contains_key(&key))
    }

    /// Whether a thing other than these is called by both stems.
    pub fn joins(&self, one: &str, other: &str, beside: &[IngredientKey]) -> bool {
        let (Some(ones), Some(others)) = (self.by_stem.get(one), self.by_stem.get(other)) else {
            return false;
        };
        let mut both = ones.keys().filter(|key| others.contains_key(key));
        both.any(|key| !beside.contains(key))
    }

    /// Words that begin as this one does, the commonest first, one of each stem.
    pub fn begun(&self, start: &str, most: usize) -> Vec<String> {
        let from = self.written.range(start.to_string()..);
        let words = from.take_while(|(word, _)| word.starts_with(start));
        self.commonest(words, most)
    }

    /// Words that a typed one is short for by vowels and doubled letters left out: `brown` for `brn`; the
    /// commonest first, one of each stem.
    pub fn of_consonants(&self, typed: &str, most: usize) -> Vec<String> {
        let longer = |word: &&String| word.len() > typed.len() && left_out(typed, word);
        let alike = self.by_consonants.get(&consonants(typed));
        let words = alike.into_iter().flatten().filter(longer);
        let words = words.filter_map(|word| Some((word, self.written.get(word)?)));
        self.commonest(words, most)
    }

    /// The commonest of some words, one of each stem.
    fn commonest<'w>(
        &self,
        words: impl Iterator<Item = (&'w String, &'w String)>,
        most: usize,
    ) -> Vec<String> {
        let count = |stem: &String| self.vocabulary.get(stem).copied().unwrap_or(0);
        let mut words: Vec<(&String, &String)> = words.collect();
        words.sort_by_key(|(word, stem)| (std::cmp::Reverse(count(stem)), *stem, word.len()));
        words.dedup_by_key(|(_, stem)| *stem);
        let words = words.into_iter().take(most);
        words.map(|(word, _)| word.clone()).collect()
    }

    /// Names that differ from these words in their qualifiers only.
    pub fn kin(&self, core: &str) -> &[Entry] {
        self.by_core.get(core).map_or(&[], Vec::as_slice)
    }

    /// What the trade means by these words.
    pub fn meant(&self, words: &[Word]) -> Option<&Meant> {
        self.meant.get(&whole(words))
    }

    /// What the trade means by the words of a core.
    pub fn meant_by_core(&self, core: &str) -> Option<&Meant> {
        self.meant.get(core)
    }

    /// Ingredients that share the rarest words with these, nearest first; of those that share the
    /// same, the ones whose names say least else.
    pub fn near(&self, words: &[Word], most: usize) -> Vec<IngredientKey> {
        let mut scores: BTreeMap<IngredientKey, (f64, usize)> = BTreeMap::new();
        for word in words {
            let Some(keys) = self.by_stem.get(&word.stem) else {
                continue;
            };
            let weight = match word.qualifier {
                None => 1.0 / (keys.len() as f64).sqrt(),
                Some(_) => 0.1 / keys.len() as f64,
            };
            for (key, shortest) in keys {
                let (score, least) = scores.entry(*key).or_insert((0.0, usize::MAX));
                *score += weight;
                *least = (*least).min(*shortest);
            }
        }
        let mut ranked: Vec<(f64, usize, IngredientKey)> = scores
            .into_iter()
            .map(|(key, (score, least))| (score, least, key))
            .collect();
        ranked.sort_by(|a, b| b.0.total_cmp(&a.0).then((a.1, a.2).cmp(&(b.1, b.2))));
        let best = ranked.first().map_or(0.0, |(score, ..)| *score);
        let worthy = ranked
            .into_iter()
            .filter(|(score, ..)| *score >= best * 0.5);
        worthy.take(most).map(|(.., key)| key).collect()
    }
}

/// The words without their qualifiers; all of them where nothing else is there.
pub(super) fn core(words: &[Word]) -> impl Iterator<Item = &str> {
    let bare = words.iter().all(|word| word.qualifier.is_some());
    words
        .iter()
        .filter(move |word| bare || word.qualifier != Some(Qualifier::Plain))
        .map(|word| word.stem.as_str())
}

/// The letters of a word without its vowels and with doubled letters once; the first one stays.
fn consonants(word: &str) -> String {
    let mut out = String::new();
    for (n, letter) in word.chars().enumerate() {
        let vowel = n > 0 && "aeiou".contains(letter);
        if !vowel && !out.ends_with(letter) {
            out.push(letter);
        }
    }
    out
}

/// Whether a text is what is left of a word when some of its letters are left out.
fn left_out(text: &str, word: &str) -> bool {
    let mut letters = word.chars();
    text.chars().all(|c| letters.any(|letter| letter == c))
}

fn whole(words: &[Word]) -> String {
    bag(words.iter().map(|word| word.stem.as_str()))
}

fn letters(words: &[Word]) -> String {
    words.iter().map(|word| word.stem.as_str()).collect()
}

/// A name without its brackets and the figure after a comma: `cream` of `cream (19 % fat)`.
fn shortened(name: &str) -> String {
    let bare = name.split(" (").next().unwrap_or(name);
    match bare.rsplit_once(", ") {
        Some((head, tail)) if tail.starts_with(|c: char| c.is_ascii_digit()) => head.to_string(),
        _ => bare.to_string(),
    }
}

fn push(map: &mut HashMap<String, Vec<IngredientKey>>, name: String, key: IngredientKey) {
    let keys = map.entry(name).or_default();
    if !keys.contains(&key) {
        keys.push(key);
    }
}

/// Every ingredient whose name this is, folded; those of the person's own alone where there are any.
pub(super) fn bearers<'c>(catalogue: &'c Catalogue, typed: &str) -> &'c [IngredientKey] {
    catalogue.bearers(&fold(typed))
}
