//! Finding ingredients by what people type: names, numbers, misspellings, partial words.
//!
//! A disposable tantivy index; the ranking is BM25 over words expanded through the term
//! dictionary, so that a misspelt or unfinished word still ranks by how telling it is.

use std::collections::BTreeMap;
use std::path::Path;

use tantivy::collector::TopDocs;
use tantivy::query::{BooleanQuery, BoostQuery, DisjunctionMaxQuery, Occur, Query, TermQuery};
use tantivy::schema::{
    Field, IndexRecordOption, STORED, STRING, Schema, TextFieldIndexing, TextOptions, Value,
};
use tantivy::tokenizer::{TextAnalyzer, WhitespaceTokenizer};
use tantivy::{IndexReader, TantivyDocument, Term};

use crate::diagnostic::{edit_distance, nearest};
use crate::model::{Catalogue, Commonness, Ingredient, IngredientKey, fold};

/// Added where the vocabulary says that the phrase means this ingredient.
const STATED: f32 = 60.0;
/// Added at most for a job that a whole family does.
const JOB: f32 = 6.0;
/// Where the ranks of what is of a typed kind begin, above what merely shares a word.
const OF_KIND: f32 = 20.0;
/// What a whole name or a number adds at least.
const NAMED: f32 = 30.0;
/// Added where all that was typed stands in one name: more than one rare word can outweigh.
const COVERED: f32 = 8.0;
/// Added where a name ends in what was typed: sea salt is a salt, salted butter is none.
const HEAD: f32 = 8.0;
/// Letters typed wrong at most for a whole phrase to be taken for another.
const SLIPS: usize = 2;
/// Letters a phrase must have to be taken for a slip of another.
const LONG: usize = 6;
/// Words of names that tell nothing apart: `farine de graines`, `cream of tartar`.
const SMALL: [&str; 25] = [
    "de", "du", "des", "d", "di", "del", "della", "la", "le", "les", "el", "of", "the", "and",
    "with", "von", "mit", "a", "an", "in", "per", "for", "or", "to", "by",
];
/// How the reason begins where a number named the ingredient.
const NUMBERED: [&str; 2] = ["number ", "CAS number"];

/// A search index over the ingredients of one catalogue.
pub struct Index {
    reader: IndexReader,
    fields: Fields,
}

#[derive(Clone, Copy)]
struct Fields {
    id: Field,
    name: Field,
    words: Field,
}

/// One ingredient found.
#[derive(Debug, Clone, PartialEq)]
pub struct Hit {
    /// Which.
    pub key: IngredientKey,
    /// Rank score; higher is better.
    pub score: f32,
    /// Why it matched, in words.
    pub why: String,
}

impl Index {
    /// Builds the index in an empty folder.
    pub fn build(folder: &Path, catalogue: &Catalogue) -> tantivy::Result<()> {
        let (schema, _) = schema();
        let index = tantivy::Index::create_in_dir(folder, schema)?;
        fill(&index, catalogue)
    }

    /// Opens a built index.
    pub fn open(folder: &Path) -> tantivy::Result<Self> {
        Self::over(tantivy::Index::open_in_dir(folder)?)
    }

    /// An index held in memory.
    pub fn in_memory(catalogue: &Catalogue) -> Self {
        let index = tantivy::Index::create_in_ram(schema().0);
        fill(&index, catalogue).expect("an index in memory has nothing to fail on");
        Self::over(index).expect("an index just built in memory can be read")
    }

    fn over(index: tantivy::Index) -> tantivy::Result<Self> {
        register(&index);
        let s = index.schema();
        let fields = Fields {
            id: s.get_field("id")?,
            name: s.get_field("name")?,
            words: s.get_field("words")?,
        };
        let reader = index
            .reader_builder()
            .reload_policy(tantivy::ReloadPolicy::Manual)
            .try_into()?;
        Ok(Index { reader, fields })
    }

    /// How many ingredients it holds.
    pub fn len(&self) -> usize {
        self.reader.searcher().num_docs() as usize
    }

