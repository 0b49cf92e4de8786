//! What a label must say and how it counts, by jurisdiction: the rows of `data/label/*.csv`.

use std::collections::BTreeSet;

use super::fold;

/// Ingredients a row speaks of, by id: the members of the groups, families and ingredients its cell
/// names, without those behind a `-`.
pub type Who = BTreeSet<String>;

/// A sum of properties with a factor each: `carbohydrate_available - polyols`, `0.0025 sodium`.
pub type Sum = Vec<(f64, String)>;

/// A place with a law of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Jurisdiction {
    /// Identifier, such as `EU`.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Whose rows hold where it has none; empty for nobody's.
    pub follows: String,
    /// Its list in `data/allergen-lists.csv`.
    pub allergen_list: String,
}

/// One rule of how a label is made.
#[derive(Debug, Clone, PartialEq)]
pub struct LabelRule {
    /// Where.
    pub jurisdiction: String,
    /// Which, such as `water-left-out`.
    pub rule: String,
    /// What it is set to; empty where its text says all.
    pub value: String,
    /// The rule in words.
    pub text: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
}

/// The name of ingredients in a list of ingredients.
#[derive(Debug, Clone, PartialEq)]
pub struct LabelName {
    /// Where.
    pub jurisdiction: String,
    /// Whose.
    pub who: Who,
    /// The name.
    pub name: String,
    /// It is a class name that stands without an additive's own.
    pub alone: bool,
}

/// Ingredients that stand together under one name, placed by their total.
#[derive(Debug, Clone, PartialEq)]
pub struct Together {
    /// Where.
    pub jurisdiction: String,
    /// The name before the brackets.
    pub name: String,
    /// Which.
    pub who: Who,
}

/// The class an additive is named by.
#[derive(Debug, Clone, PartialEq)]
pub struct AdditiveClass {
    /// What it does, a function of `data/ingredients.csv`.
    pub function: String,
    /// The kind of dish the row is for; empty for any.
    pub dish: String,
    /// The class name.
    pub class: String,
}

/// Ingredients with parts of their own that the label names.
#[derive(Debug, Clone, PartialEq)]
pub struct Compound {
    /// Which.
    pub who: Who,
    /// What stands in the brackets where the data state no parts.
    pub text: String,
}

/// One line of the nutrition table.
#[derive(Debug, Clone, PartialEq)]
pub struct Nutrient {
    /// Where.
    pub jurisdiction: String,
    /// Which, such as `saturates`.
    pub nutrient: String,
    /// Its words on the label.
    pub label: String,
    /// Its unit.
    pub unit: String,
    /// What it is the sum of; empty for energy and for what no data here hold.
    pub sum: Sum,
    /// Only of these the sum counts; empty for all.
    pub within: Who,
    /// What counts of all others, where the sum is of some.
    pub outside: Sum,
    /// Of these nothing counts.
    pub never: Who,
    /// How far it stands in.
    pub indent: usize,
    /// The law asks for it.
    pub required: bool,
    /// The most that lines which do not state it may add before it is not known, per 100 g in its
    /// unit: what the law lets stand as nothing.
    pub slack: f64,
    /// Daily value, in its unit.
    pub daily: Option<f64>,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
}

/// What a gram of something counts in energy.
#[derive(Debug, Clone, PartialEq)]
pub struct EnergyFactor {
    /// Where.
    pub jurisdiction: String,
    /// Of what.
    pub component: String,
    /// What that is the sum of.
    pub sum: Sum,
    /// kcal/g; `None` where kilocalories are not counted apart.
    pub kcal: Option<f64>,
    /// kJ/g; `None` where kilojoules are not counted.
    pub kilojoules: Option<f64>,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
}

/// How an amount is rounded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// To the nearest multiple.
    Multiple(f64),
    /// To so many significant figures.
    Figures(i32),
}

/// A band of amounts that are rounded alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// Where.
    pub jurisdiction: String,
    /// Of which nutrients.
    pub nutrients: Vec<String>,
    /// Where it ends; `None` for the last.
    pub upto: Option<f64>,
    /// The end belongs to it.
    pub inclusive: bool,
    /// How it is rounded; `None` where words stand.
    pub step: Option<Step>,
    /// What stands instead of a number.
    pub shown: String,
}

