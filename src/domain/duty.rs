//! Calls as those on duty see them: when a team was bound, which hours are staffed, what a site
//! assumes and asks of its staffing. All moments are whole minutes, UTC since 1970-01-01 00:00.
//!
//! No person stands here: a roster knows places on the roster (`nurse_1`), not who fills them.

pub mod calendar;
pub mod call;
pub mod cart_check;
pub mod cart_item;
pub mod issue;
pub mod item_counts;
pub mod plan;
pub mod roster;
