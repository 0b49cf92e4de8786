//! Swaps by job: sourced rules that say what takes over which job, at which dose.

use std::collections::BTreeMap;

use super::acid;
use super::bloom;
use super::prefer::drawback;
use crate::condition::{Facts, Mix, Truth, belongs, judge};
use crate::formula::{Assessor, Formula, MixView};
use crate::model::rule::Span;
use crate::model::{
    Commonness, Dial, Expr, Group, Ingredient, IngredientKey, Presence, Rule, RuleKind, Test,
    Value, Wish,
};

/// The job of what sets a gel.
const SETS: &str = "gelling agent";

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

/// What a swap by job is asked for.
#[derive(Clone, Copy)]
pub struct JobAsk<'a> {
    /// The mix it leaves; `None` where only its grams are known.
    pub formula: Option<&'a Formula>,
    /// What goes.
    pub leaver: IngredientKey,
    /// Grams of it.
    pub grams: f64,
    /// What newcomers must be.
    pub wish: &'a Wish,
    /// Only rules that bring one of these; empty for all.
    pub named: &'a [IngredientKey],
    /// The dish it goes into, where one was named that is not frozen.
    pub dish: Option<&'a Unfrozen>,
}

/// A dish that is not frozen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unfrozen {
    /// Its name.
    pub name: String,
    /// The job it asks of a thickener, gel or foam; empty where it may ask any.
    pub job: String,
}

/// Whether a swap rule is about this leaver.
pub fn concerns(rule: &Rule, leaver: &Ingredient) -> bool {
    let RuleKind::Swap { out, .. } = &rule.kind else {
        return false;
    };
    belongs(leaver, out)
}

/// Rules that replace `grams` of the leaver under a wish: those about its foremost job first, of
/// these those that take over more of its jobs, of these the surest. Where no rule fits the wish,
/// two rules of the same job one after the other; a sour thing also goes at equal acid.
pub fn by_job(assessor: Assessor<'_>, ask: &JobAsk<'_>) -> Vec<JobSwap> {
    let catalogue = assessor.catalogue;
    let out = catalogue.ingredient(ask.leaver);
    let state = ask.formula.map(|f| assessor.state(f));
    let view = ask
        .formula
        .zip(state.as_ref())
        .map(|(formula, state)| MixView::new(assessor, formula, state));
    let mix = view.as_ref().map(|v| v as &dyn Mix);
    let mut found = ruled(assessor, ask, mix, ask.leaver, ask.grams);
    // What is known of one gelatin holds for another at equal gel.
    for key in catalogue.keys().filter(|key| *key != ask.leaver) {
        if let Some(grams) = bloom::equal_gel(assessor, ask.grams, ask.leaver, key) {
            let known = |j: &JobSwap| found.iter().any(|f| f.rule == j.rule);
            let more = ruled(assessor, ask, mix, key, grams).into_iter();
            let more: Vec<JobSwap> = more.filter(|j| !known(j)).collect();
            found.extend(more);
        }
    }
    let sour = acid::equally_sour(assessor, ask.leaver, ask.grams);
    let strong = bloom::equally_strong(assessor, ask.leaver, ask.grams, ask.named);
    for job in sour.into_iter().chain(strong) {
        let same = |j: &JobSwap| j.newcomers[0].0 == job.newcomers[0].0;
        if fits(assessor, ask, &job) && !found.iter().any(same) {
            found.push(job);
        }
    }
    found.retain(|job| fits(assessor, ask, job));
    if found.is_empty() && ask.named.is_empty() {
        found = chained(assessor, ask, mix);
    }
    if let Some(dish) = ask.dish.filter(|d| !d.job.is_empty())
        && found.iter().any(|j| j.jobs.contains(&dish.job))
    {
        found.retain(|j| j.jobs.contains(&dish.job));
    }
    sort(catalogue, out, (ask, mix), &mut found);
    found
}

