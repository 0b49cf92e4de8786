//! One generic ingredient: identity, names, values and allergens.

use super::allergen::{AllergenRow, Presence};
use super::value::{Row, Value};

/// Position of an ingredient in its catalogue.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct IngredientKey(pub u32);

/// A name people type.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Name {
    /// As written.
    pub name: String,
    /// `synonym`, `abbreviation`, `spelling`, `label`, `misspelling` or `foreign`.
    pub kind: String,
    /// Country or language where it means this; empty for everywhere.
    pub region: String,
}

/// Who has an ingredient, commonest first.
/// Source: common-practice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Commonness {
    /// Any shop.
    #[default]
    Shop,
    /// A supplier of the trade.
    Trade,
    /// A specialist.
    Specialist,
    /// Factories.
    Industry,
    /// Nobody buys it as such.
    Substance,
}

impl Commonness {
    /// All of them with the words of the data.
    pub const ALL: [(Commonness, &'static str); 5] = [
        (Commonness::Shop, "shop"),
        (Commonness::Trade, "trade"),
        (Commonness::Specialist, "specialist"),
        (Commonness::Industry, "industry"),
        (Commonness::Substance, "substance"),
    ];

    /// What a word of the data means; a person's own ingredients, which state none, are at hand.
    pub fn parse(word: &str) -> Commonness {
        let found = Self::ALL.iter().find(|(_, w)| *w == word);
        found.map_or(Commonness::Shop, |(commonness, _)| *commonness)
    }

    /// The word of the data.
    pub fn word(self) -> &'static str {
        Self::ALL[self as usize].1
    }
}

/// One generic ingredient.
#[derive(Debug, Clone, PartialEq)]
pub struct Ingredient {
    /// Identifier, kebab-case.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Family id, the name of its value file.
    pub family: String,
    /// Groups it is in, by id, with all that these are part of.
    pub groups: Vec<String>,
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
    /// A remark for people.
    pub note: String,
    /// Who has it.
    pub commonness: Commonness,
    /// Other names.
    pub names: Vec<Name>,
    /// Values, preferred row first within a property.
    pub values: Vec<Value>,
    /// Allergen statements.
    pub allergens: Vec<AllergenRow>,
    /// What it is put together from, with the share by mass of each; empty for what is bought as it is.
    pub parts: Vec<(String, f64)>,
    /// It is one of the person's own.
    pub own: bool,
    /// Where it was read.
    pub row: Row,
}

impl Ingredient {
    /// Whether it is in a group of `schema/groups.csv`.
    pub fn is_of(&self, group: &str) -> bool {
        self.groups.iter().any(|id| id == group)
    }

    /// Whether it is stated to contain an allergen.
    pub fn holds(&self, allergen: &str) -> bool {
        let mut rows = self.allergens.iter();
        rows.any(|row| row.presence == Presence::Contains && row.substance == allergen)
    }

    /// All rows of one property that count, preferred first.
    pub fn all<'a>(&'a self, property: &'a str) -> impl Iterator<Item = &'a Value> {
        self.values
            .iter()
            .filter(move |value| value.property == property && !self.overruled(value))
    }

    /// Whether an own row says something else of the same property under the same condition.
    pub fn overruled(&self, value: &Value) -> bool {
        !value.own
            && self.values.iter().any(|other| {
                other.own && other.property == value.property && other.condition == value.condition
            })
    }

    /// The preferred row: one "as is" before one under a condition, an own one before one built in,
    /// then the first row.
    pub fn value(&self, property: &str) -> Option<&Value> {
        // `min_by_key` keeps the first of equals, which is the preferred row.
        self.values
            .iter()
            .filter(|value| value.property == property)
            .min_by_key(|value| value.rank())
    }

    /// The preferred figure of a number property.
    pub fn number(&self, property: &str) -> Option<f64> {
        self.value(property)?.figure()
    }

    /// The preferred text of a text or choice property.
    pub fn text(&self, property: &str) -> Option<&str> {
        self.value(property)
            .map(|v| v.text.as_str())
            .filter(|t| !t.is_empty())
    }

    /// Whether it does this job.
    pub fn does(&self, function: &str) -> bool {
        self.functions.iter().any(|f| f == function)
    }
}
