//! What one kind's grammar made of a sentence.

use super::question::Question;

/// One question, or several to choose from.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Understood {
    /// The question meant.
    One(Question),
    /// Something the text does not say decides.
    Choose {
        /// What has to be said.
        ask: String,
        /// Two or three ways to say it.
        questions: Vec<Question>,
    },
}
