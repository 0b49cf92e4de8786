//! Files to catalogue, or every problem at `file:line:column`.

mod assemble;
mod check;
mod classes;
mod critical;
mod degrees;
mod files;
mod law;
mod lines;
mod naming;
mod own;
mod parts;
mod plain;
mod rules;
mod sequences;
mod sweetness;
mod table;

pub use assemble::{catalogue, of_texts};
pub use check::{CHECKS, check};
use classes::classes;
pub use critical::critical;
pub use files::Files;
use law::{law, law_words};
use naming::naming;
pub use own::{Own, OwnTable, TABLES};
pub use plain::opened;
pub use rules::rules_of;
use sequences::sequences;
pub use table::{Record, Table};
