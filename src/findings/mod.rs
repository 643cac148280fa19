//! Findings: every number that an output shows, as plain data. Made from count tables and
//! statistics alone; nothing here has seen a row, and nothing here knows how a page looks.

pub mod bleeds;
pub mod calls_by_hour;
pub mod cart;
pub mod case_mix;
pub mod cases_to_look_at;
pub mod coding_checks;
pub mod comparisons;
pub mod curves;
pub mod drift;
pub mod estimate;
pub mod finding;
pub mod flow;
pub mod funnel;
pub mod headline;
pub mod heaping;
pub mod list_order;
mod results;
pub mod review;
pub mod shared;
pub mod signals;
pub mod staffing;
pub mod target;
pub mod time_parts;

#[cfg(test)]
pub(crate) mod tests;
