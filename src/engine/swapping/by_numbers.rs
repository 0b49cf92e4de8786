//! Swaps by the numbers, as an answer.

use super::SwapOptions;
use super::proposal::{Found, Proposal};
use super::{demand, number};
use crate::answer::{ConflictOut, ProofOut, ReasonOut};
use crate::engine::Engine;
use crate::formula::{Formula, weighed};
use crate::model::{Aim, Dial, Goal, IngredientKey};
use crate::swap::{self, Request, Swapped, Variant, feels};

/// Newcomers of one option at most.
const MOST_NEWCOMERS: usize = 4;

/// Grams of the balancing ingredient that may make room for each gram that goes.
/// Source: memory; a syrup in place of a sugar takes the room of its own water.
const MOST_MOVED: f64 = 2.0;
/// Share of the batch that may make room whatever goes.
/// Source: memory.
const LEAST_ROOM: f64 = 0.1;

/// Part of its greatest dose from which a newcomer is held back by it.
const AT_LIMIT: f64 = 0.98;

impl Engine {
    /// What the figures of the mix bring for what goes: the best sets of newcomers by the exact search.
    pub(super) fn by_numbers(&self, formula: &Formula, options: &SwapOptions) -> Found {
        let mut out = Found::default();
        let going: Vec<IngredientKey> = options.leavers.iter().map(|(k, _)| *k).collect();
        let Some(balance) = self.balance(formula, &going) else {
            return out;
        };
        let mut wish = options.wish.clone();
        // Several things that go together may need as many that come.
        wish.at_most = wish.at_most.max(going.len().min(MOST_NEWCOMERS));
        if wish.at_most > MOST_NEWCOMERS {
            wish.at_most = MOST_NEWCOMERS;
            out.assumed.push(format!(
                "{MOST_NEWCOMERS} newcomers at most are tried together"
            ));
        }
        if !options.newcomers.is_empty() {
            wish.shelf = Some(
                options
                    .newcomers
                    .iter()
                    .map(|k| self.catalogue.ingredient(*k).id.clone())
                    .collect(),
            );
        }
        let unsaid = wish.goals.is_empty();
        if unsaid {
            wish.goals = self.held_by_default(formula, &options.leavers);
            // What goes without milk is no milk: chasing its protein brings flours and glue.
            let protein = |g: &Goal| g.dial == Dial::Protein;
            if options.excludes() && wish.goals.len() > 1 && wish.goals.iter().any(protein) {
                wish.goals.retain(|g| !protein(g));
                out.assumed.push(
                    "the protein is let go where it falls: what stands in for milk or egg seldom holds as much".into(),
                );
            }
            let named: Vec<&str> = wish.goals.iter().map(|g| g.dial.name()).collect();
            if !named.is_empty() {
                out.assumed.push(format!(
                    "nothing was said of the numbers, so {} {} kept near what {}",
                    named.join(", "),
                    if named.len() == 1 { "is" } else { "are" },
                    if named.len() == 1 {
                        "it was"
                    } else {
                        "they were"
                    }
                ));
            }
            // Unasked, near is enough, so that the commonest choice is not passed over for a closer one: the
            // guards hold every dial.
            wish.goals.clear();
        }
        let leavers: Vec<(IngredientKey, f64)> = options
            .leavers
            .iter()
            .map(|(k, g)| (*k, g.unwrap_or(f64::INFINITY).min(formula.grams_of(*k))))
            .filter(|(_, g)| *g > 0.0)
            .collect();
        if leavers.is_empty() {
            return out;
        }
        // An open question is not answered by pouring the mix anew.
        let leaving: f64 = leavers.iter().map(|(_, grams)| grams).sum();
        let gives = if options.newcomers.is_empty() {
            (MOST_MOVED * leaving).max(LEAST_ROOM * formula.grams())
        } else {
            f64::INFINITY
        };
        let steady = self.steady(formula, &going);
        let mut request = Request {
            formula,
            leavers,
            // A swap that only keeps things would else be met by swapping next to nothing.
            entirely: options.entirely || wish.goals.iter().all(|g| g.aim == Aim::Keep),
            wish: &wish,
            balance,
            gives,
            // Where all of a kind must go the rest has to move with it.
            steady: match options.excludes() {
                true => steady.clone(),
                false => vec![],
            },
        };
        let mut swapped = swap::swap_watched(self.assessor(), &request, &*self.watch);
        let still = request.steady.is_empty() && !steady.is_empty();
        if (swapped.options.is_empty() || swapped.yields) && still {
            // Lines nobody named move where nothing else meets what is to hold.
            request.steady = steady;
            let moved = swap::swap_watched(self.assessor(), &request, &*self.watch);
            if !moved.options.is_empty() || swapped.options.is_empty() {
                swapped = moved;
            }
        }
        if unsaid {
            swapped.targets.iter_mut().for_each(|t| t.asked = false);
            swapped.conflicts.iter_mut().for_each(|c| c.asked = false);
        }
        out.unknown = swapped
            .candidates
            .unknown
            .iter()
            .map(|k| self.catalogue.ingredient(*k).id.clone())
            .collect();
        if swapped.candidates.unpriced > 0 {
            out.assumed.push(format!(
                "{} ingredients without a known price are left out, {} with one may come in",
                swapped.candidates.unpriced,
                swapped.candidates.list.len()
            ));
        }
        let p = swapped.proof;
        out.proof = Some(ProofOut {
            candidates: swapped.candidates.list.len(),
            sets: p.sets,
            cut: p.cut,
            solved: p.solved,
            beyond: p.beyond.is_finite().then_some(p.beyond),
        });
        let of = |variants: &[Variant]| -> Vec<Proposal> {
            let each = variants.iter();
            each.map(|v| counted(formula, &swapped, &going, v))
                .collect()
        };
        out.options = of(&swapped.options);
        if let (true, Some(first)) = (swapped.yields, swapped.options.first()) {
            out.assumed.extend(gave_way(&swapped, first));
        }
        out.nearest = of(&swapped.nearest);
        out.why_none = self.why_none(&swapped);
        if let ([(leaver, _)], [newcomer], true) = (
            options.leavers.as_slice(),
            options.newcomers.as_slice(),
            swapped.candidates.list.is_empty() && swapped.candidates.unknown.is_empty(),
        ) {
            let name = |key: IngredientKey| &self.catalogue.ingredient(key).name;
            let out_job = self.catalogue.ingredient(*leaver).functions.first();
            out.why_none = vec![ConflictOut {
                constraint: "candidates".into(),
                text: format!(
                    "nothing known says that {} stands in for {} as {}",
                    name(*newcomer),
                    name(*leaver),
                    out_job.map_or("what it is", String::as_str)
                ),
                nearest: None,
            }];
        }
        if unsaid && !options.newcomers.is_empty() && out.options.is_empty() {
            self.answer_poorly(&mut out, &swapped);
        }
        out
    }

