//! What the rules of the trade say of a mix: findings, cautions, process.

mod crystal;
mod finding;
mod process;

pub use crystal::crystals;
pub use finding::{Finding, cautions, findings, fired, interactions, introduced};
pub use process::{Step, process};
