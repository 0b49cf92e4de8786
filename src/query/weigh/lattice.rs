//! Every meaning of every stretch of a text, as edges between its tokens. Nothing is chosen here.

use std::collections::HashSet;

use crate::model::{Catalogue, Comparison, fold};

use crate::query::held::narrow_all;
use crate::query::lexer::{TokenKind, tokens};
use crate::query::scene::Scene;
use crate::query::sense::{Candidates, Cue, Sense, Unit};
use crate::query::vocabulary::senses;

/// The longest stretch looked up, in tokens.
const LONGEST: usize = 8;

/// A text of fewer tokens is short.
const SHORT: usize = 10;

/// Words that deny somebody a thing, within so many tokens before it.
const DENYING: [&str; 8] = [
    "cannot", "cant", "can't", "mustnt", "mustn't", "never", "avoid", "avoids",
];
const REACH: usize = 4;
/// Unless it is only not to be had.
const BUYING: [&str; 5] = ["get", "find", "buy", "source", "use"];

/// One stretch with its meanings.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Edge {
    /// The token after its last.
    pub end: usize,
    /// As typed.
    pub text: String,
    /// All it can mean; none for a word that is not known.
    pub senses: Vec<Sense>,
}

/// The edges of a text by the token they begin at.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Lattice {
    /// Each token folded, for the words of patterns.
    pub words: Vec<String>,
    text: String,
    /// Where each token stands in the text.
    spans: Vec<(usize, usize)>,
    edges: Vec<Vec<Edge>>,
    /// Ids of what the formula in hand holds.
    held: HashSet<String>,
}

impl Lattice {
    /// Looks every stretch up.
    pub fn of(text: &str, catalogue: &Catalogue) -> Lattice {
        let tokens = tokens(text);
        let written = |from: usize, to: usize| &text[tokens[from].start..tokens[to - 1].end];
        let mut edges = vec![];
        for at in 0..tokens.len() {
            let mut here = vec![];
            let kind = tokens[at].kind;
            let breaks = |n: &usize| {
                let sign = tokens[*n].kind == TokenKind::Sign;
                sign && !matches!(written(*n, n + 1), "%" | "/" | "&" | ".")
            };
            let stop = (at..tokens.len()).find(breaks).unwrap_or(tokens.len());
            for end in at + 1..=stop.min(at + LONGEST) {
                let plain = matches!(kind, TokenKind::Number(_));
                if plain && end == at + 1 {
                    continue;
                }
                let text = written(at, end);
                let mut found = match text {
                    "%" => vec![Sense::Unit(Unit::Percent)],
                    _ => senses(&fold(text), text, catalogue),
                };
                if plain {
                    // `12 g`: a unit does not begin with a figure, a name may.
                    found.retain(|s| !matches!(s, Sense::Unit(_)));
                }
                if !found.is_empty() {
                    here.push(Edge {
                        end,
                        text: text.to_string(),
                        senses: found,
                    });
                }
            }
            let alone = match kind {
                TokenKind::Number(number) => vec![Sense::Number(number)],
                TokenKind::Sign => sign(written(at, at + 1)),
                TokenKind::Word => vec![],
            };
            if here.iter().all(|edge| edge.end > at + 1) {
                here.push(Edge {
                    end: at + 1,
                    text: written(at, at + 1).to_string(),
                    senses: alone,
                });
            }
            edges.push(here);
        }
        let words = (0..tokens.len()).map(|at| match tokens[at].kind {
            TokenKind::Sign => written(at, at + 1).to_string(),
            _ => fold(written(at, at + 1)),
        });
        Lattice {
            words: words.collect(),
            text: text.to_string(),
            spans: tokens
                .iter()
                .map(|token| (token.start, token.end))
                .collect(),
            edges,
            held: HashSet::new(),
        }
    }