    /// A named pair is answered even where it is poor: the nearest miss is the answer, with every
    /// mark it fails and what holds its dose.
    fn answer_poorly(&self, out: &mut Found, swapped: &Swapped) {
        let Some(best) = out.nearest.first().cloned() else {
            return;
        };
        out.direct = format!(
            "{}: the nearest it comes, and it does not keep everything",
            self.headline(&best)
        );
        let at_limit = swapped.candidates.list.iter().filter(|c| {
            let dose = best.comes.iter().find(|come| come.key == c.key);
            dose.is_some_and(|come| come.grams >= AT_LIMIT * c.most)
        });
        let capped = at_limit.map(|c| ConflictOut {
            constraint: "dose".into(),
            text: format!(
                "{} is held to {} g: {}",
                self.catalogue.ingredient(c.key).name,
                weighed(c.most),
                c.limit
            ),
            nearest: None,
        });
        let failed = self.missed(&best);
        out.why_none = capped.chain(failed).collect();
        out.nearest.clear();
        out.options.push(best);
    }

    /// Lines beside the balancing one that a swap may move: where no sweetener goes, the main sugar
    /// of the formula, by half either way, so that the sweetness a milk took along can come back.
    fn steady(&self, formula: &Formula, going: &[IngredientKey]) -> Vec<(IngredientKey, f64, f64)> {
        let sweetens = |key: IngredientKey| self.catalogue.ingredient(key).is_of("sugar-family");
        // Where nothing freezes, no sugar moves to hold what it was not asked to hold.
        if going.iter().any(|k| sweetens(*k)) || !self.freezes(formula) {
            return vec![];
        }
        let merged = formula.merged();
        let sugars = merged
            .lines
            .iter()
            .filter(|l| self.catalogue.ingredient(l.key).family == "sugar");
        let main = sugars.max_by(|a, b| a.grams.total_cmp(&b.grams).then(b.key.cmp(&a.key)));
        main.map(|l| (l.key, 0.5 * l.grams, 1.5 * l.grams))
            .into_iter()
            .collect()
    }

