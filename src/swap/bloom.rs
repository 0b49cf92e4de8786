//! Gelatin for gelatin: exchanged at equal gel.

use super::job::JobSwap;
use crate::formula::{Assessor, Part};
use crate::model::IngredientKey;
use crate::model::rule::Span;

/// The property that says how strongly a gelatin sets.
const BLOOM: &str = "bloom";
/// Rule id and source of an exchange at equal gel.
const RULE: &str = "sqrt-bloom";
/// The job it does.
const SETS: &str = "gelling agent";

/// Gel strength of a gram: its protein times the square root of its Bloom strength; `None` for what has none.
///
/// Equation: dose2 = dose1 sqrt(B1 / B2) at equal protein; valid for 50 to 300 Bloom; source `sqrt-bloom`.
fn strength(assessor: Assessor<'_>, key: IngredientKey) -> Option<f64> {
    let bloom = assessor.catalogue.ingredient(key).number(BLOOM)?;
    let protein = assessor.profile(key).number(Part::Protein);
    (bloom > 0.0 && protein > 0.0).then(|| protein * bloom.sqrt())
}

/// Grams of one gelatin that set as `grams` of another do; `None` where one of them is none.
pub(super) fn equal_gel(
    assessor: Assessor<'_>,
    grams: f64,
    from: IngredientKey,
    to: IngredientKey,
) -> Option<f64> {
    Some(grams * strength(assessor, from)? / strength(assessor, to)?)
}

/// The gelatins that set as `grams` of another does; beside those listed, those named.
pub(super) fn equally_strong(
    assessor: Assessor<'_>,
    leaver: IngredientKey,
    grams: f64,
    named: &[IngredientKey],
) -> Vec<JobSwap> {
    let catalogue = assessor.catalogue;
    let out = catalogue.ingredient(leaver);
    let mut keys: Vec<IngredientKey> = catalogue.keys().collect();
    keys.extend(named.iter().filter(|key| !catalogue.listed(**key)));
    let each = keys.into_iter().filter(|key| *key != leaver);
    let swaps = each.filter_map(|key| {
        let typical = equal_gel(assessor, grams, leaver, key)?;
        let into = catalogue.ingredient(key);
        let plain = grams * typical * typical / (grams * grams).max(1e-9);
        let (one, other) = (grams.min(plain), grams.max(plain));
        Some(JobSwap {
            rule: RULE.into(),
            jobs: vec![SETS.into()],
            newcomers: vec![(
                key,
                Span {
                    low: one.min(typical),
                    typical,
                    high: other.max(typical),
                },
            )],
            lost: String::new(),
            changes: into.text("dispersal").unwrap_or_default().to_string(),
            because: format!(
                "As firm a gel: {:.2} g of {} for a gram of {}, by the square root of the ratio of their Bloom strengths.",
                typical / grams.max(1e-9),
                into.name,
                out.name
            ),
            strength: "strong".into(),
            source: RULE.into(),
            locator: String::new(),
        })
    });
    swaps.collect()
}
