//! Questions read as a whole: every meaning of every stretch is kept until the kinds of question have
//! been laid over the text and weighed.
//!
//! text -> tokens -> lattice -> terms -> frames -> covers -> choice

mod build;
mod cover;
mod lattice;
mod prior;
mod term;

pub use prior::{Example, train};

use crate::model::Catalogue;

use crate::query::question::{Question, Read, Reading};
use crate::query::scene::Scene;
use crate::query::sense::Sense;
use crate::query::spelling::corrected;
use build::{BRINGING, built};
use cover::{CONTENT, Cover, DEAR, LIGHTEST, cheapest, left_over};
use lattice::{Edge, Lattice};
use prior::Leaning;
use term::{Chart, Term, Value};

/// A longer text is read by its sentences.
const LONGEST: usize = 60;
/// A reading that costs no more is certain.
const CERTAIN: f64 = 1.0;
/// What it costs to read a text as a kind that its words speak against, for each step of e less likely.
const LEAN: f64 = 0.3;
/// By how many steps the likeliest kind must lead for its reading to be taken instead.
const CLEAR: f64 = 1.5;
/// And how far behind it that of the other must be.
const AGAINST: f64 = 2.5;
/// Steps that count at most.
const FURTHEST: f64 = 6.0;
/// How much cheaper a kind that no other grammar reads must be.
const OWN_MARGIN: f64 = 0.4;
/// How much cheaper the best reading must be than the next.
const MARGIN: f64 = 0.8;

/// A reading with what it costs.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighed {
    /// The kind of question.
    pub kind: String,
    /// What it was read as.
    pub reading: Reading,
    /// What must be asked first, and the readings to choose from, where a name stands for several.
    pub ask: Option<(String, Vec<Reading>)>,
    /// What it costs.
    pub cost: f64,
    /// What it may cost.
    pub most: f64,
    /// The dearest thing left over.
    pub dearest: f64,
    /// What all that is left over or told around it is worth.
    pub left: f64,
}

/// The names of all terms a text holds.
pub fn terms(text: &str, catalogue: &Catalogue) -> Vec<String> {
    let lattice = Lattice::of(text, catalogue);
    let chart = Chart::of(&lattice, &catalogue.grammar.terms);
    let all = (0..lattice.len()).flat_map(|at| chart.from(at));
    all.map(|term| term.name.clone()).collect()
}

/// A text with all the ways to read it.
pub(super) struct Whole {
    lattice: Lattice,
    found: Vec<Weighed>,
    served: Option<Served>,
    leaning: Option<Leaning>,
}

/// The temperature a dish is kept or eaten at, as a text tells it.
pub(super) struct Served {
    /// C.
    celsius: f64,
    /// As typed.
    said: String,
}

/// Every kind a text can be read as, the cheapest first.
pub fn weighed(text: &str, catalogue: &Catalogue, scene: &Scene) -> Vec<Weighed> {
    Whole::of(text, catalogue, scene).found
}

fn ways(
    lattice: &Lattice,
    chart: &Chart,
    leaning: Option<Leaning>,
    catalogue: &Catalogue,
    slips: &[(String, String)],
) -> Vec<Weighed> {
    let mut found: Vec<Weighed> = vec![];
    for frame in &catalogue.grammar.frames {
        let Some(cover) = cheapest(lattice, chart, frame) else {
            continue;
        };
        let Some(built) = self::built(&frame.kind, &cover, catalogue) else {
            continue;
        };
        let reading = |question: Question, assumed: Vec<String>| Reading {
            question,
            assumed,
            set_aside: set_aside(&cover, lattice),
            corrected: slips.to_vec(),
            without: frame.kind == "without",
            strict: lattice.strict(),
            served: None,
        };
        let ask = built.open.as_ref().map(|open| {
            let each = open.ids.iter().filter_map(|id| {
                let one = self::built(&frame.kind, &cover.with(&open.text, id), catalogue)?;
                Some(reading(one.question, one.assumed))
            });
            let ask = format!("which `{}`? {}", open.text, open.reason);
            (ask, each.collect())
        });
        let behind = leaning.map_or(0.0, |l| l.behind(kind_of(&built.question)));
        found.push(Weighed {
            kind: frame.kind.clone(),
            reading: reading(built.question, built.assumed),
            ask,
            cost: cover.cost + LEAN * behind.min(FURTHEST),
            most: frame.most,
            dearest: cover.dearest(&frame.kind),
            left: cover.worth_left(),
        });
    }
    found.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    found
}

