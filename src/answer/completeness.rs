//! How complete the knowledge is, family by property.

use serde::{Deserialize, Serialize};

/// Every family, or the one asked for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Completeness {
    /// By family id.
    pub families: Vec<FamilyOut>,
}

/// One family.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FamilyOut {
    /// Family id.
    pub family: String,
    /// How many ingredients it has.
    pub ingredients: usize,
    /// How many value rows.
    pub values: usize,
    /// Share of its critical properties known over its ingredients, %, rounded down.
    pub critical_percent: usize,
    /// Every property of the schema, in its order.
    pub properties: Vec<PropertyKnown>,
}

/// How many ingredients of a family know one property; the four counts add up to all.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PropertyKnown {
    /// Property id.
    pub property: String,
    /// Its group in the schema.
    pub group: String,
    /// Whether a developer decides by it in this family.
    pub critical: bool,
    /// A row states it.
    pub stated: usize,
    /// A named rule derives it.
    pub derived: usize,
    /// It applies, and nothing is known.
    pub unknown: usize,
    /// It does not apply to the family, and nothing is stated.
    pub not_applicable: usize,
}

impl PropertyKnown {
    /// Stated or derived.
    pub fn known(&self) -> usize {
        self.stated + self.derived
    }

    /// Known or unknown.
    pub fn of(&self) -> usize {
        self.known() + self.unknown
    }
}

impl FamilyOut {
    /// The critical properties.
    pub fn critical(&self) -> impl Iterator<Item = &PropertyKnown> {
        self.properties.iter().filter(|p| p.critical)
    }

    /// Share of what applies in a group that is known, %, rounded down; `None` where nothing applies.
    pub fn group_percent(&self, group: &str) -> Option<usize> {
        let of_group = || self.properties.iter().filter(|p| p.group == group);
        let applicable: usize = of_group().map(PropertyKnown::of).sum();
        let known: usize = of_group().map(PropertyKnown::known).sum();
        (applicable > 0).then(|| 100 * known / applicable)
    }
}
