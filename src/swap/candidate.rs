//! Who may come in, how little and how much of each.

use std::collections::BTreeSet;

use crate::condition::{Facts, Truth, belongs, judge};
use crate::formula::{Assessor, Dish, Formula, Part};
use crate::model::{
    Catalogue, Commonness, Dial, DishKind, Group, Ingredient, IngredientKey, PRICE, RuleKind, Test,
    Value, Wish,
};

use super::target::Target;

/// Least share of the batch of a newcomer that brings bulk, %. Less is not worth a line in a formula. Source: memory.
const LEAST_BULK_PERCENT: f64 = 0.25;
/// Least sweetness an intense sweetener brings, points. Source: memory.
const LEAST_INTENSE_POINTS: f64 = 0.25;

/// Share of a newcomer whose price must be known where price decides, %: all, but for rounding.
const PRICED: f64 = 100.0 - 1e-6;

/// One ingredient that may come in.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// Which.
    pub key: IngredientKey,
    /// Least grams when it comes.
    pub least: f64,
    /// Greatest grams.
    pub most: f64,
    /// Why no more: use level or law, in words; empty when only the batch limits it.
    pub limit: String,
}

/// Who may come in, and who was left out for want of knowledge.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Candidates {
    /// May come in, in catalogue order.
    pub list: Vec<Candidate>,
    /// Left out because the data does not say whether they meet the wish.
    pub unknown: Vec<IngredientKey>,
    /// Left out because they do not meet the wish.
    pub refused: usize,
    /// How many were left out because their price is not known and decides.
    pub unpriced: usize,
}

/// Collects the candidates for `leavers`, in a batch of `formula`.
pub fn candidates(
    assessor: Assessor<'_>,
    formula: &Formula,
    leavers: &[IngredientKey],
    wish: &Wish,
    targets: &[Target],
) -> Candidates {
    let catalogue = assessor.catalogue;
    let batch = formula.grams();
    let state = assessor.state(formula);
    let frozen = Dish::of(assessor, formula, &state).kind == DishKind::Frozen;
    let mut found = Candidates::default();
    let price_decides =
        targets.iter().any(|t| t.dial == Dial::Price) || wish.newcomer.asks_property(PRICE);
    let named = named(catalogue, wish);
    let shelved = wish
        .shelf
        .iter()
        .flatten()
        .filter_map(|id| catalogue.key(id));
    // Where what goes stands above its own usual use, what was named for it may too.
    let beyond = match &wish.shelf {
        Some(_) => beyond_use(catalogue, formula, leavers, frozen),
        None => 1.0,
    };
    let on_demand = named
        .iter()
        .copied()
        .chain(shelved)
        .filter(|key| !catalogue.listed(*key));
    let on_demand: BTreeSet<IngredientKey> = on_demand.collect();
    for key in catalogue.keys().chain(on_demand) {
        let ingredient = catalogue.ingredient(key);
        let shelved = wish
            .shelf
            .as_ref()
            .is_none_or(|shelf| shelf.contains(&ingredient.id));
        let stocked = ingredient.commonness < Commonness::Industry
            || wish.shelf.is_some()
            || formula.grams_of(key) > 0.0;
        let mut may = leavers.iter().map(|leaver| catalogue.ingredient(*leaver));
        // What the person named may come in, whatever a cook would take; what only factories buy
        // helps her where a rule of the trade names it, however well its numbers fit.
        let may = named.contains(&key)
            || may.any(|leaver| {
                may_stand_in(catalogue, leaver, ingredient)
                    && (stocked || vouched(catalogue, leaver, ingredient))
            });
        if leavers.contains(&key) || !shelved || !may {
            continue;
        }
        if price_decides && assessor.profile(key).number(Part::Priced) < PRICED {
            found.unpriced += 1;
            continue;
        }
        match judge(&wish.newcomer, &Facts::of_newcomer(catalogue, ingredient)) {
            Truth::Yes => {}
            Truth::No => {
                found.refused += 1;
                continue;
            }
            Truth::Unknown => {
                found.unknown.push(key);
                continue;
            }
        }
        let profile = assessor.profile(key);
        let needed = |dial: Dial| match dial {
            Dial::Sweetness if ingredient.does("sweetener") => {
                profile.figure(Part::Sugars).is_some()
                    || profile.figure(Part::Polyols).is_some()
                    || profile.figure(Part::RelativeSweetness).is_some()
            }
            Dial::Fat | Dial::TotalSolids | Dial::Water => {
                profile.figure(Part::Water).is_some()
                    || profile.sums.part(Part::Sugars) > 0.9
                    || ingredient.family == "intense-sweetener"
                    || profile.sums.part(Part::Polyols) > 0.9
            }
            _ => true,
        };
        if targets.iter().any(|t| t.asked && !needed(t.dial)) {
            found.unknown.push(key);
            continue;
        }
        let intense = ingredient.family == "intense-sweetener";
        let strength = profile.sums.fixed_sweetness.max(1.0);
        let least = if intense {
            LEAST_INTENSE_POINTS / 100.0 * batch / strength
        } else {
            LEAST_BULK_PERCENT / 100.0 * batch
        };
        let (most, limit) = limit_times(ingredient, batch, frozen, beyond);
        if most >= least {
            found.list.push(Candidate {
                key,
                least,
                most,
                limit,
            });
        }
    }
    found
}