    /// Whether it holds none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The best `limit` ingredients for typed text, best first; ties go by id.
    pub fn search(&self, text: &str, limit: usize, catalogue: &Catalogue) -> Vec<Hit> {
        let folded = fold(text);
        let mut typed: Vec<String> = (folded.split(' '))
            .filter(|w| !w.is_empty())
            .map(str::to_string)
            .collect();
        if typed.iter().any(|w| !SMALL.contains(&w.as_str())) {
            typed.retain(|w| !SMALL.contains(&w.as_str()));
        }
        if typed.is_empty() || limit == 0 {
            return vec![];
        }
        let searcher = self.reader.searcher();
        // A figure alone matches no name: it tells those apart that a word has found.
        let figure = |word: &str| word.chars().all(|c| c.is_ascii_digit());
        let worded = typed.iter().any(|word| !figure(word));
        let mut figures: Vec<(Occur, Box<dyn Query>)> = vec![];
        let mut clauses: Vec<(Occur, Box<dyn Query>)> = vec![];
        let mut expanded: BTreeMap<String, String> = BTreeMap::new();
        for (at, word) in typed.iter().enumerate() {
            // The last of several words may be still being typed.
            let open = at > 0 && at + 1 == typed.len();
            let mut meant: Vec<Box<dyn Query>> = vec![];
            for (term, boost) in self.expand(&searcher, word, if open { 2 } else { 3 }) {
                let in_field = |(field, weight): (Field, f32)| -> (Occur, Box<dyn Query>) {
                    let term = Term::from_field_text(field, &term);
                    let query = TermQuery::new(term, IndexRecordOption::WithFreqs);
                    let boosted = BoostQuery::new(Box::new(query), weight * boost);
                    (Occur::Should, Box::new(boosted))
                };
                let fields = [(self.fields.name, 2.0), (self.fields.words, 1.0)];
                meant.push(Box::new(BooleanQuery::new(fields.map(in_field).into())));
                expanded.entry(term).or_insert_with(|| word.clone());
            }
            // A word counts once, as whichever of its readings an ingredient holds best.
            let list = match worded && figure(word) {
                true => &mut figures,
                false => &mut clauses,
            };
            list.push((Occur::Should, Box::new(DisjunctionMaxQuery::new(meant))));
        }
        if !figures.is_empty() {
            let words: Box<dyn Query> = Box::new(BooleanQuery::new(clauses));
            clauses = vec![(Occur::Must, words)];
            clauses.extend(figures);
        }
        let found = searcher
            .search(
                &BooleanQuery::new(clauses),
                &TopDocs::with_limit(self.len().max(1)).order_by_score(),
            )
            .unwrap_or_default();
        let obvious = obvious(text, catalogue);
        // What does a job is looked for beside what the trade means by the word for it.
        let kind = kind(text, catalogue)
            .filter(|kind| obvious.is_empty() || kind.starts_with("function "));
        let mut found: Vec<(f32, IngredientKey)> = found
            .into_iter()
            .filter_map(|(score, address)| {
                let document: TantivyDocument = searcher.doc(address).ok()?;
                let id = document.get_first(self.fields.id)?;
                Some((score, catalogue.key(id.as_str()?)?))
            })
            .collect();
        for key in &obvious {
            if found.iter().all(|(_, other)| other != key) {
                found.push((0.0, *key));
            }
        }
        let mut hits: Vec<Hit> = found
            .into_iter()
            .map(|(score, key)| {
                let ingredient = catalogue.ingredient(key);
                let (bonus, why) = why(ingredient, &typed, &expanded);
                let known = standing(ingredient);
                let numbered = NUMBERED.iter().any(|n| why.starts_with(n));
                // Of several the vocabulary states, the first is the likeliest.
                let place = obvious.iter().position(|k| *k == key);
                let stated = place.map_or(0.0, |n| STATED * (obvious.len() - n) as f32);
                // A kind is typed: what is of it is told apart by how well known it is, not by
                // the words of its name.
                let score = match kind
                    .as_ref()
                    .and_then(|k| belongs(ingredient, k, catalogue))
                {
                    Some(share) if bonus < NAMED => OF_KIND + share + 2.0 * known + stated,
                    // A number says all: of those that share it, what its words mean comes first,
                    // then the best known.
                    _ if numbered => bonus + 2.0 * known + stated,
                    _ => score + bonus + known + stated + named_so(ingredient, &typed),
                };
                Hit { key, score, why }
            })
            .collect();
        // A number names one thing; what merely shares its figures does not.
        if hits
            .iter()
            .any(|hit| NUMBERED.iter().any(|n| hit.why.starts_with(n)))
        {
            hits.retain(|hit| NUMBERED.iter().any(|n| hit.why.starts_with(n)));
        }
        hits.sort_by(|a, b| b.score.total_cmp(&a.score).then(a.key.cmp(&b.key)));
        hits.truncate(limit);
        hits
    }

