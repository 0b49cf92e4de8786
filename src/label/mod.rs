//! A label draft: the list of ingredients, allergens, nutrition and statements of a formula in one
//! jurisdiction. What each asks for stands in `data/label/`; this room knows no law by itself.

mod allergens;
mod list;
mod notices;
mod nutrition;
mod round;

pub use nutrition::{Range, held};
pub use round::shown;

use crate::answer::{LabelOut, LabelRuleOut};
use crate::formula::{Assessor, Formula};
use crate::model::DishKind;
use crate::model::label::{Jurisdiction, Labels};

/// What every draft says of itself.
const DRAFT: &str =
    "A draft for a qualified person to check against the law in force; it is no label.";

/// What a draft may be told beside the formula.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Options {
    /// Weight of a serving, g.
    pub serving_g: f64,
    /// What comes out of the batch, g, where something evaporates.
    pub finished_g: Option<f64>,
}

/// A formula before the tables of one jurisdiction.
struct Case<'a> {
    assessor: Assessor<'a>,
    labels: &'a Labels,
    jurisdiction: &'a Jurisdiction,
    /// It and those it follows, nearest first.
    chain: Vec<&'a str>,
    /// The formula as bought, one line per ingredient.
    bought: Formula,
    /// The same with what is put together taken apart.
    apart: Formula,
    kind: DishKind,
    finished: f64,
    serving: f64,
}

/// The draft of a formula.
pub fn draft<'a>(
    assessor: Assessor<'a>,
    formula: &Formula,
    jurisdiction: &'a Jurisdiction,
    kind: DishKind,
    options: Options,
) -> LabelOut {
    let labels = &assessor.catalogue.labels;
    let bought = formula.merged();
    let case = Case {
        assessor,
        labels,
        jurisdiction,
        chain: labels.chain(jurisdiction),
        apart: bought.taken_apart(assessor.catalogue),
        kind,
        finished: options.finished_g.unwrap_or(bought.grams()),
        serving: options.serving_g,
        bought,
    };
    let allergens = case.allergens();
    let list = case.list(&allergens);
    let (nutrition, energy) = case.nutrition();
    let mut ask = list.ask;
    ask.extend(allergens.ask());
    ask.extend(case.unsure());
    let bases: Vec<String> = case.bases().into_iter().map(str::to_string).collect();
    let contains = allergens.contains();
    let unknown = nutrition
        .iter()
        .filter(|n| n.required && n.per_100_g.is_none());
    let lacking: Vec<&str> = unknown.map(|n| n.label.as_str()).collect();
    let summary = summary(&case, &contains, ask.len(), &lacking);
    LabelOut {
        summary,
        draft: DRAFT.into(),
        name: formula.name.clone(),
        jurisdiction: jurisdiction.id.clone(),
        jurisdiction_name: jurisdiction.name.clone(),
        batch_g: case.bought.grams(),
        finished_g: case.finished,
        serving_g: case.serving,
        ingredients: list.text,
        emphasised: list.emphasised,
        parts: list.parts,
        contains: match labels.holds(&case.chain, "contains") && !contains.is_empty() {
            true => format!("Contains: {}.", contains.join(", ")),
            false => String::new(),
        },
        allergens: allergens.out(),
        bases,
        nutrition,
        energy,
        notices: case.notices(),
        ask,
        not_in_draft: (labels.rule(&case.chain, "not-in-draft").iter())
            .flat_map(|r| r.text.split(';').map(|part| part.trim().to_string()))
            .collect(),
        rules: case.rules(),
    }
}

fn summary(case: &Case<'_>, contains: &[String], ask: usize, lacking: &[&str]) -> String {
    let mut said = vec![match contains {
        [] => "no allergen of its list is stated, which is no proof of absence".to_string(),
        named => format!("contains {}", named.join(", ")),
    }];
    if ask > 0 {
        let points = if ask == 1 { "point" } else { "points" };
        said.push(format!("{ask} {points} to ask of makers"));
    }
    if !lacking.is_empty() {
        said.push(format!("not known: {}", lacking.join(", ")));
    }
    format!(
        "Label draft of {}, {}: {}.",
        case.bought.name,
        case.jurisdiction.name,
        said.join("; ")
    )
}

impl<'a> Case<'a> {
    /// Bases of the nutrition table, in the order the law puts them.
    fn bases(&self) -> Vec<&'a str> {
        let rule = self.labels.rule(&self.chain, "bases");
        let bases = rule.iter().flat_map(|r| r.value.split(';'));
        bases.map(str::trim).filter(|b| !b.is_empty()).collect()
    }

    /// Grams of the food in one basis.
    fn grams_in(&self, basis: &str) -> f64 {
        match basis {
            "serving" => self.serving,
            _ => 100.0,
        }
    }

    /// What was taken for granted or left aside in reading the formula: a label cannot rest on it.
    fn unsure(&self) -> Vec<String> {
        let taken = self.bought.assumed.iter().map(|a| {
            let name = &self.assessor.catalogue.ingredient(a.key).name;
            format!("whether `{}` is {name}: {}", a.typed, a.said.join("; "))
        });
        let aside = self.bought.aside.iter();
        taken
            .chain(aside.map(|said| format!("the formula: {said}")))
            .collect()
    }

    fn rules(&self) -> Vec<LabelRuleOut> {
        let mut told: Vec<&str> = vec![];
        let mut out = vec![];
        for place in &self.chain {
            for rule in self
                .labels
                .rules
                .iter()
                .filter(|r| r.jurisdiction == *place)
            {
                if !told.contains(&rule.rule.as_str()) {
                    told.push(&rule.rule);
                    out.push(LabelRuleOut {
                        rule: rule.rule.clone(),
                        text: rule.text.clone(),
                        source: rule.source.clone(),
                        locator: rule.locator.clone(),
                    });
                }
            }
        }
        out
    }
}
