//! Words to a question.

pub mod question;

pub use question::{Amount, Leaver, Question, Read, Reading};
