//! Equations: quantities in, quantities out. Knows no ingredient by name.

pub mod crystallisation;
pub mod energy;
pub mod ice;
pub mod solute;
pub mod solution;
pub mod sucrose_equivalent;
pub mod sweetness;
pub mod syrup;
