//! The fat of an origin.

/// Fat inside an ingredient goes by its origin: the ingredient whose curve stands for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FatOrigin {
    /// A word of the origin.
    pub origin: String,
    /// Id of a fat or an oil.
    pub stands_in: String,
}
