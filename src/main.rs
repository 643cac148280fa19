//! The frame.

fn main() {}
