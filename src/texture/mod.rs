//! What the rules of the trade say of a mix: findings, cautions, process.

mod crystal;
mod fat;
mod finding;
mod plan;
mod process;

pub use crystal::{Crystal, crystallising, crystals, felt};
pub use fat::{FatPhase, MOUTH, Solid, fats};
pub use finding::{Finding, cautions, findings, fired, interactions, introduced};
pub use plan::{PlanLine, plan};
pub use process::{Step, process};
