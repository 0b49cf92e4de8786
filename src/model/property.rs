//! What can be known of an ingredient: one property with its unit, bounds and meaning.

/// How a property's value is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PropertyKind {
    /// A number in the property's unit.
    Number,
    /// Free text.
    Text,
    /// One of a few words.
    Choice(Vec<String>),
}

/// One property, a row of `schema/properties.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct Property {
    /// Identifier used in data and conditions, such as `hydration_temperature`.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Unit every value row must repeat.
    pub unit: String,
    /// How values are written.
    pub kind: PropertyKind,
    /// Least number allowed.
    pub low: f64,
    /// Greatest number allowed.
    pub high: f64,
    /// Condition keys a value row may use, such as `temperature`.
    pub conditions: Vec<String>,
    /// `composition`, `sweetness`, `freezing`, `texture`, `process`, `safety`, `identity` or `diet`.
    pub group: String,
    /// What it means, in words.
    pub meaning: String,
}

/// The property that says what a kilogram costs; its currency is the person's own.
pub const PRICE: &str = "price";

impl Property {
    /// Whether a value may be written in this unit: the property's own; for a price any currency
    /// per kilogram.
    pub fn takes(&self, unit: &str) -> bool {
        let currency = |unit: &str| {
            unit.strip_suffix("/kg").is_some_and(|c| {
                !c.is_empty() && c.chars().all(|c| !c.is_ascii_digit() && !c.is_whitespace())
            })
        };
        unit == self.unit || (self.id == PRICE && currency(unit))
    }
}