/// Every rule about `leaver` that holds in the mix, whoever it brings.
fn ruled(
    assessor: Assessor<'_>,
    ask: &JobAsk<'_>,
    mix: Option<&dyn Mix>,
    leaver: IngredientKey,
    grams: f64,
) -> Vec<JobSwap> {
    let catalogue = assessor.catalogue;
    let out = catalogue.ingredient(leaver);
    let mut found = vec![];
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
        let thawed = ask.dish.is_some() && asks_frozen(&rule.when);
        if keys.len() != newcomers.len() || keys.contains(&leaver) || !holds || thawed {
            continue;
        }
        // What sets is not dosed below what sets at all, as far as its rule allows.
        let batch = ask.formula.map(Formula::grams);
        let least = |key: IngredientKey| {
            let ingredient = catalogue.ingredient(key);
            let sets = ingredient.functions.first().is_some_and(|job| job == SETS);
            let level = ingredient.value("use_level").and_then(Value::range);
            let level = level.filter(|_| sets).zip(batch);
            level.map_or(0.0, |((low, _), batch)| low / 100.0 * batch)
        };
        let span = |key: IngredientKey, share: f64| {
            let high = grams * dose.high * share;
            let typical = grams * dose.typical * share;
            Span {
                low: grams * dose.low * share,
                typical: typical.max(least(key).min(high)),
                high,
            }
        };
        found.push(JobSwap {
            rule: rule.id.clone(),
            jobs: jobs.clone(),
            newcomers: keys
                .iter()
                .zip(shares)
                .map(|(k, share)| (*k, span(*k, *share)))
                .collect(),
            lost: lost.clone(),
            changes: changes.clone(),
            because: rule.because.clone(),
            strength: rule.strength.clone(),
            source: rule.source.clone(),
            locator: rule.locator.clone(),
        });
    }
    found
}

/// Whether a condition asks how much of a mix is frozen.
fn asks_frozen(when: &Expr) -> bool {
    let mut found = false;
    when.visit(&mut |test| {
        found |= matches!(test, Test::Mix(Dial::FrozenAt18 | Dial::FrozenAt12, ..));
    });
    found
}

/// Whether all newcomers of a swap may come in, and one of them was named where any was.
fn fits(assessor: Assessor<'_>, ask: &JobAsk<'_>, job: &JobSwap) -> bool {
    let catalogue = assessor.catalogue;
    let shelved = |key: IngredientKey| {
        ask.wish
            .shelf
            .as_ref()
            .is_none_or(|shelf| shelf.iter().any(|id| *id == catalogue.ingredient(key).id))
    };
    let wished = |key: IngredientKey| {
        ask.wish.newcomer == Expr::Always
            || judge(
                &ask.wish.newcomer,
                &Facts::of_newcomer(catalogue, catalogue.ingredient(key)),
            ) == Truth::Yes
    };
    job.newcomers
        .iter()
        .all(|(k, _)| *k != ask.leaver && shelved(*k) && wished(*k))
        && (ask.named.is_empty() || job.newcomers.iter().any(|(k, _)| ask.named.contains(k)))
}

/// The rules that bring the leaver for another form of it, read backwards: 106 g of gold leaf for 100 g of
/// powder is 94 g of powder for 100 g of leaf.
fn turned(assessor: Assessor<'_>, ask: &JobAsk<'_>) -> Vec<JobSwap> {
    let catalogue = assessor.catalogue;
    let leaver = catalogue.ingredient(ask.leaver);
    let form = |id: &str| {
        let other = catalogue.ingredient(catalogue.key(id)?);
        let mut groups = catalogue.groups.iter().filter(|kin| kin.siblings);
        let kin = groups.any(|kin| leaver.is_of(&kin.id) && other.is_of(&kin.id));
        let same = kin && other.functions.first() == leaver.functions.first();
        same.then(|| catalogue.key(id)).flatten()
    };
    let turn = |rule: &Rule| {
        let RuleKind::Swap {
            out: Group::Ingredient(id),
            newcomers,
            dose,
            jobs,
            ..
        } = &rule.kind
        else {
            return None;
        };
        if newcomers.as_slice() != [leaver.id.clone()] || dose.typical <= 0.0 {
            return None;
        }
        let grams = ask.grams / dose.typical;
        let span = Span {
            low: grams,
            typical: grams,
            high: grams,
        };
        Some(JobSwap {
            rule: rule.id.clone(),
            jobs: jobs.clone(),
            newcomers: vec![(form(id)?, span)],
            lost: String::new(),
            changes: String::new(),
            because: rule.because.clone(),
            strength: rule.strength.clone(),
            source: rule.source.clone(),
            locator: rule.locator.clone(),
        })
    };
    catalogue.rules.iter().filter_map(turn).collect()
}

