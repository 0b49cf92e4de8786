//! What the rules of the trade say of a mix: findings, cautions, process.

mod crystal;
mod fat;
mod finding;
mod heat;
mod process;
mod sequence;

pub use crystal::{Crystal, crystallising, crystals, felt};
pub use fat::{FatPhase, MOUTH, Solid, fats};
pub use finding::{Finding, cautions, findings, fired, interactions, introduced};
pub use process::{Step, process};
pub use sequence::{PlanStep, Poured, sequence};