/// A statement a label must carry.
#[derive(Debug, Clone, PartialEq)]
pub struct Notice {
    /// Identifier.
    pub id: String,
    /// Where.
    pub jurisdiction: String,
    /// Which ingredients ask for it.
    pub who: Who,
    /// What is counted of them; empty for their weight.
    pub of: Sum,
    /// Above so much of the food, %.
    pub over: Option<f64>,
    /// From so much of the food, %.
    pub from: Option<f64>,
    /// Only where one of these is in it too; empty for any food.
    pub with: Who,
    /// Only where none of these is in it.
    pub without: Who,
    /// Where it stands.
    pub place: String,
    /// The statement.
    pub text: String,
    /// What a person must judge before it holds; empty where the figures decide.
    pub judge: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
}

/// All of it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Labels {
    /// Places.
    pub jurisdictions: Vec<Jurisdiction>,
    /// Rules.
    pub rules: Vec<LabelRule>,
    /// Names, first that fits.
    pub names: Vec<LabelName>,
    /// What stands together.
    pub together: Vec<Together>,
    /// Classes, first that fits.
    pub classes: Vec<AdditiveClass>,
    /// Compound ingredients, first that fits.
    pub compounds: Vec<Compound>,
    /// Nutrients, in the order of the table.
    pub nutrients: Vec<Nutrient>,
    /// Energy factors.
    pub energy: Vec<EnergyFactor>,
    /// Bands, smallest first.
    pub bands: Vec<Band>,
    /// Statements.
    pub notices: Vec<Notice>,
    /// Claims on nutrition.
    pub claims: Vec<Claim>,
    /// Sources the tables rest on.
    pub sources: BTreeSet<String>,
}

/// What a claim on nutrition asks of a food: `sugars-free` in the EU, at most 0.5 g/100 g.
#[derive(Debug, Clone, PartialEq)]
pub struct Claim {
    /// Its name.
    pub name: String,
    /// How people say it.
    pub words: Vec<String>,
    /// Where.
    pub jurisdiction: String,
    /// What it speaks of, as the label's table names it; empty where the claim names it itself.
    pub nutrient: String,
    /// One of [`Claim::COMPARISONS`].
    pub comparison: String,
    /// The figure.
    pub figure: f64,
    /// Its unit and basis: `g/100 g`, `% of reference`.
    pub unit: String,
    /// What else must hold.
    pub condition: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
}

impl Claim {
    /// How a claim compares what a food holds with its figure.
    pub const COMPARISONS: [&'static str; 5] =
        ["at most", "at least", "below", "less by", "more by"];
}

impl Labels {
    /// The claims somebody may mean by a name or a way to say it, folded.
    pub fn claims_said(&self, said: &str) -> Vec<&Claim> {
        let is = |claim: &&Claim| {
            let mut names = claim.words.iter().chain([&claim.name]);
            names.any(|word| fold(word) == said)
        };
        self.claims.iter().filter(is).collect()
    }

    /// The jurisdiction of an id, in any case.
    pub fn jurisdiction(&self, id: &str) -> Option<&Jurisdiction> {
        let same = |j: &&Jurisdiction| j.id.eq_ignore_ascii_case(id);
        self.jurisdictions.iter().find(same)
    }

    /// A jurisdiction and those it follows, nearest first.
    pub fn chain<'a>(&'a self, jurisdiction: &'a Jurisdiction) -> Vec<&'a str> {
        let mut chain = vec![jurisdiction.id.as_str()];
        let mut at = jurisdiction;
        while let Some(next) = self.jurisdiction(&at.follows) {
            if chain.contains(&next.id.as_str()) {
                break;
            }
            chain.push(&next.id);
            at = next;
        }
        chain
    }

    /// Rows of the nearest jurisdiction that has any, told by `place`.
    pub fn nearest<'a, T>(
        chain: &[&str],
        rows: &'a [T],
        place: impl Fn(&'a T) -> &'a str,
    ) -> Vec<&'a T> {
        let of = |id: &&str| -> Vec<&'a T> { rows.iter().filter(|r| place(r) == *id).collect() };
        chain
            .iter()
            .map(of)
            .find(|found| !found.is_empty())
            .unwrap_or_default()
    }

    /// A rule by its name, of the nearest jurisdiction that has it.
    pub fn rule(&self, chain: &[&str], rule: &str) -> Option<&LabelRule> {
        let of = |id: &&str| {
            let mut rules = self.rules.iter();
            rules.find(|r| r.rule == rule && r.jurisdiction == *id)
        };
        chain.iter().find_map(of)
    }

    /// The number a rule is set to.
    pub fn figure(&self, chain: &[&str], rule: &str) -> Option<f64> {
        self.rule(chain, rule)?.value.parse().ok()
    }

    /// Whether a rule says yes.
    pub fn holds(&self, chain: &[&str], rule: &str) -> bool {
        self.rule(chain, rule).is_some_and(|r| r.value == "yes")
    }
}
