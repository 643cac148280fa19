//! The one integration-test binary: linking polars is slow, so every topic is a module here.

#![expect(
    clippy::unwrap_used,
    reason = "a helper of a test that panics is a test that fails, with the line"
)]

mod generated;
mod hand_counts;
mod records;
mod second_engine;
mod sql_rules;
mod tables;
mod tidy;
