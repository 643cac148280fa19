//! The tables of the staffing report: one module for each of its parts.

pub mod load;
pub mod overlap;
pub mod coverage;
pub mod demand;
