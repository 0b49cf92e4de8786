//! `tamis properties`: what can be known of an ingredient.

use crate::answer::Answer;
use crate::cli::session::Session;
use crate::diagnostic::Problems;

/// Lists the properties.
pub fn run(session: &Session) -> Result<u8, Problems> {
    session.answer(&Answer::Properties(session.engine.properties()))
}
