//! Whether a claim on nutrition may be made of a formula, by the table `data/label/claims.csv`.

use super::Engine;
use super::label::LabelOptions;
use crate::answer::NutrientOut;
use crate::condition;
use crate::formula::{Formula, weighed};
use crate::model::fold;
use crate::model::label::Claim;

/// Where figures of the mix are worked out; the claim's own place gives only its limit.
const FIGURES: &str = "EU";
/// Milligrams of sodium in a gram of salt. Source: eu-1169-2011, Annex I point 11: salt = sodium x 2.5.
const SODIUM_IN_SALT: f64 = 400.0;
/// Energy of a gram of protein, kcal. Source: eu-1169-2011, Annex XIV.
const PROTEIN_ENERGY: f64 = 4.0;
/// Kilojoules in a kilocalorie, of the thermochemical calorie by definition.
const KILOJOULES: f64 = 4.184;
/// A serving of 100 g, nothing boiled off.
const PLAIN: LabelOptions = LabelOptions {
    serving_g: 100.0,
    finished_g: None,
};
/// What a claim on sugar added speaks of.
const ADDED: &str = "added sugar";
/// The table of diets, and the diet that says what counts as sugar.
const DIETS: &str = "diets";
const NO_ADDED: &str = "no added sugar";
/// Said of every claim.
const CHECK: &str =
    "A claim is the maker's to prove: have it checked by your local code and a laboratory.";

/// How a mix stands to the limit of a claim.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Verdict {
    Yes,
    No,
    Open,
}

/// What a mix holds of something, from the least to the most it can be.
#[derive(Debug, Clone, Copy)]
struct Held {
    least: f64,
    most: f64,
}

impl Engine {
    /// How the formula stands to a claim, a sentence for each limit of each place it is on file for; last
    /// that it is to be checked.
    pub(super) fn claimed(&self, formula: &Formula, said: &str) -> Vec<String> {
        let table = self.label(formula, FIGURES, PLAIN);
        let table = table.map_or(vec![], |label| label.nutrition);
        let claims = self.catalogue.labels.claims_said(&fold(said));
        let each = claims.iter().map(|claim| match claim.nutrient == ADDED {
            true => judged(claim, &self.added(formula)),
            false => judged(claim, &stands(claim, &table)),
        });
        each.chain([CHECK.to_string()]).collect()
    }

    /// What of a formula is sugar added, by the diet of that name.
    fn added(&self, formula: &Formula) -> String {
        let mut words = self.catalogue.words.iter();
        let diet = words.find(|w| w.table == DIETS && w.word == NO_ADDED);
        let test = diet.and_then(|w| condition::parse(&w.meaning, &self.catalogue).ok());
        let Some(test) = test else {
            return "not judged here.".to_string();
        };
        let (_, _, sugars) = self.sorted(formula, &test);
        match sugars.is_empty() {
            true => "no sugar or syrup is in it; sweetened parts must be checked.".to_string(),
            false => format!("no: {} is added.", sugars.join(", ")),
        }
    }

    /// The list of ingredients and the allergens of a draft label.
    pub(super) fn labelled(&self, formula: &Formula) -> String {
        match self.label(formula, FIGURES, PLAIN) {
            Ok(label) => {
                let contains = match label.contains.is_empty() {
                    true => String::new(),
                    false => format!(" {}", label.contains),
                };
                let unjudged = match formula.unjudged() {
                    none if none.is_empty() => none,
                    said => format!(" Not in it: {said}"),
                };
                format!(
                    "Draft list ({FIGURES}): {}.{unjudged}{contains} For the whole draft and other places: `tamis label`.",
                    label.ingredients.trim_end_matches('.')
                )
            }
            Err(problems) => problems.to_string(),
        }
    }
}

