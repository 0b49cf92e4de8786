//! How long a text may be that is read as words.

use crate::diagnostic::Diagnostic;

/// Characters a question, a name or the words of a search may have. The longest question of the
/// labelled sets has fewer than 200.
pub const LONGEST_TEXT: usize = 2_000;

/// Whether a text is short enough to be read.
///
/// Errors: `Q019` where it is not.
pub fn fits(text: &str) -> Result<(), Diagnostic> {
    let length = text.chars().count();
    if length <= LONGEST_TEXT {
        return Ok(());
    }
    let message = format!("the text has {length} characters; at most {LONGEST_TEXT} are read");
    Err(Diagnostic::new("Q019", "question", message)
        .help("ask one thing at a time; a long condition goes into --where"))
}
