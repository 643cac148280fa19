//! The staffing report: one module for each of its parts.

mod cart_words;
mod checks;
mod kit;
mod stock;
