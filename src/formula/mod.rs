//! What a formula is, and every computed property of it.

pub mod amount;
mod assess;
mod blend;
mod class;
mod derive;
mod dish;
mod levelling;
mod part;
mod profile;
mod recipe;
pub mod sheet;
mod sums;
mod taste;
mod uncertainty;

pub use assess::{Assessor, CABINET, FREEZER, MixView, Reading, State};
pub use class::{Classed, by_signs, by_words, classed, within_words};
pub use derive::{Draft, RULES as DERIVATIONS};
pub use dish::{Dish, Told, within};
pub use levelling::Levelling;
pub use part::Part;
pub use profile::{Figure, Origin, Profile, Profiles};
pub use recipe::{Assumed, Formula, LARGEST, Left, Line, Reader, weighed};
pub use sums::Sums;
pub use taste::{Cited, Tastes};
pub use uncertainty::{Cause, Contribution, Output, Spread};
