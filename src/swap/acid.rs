//! Sour for sour: acids exchanged at equal titratable acid.

use super::job::JobSwap;
use crate::formula::{Assessor, Formula, Part};
use crate::model::rule::Span;
use crate::model::{Ingredient, IngredientKey};

/// The job an acid does.
pub const SOURNESS: &str = "acidity regulator";
/// Rule id and source of an exchange at equal acid.
pub(super) const RULE: &str = "equal-acid";
/// How far published strengths of one juice or vinegar stray, as a share of the typical dose.
/// Source: memory (lemon juice runs from about 4.5 to 6 % acid).
const STRAY: f64 = 0.1;
/// Grams of citric acid per mole of acid it can give up: 192.12 over three.
const CITRIC: f64 = 192.12 / 3.0;
/// Acids counted one by one, with the grams per mole of acid each can give up (molar mass over
/// the number of acid groups).
const ACIDS: [(Part, f64); 5] = [
    (Part::CitricAcid, CITRIC),
    (Part::MalicAcid, 134.09 / 2.0),
    (Part::TartaricAcid, 150.09 / 2.0),
    (Part::LacticAcid, 90.08),
    (Part::AceticAcid, 60.05),
];

/// Titratable acid of one gram, as grams of citric acid; zero where no acid is stated.
///
/// Acid that a source counts without naming it is taken as acetic in a vinegar and as citric in a fruit.
pub fn as_citric(assessor: Assessor<'_>, key: IngredientKey) -> f64 {
    let profile = assessor.profile(key);
    let named: f64 = ACIDS.iter().map(|(part, _)| profile.number(*part)).sum();
    let counted: f64 = ACIDS
        .iter()
        .map(|(part, equivalent)| profile.number(*part) * CITRIC / equivalent)
        .sum();
    let rest = (profile.number(Part::OrganicAcids) - named).max(0.0);
    let ingredient = assessor.catalogue.ingredient(key);
    let rest = match ingredient.family.as_str() {
        "fruit" | "fruit-product" => rest,
        "acid" if ingredient.form == "liquid" => rest * CITRIC / 60.05,
        _ => 0.0,
    };
    (counted + rest) / 100.0
}

/// Titratable acid of a mix as citric acid, g per 100 g.
pub fn acidity(assessor: Assessor<'_>, formula: &Formula) -> f64 {
    let acid: f64 = formula
        .lines
        .iter()
        .map(|line| line.grams * as_citric(assessor, line.key))
        .sum();
    100.0 * acid / formula.grams().max(1e-9)
}

/// Whether an ingredient is there to sour: its foremost job, and an acid or a sour juice.
pub fn sours(ingredient: &Ingredient) -> bool {
    ingredient.functions.first().is_some_and(|f| f == SOURNESS)
        && ["acid", "fruit-product"].contains(&ingredient.family.as_str())
}

/// What sours as much as `grams` of a leaver: pure acids first, then juices, then vinegars.
pub(super) fn equally_sour(
    assessor: Assessor<'_>,
    leaver: IngredientKey,
    grams: f64,
) -> Vec<JobSwap> {
    let catalogue = assessor.catalogue;
    let out = catalogue.ingredient(leaver);
    let theirs = as_citric(assessor, leaver);
    if !sours(out) || theirs <= 0.0 {
        return vec![];
    }
    let mut found: Vec<(u8, JobSwap)> = vec![];
    for key in catalogue.keys() {
        let ingredient = catalogue.ingredient(key);
        let mine = as_citric(assessor, key);
        if key == leaver || !sours(ingredient) || mine <= 0.0 {
            continue;
        }
        let typical = grams * theirs / mine;
        let pure = ingredient.form != "liquid" && ingredient.form != "fresh";
        let stray = if pure { 0.0 } else { STRAY };
        let flavour = |i: &Ingredient| i.does("flavour");
        let lost = match flavour(out) {
            true => format!("the flavour of {}", out.name),
            false => String::new(),
        };
        let mut changes = vec![];
        if flavour(ingredient) {
            changes.push(format!("brings the taste of {}", ingredient.name));
        }
        if pure {
            changes.push("dissolve it in a little of the water and add it last, cold".into());
        }
        let job = JobSwap {
            rule: RULE.into(),
            jobs: vec![SOURNESS.into()],
            newcomers: vec![(
                key,
                Span {
                    low: typical * (1.0 - stray),
                    typical,
                    high: typical * (1.0 + stray),
                },
            )],
            lost,
            changes: changes.join("; "),
            because: format!(
                "As much acid as before: a gram of {} gives what {:.2} g of {} do. Acids differ in onset and length, so taste.",
                out.name,
                theirs / mine,
                ingredient.name
            ),
            strength: "moderate".into(),
            source: RULE.into(),
            locator: String::new(),
        };
        let place = match ingredient.functions.iter().any(|f| f == "preservative") {
            true => 2,
            false => u8::from(!pure),
        };
        found.push((place, job));
    }
    found.sort_by(|(a, x), (b, y)| {
        a.cmp(b).then_with(|| {
            x.newcomers[0]
                .1
                .typical
                .total_cmp(&y.newcomers[0].1.typical)
        })
    });
    found.into_iter().map(|(_, job)| job).collect()
}
