//! The tables of the staffing report: one module for each of its parts.

pub mod checks;
pub mod kit;
pub mod stock;
