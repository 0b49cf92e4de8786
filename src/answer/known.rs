//! What the program knows of itself: sources, properties, own data, checks, what was written.

use serde::{Deserialize, Serialize};

use super::{Amount, OverruledOut, ValueOut, Written};
use crate::model::SourceKind;

/// The sources, or those of one kind with every value that rests on them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SourcesOut {
    /// The kind asked for; `None` for all.
    pub kind: Option<SourceKind>,
    /// How many values there are of each kind; statements of diet are not counted.
    pub kinds: Vec<KindCount>,
    /// The sources.
    pub sources: Vec<SourceOut>,
    /// Every value of the kind asked for; empty where none was.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub values: Vec<StatedOut>,
}

/// How many values rest on one kind of source.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct KindCount {
    /// The kind.
    pub kind: SourceKind,
    /// How many values.
    pub values: usize,
}

/// One source.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SourceOut {
    /// Identifier that values name.
    pub id: String,
    /// What sort of evidence it is.
    pub kind: SourceKind,
    /// How many values name it.
    pub values: usize,
    /// Full citation.
    pub citation: String,
    /// Year of publication; empty for rules and memory.
    pub year: String,
    /// Where it can be read; empty where that is not known.
    pub address: String,
}

/// A value with the place it is stated at.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StatedOut {
    /// File below the folder of the data.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// Ingredient id.
    pub ingredient: String,
    /// The value.
    #[serde(flatten)]
    pub value: ValueOut,
}

/// What can be known of an ingredient.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PropertiesOut {
    /// Every property, by group.
    pub properties: Vec<PropertyOut>,
}

/// One property.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PropertyOut {
    /// Identifier used in data and conditions.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Its group.
    pub group: String,
    /// Unit; empty where it has none.
    pub unit: String,
    /// The words it takes, where it takes one of a few.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub words: Vec<String>,
    /// What it means.
    pub meaning: String,
}

/// The person's own data in use.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct OwnOut {
    /// The folder; `None` where no own data is in use.
    pub folder: Option<String>,
    /// How many values it states, without prices.
    pub values: usize,
    /// How many prices it states.
    pub prices: usize,
    /// Currency of the prices per kilogram, as written; empty where none is stated.
    pub currency: String,
    /// Own ingredients, by id, with the number of parts of a blend.
    pub ingredients: Vec<OwnIngredient>,
    /// Ids of what stands on the shelf.
    pub shelf: Vec<String>,
    /// Own values with the built-in ones they go before.
    pub overruled: Vec<OverruledOut>,
}

/// One own ingredient.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct OwnIngredient {
    /// Identifier.
    pub id: String,
    /// Of how many parts it is put together; 0 for what is no blend.
    pub parts: usize,
}

/// Empty tables written for own data.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StartedOut {
    /// Where they stand.
    pub folder: String,
    /// Each table.
    pub tables: Vec<TableOut>,
}

/// A table of own data.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct TableOut {
    /// File name.
    pub name: String,
    /// What it holds.
    pub meaning: String,
    /// It was written now; one that was there stays untouched.
    pub new: bool,
}

/// That every check of the data holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct CheckedOut {
    /// Ingredients checked.
    pub ingredients: usize,
    /// Rules checked.
    pub rules: usize,
    /// What is to be looked at and is no error, a line each.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
}

/// What an export wrote to a file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ExportedOut {
    /// The file.
    pub file: String,
    /// What sort of file.
    pub format: Written,
    /// How many ingredients were written.
    pub ingredients: usize,
    /// How many values were written, those worked out by a rule included.
    pub values: usize,
}

/// A formula with nothing worked out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FormulaOut {
    /// The formula's name.
    pub name: String,
    /// Weight, g.
    pub batch_g: f64,
    /// What is weighed.
    pub formula: Vec<Amount>,
}
