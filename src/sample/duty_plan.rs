//! The duty plan of the invented hospital group: rules, what a cart carries, and scenarios that a
//! nurse manager may ask. The same for every sample.

/// The text of `duty.toml`, written for a person to read and edit.
pub const DUTY_TOML: &str = include_str!("duty_plan.toml");
