//! The tables of the staffing report: one module for each of its parts.

pub mod checks;
pub mod coverage;
pub mod demand;
pub mod issues;
pub mod kit;
pub mod load;
pub mod overlap;
pub mod stock;