    /// Lays the formula in hand under the text: names are narrowed to what it holds, and the words of
    /// its own name need not be anything else.
    pub fn set(&mut self, scene: &Scene, catalogue: &Catalogue) {
        let stretches = self.edges.iter_mut().flatten();
        let stretches = stretches.map(|edge| (edge.text.as_str(), &mut edge.senses));
        narrow_all(stretches, scene.held, catalogue);
        let ids = scene.held.iter().map(|key| &catalogue.ingredient(*key).id);
        self.held = ids.cloned().collect();
        self.keep_out();
        self.name_lines(scene, catalogue);
        self.close_names();
        let title = fold(scene.title);
        let title: Vec<&str> = title.split(|c: char| !c.is_alphanumeric()).collect();
        for at in 0..self.len() {
            let said = self.words[at..].iter();
            let length = said.take_while(|word| stands_in(&title, word)).count();
            if length > 0 {
                self.own_name(at, at + length);
                self.edges[at].push(Edge {
                    end: at + length,
                    text: self.words[at..at + length].join(" "),
                    senses: vec![Sense::Title(length)],
                });
            }
        }
    }

    /// Within the name of the formula in hand there is no ingredient, but for one it holds that is
    /// named by all of it.
    fn own_name(&mut self, from: usize, to: usize) {
        let held = |c: &Candidates| c.ids.iter().any(|id| self.held.contains(id));
        for at in from..to {
            for edge in self.edges[at].iter_mut().filter(|edge| edge.end <= to) {
                let whole = at == from && edge.end == to;
                edge.senses.retain(|sense| match sense {
                    Sense::Ingredient(candidates) => whole && held(candidates),
                    _ => true,
                });
            }
        }
    }

    /// Within a longer name of a dish or an ingredient there is no other: `panna cotta`, `coconut milk`.
    fn close_names(&mut self) {
        let named = |s: &Sense| matches!(s, Sense::Dish(_) | Sense::Ingredient(_));
        let spans: Vec<(usize, usize)> = (self.edges.iter().enumerate())
            .filter_map(|(at, edges)| {
                let names = edges.iter().filter(|edge| edge.senses.iter().any(named));
                let end = names.map(|edge| edge.end).max()?;
                (end > at + 1).then_some((at, end))
            })
            .collect();
        for (from, to) in spans {
            for at in from..to {
                let within = self.edges[at].iter_mut().filter(|edge| edge.end <= to);
                for edge in within.filter(|edge| edge.end - at < to - from) {
                    edge.senses.retain(|s| {
                        !matches!(
                            s,
                            Sense::Ingredient(_) | Sense::Allergen(..) | Sense::Group(..)
                        )
                    });
                }
            }
        }
    }

    /// What somebody cannot have or go near is what must stay out, and no ingredient to bring in.
    fn keep_out(&mut self) {
        let denies = |at: usize| {
            let next = self.words.get(at + 1).map_or("", String::as_str);
            DENYING.contains(&self.words[at].as_str()) && !BUYING.contains(&next)
        };
        let denied: Vec<bool> = (0..self.words.len())
            .map(|at| (at.saturating_sub(REACH)..at).any(denies))
            .collect();
        for (at, edges) in self.edges.iter_mut().enumerate() {
            for edge in edges.iter_mut().filter(|_| denied[at]) {
                let allergen = |s: &Sense| matches!(s, Sense::Allergen(..));
                if edge.senses.iter().any(allergen) {
                    edge.senses.retain(allergen);
                }
            }
        }
    }

    /// A word that one line alone of the formula in hand bears means that line: `the paste`; so does a
    /// number that counts nothing: `the 64` of a chocolate of 64 %.
    fn name_lines(&mut self, scene: &Scene, catalogue: &Catalogue) {
        let names = scene.held.iter().map(|key| {
            let ingredient = catalogue.ingredient(*key);
            (fold(&ingredient.name), &ingredient.id)
        });
        let names: Vec<(String, &String)> = names.collect();
        let named = |edge: &Edge| {
            edge.senses
                .iter()
                .any(|s| matches!(s, Sense::Ingredient(_)))
        };
        let mut inside = vec![false; self.edges.len()];
        for (at, edges) in self.edges.iter().enumerate() {
            let longest = edges.iter().filter(|e| named(e)).map(|e| e.end).max();
            let longest = longest.filter(|end| *end > at + 1).unwrap_or(at);
            inside[at..longest].fill(true);
        }
        for at in (0..self.edges.len()).filter(|at| !inside[*at]) {
            let word = &self.words[at];
            // `dried raspberries`: a state of what follows.
            let state = (self.edges.get(at + 1).into_iter().flatten()).any(named);
            let counts = (self.edges.get(at + 1).into_iter().flatten())
                .any(|edge| edge.senses.iter().any(|s| matches!(s, Sense::Unit(_))));
            if state {
                continue;
            }
            let Some(edge) = self.edges[at].iter_mut().find(|edge| edge.end == at + 1) else {
                continue;
            };
            let grade = |s: &Sense| matches!(s, Sense::Number(n) if *n >= LEAST_GRADE) && !counts;
            let plain = |s: &Sense| matches!(s, Sense::Filler(true) | Sense::Title(_));
            let bare = !edge.senses.is_empty() && edge.senses.iter().all(grade);
            if !bare && (word.len() <= CUT || !edge.senses.iter().all(plain)) {
                continue;
            }
            let singular = word.strip_suffix('s').unwrap_or(word);
            let bears = |name: &str| {
                let mut parts = name.split(|c: char| !c.is_alphanumeric());
                parts.any(|part| part == word || part == singular)
            };
            let mut bearers = names.iter().filter(|(name, _)| bears(name));
            if let (Some((_, id)), None) = (bearers.next(), bearers.next()) {
                edge.senses.push(Sense::Ingredient(Candidates {
                    ids: vec![id.to_string()],
                    reason: String::new(),
                    assumed: format!("`{word}` is taken as the {id} of the formula"),
                    namesakes: vec![],
                }));
            }
        }
    }