/// The temperature a text tells the dish is kept or eaten at.
fn served(lattice: &Lattice, chart: &Chart) -> Option<Served> {
    let mut all = (0..lattice.len()).flat_map(|at| chart.from(at));
    all.find_map(
        |term| match (term.name.as_str(), term.all("at").as_slice()) {
            ("serving", [Value::Celsius(celsius), ..]) => Some(Served {
                celsius: *celsius,
                said: lattice.said(term.start, term.end).to_string(),
            }),
            _ => None,
        },
    )
}

/// The kind of a question, as the prior names it.
pub(super) fn kind_of(question: &Question) -> &'static str {
    match question {
        Question::Lookup { .. } => "lookup",
        Question::Search { .. } => "search",
        Question::Compare { .. } => "compare",
        Question::Swap { .. } => "swap",
        Question::Adjust {
            added, wish, scale, ..
        } => match scale.is_some() && added.is_empty() && wish.goals.is_empty() {
            true => "scale",
            false => "adjust",
        },
        Question::WhatIf { .. } => "what-if",
        Question::Role { .. } => "role",
        Question::HowTo { .. } => "how-to",
        Question::Assess { .. } => "assess",
        Question::Legal { .. } => "law",
        Question::Care { .. } => "care",
        Question::Diagnose { .. } => "diagnose",
    }
}

/// What a reading leaves over, and what it takes for a story told around the question.
fn set_aside(cover: &Cover, lattice: &Lattice) -> Vec<String> {
    let told = |term: &&Term| {
        ["told", "avoid", "complaint"]
            .iter()
            .any(|family| term.in_family(family))
    };
    let told = cover.terms.iter().filter(told);
    let told = told.map(|term| (term.start, lattice.said(term.start, term.end).to_string()));
    let left = cover.left.iter().filter(|left| left.matters());
    let left = left.map(|left| (left.start, left.text.clone()));
    let mut all: Vec<(usize, String)> = told.chain(left).collect();
    all.sort_by_key(|(start, _)| *start);
    all.into_iter().map(|(_, text)| text).collect()
}

impl Weighed {
    /// What the text came to.
    pub(super) fn read(self) -> Read {
        match self.ask {
            Some((ask, readings)) => Read::Several { ask, readings },
            None => Read::One(self.reading),
        }
    }

    /// Whether it takes all of the text in, so that a reading of another kind must give way.
    pub(super) fn complete(&self) -> bool {
        self.cost <= CERTAIN && self.dearest < LIGHTEST
    }

    /// Whether it is a kind that no other grammar reads.
    pub(super) fn own(&self) -> bool {
        matches!(
            self.reading.question,
            Question::WhatIf { .. } | Question::Role { .. }
        )
    }
}

impl Whole {
    /// Lays every kind of question over a text.
    pub fn of(text: &str, catalogue: &Catalogue, scene: &Scene) -> Whole {
        let (text, slips) = corrected(text, catalogue, &[]);
        let mut lattice = Lattice::of(&text, catalogue);
        lattice.set(scene, catalogue);
        if lattice.len() == 0 || lattice.len() > LONGEST {
            return Whole {
                lattice,
                found: vec![],
                served: None,
                leaning: None,
            };
        }
        let chart = Chart::of(&lattice, &catalogue.grammar.terms);
        let leaning = Leaning::of(&lattice, &catalogue.grammar.prior);
        Whole {
            found: ways(&lattice, &chart, leaning, catalogue, &slips),
            leaning,
            served: served(&lattice, &chart),
            lattice,
        }
    }

    /// The same reading with the temperature told, which then is no word left over.
    pub fn as_served(&self, read: Read) -> Read {
        let Some(served) = &self.served else {
            return read;
        };
        let told = |mut reading: Reading| {
            reading.served = Some(served.celsius);
            reading.set_aside.retain(|word| !served.said.contains(word));
            reading
        };
        match read {
            Read::One(reading) => Read::One(told(reading)),
            Read::Parts(parts) => {
                let each = parts.into_iter().map(|part| self.as_served(part));
                Read::Parts(each.collect())
            }
            other => other,
        }
    }

    /// The reading that is surely meant: what it leaves over is light, and no other kind comes near.
    pub fn sure(&self) -> Option<&Weighed> {
        let best = self.found.first()?;
        let margin = if best.own() { OWN_MARGIN } else { MARGIN };
        let sure = best.dearest <= LIGHTEST && best.cost <= best.most;
        (sure && self.apart(margin)).then_some(best)
    }

