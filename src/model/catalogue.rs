//! All that is known, in memory: properties, ingredients, sources, rules, lists, words.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::OnceLock;

use super::allergen::{AllergenList, OTHERS};
use super::bench::Bench;
use super::class::Classes;
use super::fat::FatOrigin;
use super::fold::fold;
use super::grammar::Grammar;
use super::ingredient::{Ingredient, IngredientKey};
use super::kin::Kin;
use super::label::Labels;
use super::law::{Law, Permission, Relative};
use super::made::Made;
use super::naming::Naming;
use super::property::Property;
use super::rule::Rule;
use super::sequence::Sequences;
use super::source::{Source, SourceKind};
use super::spelling::{Spelling, Uses};

/// One word of the question vocabulary, a row of `data/words/*.csv`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Word {
    /// The table it stands in, the file's stem.
    pub table: String,
    /// What people type.
    pub word: String,
    /// What it means there.
    pub meaning: String,
    /// A second column of meaning where a table has one.
    pub detail: String,
}

impl Word {
    /// Tables of words that are written out in others before a question is read, or that only stand
    /// as what they are.
    pub const WRITTEN_OUT: [&'static str; 4] = ["shorthand", "abroad", "english", "making"];

    /// Tables whose words carry no weight in a question.
    const LOOSE: [&'static str; 6] = [
        "shorthand",
        "abroad",
        "english",
        "asides",
        "dishes",
        "making",
    ];
}

/// What a typed name stands for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Named {
    /// One ingredient.
    One(IngredientKey),
    /// Several; the person must choose.
    Several(Vec<IngredientKey>),
    /// None.
    Unknown,
}

/// All that is known.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Catalogue {
    /// Properties in schema order.
    pub properties: Vec<Property>,
    /// Ingredients sorted by id.
    pub ingredients: Vec<Ingredient>,
    /// Groups of ingredients in schema order.
    pub groups: Vec<Kin>,
    /// Sources by id.
    pub sources: BTreeMap<String, Source>,
    /// Rules in file order.
    pub rules: Vec<Rule>,
    /// Allergen lists.
    pub allergen_lists: Vec<AllergenList>,
    /// Question vocabulary.
    pub words: Vec<Word>,
    /// What stands on the person's shelf, by id; empty where they did not say.
    pub shelf: Vec<String>,
    /// What the law permits.
    pub permissions: Vec<Permission>,
    /// Who is akin to what people are allergic to.
    pub relatives: Vec<Relative>,
    /// What labels say.
    pub labels: Labels,
    /// What a bench is like.
    pub bench: Bench,
    /// How the law names and counts things.
    pub law: Law,
    /// How questions are put.
    pub grammar: Grammar,
    /// What is known of dishes.
    pub classes: Classes,
    /// How dishes are made.
    pub sequences: Sequences,
    /// Whose curve stands for the fat of an origin, the first that fits.
    pub fats: Vec<FatOrigin>,
    /// What the trade means by a name, and how names vary.
    pub naming: Naming,
    made: Made,
    by_id: HashMap<String, IngredientKey>,
    by_name: HashMap<String, Vec<IngredientKey>>,
    property_by_id: HashMap<String, usize>,
    words_by_phrase: HashMap<String, Vec<usize>>,
    /// Names of ingredients without their grades, folded, by key.
    plain_names: Vec<String>,
    families: Vec<String>,
    functions: Vec<String>,
    allergens: Vec<String>,
    spellings: OnceLock<Vec<Spelling>>,
}

impl Catalogue {
    /// How sweet a gram of each sugar, polyol and of the longer chains counts in a mix, against sucrose:
    /// low, typical and high of the rows `use=mixture; of=<kind>`.
    pub fn mixture_ratios(&self) -> BTreeMap<&str, (f64, f64, f64)> {
        let rows = self.ingredients.iter().flat_map(|i| &i.values);
        let rows = rows.filter(|v| v.property == "relative_sweetness");
        let rows = rows.filter(|v| v.condition("use") == Some("mixture"));
        rows.filter_map(|v| {
            let (low, high) = v.range()?;
            Some((v.condition("of")?, (low, v.figure()?, high)))
        })
        .collect()
    }

