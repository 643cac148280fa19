//! The staffing report: one module for each of its parts.

mod coverage;