    /// What a person expects to stay when a swap names no numbers: the dials the leavers carry most of.
    fn held_by_default(
        &self,
        formula: &Formula,
        leavers: &[(IngredientKey, Option<f64>)],
    ) -> Vec<Goal> {
        let assessor = self.assessor();
        let mut without = formula.merged();
        leavers.iter().for_each(|(k, _)| {
            let grams = without.grams_of(*k);
            without.add(*k, -grams);
        });
        let (with, without) = (assessor.sums(formula), assessor.sums(&without));
        let batch = with.grams;
        let (whole, rest) = (assessor.state_of(with), assessor.state_of(without));
        let feels = feels(&self.catalogue, &whole);
        let carried = |dial: &Dial| {
            let (Some(a), Some(b), Some(feel)) =
                (whole.dial(*dial), rest.dial(*dial), feels.get(dial))
            else {
                return false;
            };
            (a - b * rest.sums.grams / batch).abs() > 2.0 * feel.tolerance
        };
        let candidates = [
            Dial::Sweetness,
            Dial::FreezingPoint,
            Dial::Fat,
            Dial::Protein,
            Dial::TotalSolids,
        ];
        candidates
            .into_iter()
            .filter(carried)
            .map(|dial| Goal {
                dial,
                aim: Aim::Keep,
            })
            .collect()
    }

    fn why_none(&self, swapped: &Swapped) -> Vec<ConflictOut> {
        let unknown = swapped.unknown_goals.iter().map(|dial| ConflictOut {
            constraint: dial.id().into(),
            text: format!("the {} of this mix cannot be computed", dial.name()),
            nearest: None,
        });
        let demands = swapped.conflicts.iter().map(|c| {
            let target = swapped.targets.iter().find(|t| t.dial == c.dial);
            let wanted = target.map_or(String::new(), |t| demand(t, swapped.before.dial(c.dial)));
            let way = match c.nearest {
                Some(nearest) => format!("with the rest held it would come to {} {}: accept that, or give up another of these", number(c.dial, nearest), c.dial.unit()),
                None => "even without this the rest conflicts".to_string(),
            };
            let who = if c.asked { "asked" } else { "held unasked" };
            ConflictOut { constraint: c.dial.id().into(), text: format!("{} ({who}: {wanted}); {way}", c.dial.name()), nearest: c.nearest }
        });
        let empty = swapped.candidates.list.is_empty().then(|| ConflictOut {
            constraint: "candidates".into(),
            text: format!(
                "no ingredient that could stand in meets what was asked of it ({} do not meet it, of {} it is not known)",
                swapped.candidates.refused,
                swapped.candidates.unknown.len()
            ),
            nearest: None,
        });
        unknown.chain(empty).chain(demands).collect()
    }
}

/// What gave way, of what is held unasked, so that what was asked could be met.
fn gave_way(swapped: &Swapped, first: &Variant) -> Option<String> {
    let feels = swapped.targets.iter().filter(|t| !t.asked);
    let moved = feels.filter_map(|t| {
        let (was, is) = (swapped.before.dial(t.dial)?, first.state.dial(t.dial)?);
        (t.miss(is) > 1.0).then(|| {
            let (was, is) = (number(t.dial, was), number(t.dial, is));
            format!("{} ({was} -> {is} {})", t.dial.name(), t.dial.unit())
        })
    });
    let moved: Vec<String> = moved.collect();
    (!moved.is_empty()).then(|| format!("what was asked holds; {} gives way", moved.join(", ")))
}

/// One set of newcomers with its grams, as a proposal.
fn counted(formula: &Formula, swapped: &Swapped, going: &[IngredientKey], v: &Variant) -> Proposal {
    let reasons = v.reasons.iter().map(|r| ReasonOut {
        rule: r.rule.clone(),
        text: r.text.clone(),
        source: r.source.clone(),
        locator: r.locator.clone(),
    });
    Proposal {
        before: formula.clone(),
        after: v.formula.clone(),
        comes: Proposal::coming(v.newcomers.iter().copied()),
        goes: v.removed.clone(),
        shifts: v.balanced.clone(),
        targets: swapped.targets.clone(),
        reasons: reasons.collect(),
        leaver: going.first().copied(),
        cautions: v.cautions.clone(),
        confidence: Some(v.confidence),
        miss: Some(v.miss),
        ..Proposal::default()
    }
}