    /// Sorts the ingredients and builds the look-ups; call after filling the public fields.
    pub fn indexed(mut self) -> Self {
        self.ingredients.sort_by(|a, b| a.id.cmp(&b.id));
        self.property_by_id = self
            .properties
            .iter()
            .enumerate()
            .map(|(n, p)| (p.id.clone(), n))
            .collect();
        self.by_id.clear();
        self.by_name.clear();
        for (n, ingredient) in self.ingredients.iter().enumerate() {
            let key = IngredientKey(n as u32);
            self.by_id.insert(ingredient.id.clone(), key);
            let numbers = [
                ingredient.e_number.clone(),
                ingredient.e_number.replace(' ', ""),
            ];
            let written = [ingredient.id.as_str(), ingredient.name.as_str()]
                .into_iter()
                .chain(ingredient.names.iter().map(|n| n.name.as_str()));
            for name in written
                .chain(ingredient.cas.iter().map(String::as_str))
                .chain(numbers.iter().map(String::as_str))
            {
                call(&mut self.by_name, name, key);
            }
        }
        // A name of the person's own means their ingredient.
        for keys in self.by_name.values_mut() {
            if keys.iter().any(|k| self.ingredients[k.0 as usize].own) {
                keys.retain(|k| self.ingredients[k.0 as usize].own);
            }
        }
        self.words_by_phrase.clear();
        for (n, word) in self.words.iter().enumerate() {
            self.words_by_phrase
                .entry(fold(&word.word))
                .or_default()
                .push(n);
        }
        self.plain_names = self.ingredients.iter().map(plain_name).collect();
        self.families = sorted(self.ingredients.iter().map(|i| i.family.as_str()));
        self.functions = sorted(self.ingredients.iter().flat_map(functions));
        let listed = self.allergen_lists.iter();
        let listed = listed.flat_map(|row| [row.substance.as_str(), row.allergen.as_str()]);
        let stated = self.ingredients.iter().flat_map(stated);
        self.allergens = sorted(listed.chain(stated).filter(is_allergen));
        self.spellings = OnceLock::new();
        self
    }

    /// Makes an ingredient known that was worked out from others; the key of the one of its id.
    pub fn define(&self, ingredient: Ingredient) -> IngredientKey {
        match self.key(&ingredient.id) {
            Some(key) => key,
            None => IngredientKey((self.ingredients.len() + self.made.add(ingredient)) as u32),
        }
    }

    /// Every ingredient a folded name is a name of.
    pub fn bearers(&self, folded: &str) -> &[IngredientKey] {
        self.by_name.get(folded).map_or(&[], Vec::as_slice)
    }

    /// The single words of the vocabulary and of all names, sorted, each once.
    fn single_words(&self) -> Vec<Spelling> {
        let mut found: HashMap<String, Uses> = HashMap::new();
        let mut note = |phrase: &str, grammar: bool, offered: bool| {
            let folded = fold(phrase);
            let alone = !folded.contains(' ');
            for word in folded.split(' ') {
                if word.len() > 1 && word.chars().all(char::is_alphabetic) {
                    let uses = found.entry(word.to_string()).or_default();
                    uses.met += 1;
                    uses.grammar |= grammar && alone;
                    uses.offered |= offered;
                }
            }
        };
        for ingredient in &self.ingredients {
            note(&ingredient.id, false, true);
            note(&ingredient.name, false, true);
            for name in ingredient.names.iter().filter(|n| n.kind != "misspelling") {
                note(&name.name, false, name.kind != "foreign");
            }
        }
        for name in self.naming.meant.keys() {
            note(name, true, true);
        }
        for word in &self.words {
            let grammar = !Word::LOOSE.contains(&word.table.as_str());
            note(
                &word.word,
                grammar,
                !Word::WRITTEN_OUT.contains(&word.table.as_str()),
            );
        }
        let spelt = found
            .into_iter()
            .map(|(word, uses)| Spelling::new(word, uses));
        let mut words: Vec<Spelling> = spelt.collect();
        words.sort_unstable_by(|a, b| a.word.cmp(&b.word));
        words
    }

