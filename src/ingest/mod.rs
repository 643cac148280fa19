//! CSV exports → typed records in Arrow, with every row accounted for.
//!
//! Knows the mapping, the dialect of the files and the rules of a case. Knows nothing of
//! measures, statistics or pages. No message, issue or error made here holds the content of a cell.

mod calendar;
mod case;
mod cases;
mod cell;
mod clock;
mod error;
#[allow(dead_code, reason = "joined when the parts are")]
mod guard;
mod lines;
mod mapping;
mod passes;
mod reader;
mod records;
mod rows;
mod rules;
mod run;
mod windows;

pub use error::IngestError;
pub use mapping::{Limits, Mapping};
pub use run::{Ingested, Inputs, ingest};
pub use windows::guideline_windows;
