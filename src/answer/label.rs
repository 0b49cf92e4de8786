//! A label draft, as data.

use serde::{Deserialize, Serialize};

/// A draft of what the label of a formula says in one jurisdiction.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LabelOut {
    /// The draft in a sentence.
    pub summary: String,
    /// That it is a draft, and for whom.
    pub draft: String,
    /// The formula's name.
    pub name: String,
    /// Where, such as `EU`.
    pub jurisdiction: String,
    /// Its name.
    pub jurisdiction_name: String,
    /// What goes in, g.
    pub batch_g: f64,
    /// What comes out, g; the same where no loss was told.
    pub finished_g: f64,
    /// Weight of a serving, g.
    pub serving_g: f64,
    /// The list of ingredients as the label prints it.
    pub ingredients: String,
    /// Words of that list that are to be emphasised, as they stand in it.
    pub emphasised: Vec<String>,
    /// The same list, part by part.
    pub parts: Vec<LabelPartOut>,
    /// The statement of allergens after the list; empty where the law asks for none.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub contains: String,
    /// Every allergen statement behind it.
    pub allergens: Vec<LabelAllergenOut>,
    /// Bases of the nutrition table, such as `100 g` and `serving`, in the order the law puts them.
    pub bases: Vec<String>,
    /// The nutrition table.
    pub nutrition: Vec<NutrientOut>,
    /// What gives the energy.
    pub energy: Vec<EnergyOut>,
    /// Statements the label must carry.
    pub notices: Vec<NoticeOut>,
    /// What has to be asked of makers before the label can be printed.
    pub ask: Vec<String>,
    /// What the label needs and this draft does not hold.
    pub not_in_draft: Vec<String>,
    /// The rules it was made by.
    pub rules: Vec<LabelRuleOut>,
}

/// One part of the list of ingredients.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LabelPartOut {
    /// Its name on the label.
    pub name: String,
    /// Ids of the ingredients it stands for.
    pub ids: Vec<String>,
    /// Grams in the batch.
    pub grams: f64,
    /// Share of the finished food, %.
    pub percent: f64,
    /// The share stands on the label, because the name of the food mentions it.
    pub share_stated: bool,
    /// Class name of an additive.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub class: String,
    /// E number.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub e_number: String,
    /// Its own parts where the data state them, else what is to be asked.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub holds: String,
    /// It is left out of the printed list, and why.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub left_out: String,
}

/// One allergen statement.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LabelAllergenOut {
    /// The allergen as the list of the jurisdiction names it.
    pub allergen: String,
    /// The substance.
    pub substance: String,
    /// `contains`, `may contain`, `unknown` or `exempt`.
    pub presence: String,
    /// Ids of the ingredients.
    pub ingredients: Vec<String>,
    /// When an exemption holds.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub condition: String,
}

/// One line of the nutrition table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct NutrientOut {
    /// Which, such as `saturates`.
    pub nutrient: String,
    /// Its words on the label.
    pub label: String,
    /// Its unit; of energy in kJ and kcal the first.
    pub unit: String,
    /// How far it stands in.
    pub indent: usize,
    /// The law asks for it.
    pub required: bool,
    /// Before rounding, per 100 g; `None` where it is not known.
    pub per_100_g: Option<f64>,
    /// What the lines that state it give, per 100 g: the least it can be.
    pub at_least_per_100_g: f64,
    /// The most that the others could add, per 100 g.
    pub may_be_more_by: f64,
    /// As printed for each of the bases.
    pub shown: Vec<String>,
    /// Per cent of the daily value in a serving, where the law gives one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub daily_percent: Option<f64>,
    /// Names of the ingredients that do not state it, the weightiest first; where the figure is
    /// given, what they could add counts as nothing by the law. Empty without a figure where no data
    /// here hold it at all.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_stated_by: Vec<String>,
    /// Source id.
    pub source: String,
    /// Place in the source.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub locator: String,
}

/// What one component gives in energy.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct EnergyOut {
    /// Which.
    pub component: String,
    /// Grams in 100 g.
    pub grams_per_100_g: f64,
    /// kcal/g.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kcal_per_g: Option<f64>,
    /// kJ/g.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kj_per_g: Option<f64>,
    /// Source id.
    pub source: String,
    /// Place in the source.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub locator: String,
}

/// One statement.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct NoticeOut {
    /// Its row in `data/label/notices.csv`.
    pub id: String,
    /// The statement.
    pub text: String,
    /// Where it stands.
    pub place: String,
    /// What asks for it, in words.
    pub because: String,
    /// What a person must judge before it holds.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub judge: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub locator: String,
}

/// One rule of how the label is made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LabelRuleOut {
    /// Its name.
    pub rule: String,
    /// In words.
    pub text: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub locator: String,
}