    /// Vocabulary rows of a folded phrase, over all tables.
    pub fn meanings(&self, folded: &str) -> impl Iterator<Item = &Word> {
        let found = self.words_by_phrase.get(folded).map(Vec::as_slice);
        found.unwrap_or_default().iter().map(|&n| &self.words[n])
    }

    /// The single words that names and vocabulary are made of, sorted.
    pub fn spellings(&self) -> &[Spelling] {
        self.spellings.get_or_init(|| self.single_words())
    }

    /// The word of this spelling, if any name or phrase holds it.
    pub fn spelling(&self, folded: &str) -> Option<&Spelling> {
        let all = self.spellings();
        let found = all.binary_search_by(|spelling| spelling.word.as_str().cmp(folded));
        found.ok().map(|at| &all[at])
    }

    /// The ingredient at `key`, which this catalogue gave out.
    pub fn ingredient(&self, key: IngredientKey) -> &Ingredient {
        let at = key.0 as usize;
        match at.checked_sub(self.ingredients.len()) {
            None => &self.ingredients[at],
            Some(made) => self.made.get(made).expect("a key given out by `define`"),
        }
    }

    /// The name of the ingredient at `key` without its grade, folded: `gelatin leaf` of `gelatin
    /// leaf, gold (200 Bloom)`.
    pub fn plain_name(&self, key: IngredientKey) -> Cow<'_, str> {
        match self.plain_names.get(key.0 as usize) {
            Some(name) => Cow::Borrowed(name),
            // It was worked out on demand.
            None => Cow::Owned(plain_name(self.ingredient(key))),
        }
    }

    /// An ingredient and, where it is put together from others, its parts and theirs.
    pub fn with_parts<'a>(&'a self, ingredient: &'a Ingredient) -> Vec<&'a Ingredient> {
        let mut all = vec![ingredient];
        let parts = ingredient.parts.iter().filter_map(|(id, _)| self.key(id));
        all.extend(parts.flat_map(|key| self.with_parts(self.ingredient(key))));
        all
    }

    /// Grams of `id` in a gram of an ingredient, itself or through its parts.
    pub fn share(&self, ingredient: &Ingredient, id: &str) -> f64 {
        if ingredient.id == id {
            return 1.0;
        }
        let parts = ingredient.parts.iter();
        parts
            .filter_map(|(part, share)| {
                Some(share * self.share(self.ingredient(self.key(part)?), id))
            })
            .sum()
    }

    /// The key of every listed ingredient; not of those worked out on demand.
    pub fn keys(&self) -> impl Iterator<Item = IngredientKey> + use<> {
        (0..self.ingredients.len() as u32).map(IngredientKey)
    }

    /// Whether a key is that of a listed ingredient, not of one worked out on demand.
    pub fn listed(&self, key: IngredientKey) -> bool {
        (key.0 as usize) < self.ingredients.len()
    }

    /// The key of an id.
    pub fn key(&self, id: &str) -> Option<IngredientKey> {
        let listed = self.by_id.get(id).copied();
        listed.or_else(|| {
            let made = self.made.position(id)?;
            Some(IngredientKey((self.ingredients.len() + made) as u32))
        })
    }

    /// The property of an id.
    pub fn property(&self, id: &str) -> Option<&Property> {
        self.property_by_id.get(id).map(|&n| &self.properties[n])
    }

    /// What sort of evidence a source id is.
    pub fn kind(&self, source: &str) -> SourceKind {
        self.sources
            .get(source)
            .map_or(SourceKind::Memory, |s| s.kind)
    }

    /// What a typed name stands for: an id exactly, else every ingredient that has the name.
    /// A plural that is no name of its own is read as the singular.
    pub fn named(&self, typed: &str) -> Named {
        if let Some(key) = self.key(typed.trim()) {
            return Named::One(key);
        }
        let folded = fold(typed);
        let singular = [
            folded.strip_suffix("ies").map(|s| format!("{s}y")),
            folded.strip_suffix("es").map(str::to_string),
            folded.strip_suffix('s').map(str::to_string),
        ];
        let found = self
            .by_name
            .get(&folded)
            .or_else(|| singular.iter().flatten().find_map(|s| self.by_name.get(s)));
        match found.map(Vec::as_slice) {
            None | Some([]) => Named::Unknown,
            Some([one]) => Named::One(*one),
            Some(many) => Named::Several(many.to_vec()),
        }
    }

    /// Every name with its ingredients, folded; order is not fixed.
    pub fn names(&self) -> impl Iterator<Item = (&str, &[IngredientKey])> {
        self.by_name
            .iter()
            .map(|(name, keys)| (name.as_str(), keys.as_slice()))
    }

    /// Family ids, sorted, each once.
    pub fn families(&self) -> Vec<&str> {
        self.families.iter().map(String::as_str).collect()
    }

    /// Function names, sorted, each once.
    pub fn functions(&self) -> Vec<&str> {
        self.functions.iter().map(String::as_str).collect()
    }

    /// Allergen substances and list names, sorted, each once.
    pub fn allergens(&self) -> Vec<&str> {
        self.allergens.iter().map(String::as_str).collect()
    }

    /// The group of an id or a name, such as `yolk` or `egg yolk`.
    pub fn group(&self, typed: &str) -> Option<&Kin> {
        let folded = fold(typed);
        let called = |kin: &&Kin| kin.id == typed || fold(&kin.name) == folded;
        self.groups.iter().find(called)
    }

    /// Whether a list binds to declare a substance.
    pub fn must_be_declared(&self, substance: &str) -> bool {
        let mut lists = self.allergen_lists.iter();
        lists.any(|list| list.substance == substance && list.binds())
    }

    /// Whether a substance is on lists that only advise, and on none that binds.
    pub fn only_advised(&self, substance: &str) -> bool {
        let named = || {
            self.allergen_lists
                .iter()
                .filter(|l| l.substance == substance)
        };
        named().next().is_some() && !named().any(AllergenList::binds)
    }

    /// The substances an allergen word covers: itself, or all that a list groups under it.
    pub fn substances<'a>(&'a self, allergen: &'a str) -> Vec<&'a str> {
        let mut found: Vec<&str> = self
            .allergen_lists
            .iter()
            .filter(|row| row.allergen == allergen)
            .map(|row| row.substance.as_str())
            .collect();
        found.push(allergen);
        found.sort_unstable();
        found.dedup();
        found
    }
}

fn plain_name(ingredient: &Ingredient) -> String {
    let name = ingredient.name.as_str();
    fold(name.split([',', '(']).next().unwrap_or(name))
}

fn functions(ingredient: &Ingredient) -> impl Iterator<Item = &str> {
    ingredient.functions.iter().map(String::as_str)
}

/// The substances the allergen statements of an ingredient name.
fn stated(ingredient: &Ingredient) -> impl Iterator<Item = &str> {
    ingredient.allergens.iter().map(|a| a.substance.as_str())
}

/// Whether a statement is of a substance, not of the lack of one or of all others.
fn is_allergen(substance: &&str) -> bool {
    !["none", OTHERS].contains(substance)
}

/// Words sorted, each once.
fn sorted<'a>(words: impl Iterator<Item = &'a str>) -> Vec<String> {
    let words: BTreeSet<&str> = words.collect();
    words.into_iter().map(str::to_string).collect()
}

/// Enters a name of an ingredient, once.
fn call(by_name: &mut HashMap<String, Vec<IngredientKey>>, name: &str, key: IngredientKey) {
    let folded = fold(name);
    if !folded.is_empty() {
        let keys = by_name.entry(folded).or_default();
        if !keys.contains(&key) {
            keys.push(key);
        }
    }
}