/// Two rules one after the other: what stands in for what would stand in, at the product of the doses.
fn chained(assessor: Assessor<'_>, ask: &JobAsk<'_>, mix: Option<&dyn Mix>) -> Vec<JobSwap> {
    let catalogue = assessor.catalogue;
    let mut found: Vec<JobSwap> = vec![];
    let forms = turned(assessor, ask);
    for first in ruled(assessor, ask, mix, ask.leaver, ask.grams)
        .into_iter()
        .chain(forms)
    {
        let [(between, span)] = first.newcomers.as_slice() else {
            continue;
        };
        let through = |second: &JobSwap| {
            let shared = first.jobs.iter().filter(|job| second.jobs.contains(job));
            shared.cloned().collect::<Vec<String>>()
        };
        for second in ruled(assessor, ask, mix, *between, span.typical) {
            let shared = through(&second);
            let known = |j: &JobSwap| {
                let keys = |j: &JobSwap| j.newcomers.iter().map(|(k, _)| *k).collect::<Vec<_>>();
                keys(j) == keys(&second)
            };
            if shared.is_empty() || !fits(assessor, ask, &second) || found.iter().any(known) {
                continue;
            }
            found.push(JobSwap {
                rule: format!("{} then {}", first.rule, second.rule),
                jobs: shared,
                lost: second.lost.clone(),
                because: format!(
                    "By way of {}: {} {}",
                    catalogue.ingredient(*between).name,
                    first.because,
                    second.because
                ),
                strength: "weak".into(),
                ..second
            });
        }
    }
    found
}

fn sort(
    catalogue: &crate::model::Catalogue,
    out: &Ingredient,
    (ask, mix): (&JobAsk<'_>, Option<&dyn Mix>),
    found: &mut [JobSwap],
) {
    let surety: BTreeMap<&str, u8> = [("strong", 0), ("moderate", 1), ("weak", 2)].into();
    // A rule about this very ingredient comes before one about its family.
    let own = |j: &JobSwap| {
        let mut rules = catalogue.rules.iter();
        rules.any(|r| r.id == j.rule && r.is_narrow())
    };
    // What was named comes alone before it comes with help; water is no help.
    let unnamed = |j: &JobSwap| {
        let water = |key: IngredientKey| catalogue.ingredient(key).family == "water";
        let helps = |k: IngredientKey| !ask.named.contains(&k) && !water(k);
        match ask.named {
            [] => 0,
            _ => j.newcomers.iter().filter(|(k, _)| helps(*k)).count(),
        }
    };
    let jobs_kept = |j: &JobSwap| out.functions.iter().filter(|f| j.jobs.contains(f)).count();
    let foremost = |j: &JobSwap| {
        let place = out.functions.iter().position(|f| j.jobs.contains(f));
        place.unwrap_or(out.functions.len())
    };
    // An open question is not answered first by what is weakly backed.
    let open = ask.wish.newcomer == Expr::Always;
    // What brings no allergen the mix is free of goes first, then what any shop sells.
    let held = |substance: &str| {
        let lines = ask.formula.map_or(&[][..], |f| f.lines.as_slice());
        let mut rows = lines
            .iter()
            .flat_map(|l| &catalogue.ingredient(l.key).allergens);
        rows.any(|row| row.substance == substance)
            || out.allergens.iter().any(|row| row.substance == substance)
    };
    let burdens = |j: &JobSwap| {
        let rows = j
            .newcomers
            .iter()
            .flat_map(|(k, _)| &catalogue.ingredient(*k).allergens);
        let brought = rows.filter(|row| row.presence == Presence::Contains);
        let fresh =
            brought.filter(|row| !held(&row.substance) && !catalogue.only_advised(&row.substance));
        fresh.count()
    };
    // What speaks against a newcomer in such a mix and not elsewhere, where nothing was named.
    let speaks_against = |j: &JobSwap| {
        let weight = |new, mix| drawback(catalogue, out, new, mix).map_or(0, |(weight, _)| weight);
        let mut each = j.newcomers.iter().map(|(k, _)| catalogue.ingredient(*k));
        ask.named.is_empty() && each.any(|new| weight(new, mix) > weight(new, None))
    };
    // A trade supplier is as near as a shop.
    let rare = |j: &JobSwap| {
        let each = (j.newcomers.iter()).map(|(k, _)| catalogue.ingredient(*k).commonness);
        each.max().map(|most| most.max(Commonness::Trade))
    };
    // Rules at equal acid come in the order they were worked out.
    found.sort_by_cached_key(|j| {
        let equal = j.rule == acid::RULE;
        (
            unnamed(j),
            speaks_against(j),
            !own(j),
            open && j.strength == "weak",
            foremost(j),
            std::cmp::Reverse(jobs_kept(j)),
            surety.get(j.strength.as_str()).copied().unwrap_or(3),
            burdens(j).min(1),
            rare(j),
            j.newcomers.len(),
            if equal { String::new() } else { j.rule.clone() },
        )
    });
}
