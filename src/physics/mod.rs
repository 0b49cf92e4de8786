//! Equations: quantities in, quantities out. Knows no ingredient by name.

// Units stand in square brackets in every equation's table; they are no links.
#![allow(rustdoc::broken_intra_doc_links)]

pub mod crystallisation;
pub mod energy;
pub(crate) mod equilibrium;
pub mod fat;
pub mod glass;
pub mod ice;
pub mod osmolyte;
pub mod reading;
pub mod scoop;
pub mod solubility;
pub mod solute;
pub mod solution;
pub mod sucrose_equivalent;
pub mod sweetness;
pub mod syrup;