/// Whether a swap rule names a newcomer, alone or with others, for what goes.
pub fn vouched(catalogue: &Catalogue, leaver: &Ingredient, newcomer: &Ingredient) -> bool {
    catalogue.rules.iter().any(|rule| match &rule.kind {
        RuleKind::Swap { newcomers, .. } => {
            newcomers.contains(&newcomer.id) && super::job::concerns(rule, leaver)
        }
        _ => false,
    })
}

/// What the wish names by name, also what is no listed ingredient but was worked out, such as a syrup
/// of some DE.
fn named(catalogue: &Catalogue, wish: &Wish) -> Vec<IngredientKey> {
    let mut named: Vec<IngredientKey> = vec![];
    let mut note = |id: &String| {
        let key = catalogue.key(id);
        named.extend(key.filter(|key| !named.contains(key)));
    };
    wish.newcomer.visit(&mut |test| {
        if let Test::Is(_, Group::Ingredient(id)) = test {
            note(id);
        }
    });
    named
}

/// Whether the candidate rules let `newcomer` stand in for `leaver`; without such a rule, whether
/// they share their first job.
pub fn may_stand_in(catalogue: &Catalogue, leaver: &Ingredient, newcomer: &Ingredient) -> bool {
    let mut ruled = false;
    for rule in &catalogue.rules {
        let RuleKind::Candidate { out } = &rule.kind else {
            continue;
        };
        let about = belongs(leaver, out);
        if about {
            ruled = true;
            let facts = Facts {
                catalogue,
                this: None,
                newcomer: Some(newcomer),
                leaver: Some(leaver),
                mix: None,
            };
            if judge(&rule.when, &facts) != Truth::No {
                return true;
            }
        }
    }
    !ruled
        && leaver
            .functions
            .first()
            .is_some_and(|job| newcomer.does(job))
}

/// The greatest dose by usual use and by law, g in this batch: of frozen food in a mix that is frozen, else of
/// any other.
pub fn limit(ingredient: &Ingredient, batch: f64, frozen: bool) -> (f64, String) {
    limit_times(ingredient, batch, frozen, 1.0)
}

/// The same where usual use is passed so many times; the law is not.
fn limit_times(ingredient: &Ingredient, batch: f64, frozen: bool, times: f64) -> (f64, String) {
    let (usual, why) = usual_limit(ingredient, batch, frozen);
    let usual = (usual * times).min(batch);
    let legal = legal_limit(ingredient, batch);
    if legal.0 < usual { legal } else { (usual, why) }
}

/// How many times its usual use what goes stands in a formula, the most of several; 1 where none passes it.
fn beyond_use(
    catalogue: &Catalogue,
    formula: &Formula,
    leavers: &[IngredientKey],
    frozen: bool,
) -> f64 {
    let dosed = leavers.iter().map(|key| {
        let (usual, _) = usual_limit(catalogue.ingredient(*key), formula.grams(), frozen);
        formula.grams_of(*key) / usual.max(1e-9)
    });
    dosed.fold(1.0, f64::max)
}

/// The greatest dose of usual use, g; the whole batch where none is on file.
fn usual_limit(ingredient: &Ingredient, batch: f64, frozen: bool) -> (f64, String) {
    // The person's own, else that of frozen food, else any; what a frozen mix takes bounds no other dish.
    let of_frozen = |v: &&Value| matches!(v.condition("use"), Some("frozen"));
    let levels = ingredient.all("use_level");
    let levels = levels.filter(|v| frozen || v.own || !of_frozen(v));
    let usual = levels.min_by_key(|v| (!v.own, frozen && !of_frozen(v)));
    match usual.and_then(|v| v.range()) {
        Some((_, high)) if high < 100.0 => {
            (high * batch / 100.0, format!("usual use up to {high} %"))
        }
        _ => (batch, String::new()),
    }
}

/// The greatest dose by the limits stated with the ingredient, g; the whole batch where none is on file.
fn legal_limit(ingredient: &Ingredient, batch: f64) -> (f64, String) {
    let mut most = (batch, String::new());
    for value in ingredient.all("maximum_level") {
        let food = value.condition("food").unwrap_or("").to_lowercase();
        let meant = food.contains("ices") || food.contains("ice cream") || food.contains("frozen");
        if let (true, Some(milligrams)) = (meant, value.figure()) {
            let grams = milligrams * batch / 1e6;
            if grams < most.0 {
                let jurisdiction = value.condition("jurisdiction").unwrap_or("legal");
                let reason = format!("{jurisdiction} limit {milligrams} mg/kg in {food}");
                most = (grams, reason);
            }
        }
    }
    most
}
