//! Words and quantities that every other module speaks: coded fields, months, issues, counts.
//!
//! Knows the standard library only. Reads no file, no clock, no environment, and has no idea of
//! CSV, SQL, Arrow or HTML.

pub mod accounting;
pub mod asked_of;
pub mod codes;
pub mod counts;
pub mod duty;
pub mod exposure;
pub mod fields;
pub mod file_facts;
pub mod harm;
pub mod issue;
pub mod issue_examples;
pub mod issue_log;
pub mod measure;
pub mod month;
pub mod nested_counts;
pub mod phase;
pub mod quantities;
pub mod recording;
pub mod review_rules;
pub mod scores;
pub mod sequence;
pub mod side_by_side;
pub mod tally;
pub mod unknown_words;
pub mod window;
