//! The staffing report: one module for each of its parts.

pub(crate) mod load;
pub(crate) mod overlap;
mod share_words;
