//! The one integration-test binary: linking polars is slow, so every topic is a module here.

#![expect(
    clippy::unwrap_used,
    reason = "a helper of a test that panics is a test that fails, with the line"
)]
#![expect(
    clippy::format_collect,
    clippy::format_push_string,
    reason = "exports of a few rows are read more easily where they are written row by row"
)]

mod any_bytes;
mod bad_input;
mod bad_mapping;
mod bad_rows;
mod canary;
mod check;
mod commands;
mod demand;
mod documents;
mod duty_calls;
mod duty_items;
mod faults;
mod flow;
mod from_counts;
mod from_records;
mod generated;
mod hand_counts;
mod interrupted;
mod look_at;
mod map;
mod nested_counts;
mod other_engines;
mod outputs;
mod paper_tables;
mod planted_truths;
mod published_series;
mod records;
mod reference_values;
mod run;
mod second_engine;
mod sharing;
mod signals;
mod site_report;
mod sql_rules;
mod staffing;
mod streamed;
mod tables;
mod tidy;
mod time_parts;
mod times;
mod windows;
