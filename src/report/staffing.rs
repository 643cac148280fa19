//! The staffing report: one module for each of its parts.

pub(crate) mod demand;
