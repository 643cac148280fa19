//! The one integration-test binary: linking polars is slow, so every topic is a module here.

mod reference_values;
