//! What a formula is, and every computed property of it.

pub mod amount;
mod assess;
mod derive;
mod dish;
mod levelling;
mod part;
mod profile;
mod recipe;
pub mod sheet;
mod sums;
pub mod syrup;
mod syrup_name;
mod uncertainty;

pub use assess::{Assessor, CABINET, FREEZER, MixView, Reading, State, TASTED_AT};
pub use derive::{Draft, RULES as DERIVATIONS};
pub use dish::{Dish, Told, within};
pub use levelling::Levelling;
pub use part::Part;
pub use profile::{Figure, Origin, Profile};
pub use recipe::{Formula, LARGEST, Line, weighed};
pub use sums::Sums;
pub use syrup_name::{SyrupKind, SyrupName};
pub use uncertainty::{Cause, Contribution, Output, Spread};
