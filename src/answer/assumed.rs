//! What was assumed of the names in a formula.

use serde::{Deserialize, Serialize};

/// An ingredient by its id and its name for people.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Named {
    /// Its id.
    pub id: String,
    /// Its name for people.
    pub name: String,
}

/// What one typed name was taken for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct AssumedOut {
    /// As typed.
    pub typed: String,
    /// The id of what it was taken for.
    pub id: String,
    /// Its name for people.
    pub name: String,
    /// What was assumed, a sentence each.
    pub said: Vec<String>,
    /// What else the name could mean.
    pub others: Vec<Named>,
    /// What the others would change; empty where every figure stays within what it is held to anyway.
    pub effect: Vec<String>,
}
