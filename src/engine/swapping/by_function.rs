//! A named pair by what the leaver is there for: as much protein, fat, sweetness or antifreeze comes as goes.
//!
//! Where nothing was said of the figures, a cook who names what comes means it to do what went did. The
//! grams follow from that one measure; what of the weight is left over goes to the bulk or the liquid that the
//! formula holds.

use super::SwapOptions;
use super::proposal::{Found, Proposal};
use crate::answer::{ConflictOut, ReasonOut};
use crate::engine::Engine;
use crate::formula::{Formula, Part, weighed};
use crate::model::{Dial, IngredientKey};
use crate::swap;

/// Jobs that a part of the composition measures.
const MEASURED: [(&str, Part); 3] = [
    ("protein source", Part::Protein),
    ("fat source", Part::Fat),
    ("milk solids source", Part::MilkSolidsNotFat),
];
const SWEETENS: &str = "sweetener";
const BULKS: &str = "bulking agent";
/// Of what measures the job a newcomer holds at least this part of what the leaver holds; less is no stand-in.
const WORTH: f64 = 0.1;
/// A newcomer takes at most so many times the weight of what goes.
const MOST: f64 = 4.0;
/// Halvings of the interval of grams: 1 kg / 2^24 is far below a milligram.
const HALVINGS: usize = 24;

impl Engine {
    /// The newcomer at the dose that does as much of what the leaver is there for.
    pub(super) fn by_function(&self, formula: &Formula, options: &SwapOptions) -> Found {
        let mut found = Found::default();
        let before = formula.merged();
        let Some((leaver, newcomer, goes)) = options.pair(&before) else {
            return found;
        };
        let Some((comes, why)) = self.as_much(&before, leaver, newcomer, goes) else {
            return found;
        };
        let after = self.in_place(&before, (leaver, goes), (newcomer, comes));
        let shifts = before.lines.iter().map(|l| l.key);
        let shifts = shifts.filter(|key| *key != leaver && *key != newcomer);
        let shifts = shifts.map(|key| (key, after.grams_of(key) - before.grams_of(key)));
        let ingredient = self.catalogue.ingredient(newcomer);
        let (most, limit) = swap::limit(ingredient, before.grams(), self.freezes(&before));
        if comes > most && !limit.is_empty() {
            found.why_none.push(ConflictOut {
                constraint: "dose".into(),
                text: format!(
                    "{} g {} is more than its {limit}: taste it on a small batch first",
                    weighed(comes),
                    ingredient.name
                ),
                nearest: None,
            });
        }
        found.options.push(Proposal {
            shifts: shifts.filter(|(_, grams)| grams.abs() >= 0.005).collect(),
            comes: Proposal::coming([(newcomer, comes)]),
            goes: vec![(leaver, goes)],
            leaver: Some(leaver),
            reasons: vec![ReasonOut {
                rule: "equal-function".into(),
                text: why,
                source: "composition".into(),
                locator: String::new(),
            }],
            before,
            after,
            ..Proposal::default()
        });
        found
    }

    /// Grams of the newcomer that do as much, and of what.
    fn as_much(
        &self,
        formula: &Formula,
        leaver: IngredientKey,
        newcomer: IngredientKey,
        goes: f64,
    ) -> Option<(f64, String)> {
        let assessor = self.assessor();
        let job = self.catalogue.ingredient(leaver).functions.first()?;
        if let Some((_, part)) = MEASURED.iter().find(|(name, _)| name == job) {
            let of = |key| assessor.profile(key).number(*part);
            let (was, is) = (of(leaver), of(newcomer));
            let grams = goes * was / is;
            let name = job.trim_end_matches(" source");
            let why = format!("{} g {name} in both", weighed(goes * was / 100.0));
            return (is > WORTH * was).then_some((grams, why));
        }
        if job != SWEETENS || !self.catalogue.ingredient(newcomer).does(SWEETENS) {
            return None;
        }
        let frozen = self.freezes(formula);
        // What keeps by being dry is held by how dry it is, other dishes by their taste.
        let sums = assessor.state(formula).sums;
        let dry = sums.part(Part::Water) < swap::KEEPS_DRY * sums.grams;
        let dial = match (frozen, dry) {
            (true, _) => Dial::FrozenAt18,
            (false, true) => Dial::TotalSolids,
            (false, false) => Dial::Sweetness,
        };
        let figure = |f: &Formula| assessor.state(f).dial(dial);
        let aim = figure(formula)?;
        let at = |grams: f64| figure(&self.in_place(formula, (leaver, goes), (newcomer, grams)));
        // More of a sweetener leaves less ice and more sweetness.
        let enough = |grams: f64| {
            at(grams).is_some_and(|now| match dial {
                Dial::FrozenAt18 => now <= aim,
                _ => now >= aim,
            })
        };
        let (mut less, mut more) = (0.0, MOST * goes);
        if !enough(more) {
            return None;
        }
        for _ in 0..HALVINGS {
            let middle = (less + more) / 2.0;
            match enough(middle) {
                true => more = middle,
                false => less = middle,
            }
        }
        let why = match dial {
            Dial::FrozenAt18 => "it keeps as much of the water from freezing",
            Dial::TotalSolids => "it leaves as little water",
            _ => "it is as sweet",
        };
        Some((more, why.into()))
    }

    /// A formula with one thing in place of another at these grams: what weight is left goes to the bulk it
    /// holds, where a sweetener goes, else to its liquid, which also gives what is over.
    fn in_place(
        &self,
        formula: &Formula,
        (leaver, goes): (IngredientKey, f64),
        (newcomer, comes): (IngredientKey, f64),
    ) -> Formula {
        let mut after = formula.clone();
        after.add(leaver, -goes);
        after.add(newcomer, comes);
        let first = |key: IngredientKey, job: &str| {
            let functions = &self.catalogue.ingredient(key).functions;
            functions.first().is_some_and(|f| f == job)
        };
        let bulk = formula.lines.iter().map(|l| l.key);
        let bulk = bulk.filter(|key| *key != leaver && *key != newcomer);
        let mut bulk = bulk.filter(|key| first(*key, BULKS));
        match bulk
            .next()
            .filter(|_| comes < goes && first(leaver, SWEETENS))
        {
            Some(bulk) => after.add(bulk, goes - comes),
            None => {
                self.made_up(formula, &mut after, &[leaver, newcomer]);
            }
        }
        after
    }
}
