//! The knowledge base in SQLite: written once per data version, then only opened.

mod cache;
mod sqlite;

pub use cache::{Cache, open};
pub use sqlite::{read, write};
