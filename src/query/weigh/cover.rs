//! The cheapest way to lay the terms of one kind of question over a text, without overlap. What is left
//! over costs by what it could be; the dear things are never dropped in silence.

use crate::model::grammar::FrameRow;

use super::lattice::{Edge, Lattice};
use super::term::{Chart, Term};
use crate::query::leftover::asks_of_safety;
use crate::query::sense::{Cue, Sense};

/// What a term costs beside its row: one long term is likelier than several short ones.
const EACH: f64 = 0.1;
/// A word nobody taught the tool.
const UNKNOWN: f64 = 1.0;
/// A reading that leaves over no more than this each is sure.
pub(super) const LIGHTEST: f64 = UNKNOWN;
/// A word of daily life, or one that only shapes a sentence.
const LIGHT: f64 = 0.3;
/// The dish or the step named.
const SCENE: f64 = 1.5;
/// A figure, a fault, a wish of the kitchen that found no place.
const CONTENT: f64 = 3.0;
/// A thing named.
const NAMED: f64 = 6.0;
/// A figure, a negation, an allergen, a diet. From here on nothing is dropped.
const DEAR: f64 = 8.0;

/// A stretch no term covers.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Left {
    /// As typed.
    pub text: String,
    /// What dropping it costs.
    pub cost: f64,
    /// What it can be, where it shapes a sentence.
    pub cues: Vec<Cue>,
    /// Whether nobody knows the word, or only as one of daily life.
    pub unknown: bool,
}

impl Left {
    fn of(edge: &Edge, cost: f64) -> Left {
        let cues = edge.senses.iter().filter_map(|s| match s {
            Sense::Cue(cue) => Some(*cue),
            _ => None,
        });
        Left {
            text: edge.text.clone(),
            cost,
            cues: cues.collect(),
            unknown: edge.senses.is_empty() || edge.senses.contains(&Sense::Filler(true)),
        }
    }
}

/// One way to read a text as a kind.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Cover {
    /// What all of it costs.
    pub cost: f64,
    /// The terms, in order.
    pub terms: Vec<Term>,
    /// What is left over.
    pub left: Vec<Left>,
}

impl Cover {
    /// The same with one ingredient for a name that stands for several.
    pub fn with(&self, text: &str, id: &str) -> Cover {
        let mut narrowed = self.clone();
        narrowed.terms.iter_mut().for_each(|t| t.narrow(text, id));
        narrowed
    }

    /// The dearest thing left over.
    pub fn dearest(&self) -> f64 {
        match self.leads_to_unknown(&[Cue::And, Cue::Or]) {
            // `thickeners that hydrate cold and sing`: as dear as what it is listed with.
            true => DEAR,
            false => self.left.iter().map(|l| l.cost).fold(0.0, f64::max),
        }
    }

    /// Whether a word that nobody knows stands right after one of these.
    pub fn leads_to_unknown(&self, cues: &[Cue]) -> bool {
        let led = |pair: &[Left]| pair[1].unknown && pair[0].cues.iter().any(|c| cues.contains(c));
        self.left.windows(2).any(led)
    }

    /// Whether one of these is left over.
    pub fn leaves(&self, cue: Cue) -> bool {
        self.left.iter().any(|l| l.cues.contains(&cue))
    }
}

/// A step of the way to a place.
#[derive(Debug, Clone, Copy)]
enum Step<'a> {
    Term(&'a Term),
    Left(&'a Edge, f64),
}

/// The best way to a place with some needs met: its cost, and the step that led there from where.
type Best<'a> = Option<(f64, Option<(usize, usize, Step<'a>)>)>;

/// The cheapest cover of a frame; `None` where what it needs is not there.
pub(super) fn cheapest(lattice: &Lattice, chart: &Chart, frame: &FrameRow) -> Option<Cover> {
    let full = (1usize << frame.needs.len()) - 1;
    let mut best: Vec<Vec<Best>> = vec![vec![None; full + 1]; lattice.len() + 1];
    best[0][0] = Some((0.0, None));
    for at in 0..lattice.len() {
        for met in 0..=full {
            let Some((so_far, _)) = best[at][met] else {
                continue;
            };
            for edge in lattice.from(at) {
                let cost = left_over(edge);
                offer(
                    &mut best[edge.end][met],
                    so_far + cost,
                    (at, met, Step::Left(edge, cost)),
                );
            }
            for term in chart.from(at) {
                let asked = |need: &Vec<String>| need.contains(&term.name);
                let needs = frame.needs.iter().enumerate();
                let meets: usize = (needs.filter(|(_, need)| asked(need)))
                    .map(|(n, _)| 1 << n)
                    .sum();
                if meets == 0 && !frame.may.contains(&term.name) {
                    continue;
                }
                offer(
                    &mut best[term.end][met | meets],
                    so_far + term.cost + EACH,
                    (at, met, Step::Term(term)),
                );
            }
        }
    }
    let (cost, _) = best[lattice.len()][full]?;
    let (mut terms, mut left) = (vec![], vec![]);
    let (mut at, mut met) = (lattice.len(), full);
    while let Some((_, Some((from, before, step)))) = best[at][met] {
        match step {
            Step::Term(term) => terms.push(term.clone()),
            Step::Left(edge, cost) if cost > 0.0 => left.push(Left::of(edge, cost)),
            Step::Left(..) => {}
        }
        (at, met) = (from, before);
    }
    terms.reverse();
    left.reverse();
    let cost = cost + frame.cost;
    Some(Cover { cost, terms, left })
}

fn offer<'a>(place: &mut Best<'a>, cost: f64, from: (usize, usize, Step<'a>)) {
    if place.as_ref().is_none_or(|(best, _)| cost < *best) {
        *place = Some((cost, Some(from)));
    }
}

/// What it costs to leave a stretch out: the least of what it can be.
fn left_over(edge: &Edge) -> f64 {
    if edge.senses.is_empty() {
        let figure = edge.text.chars().any(|c| c.is_ascii_digit());
        let safety = asks_of_safety(&edge.text);
        return if figure || safety { DEAR } else { UNKNOWN };
    }
    edge.senses.iter().map(weight).fold(f64::MAX, f64::min)
}

fn weight(sense: &Sense) -> f64 {
    match sense {
        Sense::Filler(false) | Sense::Sign(_) | Sense::New => 0.0,
        Sense::Filler(true) => LIGHT,
        Sense::Cue(cue) => match cue {
            Cue::Without | Cue::Not | Cue::Free | Cue::Only | Cue::Allergy | Cue::Strict => DEAR,
            Cue::Contains | Cue::Shelf | Cue::Certified => DEAR,
            Cue::Swap | Cue::Replace | Cue::ReplacedBy | Cue::Substitute | Cue::Instead => CONTENT,
            Cue::Lack | Cue::Lacked | Cue::Compare | Cue::Add | Cue::Remove => CONTENT,
            Cue::HowTo | Cue::Why => SCENE,
            _ => LIGHT,
        },
        Sense::Dish(_) | Sense::Phase(_) => SCENE,
        Sense::Property(_) | Sense::Dial(..) | Sense::Quality(..) | Sense::Push(_) => CONTENT,
        Sense::Symptom(..) | Sense::Trait(_) | Sense::Superlative(..) => CONTENT,
        Sense::Ingredient(_) | Sense::Group(..) => NAMED,
        Sense::Diet(..) | Sense::Allergen(..) => DEAR,
        Sense::Number(_) | Sense::Unit(_) | Sense::Share(..) | Sense::Factor(_) => DEAR,
        Sense::Compare(_) | Sense::Between | Sense::Temperature(_) => DEAR,
    }
}