    /// The likeliest reading, where it drops nothing dear: what it leaves over is told.
    pub fn likely(&self) -> Option<&Weighed> {
        let best = self.found.first()?;
        let may = self.lattice.tells() && best.dearest < self.droppable();
        (may && self.apart(0.0)).then_some(best)
    }

    /// Whether a reading leaves nothing of weight over of a text about the formula in hand, whose lines
    /// and name no other grammar looks at, and leaves no more over than another, or the other asks.
    pub fn knows_best(&self, reading: &Weighed, other: Option<Vec<String>>) -> bool {
        let more = other.is_some_and(|other| reading.left > self.worth(&other) + LIGHTEST);
        let settled = reading.dearest < CONTENT && reading.ask.is_none();
        self.lattice.has_scene() && settled && !more
    }

    /// The reading of the kind that the words speak for, where they speak clearly against that of
    /// another reading, and it drops nothing dear.
    pub fn of_its_kind(&self, read: &Read) -> Option<Read> {
        let leaning = self.leaning?;
        let behind = |read: &Reading| leaning.behind(kind_of(&read.question));
        let against = match read {
            // What takes all of the text in needs no other.
            Read::One(reading) if self.worth(&reading.set_aside) < LIGHTEST => return None,
            Read::One(reading) => behind(reading),
            Read::Several { readings, .. } => {
                let each = readings.iter().map(behind);
                each.fold(f64::MAX, f64::min)
            }
            Read::Nothing { .. } => f64::MAX,
            Read::Parts(_) => return None,
        };
        let (kind, margin) = leaning.best();
        if margin < CLEAR || against < AGAINST {
            return None;
        }
        let mut ways = self.found.iter();
        let way = ways.find(|way| {
            let of_it = kind_of(&way.reading.question) == kind;
            of_it && way.ask.is_none() && way.dearest < self.droppable()
        });
        way.cloned().map(Weighed::read)
    }

    /// What a text that no reading takes in asks of the formula in hand, where its words speak clearly for a
    /// kind that needs no more than a formula: all of its plan, all of its figures.
    pub fn of_the_formula(&self) -> Option<Question> {
        let (kind, margin) = self.leaning?.best();
        if !self.lattice.has_scene() || margin < CLEAR {
            return None;
        }
        match kind {
            "how-to" => Some(Question::HowTo {
                ingredients: vec![],
                phase: String::new(),
                dish: String::new(),
            }),
            "assess" => Some(Question::Assess { about: vec![] }),
            _ => None,
        }
    }

    /// From what worth on nothing may be left over: without a formula in hand nothing of weight.
    pub fn droppable(&self) -> f64 {
        match self.lattice.has_scene() {
            true => DEAR,
            false => CONTENT,
        }
    }

    /// Whether it tells more than it asks.
    pub fn tells(&self) -> bool {
        self.lattice.tells()
    }

    /// Whether a word that nobody knows is what would come in, or what is asked about: `with snorfel`.
    pub fn turns_on_unknown(&self) -> bool {
        (0..self.lattice.len()).any(|at| {
            let brings = |edge: &&Edge| {
                let mut senses = edge.senses.iter();
                senses.any(|s| matches!(s, Sense::Cue(cue) if BRINGING.contains(cue)))
            };
            let mut led = self.lattice.from(at).iter().filter(brings);
            led.any(|edge| {
                let next = self.lattice.from(edge.end);
                !next.is_empty() && next.iter().all(|edge| edge.senses.is_empty())
            })
        })
    }

    /// The dearest of some words of the text, were they left over.
    pub fn dearest_of(&self, words: &[String]) -> f64 {
        let each = words.iter().map(|word| self.worth_of(word));
        each.fold(0.0, f64::max)
    }

    /// What some words of the text are worth together.
    pub fn worth(&self, words: &[String]) -> f64 {
        words.iter().map(|word| self.worth_of(word)).sum()
    }

    fn worth_of(&self, word: &str) -> f64 {
        let all = (0..self.lattice.len()).flat_map(|at| self.lattice.from(at));
        let said = all.filter(|edge| edge.text == word);
        said.map(|edge| left_over(&self.lattice, edge))
            .fold(0.0, f64::max)
    }

    /// Whether the best reading is so much cheaper than the next that asks something else.
    fn apart(&self, margin: f64) -> bool {
        let Some(best) = self.found.first() else {
            return false;
        };
        let mut others = self.found.iter();
        let next = others.find(|other| other.reading.question != best.reading.question);
        next.is_none_or(|next| next.cost - best.cost >= margin)
    }
}