    /// Dictionary words a typed word may mean: itself, its longer forms from `least` letters on, its
    /// near misspellings.
    fn expand(&self, searcher: &tantivy::Searcher, word: &str, least: usize) -> Vec<(String, f32)> {
        let limit = match word.chars().count() {
            0..=3 => 0,
            4..=6 => 1,
            _ => 2,
        };
        let mut found: BTreeMap<String, f32> = BTreeMap::new();
        for segment in searcher.segment_readers() {
            for field in [self.fields.name, self.fields.words] {
                let Ok(inverted) = segment.inverted_index(field) else {
                    continue;
                };
                let Ok(mut terms) = inverted.terms().stream() else {
                    continue;
                };
                while terms.advance() {
                    let Ok(term) = std::str::from_utf8(terms.key()) else {
                        continue;
                    };
                    let boost = if term == word {
                        1.0
                    } else if term.trim_end_matches('s') == word.trim_end_matches('s') {
                        0.9
                    } else if word.len() >= least && term.starts_with(word) {
                        0.5
                    } else if limit > 0 {
                        match edit_distance(word, term, limit) {
                            d if d <= limit => 0.4 / d as f32,
                            _ => continue,
                        }
                    } else {
                        continue;
                    };
                    let known = found.entry(term.to_string()).or_insert(boost);
                    *known = known.max(boost);
                }
            }
        }
        // A word that is in the dictionary is not taken for a misspelling of another.
        let exact = found.get(word).is_some_and(|boost| *boost == 1.0);
        found
            .into_iter()
            .filter(|(term, boost)| !exact || *boost >= 0.5 || term == word)
            .collect()
    }
}

fn schema() -> (Schema, Fields) {
    let mut builder = Schema::builder();
    let indexing = TextFieldIndexing::default()
        .set_tokenizer("folded")
        .set_index_option(IndexRecordOption::WithFreqs);
    let text = TextOptions::default().set_indexing_options(indexing);
    let id = builder.add_text_field("id", STRING | STORED);
    let name = builder.add_text_field("name", text.clone());
    let words = builder.add_text_field("words", text);
    (builder.build(), Fields { id, name, words })
}

fn register(index: &tantivy::Index) {
    // Texts are folded before they are added, so that index and query agree by construction.
    index.tokenizers().register(
        "folded",
        TextAnalyzer::builder(WhitespaceTokenizer::default()).build(),
    );
}

fn fill(index: &tantivy::Index, catalogue: &Catalogue) -> tantivy::Result<()> {
    register(index);
    let (_, fields) = schema();
    let mut writer = index.writer_with_num_threads(1, 20_000_000)?;
    for ingredient in &catalogue.ingredients {
        let mut document = TantivyDocument::new();
        document.add_text(fields.id, &ingredient.id);
        document.add_text(fields.name, fold(&ingredient.name));
        let number = ingredient.e_number.replace(' ', "");
        let words = ingredient
            .names
            .iter()
            .map(|n| n.name.as_str())
            .chain([
                ingredient.id.as_str(),
                ingredient.family.as_str(),
                ingredient.e_number.as_str(),
                number.as_str(),
            ])
            .chain(ingredient.cas.iter().map(String::as_str))
            .chain(ingredient.functions.iter().map(String::as_str))
            .chain(ingredient.origin.iter().map(String::as_str));
        for word in words {
            document.add_text(fields.words, fold(word));
        }
        writer.add_document(document)?;
    }
    writer.commit()?;
    writer.wait_merging_threads()
}

/// The ingredients the vocabulary says a phrase means: a name with a default, or a choice; a phrase
/// nobody knows is taken for the nearest of those, unless it is one still being typed.
fn obvious(text: &str, catalogue: &Catalogue) -> Vec<IngredientKey> {
    let meant = &catalogue.naming.meant;
    let phrase = fold(text);
    let known = meant.contains_key(&phrase)
        || catalogue.meanings(&phrase).next().is_some()
        || !catalogue.bearers(&phrase).is_empty()
        || meant.keys().any(|name| name.starts_with(&phrase))
        || phrase.len() < LONG;
    let mut near: Vec<&str> = meant
        .keys()
        .map(String::as_str)
        .filter(|_| !known)
        .collect();
    near.sort_unstable();
    let slip = nearest(&phrase, near)
        .filter(|name| edit_distance(&phrase, name, SLIPS) <= SLIPS)
        .map(str::to_string);
    let ids = meant.get(&slip.unwrap_or(phrase)).map(|m| m.ids.as_slice());
    let ids = ids.unwrap_or_default().iter();
    ids.filter_map(|id| catalogue.key(id)).collect()
}

/// The one family or function a phrase names, as the vocabulary writes it: `family nut`.
fn kind(text: &str, catalogue: &Catalogue) -> Option<String> {
    let phrase = fold(text);
    let mut groups = catalogue.meanings(&phrase).filter(|w| w.table == "groups");
    let meaning = groups.next()?.meaning.clone();
    (meaning.split(' ').count() == 2).then_some(meaning)
}

/// Names from which an ingredient is well named.
const WELL_NAMED: usize = 20;

/// How well known an ingredient is: the easier it is come by, and the more names and figures it has,
/// the likelier it is meant.
pub fn standing(ingredient: &Ingredient) -> f32 {
    // Beyond a few, more names tell how thoroughly it was entered.
    let known = (1 + ingredient.names.len().min(WELL_NAMED)) as f32;
    let figured = (1 + ingredient.values.len()) as f32;
    let common = match ingredient.commonness {
        Commonness::Shop => 2.0,
        Commonness::Trade => 1.7,
        Commonness::Specialist => 0.0,
        Commonness::Industry | Commonness::Substance => -1.0,
    };
    known.ln() + 0.5 * figured.ln() + common
}

