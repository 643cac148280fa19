//! The one integration-test binary: linking polars is slow, so every topic is a module here.

mod generated;
mod hand_counts;
mod records;
mod second_engine;
mod tables;
