//! What is asked of a formula, in a sentence each: its diets, its allergens, its figures.

use super::Engine;
use super::number;
use crate::condition::{self, Facts, Truth, judge};
use crate::formula::{Formula, weighed};
use crate::model::{Dial, Expr, Subject, Test};
use crate::query::About;

/// How many portions of so many grams a formula makes, and what is over.
fn portions(formula: &Formula, grams: f64) -> String {
    let count = (formula.grams() / grams + ROUNDING).floor();
    let over = (formula.grams() - count * grams).max(0.0);
    format!(
        "{count} portions of {} g, {} g over, from {} g as weighed; count off what stays in the pan, boils away or is trimmed",
        weighed(grams),
        weighed(over),
        weighed(formula.grams())
    )
}

/// Part of a portion by which a whole one may seem to be missed, of rounding alone.
const ROUNDING: f64 = 1e-9;

impl Engine {
    /// A sentence or more for each thing asked of a formula.
    pub fn tell(&self, formula: &Formula, about: &[About]) -> Vec<String> {
        let each = about.iter().flat_map(|one| match one {
            About::Diet(diet) => vec![self.diet(formula, diet)],
            About::Contains(allergen) => vec![self.allergen_of(formula, allergen)],
            About::Allergens => vec![self.allergens_of(formula)],
            About::Dial(dial) => vec![self.figure_of(formula, *dial)],
            About::Claim(claim) => self.claimed(formula, claim),
            About::Label => vec![self.labelled(formula)],
            About::Portions(grams) => vec![portions(formula, *grams)],
        });
        each.collect()
    }

    fn allergen_of(&self, formula: &Formula, allergen: &str) -> String {
        let test = Expr::Test(Test::Contains(Subject::This, allergen.to_string()));
        let (held, unknown, _) = self.sorted(formula, &test);
        let mut said = match held.is_empty() {
            false => format!("{allergen} is stated of {}", held.join(", ")),
            true => format!("{allergen} is not stated of any ingredient"),
        };
        if !unknown.is_empty() {
            said += &format!("; not settled for {}", unknown.join(", "));
        }
        said + "; contact with others in the making is not covered: read the labels"
    }

    fn allergens_of(&self, formula: &Formula) -> String {
        let apart = formula.merged().taken_apart(&self.catalogue);
        let stated = match self.stated_allergens(&apart) {
            none if none.is_empty() => "no allergen is stated of what is in it".to_string(),
            stated => stated.join(". "),
        };
        stated + ". What is not stated is not ruled out: read the labels"
    }

    fn diet(&self, formula: &Formula, diet: &str) -> String {
        let Ok(test) = condition::parse(diet, &self.catalogue) else {
            return format!("{diet} is no state of an ingredient");
        };
        let (_, unknown, against) = self.sorted(formula, &test);
        match (against.is_empty(), unknown.is_empty()) {
            (true, true) => {
                format!("every ingredient is stated {diet}; read the labels of what you buy")
            }
            (false, true) => format!("not {diet}: {}", against.join(", ")),
            (true, false) => format!("not stated {diet}: {}; ask the maker", unknown.join(", ")),
            (false, false) => format!(
                "not {diet}: {}; not stated: {}",
                against.join(", "),
                unknown.join(", ")
            ),
        }
    }

    fn figure_of(&self, formula: &Formula, dial: Dial) -> String {
        let state = self.assessor().state(formula);
        let Some(value) = state.dial(dial) else {
            return format!("the {} of this mix cannot be worked out", dial.name());
        };
        format!("{} {} {}", dial.name(), number(dial, value), dial.unit())
    }

    /// The names of what meets a condition, of what is not stated, and of what does not meet it.
    pub(super) fn sorted(
        &self,
        formula: &Formula,
        test: &Expr,
    ) -> (Vec<String>, Vec<String>, Vec<String>) {
        let mut sorted = (vec![], vec![], vec![]);
        for line in &formula.merged().lines {
            let ingredient = self.catalogue.ingredient(line.key);
            let list = match judge(test, &Facts::of(&self.catalogue, ingredient)) {
                Truth::Yes => &mut sorted.0,
                Truth::Unknown => &mut sorted.1,
                Truth::No => &mut sorted.2,
            };
            list.push(ingredient.name.clone());
        }
        sorted
    }
}