/// How much an ingredient belongs to a kind, `family nut` or `function emulsifier`: most where it
/// is its first job, and that of its family; `None` where it does not.
pub fn belongs(ingredient: &Ingredient, kind: &str, catalogue: &Catalogue) -> Option<f32> {
    let (sort, name) = kind.split_once(' ')?;
    if sort == "family" {
        return (ingredient.family == name).then_some(JOB);
    }
    let function = name.replace('_', " ");
    let place = ingredient.functions.iter().position(|f| *f == function)?;
    let family = catalogue.ingredients.iter();
    let family: Vec<&Ingredient> = family.filter(|i| i.family == ingredient.family).collect();
    let alike = family.iter().filter(|i| i.does(&function)).count() as f32;
    let first = if place == 0 { 0.5 * JOB } else { 0.0 };
    Some(JOB * alike / family.len().max(1) as f32 + first)
}

/// What names add that hold all that was typed, or end in it.
fn named_so(ingredient: &Ingredient, typed: &[String]) -> f32 {
    let names = std::iter::once(&ingredient.name).chain(ingredient.names.iter().map(|n| &n.name));
    names
        .map(|name| {
            // `dark chocolate, 70 % cocoa` ends at its comma.
            let head = name.split([',', '(']).next().unwrap_or(name);
            let words = fold(name);
            let words: Vec<&str> = words.split(' ').collect();
            let begun = |typed: &String| words.iter().any(|w| w.starts_with(typed.as_str()));
            let covered = typed.len() > 1 && typed.iter().all(begun);
            let head = fold(head);
            let ends = head.strip_suffix(&typed.join(" "));
            let ends = ends.is_some_and(|before| before.is_empty() || before.ends_with(' '));
            f32::from(u8::from(covered)) * COVERED + f32::from(u8::from(ends)) * HEAD
        })
        .fold(0.0, f32::max)
}

/// A word without the `s` of a plural, in either spelling of `stabiliser`.
fn singular(word: &str) -> String {
    word.trim_end_matches('s').replace("iser", "izer")
}

/// Why an ingredient matched, and what a whole matching name adds to its rank.
fn why(
    ingredient: &Ingredient,
    typed: &[String],
    expanded: &BTreeMap<String, String>,
) -> (f32, String) {
    let whole = typed.join(" ");
    let plain = |name: &str| {
        let words = fold(name);
        let told = words.split(' ').filter(|w| !SMALL.contains(w));
        told.collect::<Vec<_>>().join(" ")
    };
    let fold = |name: &str| {
        let folded = fold(name);
        if folded == whole { folded } else { plain(name) }
    };
    if fold(&ingredient.id) == whole || fold(&ingredient.name) == whole {
        return (40.0, "name".into());
    }
    let number = ingredient.e_number.replace(' ', "").to_lowercase();
    if !number.is_empty() && whole.replace(' ', "") == number {
        return (30.0, format!("number {}", ingredient.e_number));
    }
    if ingredient.cas.iter().any(|cas| fold(cas) == whole) {
        return (30.0, "CAS number".into());
    }
    if let Some(name) = ingredient.names.iter().find(|n| fold(&n.name) == whole) {
        return (30.0, format!("also called {}", name.name));
    }
    let own: Vec<String> = fold(&ingredient.name)
        .split(' ')
        .map(str::to_string)
        .collect();
    let inside = typed.iter().filter(|w| own.contains(w)).count() as f32;
    for function in &ingredient.functions {
        if singular(&fold(function)) == singular(&whole) {
            let article = match function.starts_with(['a', 'e', 'i', 'o', 'u']) {
                true => "an",
                false => "a",
            };
            return (inside, format!("is {article} {function}"));
        }
    }
    if let Some((term, word)) = expanded.iter().find(|(term, _)| own.contains(term)) {
        let how = if term == word {
            format!("`{term}` in its name")
        } else {
            format!("`{word}` read as {term}")
        };
        return (2.0 * inside, how);
    }
    for name in &ingredient.names {
        let folded = fold(&name.name);
        if let Some((term, word)) = expanded
            .iter()
            .find(|(term, _)| folded.split(" ").any(|w| w == *term))
        {
            let how = if term == word {
                format!("also called {}", name.name)
            } else {
                format!("also called {}, `{word}` read as {term}", name.name)
            };
            return (0.0, how);
        }
    }
    (
        0.0,
        format!(
            "family {}, {}",
            ingredient.family,
            ingredient.functions.join(", ")
        ),
    )
}
