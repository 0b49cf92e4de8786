//! What the law says of additives, as data.

use serde::{Deserialize, Serialize};

/// What the law says: of substances by jurisdiction, and of a formula where one is in hand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct LegalOut {
    /// One row per jurisdiction and permission; a jurisdiction without a row says so.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub permissions: Vec<PermissionOut>,
    /// Each additive of the formula against what is permitted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub checks: Vec<LegalCheckOut>,
}

/// What one jurisdiction says of a substance in a food.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PermissionOut {
    /// The substances it holds for, by name.
    pub substances: Vec<String>,
    /// Where.
    pub jurisdiction: String,
    /// Code of the food category; empty where it has none.
    pub food_category: String,
    /// The food in words.
    pub food: String,
    /// `permitted`, `gmp` (quantum satis), `limit`, `not authorised` or `not known`.
    pub status: String,
    /// The limit, mg/kg; `None` where there is none or it is of another kind.
    pub limit_mg_per_kg: Option<f64>,
    /// What the limit is of.
    pub basis: String,
    /// Under which condition.
    pub condition: String,
    /// Source id of the text.
    pub source: String,
    /// Place in it.
    pub locator: String,
    /// The year it is known to have been in force; empty where that is not known.
    pub in_force_as_of: String,
    /// What is said of it, in a sentence.
    pub said: String,
}

/// One additive, or several with one limit, of a formula against one jurisdiction.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LegalCheckOut {
    /// Names.
    pub substances: Vec<String>,
    /// Where.
    pub jurisdiction: String,
    /// Level in the mix on the basis of the limit, mg/kg; least and greatest where it is not one figure.
    pub level_mg_per_kg: (f64, f64),
    /// The limit, mg/kg.
    pub limit_mg_per_kg: Option<f64>,
    /// `over`, `may be over`, `not authorised`, `within`, `permitted`, `not compared` or `not known`.
    pub verdict: String,
    /// Source id; empty where nothing is on file.
    pub source: String,
    /// Place in the source.
    pub locator: String,
    /// The year it is known to have been in force; empty where that is not known.
    pub in_force_as_of: String,
    /// What is said of it, in a sentence.
    pub said: String,
}
