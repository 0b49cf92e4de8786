//! Every meaning of every stretch of a text, as edges between its tokens. Nothing is chosen here.

use crate::model::{Catalogue, Comparison, fold};

use crate::query::lexer::{TokenKind, tokens};
use crate::query::sense::{Cue, Sense, Unit};
use crate::query::vocabulary::senses;

/// The longest stretch looked up, in tokens.
const LONGEST: usize = 8;

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
    edges: Vec<Vec<Edge>>,
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
            edges,
        }
    }

    /// How many tokens there are.
    pub fn len(&self) -> usize {
        self.words.len()
    }

    /// The edges that begin at a token.
    pub fn from(&self, at: usize) -> &[Edge] {
        self.edges.get(at).map_or(&[], Vec::as_slice)
    }

    /// The edges that begin at a token, for changing what they mean.
    pub fn all_mut(&mut self) -> impl Iterator<Item = &mut Edge> {
        self.edges.iter_mut().flatten()
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
