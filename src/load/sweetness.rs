//! Checks of sweetness: every sugar has its ratio, and a syrup's figure agrees with its sugars.

use std::collections::BTreeMap;

use crate::diagnostic::Diagnostic;
use crate::model::{Catalogue, Ingredient, Value};

const PROPERTY: &str = "relative_sweetness";
/// Sugars and polyols every mix is tasted by, and the longer chains of a syrup.
const KINDS: [&str; 19] = [
    "sucrose",
    "glucose",
    "fructose",
    "galactose",
    "maltose",
    "lactose",
    "trehalose",
    "isomaltulose",
    "allulose",
    "tagatose",
    "sorbitol",
    "mannitol",
    "xylitol",
    "erythritol",
    "maltitol",
    "lactitol",
    "isomalt",
    "glycerol",
    HIGHER,
];
const HIGHER: &str = "higher_saccharides";
/// Whose sweetness is that of their sugars.
const SUGARS: &str = "sugar-family";
/// Disagreement of a figure with the sum of its sugars that has to be explained.
const APART: f64 = 0.25;
/// What analyses of the sugars may be off: ranges that part by less still meet. Source: memory.
const ANALYSIS: f64 = 0.05;
/// The words of the note that explains it.
const EXPLAINED: &str = "sum of its sugars";

/// Low, typical and high.
type Span = (f64, f64, f64);

fn span(value: &Value) -> Option<Span> {
    let (low, high) = value.range()?;
    Some((low, value.figure()?, high))
}

/// Every sugar, every polyol and the higher saccharides have a ratio for mixes.
pub fn ratio_missing(catalogue: &Catalogue) -> Vec<Diagnostic> {
    let known = catalogue.mixture_ratios();
    let missing = KINDS.iter().filter(|kind| !known.contains_key(*kind));
    missing
        .map(|kind| {
            Diagnostic::new(
                "D058",
                "data/values/sugar.csv",
                format!("no row says how sweet {kind} is in a mixture"),
            )
            .at(1, 0)
            .help(format!(
                "add a row of {PROPERTY} with the condition `use=mixture; of={kind}`"
            ))
        })
        .collect()
}

/// A figure of a syrup agrees with the sum of its sugars, or its note says why not.
pub fn apart_from_its_sugars(catalogue: &Catalogue) -> Vec<Diagnostic> {
    let ratios = catalogue.mixture_ratios();
    let mut found = vec![];
    for i in &catalogue.ingredients {
        let plain = i.is_of(SUGARS) && i.parts.is_empty();
        let Some(value) = i.value(PROPERTY).filter(|v| plain && !v.own) else {
            continue;
        };
        let Some(stated) = span(value) else {
            continue;
        };
        let dry = match value.condition("basis") {
            Some("dry") => 1.0 - i.number("water").unwrap_or(0.0) / 100.0,
            _ => 1.0,
        };
        let (low, typical, high) = (stated.0 * dry, stated.1 * dry, stated.2 * dry);
        let Some(sum) = summed(i, &ratios, typical) else {
            continue;
        };
        let apart = |one: f64, other: f64, most: f64| (one / other.max(1e-9) - 1.0) > most;
        let typically = apart(typical, sum.1, APART) || apart(sum.1, typical, APART);
        let wholly = apart(low, sum.2, ANALYSIS) || apart(sum.0, high, ANALYSIS);
        if (typically || wholly) && !value.note.contains(EXPLAINED) {
            found.push(
                Diagnostic::new(
                    "D059",
                    value.row.file.clone(),
                    format!(
                        "{} is stated as {typical:.2} ({low:.2} to {high:.2}) times as sweet as sugar, its sugars make {:.2} ({:.2} to {:.2})",
                        i.id, sum.1, sum.0, sum.2
                    ),
                )
                .at(value.row.line, 0)
                .help(format!(
                    "put the figure or the sugars right, or say in the note why it differs from the {EXPLAINED}"
                )),
            );
        }
    }
    found
}

/// Sweetness of a gram by its sugars; `None` where they are not known. Higher saccharides count
/// from nothing to as much as maltose at its sweetest, sugars that are not told from maltose to fructose, so that
/// the typical sum comes as near to what is stated as they let it.
fn summed(i: &Ingredient, ratios: &BTreeMap<&str, Span>, stated: f64) -> Option<Span> {
    let mut kinds: Vec<(&str, f64)> = KINDS
        .iter()
        .filter_map(|kind| Some((*kind, i.number(kind)?)))
        .collect();
    if let (true, Some(one), Some(two)) = (kinds.is_empty(), i.number("dp1"), i.number("dp2")) {
        let dry = 100.0 - i.number("water").unwrap_or(0.0) - i.number("ash").unwrap_or(0.0);
        kinds = vec![
            ("glucose", dry * one / 100.0),
            ("maltose", dry * two / 100.0),
            (HIGHER, dry * (100.0 - one - two) / 100.0),
        ];
    }
    if kinds.is_empty() {
        return None;
    }
    let (maltose, fructose) = (ratios.get("maltose")?, ratios.get("fructose")?);
    let told: f64 = kinds.iter().map(|(_, grams)| grams).sum();
    let unknown = (i.number("sugars").unwrap_or(0.0) - told).max(0.0);
    let mut sum = (unknown * maltose.0, 0.0, unknown * fructose.2);
    let mut open = (unknown * maltose.1, unknown * fructose.1);
    for (kind, grams) in kinds {
        let ratio = match kind {
            HIGHER => {
                open.1 += grams * maltose.2;
                (0.0, 0.0, maltose.2)
            }
            _ => *ratios.get(kind)?,
        };
        sum.0 += grams * ratio.0;
        sum.1 += grams * ratio.1;
        sum.2 += grams * ratio.2;
    }
    sum.1 += (100.0 * stated - sum.1).max(open.0).min(open.1);
    Some((sum.0 / 100.0, sum.1 / 100.0, sum.2 / 100.0))
}
