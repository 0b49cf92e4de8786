//! Swaps by job: sourced rules that say what takes over which job, at which dose.

use std::collections::BTreeMap;

use crate::condition::{Facts, Truth, judge};
use crate::formula::{Assessor, Formula, MixView};
use crate::model::rule::Span;
use crate::model::{Expr, Group, Ingredient, IngredientKey, Rule, RuleKind, Wish};

/// One rule applied to the grams of one leaver.
#[derive(Debug, Clone, PartialEq)]
pub struct JobSwap {
    /// Rule id.
    pub rule: String,
    /// Jobs taken over.
    pub jobs: Vec<String>,
    /// What comes in: grams at the low, typical and high dose.
    pub newcomers: Vec<(IngredientKey, Span)>,
    /// What is lost.
    pub lost: String,
    /// What changes in bite, melt and process.
    pub changes: String,
    /// Why.
    pub because: String,
    /// `strong`, `moderate` or `weak`.
    pub strength: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
}

/// Whether a swap rule is about this leaver.
pub fn concerns(rule: &Rule, leaver: &Ingredient) -> bool {
    let RuleKind::Swap { out, .. } = &rule.kind else {
        return false;
    };
    match out {
        Group::Ingredient(id) => leaver.id == *id,
        Group::Family(family) => leaver.family == *family,
        Group::Function(function) => leaver.does(function),
    }
}

/// Rules that replace `grams` of `leaver` in a formula under a wish: those about its foremost job
/// first, of these those that take over more of its jobs, of these the surest. `named` keeps only rules that bring one of these.
pub fn by_job(
    assessor: Assessor<'_>,
    formula: Option<&Formula>,
    leaver: IngredientKey,
    grams: f64,
    wish: &Wish,
    named: &[IngredientKey],
) -> Vec<JobSwap> {
    let catalogue = assessor.catalogue;
    let out = catalogue.ingredient(leaver);
    let state = formula.map(|f| assessor.state(f));
    let view = formula.zip(state.as_ref()).map(|(formula, state)| MixView {
        assessor,
        formula,
        state,
    });
    let mut found: Vec<JobSwap> = vec![];
    for rule in catalogue.rules.iter().filter(|rule| concerns(rule, out)) {
        let RuleKind::Swap {
            newcomers,
            dose,
            shares,
            jobs,
            lost,
            changes,
            ..
        } = &rule.kind
        else {
            continue;
        };
        let keys: Vec<IngredientKey> = newcomers
            .iter()
            .filter_map(|id| catalogue.key(id))
            .collect();
        let shelved = |key: &IngredientKey| {
            wish.shelf
                .as_ref()
                .is_none_or(|shelf| shelf.iter().any(|id| *id == catalogue.ingredient(*key).id))
        };
        let wished = |key: &IngredientKey| {
            wish.newcomer == Expr::Always
                || judge(
                    &wish.newcomer,
                    &Facts::of_newcomer(catalogue, catalogue.ingredient(*key)),
                ) == Truth::Yes
        };
        let fits = keys.len() == newcomers.len()
            && !keys.contains(&leaver)
            && keys.iter().all(|k| shelved(k) && wished(k))
            && (named.is_empty() || keys.iter().any(|k| named.contains(k)));
        let mix = view.as_ref().map(|v| v as &dyn crate::condition::Mix);
        let holds = keys.iter().any(|k| {
            judge(
                &rule.when,
                &Facts {
                    catalogue,
                    this: None,
                    newcomer: Some(catalogue.ingredient(*k)),
                    leaver: Some(out),
                    mix,
                },
            ) != Truth::No
        });
        if !fits || !holds {
            continue;
        }
        let span = |share: f64| Span {
            low: grams * dose.low * share,
            typical: grams * dose.typical * share,
            high: grams * dose.high * share,
        };
        found.push(JobSwap {
            rule: rule.id.clone(),
            jobs: jobs.clone(),
            newcomers: keys
                .iter()
                .zip(shares)
                .map(|(k, share)| (*k, span(*share)))
                .collect(),
            lost: lost.clone(),
            changes: changes.clone(),
            because: rule.because.clone(),
            strength: rule.strength.clone(),
            source: rule.source.clone(),
            locator: rule.locator.clone(),
        });
    }
    let surety: BTreeMap<&str, u8> = [("strong", 0), ("moderate", 1), ("weak", 2)].into();
    // A rule about this very ingredient comes before one about its family.
    let own = |j: &JobSwap| {
        catalogue.rules.iter().any(|r| {
            r.id == j.rule
                && matches!(
                    &r.kind,
                    RuleKind::Swap {
                        out: Group::Ingredient(_),
                        ..
                    }
                )
        })
    };
    let jobs_kept = |j: &JobSwap| out.functions.iter().filter(|f| j.jobs.contains(f)).count();
    let foremost = |j: &JobSwap| {
        let place = out.functions.iter().position(|f| j.jobs.contains(f));
        place.unwrap_or(out.functions.len())
    };
    found.sort_by_key(|j| {
        (
            !own(j),
            foremost(j),
            std::cmp::Reverse(jobs_kept(j)),
            surety.get(j.strength.as_str()).copied().unwrap_or(3),
            j.newcomers.len(),
            j.rule.clone(),
        )
    });
    found
}
