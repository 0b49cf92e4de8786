//! Allergens: what an ingredient holds, and which list names it.

use super::closed::closed;

closed! {
    /// What is stated of a substance in an ingredient.
    pub enum Presence {
        /// It is there.
        Contains => "contains",
        /// It can be there, by origin or contact.
        MayContain => "may contain",
        /// Nobody said; must be asked.
        Unknown => "unknown",
        /// A law exempts it from declaration on one list.
        Exempt => "exempt",
        /// A single known origin that no list names; cross-contact is not covered.
        NoneByNature => "none by nature",
    }
}

/// Stands for every substance an ingredient's other statements do not name: `unknown` where the
/// list of an own ingredient may not be complete.
pub const OTHERS: &str = "others";

/// One allergen statement of an ingredient.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AllergenRow {
    /// Substance, such as `milk` or `hazelnut`; `none` with [`Presence::NoneByNature`].
    pub substance: String,
    /// What is stated.
    pub presence: Presence,
    /// The list an exemption holds for; empty for all.
    pub list: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
    /// When it holds, such as the use an exemption is for; empty for always.
    pub condition: String,
}

/// One substance as a list names it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AllergenList {
    /// `EU`, `US`, `CODEX` ...; `JP, recommended` where the list only advises.
    pub list: String,
    /// The allergen's name on that list, such as `tree nuts`.
    pub allergen: String,
    /// The substance.
    pub substance: String,
    /// A remark.
    pub note: String,
    /// Source id.
    pub source: String,
    /// Place in the source.
    pub locator: String,
}

impl AllergenList {
    /// Whether the law of its place makes the declaration a duty.
    pub fn binds(&self) -> bool {
        !self.list.contains(',')
    }
}
