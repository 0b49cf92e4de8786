//! The nouns: ingredient, property, value, source, rule, dial, wish, catalogue.

pub mod allergen;
pub mod catalogue;
pub mod class;
mod closed;
pub mod dial;
pub mod dish;
pub mod expr;
pub mod fold;
pub mod ingredient;
pub mod law;
mod made;
pub mod naming;
pub mod property;
pub mod rule;
pub mod sequence;
pub mod source;
pub mod spelling;
pub mod unit;
pub mod value;
pub mod wish;

pub use allergen::{AllergenList, AllergenRow, OTHERS, Presence};
pub use catalogue::{Catalogue, Named, Word};
pub use class::Firmness;
pub(crate) use closed::closed;
pub use dial::Dial;
pub use dish::DishKind;
pub use expr::{Comparison, Expr, Group, Subject, Test};
pub use fold::fold;
pub use ingredient::{Commonness, Ingredient, IngredientKey, Name};
pub use naming::{Grade, Meant, Naming, Piece, Qualifier};
pub use property::{Families, PRICE, Property, PropertyKind};
pub use rule::{Rule, RuleKind, Severity};
pub use source::{Source, SourceKind};
pub use spelling::{Spelling, Typed};
pub use value::{Row, Value};
pub use wish::{Aim, Goal, Wish};
