//! A text as typed to the same text in plain English words and figures, before any of it is read:
//! signs, shorthand, words of other languages, spoken numbers.

use crate::model::Catalogue;

use super::figures::with_figures;
use super::shorthand::written_out;
use super::signs::with_signs_spoken;

/// The text in plain words. Names and phrases that are known stay as they are.
pub(super) fn plainly(text: &str, catalogue: &Catalogue) -> String {
    let spoken = with_signs_spoken(text);
    let written = written_out(&spoken, catalogue);
    with_figures(&written, catalogue)
}