    /// Whether the text tells more than it asks, so that a word may be left over: a short one hangs on
    /// every word, but where a formula in hand says what it is about.
    pub fn tells(&self) -> bool {
        self.len() >= SHORT || self.has_scene()
    }

    /// Whether there is a formula in hand.
    pub fn has_scene(&self) -> bool {
        !self.held.is_empty()
    }

    /// Whether an allergy or an illness is told of, or the word is strict: what only may hold it goes too.
    pub fn strict(&self) -> bool {
        let cues = |s: &Sense| matches!(s, Sense::Cue(Cue::Strict | Cue::Allergy));
        let senses = self.edges.iter().flatten().flat_map(|edge| &edge.senses);
        self.words.iter().any(|word| word.contains("allerg")) || senses.into_iter().any(cues)
    }

    /// Whether the formula in hand holds one of these; `None` where there is no formula.
    pub fn holds(&self, ids: &[String]) -> Option<bool> {
        let any = ids.iter().any(|id| self.held.contains(id));
        (!self.held.is_empty()).then_some(any)
    }

    /// A stretch of tokens as typed.
    pub fn said(&self, from: usize, to: usize) -> &str {
        &self.text[self.spans[from].0..self.spans[to - 1].1]
    }

    /// How many tokens there are.
    pub fn len(&self) -> usize {
        self.words.len()
    }

    /// The edges that begin at a token.
    pub fn from(&self, at: usize) -> &[Edge] {
        self.edges.get(at).map_or(&[], Vec::as_slice)
    }

    /// Where a folded phrase that begins at a token ends.
    pub fn spelled(&self, at: usize, phrase: &str) -> Option<usize> {
        let mut end = at;
        for word in phrase.split(' ') {
            if self.words.get(end)? != word {
                return None;
            }
            end += 1;
        }
        Some(end)
    }
}

/// The least number that is taken as a grade; less counts things.
const LEAST_GRADE: f64 = 10.0;

/// The least of a word that stands for a longer one of a name: `rasp`, `pat`.
const CUT: usize = 3;

/// Whether a word is one of a name, whole, in the other number, or cut short.
fn stands_in(title: &[&str], word: &str) -> bool {
    let singular = word.strip_suffix('s').unwrap_or(word);
    let is = |of: &&str| {
        let cut = singular.len() >= CUT && of.len() > singular.len() + 1;
        *of == word
            || of.strip_suffix('s').unwrap_or(of) == singular
            || cut && of.starts_with(singular)
    };
    !singular.is_empty() && title.iter().any(is)
}

fn sign(written: &str) -> Vec<Sense> {
    match written {
        "→" => vec![Sense::Cue(Cue::To)],
        "&" | "+" => vec![Sense::Cue(Cue::And)],
        "<" => vec![Sense::Compare(Comparison::Less)],
        ">" => vec![Sense::Compare(Comparison::Greater)],
        "≤" => vec![Sense::Compare(Comparison::AtMost)],
        "≥" => vec![Sense::Compare(Comparison::AtLeast)],
        "=" => vec![Sense::Compare(Comparison::Equal)],
        "," | ";" => vec![Sense::Sign(',')],
        _ => vec![Sense::Filler(false)],
    }
}
