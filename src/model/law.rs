//! What the law permits, and what people with an allergy often react to as well.

/// One permission of a substance, a row of `data/permissions.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct Permission {
    /// An ingredient id, or a substance in words.
    pub substance: String,
    /// Where.
    pub jurisdiction: String,
    /// The food category in that law.
    pub category: String,
    /// What it is, in words.
    pub category_name: String,
    /// `permitted`, `limit`, `gmp`, `not authorised` or `not known`.
    pub status: String,
    /// The limit, in `unit`.
    pub limit: Option<f64>,
    /// Unit of the limit.
    pub unit: String,
    /// What the limit is of.
    pub basis: String,
    /// Under which condition.
    pub condition: String,
    /// Source id of the text.
    pub source: String,
    /// Place in it.
    pub locator: String,
    /// The state of the law it was read in; empty where that is not known.
    pub in_force_as_of: String,
}

/// What those allergic to one thing often react to as well, a row of `data/relatives.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct Relative {
    /// The allergen.
    pub allergen: String,
    /// The other thing, as `data/allergens.csv` names it where it does.
    pub relative: String,
    /// It holds the other way round as well.
    pub both_ways: bool,
    /// Least and greatest share of people, %; `None` where only the kinship is known.
    pub rate: Option<(f64, f64)>,
    /// What they share.
    pub bond: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
}
