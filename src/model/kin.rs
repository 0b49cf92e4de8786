//! A group of ingredients that are alike to a cook, by origin or to a law.

/// One group, a row of `schema/groups.csv` with who is in it by `data/groups.csv`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kin {
    /// Identifier, kebab-case; no ingredient and no family is called so.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// The group it is part of; empty for none.
    pub parent: String,
    /// What holds of one member is asked of the others: they are forms or grades of one thing, or
    /// share a hazard.
    pub siblings: bool,
    /// What its members have in common.
    pub meaning: String,
    /// Ids of its members and of those of the groups below it, commonest first.
    pub members: Vec<String>,
}