fn judged(claim: &Claim, stands: &str) -> String {
    let asks = match claim.comparison.as_str() {
        "less by" => format!("{} % less than a like product", claim.figure),
        "more by" => format!("{} % more than a like product", claim.figure),
        comparison => format!("{comparison} {} {}", claim.figure, claim.unit),
    };
    let of = match claim.nutrient.as_str() {
        "" => String::new(),
        nutrient => format!(" {nutrient}"),
    };
    let condition = match claim.condition.as_str() {
        "" => String::new(),
        condition => format!(" ({condition})"),
    };
    let source = match claim.locator.as_str() {
        "" => format!("[{}]", claim.source),
        locator => format!("[{}, {locator}]", claim.source),
    };
    format!(
        "{} ({}): {stands} It asks{of} {asks}{condition} {source}.",
        claim.name, claim.jurisdiction
    )
}

/// How the formula stands to the limit, as a sentence.
fn stands(claim: &Claim, table: &[NutrientOut]) -> String {
    let Some((held, unit)) = held(claim, table) else {
        return "not judged here.".to_string();
    };
    let shown = |x: f64| weighed((x * 10.0).round() / 10.0);
    let holds = match held.most - held.least < 0.05 {
        true => format!("this holds {} {unit}", shown(held.most)),
        false => format!(
            "this holds {} to {} {unit}, as not all state it",
            shown(held.least),
            shown(held.most)
        ),
    };
    let part = claim.figure / 100.0;
    match claim.comparison.as_str() {
        "less by" => format!(
            "{holds}; the like product must hold {} or more.",
            shown(held.most / (1.0 - part))
        ),
        "more by" => format!(
            "{holds}; the like product must hold {} or less.",
            shown(held.least / (1.0 + part))
        ),
        comparison => {
            let verdict = match verdict(comparison, claim.figure, held) {
                Verdict::Yes => "within the figure",
                Verdict::No => "no",
                Verdict::Open => "open",
            };
            format!("{verdict}: {holds}.")
        }
    }
}

fn verdict(comparison: &str, figure: f64, held: Held) -> Verdict {
    let (all, any) = match comparison {
        "at most" => (held.most <= figure, held.least <= figure),
        "below" => (held.most < figure, held.least < figure),
        "at least" => (held.least >= figure, held.most >= figure),
        _ => return Verdict::Open,
    };
    match (all, any) {
        (true, _) => Verdict::Yes,
        (false, true) => Verdict::Open,
        (false, false) => Verdict::No,
    }
}

/// What the mix holds on the basis of a claim, with its unit; `None` where the basis is a serving, a
/// volume or a daily value, or the nutrient is not on the label.
fn held(claim: &Claim, table: &[NutrientOut]) -> Option<(Held, &'static str)> {
    let of = |nutrient: &str| {
        let row = table.iter().find(|row| row.nutrient == nutrient)?;
        let least = row.at_least_per_100_g;
        Some(Held {
            least,
            most: least + row.may_be_more_by,
        })
    };
    let times = |held: Held, by: f64| Held {
        least: held.least * by,
        most: held.most * by,
    };
    let energy = || of("energy").map(|held| times(held, 1.0 / KILOJOULES));
    let mass = || match claim.nutrient.as_str() {
        "energy" => Some((energy()?, "kcal/100 g")),
        "sodium" => Some((times(of("salt")?, SODIUM_IN_SALT), "mg/100 g")),
        nutrient => Some((of(nutrient)?, "g/100 g")),
    };
    match claim.unit.as_str() {
        "g/100 g" | "mg/100 g" | "kcal/100 g" | "% of reference" => mass(),
        "% of energy" if claim.nutrient == "protein" => {
            let (protein, energy) = (of("protein")?, energy()?);
            let share = |grams: f64, kcal: f64| 100.0 * PROTEIN_ENERGY * grams / kcal.max(1e-9);
            let held = Held {
                least: share(protein.least, energy.most),
                most: share(protein.most, energy.least),
            };
            Some((held, "% of its energy as protein"))
        }
        "g/100 kcal" => {
            let (held, energy) = (of(&claim.nutrient)?, energy()?);
            let held = Held {
                least: 100.0 * held.least / energy.most.max(1e-9),
                most: 100.0 * held.most / energy.least.max(1e-9),
            };
            Some((held, "g/100 kcal"))
        }
        _ => None,
    }
}
