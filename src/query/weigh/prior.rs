//! How likely a text is a question of a kind, by its words alone: a linear model, trained on the
//! labelled questions and kept as `data/grammar/prior.csv`.

use std::collections::{BTreeMap, BTreeSet};

use super::lattice::Lattice;
use crate::model::Catalogue;
use crate::model::grammar::{KINDS, PriorRow};
use crate::query::scene::Scene;
use crate::query::sense::Sense;

/// A text with the kind of question it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Example {
    /// As typed.
    pub text: String,
    /// Whether it was asked of a formula in hand.
    pub scene: bool,
    /// One of [`KINDS`].
    pub kind: String,
}

/// Texts a sign must stand in to count.
const LEAST: usize = 4;
/// Passes over the examples.
const PASSES: usize = 40;
/// Examples passed over from one to the next: a prime that divides no number of examples met here.
const STRIDE: usize = 7919;
/// How far a weight moves at first.
const RATE: f64 = 0.3;
/// How strongly weights are drawn to nothing, each pass.
const DRAWN: f64 = 8e-3;
/// A smaller weight is not kept.
const FAINT: f64 = 0.35;

/// The kinds' likelihood for one text, as logarithms, in the order of [`KINDS`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Leaning([f64; KINDS.len()]);

impl Leaning {
    /// What the weights say of a text; `None` where there are none.
    pub fn of(lattice: &Lattice, rows: &BTreeMap<String, Vec<(usize, f64)>>) -> Option<Leaning> {
        if rows.is_empty() {
            return None;
        }
        let mut sums = [0.0; KINDS.len()];
        for sign in signs(lattice, lattice.has_scene()) {
            for (kind, weight) in rows.get(&sign).into_iter().flatten() {
                sums[*kind] += weight;
            }
        }
        Some(Leaning(logarithms(&sums)))
    }

    /// How much less likely a kind is than the likeliest, as a difference of logarithms; 0 for a kind
    /// that is not told apart.
    pub fn behind(&self, kind: &str) -> f64 {
        let most = self.0.iter().copied().fold(f64::MIN, f64::max);
        let at = KINDS.iter().position(|k| *k == kind);
        at.map_or(0.0, |at| most - self.0[at])
    }

    /// The likeliest kind, and how much likelier it is than the next.
    pub fn best(&self) -> (&'static str, f64) {
        let mut order: Vec<usize> = (0..KINDS.len()).collect();
        order.sort_by(|a, b| self.0[*b].total_cmp(&self.0[*a]));
        (KINDS[order[0]], self.0[order[0]] - self.0[order[1]])
    }
}

fn logarithms(sums: &[f64; KINDS.len()]) -> [f64; KINDS.len()] {
    let most = sums.iter().copied().fold(f64::MIN, f64::max);
    let all: f64 = sums.iter().map(|s| (s - most).exp()).sum();
    sums.map(|s| s - most - all.ln())
}

/// What a text is known by: its words, pairs of them, how it begins, and what its stretches mean.
fn signs(lattice: &Lattice, scene: bool) -> BTreeSet<String> {
    let mut found = BTreeSet::from(["<any>".to_string()]);
    if scene {
        found.insert("<scene>".into());
    }
    let mut before = "^".to_string();
    let mut passed = 0;
    for (at, word) in lattice.words.iter().enumerate() {
        let longest = lattice.from(at).iter().max_by_key(|edge| edge.end);
        let is_number = |s: &Sense| matches!(s, Sense::Number(_));
        let number = lattice
            .from(at)
            .iter()
            .any(|e| e.senses.iter().any(is_number));
        let word = if number { "#" } else { word.as_str() };
        found.insert(word.to_string());
        found.insert(format!("{before} {word}"));
        before = word.to_string();
        if let Some(edge) = longest.filter(|_| at >= passed) {
            found.extend(edge.senses.iter().filter_map(mark).map(str::to_string));
            passed = edge.end;
        }
    }
    found
}

/// A meaning by its sort.
fn mark(sense: &Sense) -> Option<&'static str> {
    Some(match sense {
        Sense::Ingredient(_) => "<ingredient>",
        Sense::Group(..) => "<group>",
        Sense::Dish(_) => "<dish>",
        Sense::Symptom(..) => "<fault>",
        Sense::Phase(_) => "<phase>",
        Sense::Property(_) => "<property>",
        Sense::Dial(..) => "<dial>",
        Sense::Quality(..) => "<quality>",
        Sense::Push(_) => "<push>",
        Sense::Allergen(..) => "<allergen>",
        Sense::Diet(..) => "<diet>",
        Sense::Unit(_) => "<unit>",
        Sense::Temperature(_) => "<temperature>",
        Sense::Share(..) | Sense::Factor(_) => "<share>",
        Sense::Superlative(..) => "<most>",
        Sense::Trait(_) => "<trait>",
        _ => return None,
    })
}

/// The weights that tell the examples' kinds apart: softmax regression by steps that shrink with each
/// use of a sign (Adagrad), over the examples in their order, so that the same examples give the same
/// weights.
pub fn train(examples: &[Example], catalogue: &Catalogue) -> Vec<PriorRow> {
    let read: Vec<(BTreeSet<String>, usize)> = examples
        .iter()
        .filter_map(|example| {
            let kind = KINDS.iter().position(|k| *k == example.kind)?;
            let mut lattice = Lattice::of(&example.text, catalogue);
            lattice.set(&Scene::default(), catalogue);
            Some((signs(&lattice, example.scene), kind))
        })
        .collect();
    let mut met: BTreeMap<&str, usize> = BTreeMap::new();
    let all = read.iter().flat_map(|(signs, _)| signs);
    all.for_each(|sign| *met.entry(sign).or_default() += 1);
    met.retain(|_, times| *times >= LEAST);
    let place: BTreeMap<&str, usize> = met.keys().enumerate().map(|(n, s)| (*s, n)).collect();
    let coded: Vec<(Vec<usize>, usize)> = read
        .iter()
        .map(|(signs, kind)| {
            let known = signs.iter().filter_map(|s| place.get(s.as_str()).copied());
            (known.collect(), *kind)
        })
        .collect();
    let mut weights = vec![[0.0; KINDS.len()]; place.len()];
    let mut moved = vec![[1e-6; KINDS.len()]; place.len()];
    for _ in 0..PASSES {
        for n in 0..coded.len() {
            // Kinds stand together in the files; a stride meets them mixed.
            let (signs, kind) = &coded[n * STRIDE % coded.len()];
            let mut sums = [0.0; KINDS.len()];
            for sign in signs {
                sums.iter_mut()
                    .zip(weights[*sign])
                    .for_each(|(sum, w)| *sum += w);
            }
            let likely = logarithms(&sums).map(f64::exp);
            for sign in signs {
                for k in 0..KINDS.len() {
                    let meant = if k == *kind { 1.0 } else { 0.0 };
                    let slope = likely[k] - meant + DRAWN * weights[*sign][k];
                    moved[*sign][k] += slope * slope;
                    weights[*sign][k] -= RATE * slope / f64::sqrt(moved[*sign][k]);
                }
            }
        }
    }
    let rows = place.iter().flat_map(|(sign, at)| {
        let weights = weights[*at];
        (0..KINDS.len()).map(move |k| PriorRow {
            sign: sign.to_string(),
            kind: KINDS[k].to_string(),
            weight: (weights[k] * 100.0).round() / 100.0,
        })
    });
    rows.filter(|row| row.weight.abs() >= FAINT).collect()
}
