//! A knowledge base and engine for texture-engineered foods.
//!
//! Text files under `data/` become a [`model::Catalogue`]; a question in words becomes an
//! answer through [`engine::Engine`]. The faces (`cli`) only print what the engine returns.

pub mod answer;
pub mod cli;
pub mod condition;
pub mod diagnostic;
pub mod engine;
pub mod formula;
pub mod index;
pub mod label;
pub mod load;
pub mod model;
pub mod names;
pub mod physics;
pub mod query;
pub mod store;
pub mod swap;
pub mod texture;
