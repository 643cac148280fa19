//! The one integration-test binary: linking polars is slow, so every topic is a module here.

mod hand_counts;
mod records;
mod tables;
