//! The cheapest way to lay the terms of one kind of question over a text, without overlap. What is left
//! over costs by what it could be; the dear things are never dropped in silence.

use crate::model::grammar::FrameRow;

use super::lattice::{Edge, Lattice};
use super::term::{Chart, Term};
use crate::query::leftover::asks_of_safety;
use crate::query::sense::{Cue, Sense, Unit};

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
pub(super) const CONTENT: f64 = 3.0;
/// A thing named.
const NAMED: f64 = 6.0;
/// A figure with a unit of the mix: grams, per cent.
const MEASURE: f64 = 5.0;
/// A negation, an allergen, a diet, a bound. From here on nothing is dropped.
pub(super) const DEAR: f64 = 8.0;
/// A story costs no more by its length: what is left over of light words beyond this costs a part.
const STORY: f64 = 1.5;
/// The part.
const TOLD: f64 = 0.15;

/// What is told around a question is worth so many times what reading it so costs.
const FIGURES: f64 = 2.0;

/// Kinds of question that list what is asked.
const LISTS: [&str; 3] = ["search", "lookup", "compare"];

/// A stretch no term covers.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Left {
    /// The token it begins at.
    pub start: usize,
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
    fn of(start: usize, edge: &Edge, cost: f64) -> Left {
        let cues = edge.senses.iter().filter_map(|s| match s {
            Sense::Cue(cue) => Some(*cue),
            _ => None,
        });
        Left {
            start,
            text: edge.text.clone(),
            cost,
            cues: cues.collect(),
            unknown: edge.senses.is_empty() || edge.senses.contains(&Sense::Filler(true)),
        }
    }
}

impl Left {
    /// Whether a person should hear that it was not used: not of words that only shape a sentence, nor of
    /// the name of the formula in hand.
    pub fn matters(&self) -> bool {
        self.unknown || self.cost >= CONTENT || self.cues.is_empty() && self.cost >= SCENE
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
    /// Whether the text tells more than it asks.
    pub story: bool,
}

impl Cover {
    /// The same with one ingredient for a name that stands for several.
    pub fn with(&self, text: &str, id: &str) -> Cover {
        let mut narrowed = self.clone();
        narrowed.terms.iter_mut().for_each(|t| t.narrow(text, id));
        narrowed
    }

    /// The dearest thing left over.
    pub fn dearest(&self, kind: &str) -> f64 {
        match LISTS.contains(&kind) && self.leads_to_unknown(&[Cue::And, Cue::Or, Cue::From]) {
            // `thickeners that hydrate cold and sing`: as dear as what it is listed with.
            true => DEAR,
            false => {
                let told = self.terms.iter().filter(|t| t.in_family("told"));
                let left = self.left.iter().map(|l| l.cost);
                left.chain(told.map(|t| t.cost)).fold(0.0, f64::max)
            }
        }
    }

    /// What all that is left over, or told around the question, is worth.
    pub fn worth_left(&self) -> f64 {
        let told = self.terms.iter().filter(|t| t.in_family("told"));
        let told: f64 = told.map(|t| FIGURES * t.cost).sum();
        told + self.left.iter().map(|l| l.cost).sum::<f64>()
    }

