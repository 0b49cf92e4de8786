//! A text to the same text in plain English words and figures, before any of it is read: shorthand,
//! words of other languages, spoken numbers.

use crate::model::Catalogue;

use super::figures::with_figures;
use super::shorthand::written_out;

/// The text in plain words. Names and phrases that are known stay as they are.
pub(super) fn plainly(text: &str, catalogue: &Catalogue) -> String {
    with_figures(&written_out(text, catalogue), catalogue)
}
