//! The one condition language of searches, rules and swap constraints.
//!
//! `fat > 40 % and vegan and free of milk`: read by [`parse`], written by [`print`], judged by
//! [`judge`] to yes, no or unknown. The grammar stands above [`parse`].

mod judge;
mod parse;
mod print;

pub use judge::{Facts, Mix, Truth, belongs, judge};
pub use parse::parse;
pub use print::print;