    /// Whether a word that nobody knows stands right after one of these, in a text that does not tell
    /// a story: `replace butter with snorfel`.
    pub fn leads_to_unknown(&self, cues: &[Cue]) -> bool {
        if self.story {
            return false;
        }
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
                let cost = left_over(lattice, edge);
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
                if meets == 0 && !frame.allows(&term.name) {
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
            Step::Left(edge, cost) if cost > 0.0 => left.push(Left::of(from, edge, cost)),
            Step::Left(..) => {}
        }
        (at, met) = (from, before);
    }
    terms.reverse();
    left.reverse();
    let light: f64 = (left.iter().map(|l: &Left| l.cost))
        .filter(|cost| *cost <= LIGHTEST)
        .sum();
    let part = (light - STORY).max(0.0) * (1.0 - TOLD);
    let scene = if lattice.has_scene() {
        frame.scene
    } else {
        0.0
    };
    let cost = cost - part + frame.cost + scene;
    let story = lattice.tells();
    Some(Cover {
        cost,
        terms,
        left,
        story,
    })
}

fn offer<'a>(place: &mut Best<'a>, cost: f64, from: (usize, usize, Step<'a>)) {
    if place.as_ref().is_none_or(|(best, _)| cost < *best) {
        *place = Some((cost, Some(from)));
    }
}

/// What it costs to leave a stretch out: the least of what it can be.
pub(super) fn left_over(lattice: &Lattice, edge: &Edge) -> f64 {
    if let [Sense::Number(_)] = edge.senses.as_slice() {
        let units = lattice.from(edge.end).iter();
        return units.map(counted).fold(SCENE, f64::max);
    }
    let turns = |sense: &Sense| match sense {
        Sense::Cue(Cue::Without | Cue::Not | Cue::Free) => !leads(lattice, edge.end, means),
        Sense::Compare(_) | Sense::Between => !leads(lattice, edge.end, counts),
        _ => false,
    };
    let denies = edge.senses.contains(&Sense::Cue(Cue::Not)) && lattice.tells();
    if (lattice.has_scene() || denies) && edge.senses.iter().any(turns) {
        // `no homogeniser`, `over night`: of nothing that a question turns on.
        return SCENE;
    }
    if edge.senses.is_empty() {
        let figure = edge.text.chars().any(|c| c.is_ascii_digit());
        let safety = asks_of_safety(&edge.text);
        return if figure || safety { DEAR } else { UNKNOWN };
    }
    let thing = edge
        .senses
        .iter()
        .any(|s| matches!(s, Sense::Ingredient(_)));
    let kept_out = |s: &Sense| matches!(s, Sense::Allergen(..) | Sense::Diet(..));
    if !thing && edge.senses.iter().any(kept_out) {
        // `nuts` is a kind of ingredient too, and dear all the same.
        return DEAR;
    }
    edge.senses.iter().map(weight).fold(f64::MAX, f64::min)
}

/// Tokens looked at behind a negation.
const BEHIND: usize = 3;

/// Whether something of a sort stands right behind a place.
fn leads(lattice: &Lattice, at: usize, sort: fn(&Sense) -> bool) -> bool {
    let near = (at..lattice.len().min(at + BEHIND)).flat_map(|n| lattice.from(n));
    near.flat_map(|edge| &edge.senses).any(sort)
}

/// Whether a question can turn on it.
fn means(sense: &Sense) -> bool {
    weight(sense) >= CONTENT && !counts(sense)
}

fn counts(sense: &Sense) -> bool {
    matches!(sense, Sense::Number(_) | Sense::Temperature(_))
}

/// What it costs to leave a figure out, by the unit behind it.
fn counted(unit: &Edge) -> f64 {
    let each = unit.senses.iter().map(|sense| match sense {
        Sense::Unit(Unit::Grams(_) | Unit::Percent | Unit::Times) => MEASURE,
        Sense::Unit(_) => CONTENT,
        _ => 0.0,
    });
    each.fold(0.0, f64::max)
}

fn weight(sense: &Sense) -> f64 {
    match sense {
        Sense::Filler(false) | Sense::Sign(_) | Sense::New => 0.0,
        Sense::Filler(true) => LIGHT,
        Sense::Cue(cue) => match cue {
            Cue::Without | Cue::Not | Cue::Free | Cue::Allergy | Cue::Strict => DEAR,
            Cue::Only => 2.0 * UNKNOWN,
            Cue::Contains | Cue::Shelf | Cue::Certified => DEAR,
            Cue::Swap | Cue::Replace | Cue::ReplacedBy | Cue::Substitute | Cue::Instead => CONTENT,
            Cue::Lack | Cue::Lacked | Cue::Compare | Cue::Add | Cue::Remove => CONTENT,
            Cue::HowTo | Cue::Why => SCENE,
            _ => LIGHT,
        },
        Sense::Dish(_) | Sense::Phase(_) => SCENE,
        // One word of the name may be meant for itself.
        Sense::Title(words) => LIGHT / *words as f64,
        Sense::Property(_) | Sense::Dial(..) | Sense::Quality(..) | Sense::Push(_) => CONTENT,
        Sense::Symptom(..) | Sense::Trait(_) | Sense::Superlative(..) => CONTENT,
        Sense::Ingredient(_) | Sense::Group(..) => NAMED,
        Sense::Diet(..) | Sense::Allergen(..) => DEAR,
        Sense::Number(_) | Sense::Temperature(_) => CONTENT,
        // What it counts is left out with its figure.
        Sense::Unit(_) => LIGHT,
        Sense::Share(..) | Sense::Factor(_) => MEASURE,
        Sense::Compare(_) | Sense::Between => DEAR,
    }
}
