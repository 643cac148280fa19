//! Measures: one SQL file each, counted over the typed records into count tables.
//!
//! Knows SQL, polars and the records. Knows nothing of CSV, of statistics or of pages: what leaves
//! here is whole numbers.

mod alike;
mod bases;
mod catalog;
mod cells;
mod chunk;
mod columns;
mod compose;
mod counter;
mod definition;
mod duty_calls;
mod duty_items;
mod engine;
mod exposure;
mod frame;
mod grouped;
mod groupings;
mod judged;
mod locality;
mod part;
mod passes_of;
mod plain_in;
mod script;
mod sequence;
mod to_review;
mod words;

pub use catalog::{built_in, from_directory};
pub use columns::columns_of;
pub use compose::{CountQuery, count_query};
pub use counter::{Counter, Counts, columns_to_count};
pub use definition::{DefinitionError, words_without_code};
pub use duty_calls::duty_calls;
pub use duty_items::item_counts;
pub use engine::{EngineError, count};
pub use groupings::{Grouping, groupings};
pub use part::CasesWithPasses;
pub use passes_of::passes_of;
pub use script::{COUNT_VIEWS, Dialect, counting_script};
pub use to_review::{ReviewColumns, cases_to_review};
