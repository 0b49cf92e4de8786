//! Words to a question: understood exactly, or asked back.
//!
//! [`read`] cuts a text into the phrases of `data/words` and the names of ingredients, lets the
//! grammar of one kind of question take them in, and tells what it did with every other word.
//! `weigh` lays the kinds over the whole text and takes the cheapest; what the grammars cannot place it
//! reads.
//! [`print`] writes a question in its canonical form, which [`read`] reads back exactly.

mod adjust;
mod amount;
mod aside;
mod bound;
mod canonical;
mod clause;
mod compare;
mod comparison;
mod diagnose;
mod dish;
mod exchange;
mod exclusion;
mod figures;
mod goal;
mod graded;
mod held;
mod howto;
mod inflection;
mod kind;
mod lack;
mod law;
mod leftover;
mod lexer;
mod lookup;
mod loose;
mod mix;
mod part;
mod parts;
mod plain;
mod pointers;
mod print;
pub mod question;
mod ranking;
mod read;
mod rewording;
mod scale;
mod scene;
mod search;
mod sense;
mod sentence;
mod serving;
mod shapes;
mod shorthand;
mod signs;
mod spelling;
mod statement;
mod story;
mod swap;
mod tally;
mod understood;
mod vocabulary;
mod weigh;
mod wish;
mod without;

pub use print::print;
pub use question::{About, Amount, Batch, Change, How, Leaver, Order, Question, Read, Reading};
pub use read::{read, read_in};
pub use scene::Scene;
pub use weigh::{Example, Weighed, terms, train, weighed};
