//! Questions read as a whole: every meaning of every stretch is kept until the kinds of question have
//! been laid over the text and weighed.
//!
//! text -> tokens -> lattice -> terms -> frames -> covers -> choice

mod build;
mod cover;
mod lattice;
mod term;

use crate::model::{Catalogue, IngredientKey};

use crate::query::question::{Question, Read, Reading};
use crate::query::spelling::corrected;
use build::built;
use cover::{LIGHTEST, cheapest};
use lattice::Lattice;
use term::Chart;

/// A longer text is read by its sentences.
const LONGEST: usize = 60;
/// Terms that say that what may hold it goes too.
const STRICT: &str = "no.strictly";
/// A reading that costs no more is certain.
const CERTAIN: f64 = 1.0;
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
}

/// The names of all terms a text holds.
pub fn terms(text: &str, catalogue: &Catalogue) -> Vec<String> {
    let lattice = Lattice::of(text, catalogue);
    let chart = Chart::of(&lattice, &catalogue.grammar.terms);
    let all = (0..lattice.len()).flat_map(|at| chart.from(at));
    all.map(|term| term.name.clone()).collect()
}

/// Every kind a text can be read as, the cheapest first.
pub fn weighed(text: &str, catalogue: &Catalogue, held: &[IngredientKey]) -> Vec<Weighed> {
    let (text, slips) = corrected(text, catalogue, &[]);
    let mut lattice = Lattice::of(&text, catalogue);
    if lattice.len() == 0 || lattice.len() > LONGEST {
        return vec![];
    }
    crate::query::held::narrow_all(
        lattice
            .all_mut()
            .map(|edge| (edge.text.as_str(), &mut edge.senses)),
        held,
        catalogue,
    );
    let chart = Chart::of(&lattice, &catalogue.grammar.terms);
    let mut found: Vec<Weighed> = vec![];
    for frame in &catalogue.grammar.frames {
        let Some(cover) = cheapest(&lattice, &chart, frame) else {
            continue;
        };
        let Some(built) = self::built(&frame.kind, &cover, catalogue) else {
            continue;
        };
        let reading = |question: Question, assumed: Vec<String>| Reading {
            question,
            assumed,
            set_aside: cover.left.iter().map(|l| l.text.clone()).collect(),
            corrected: slips.clone(),
            without: frame.kind == "without",
            strict: cover.terms.iter().any(|t| t.name == STRICT),
        };
        let ask = built.open.as_ref().map(|open| {
            let each = open.ids.iter().filter_map(|id| {
                let one = self::built(&frame.kind, &cover.with(&open.text, id), catalogue)?;
                Some(reading(one.question, one.assumed))
            });
            let ask = format!("which `{}`? {}", open.text, open.reason);
            (ask, each.collect())
        });
        found.push(Weighed {
            kind: frame.kind.clone(),
            reading: reading(built.question, built.assumed),
            ask,
            cost: cover.cost,
            most: frame.most,
            dearest: cover.dearest(),
        });
    }
    found.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    found
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

/// The reading that is surely meant: what it leaves over is light, and no other kind comes near.
pub(super) fn sure(text: &str, catalogue: &Catalogue, held: &[IngredientKey]) -> Option<Weighed> {
    let mut found = weighed(text, catalogue, held);
    let best = found.first()?;
    let next = (found.iter()).find(|other| other.reading.question != best.reading.question);
    let margin = if best.own() { OWN_MARGIN } else { MARGIN };
    let apart = next.is_none_or(|next| next.cost - best.cost >= margin);
    let sure = apart && best.dearest <= LIGHTEST && best.cost <= best.most;
    sure.then(|| found.swap_remove(0))
}
