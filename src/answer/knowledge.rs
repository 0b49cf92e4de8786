//! What is known of ingredients, as data.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::assessment::FindingOut;
use super::assumed::AssumedOut;
use super::own::OverruledOut;
use crate::model::{Presence, SourceKind};

/// One ingredient with all that is known of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ProfileOut {
    /// What it is, in a sentence.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub summary: String,
    /// Identifier.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Family.
    pub family: String,
    /// Form as sold.
    pub form: String,
    /// Origins.
    pub origin: Vec<String>,
    /// What it does, most important first.
    pub functions: Vec<String>,
    /// E or INS number.
    pub e_number: String,
    /// CAS numbers.
    pub cas: Vec<String>,
    /// A remark.
    pub note: String,
    /// Other names.
    pub names: Vec<String>,
    /// Allergens by list.
    pub allergens: Vec<AllergenOut>,
    /// What it is put together from: id, share by mass in %.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<(String, f64)>,
    /// Values, preferred row first within a property; derived ones last.
    pub values: Vec<ValueOut>,
    /// What the typed name was taken for, where that had to be assumed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub assumed: Vec<AssumedOut>,
}

/// An allergen as one list names it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AllergenOut {
    /// `EU`, `US`, `CODEX`, or empty when no list here names the substance.
    pub list: String,
    /// The list's name for it, or the substance.
    pub allergen: String,
    /// The substance.
    pub substance: String,
    /// What is stated of it.
    pub presence: Presence,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
}

/// One value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ValueOut {
    /// Property id.
    pub property: String,
    /// Conditions.
    pub condition: String,
    /// Least.
    pub low: Option<f64>,
    /// Typical.
    pub typical: Option<f64>,
    /// Greatest.
    pub high: Option<f64>,
    /// Text of a text or choice property.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub text: String,
    /// Unit.
    pub unit: String,
    /// Source id, or the derivation's id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
    /// Kind of source.
    pub kind: SourceKind,
    /// It is the person's own.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub own: bool,
    /// It decides how the ingredient is used.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub telling: bool,
    /// An own value goes before it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub overruled: bool,
    /// A remark.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// Ingredients found.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct Hits {
    /// The answer in a sentence.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub summary: String,
    /// How the search was understood.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub understood: String,
    /// How many match.
    pub total: usize,
    /// The first of them.
    pub hits: Vec<FoundHit>,
    /// Ids for which the data does not say.
    pub unknown: Vec<String>,
    /// How many of the matches per family.
    pub families: BTreeMap<String, usize>,
    /// How many of the matches do each job.
    pub functions: BTreeMap<String, usize>,
    /// Names near to what was typed, when nothing matched.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub nearest: Vec<String>,
    /// What a statement about allergens does not cover.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub caution: String,
    /// What the words were taken for, where they name an ingredient and that had to be assumed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub assumed: Vec<AssumedOut>,
}

/// One ingredient found.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FoundHit {
    /// Identifier.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Family.
    pub family: String,
    /// Why it matched.
    pub why: String,
    /// Its usual dose in words, where one is known.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub dose: String,
    /// The figures asked about, by property.
    pub values: BTreeMap<String, f64>,
    /// Own values among them, with the built-in ones they go before.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub overruled: Vec<OverruledOut>,
    /// The texts asked about, by property.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub texts: BTreeMap<String, String>,
}

/// Ingredients side by side.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Comparison {
    /// Where they are furthest apart, in a sentence.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub summary: String,
    /// Ids, the columns.
    pub ingredients: Vec<String>,
    /// Names for people, the column heads.
    pub names: Vec<String>,
    /// One row per property.
    pub rows: Vec<ComparedRow>,
    /// What typed names were taken for, where that had to be assumed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub assumed: Vec<AssumedOut>,
    /// How they act on each other in one mix.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub together: Vec<FindingOut>,
    /// Own values among them, with the built-in ones they go before.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub overruled: Vec<OverruledOut>,
}

/// One property of a comparison.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ComparedRow {
    /// Property id.
    pub property: String,
    /// Name for people.
    pub name: String,
    /// Unit.
    pub unit: String,
    /// One value per ingredient; `None` when not known.
    pub values: Vec<Option<ValueOut>>,
}

impl Comparison {
    /// Whether every row is known of all and says the same of them.
    pub fn alike(&self) -> bool {
        let said = |value: &ValueOut| (value.low, value.typical, value.high, value.text.clone());
        self.rows.iter().all(|row| {
            let known = row.values.iter().flatten().map(said);
            let known: Vec<_> = known.collect();
            known.len() == row.values.len() && known.windows(2).all(|pair| pair[0] == pair[1])
        })
    }
}
