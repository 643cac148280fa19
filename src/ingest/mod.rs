//! CSV exports → typed records in Arrow, with every row accounted for.
//!
//! Knows the mapping, the dialect of the files and the rules of a case. Knows nothing of
//! measures, statistics or pages. No message, issue or error made here holds the content of a cell.

mod alike;
mod asked;
mod block_rows;
mod blocks;
mod calendar;
mod case;
mod case_rows;
mod cell;
mod clock;
mod device_list;
mod dialect;
mod duty;
mod error;
mod facts;
mod fingerprint;
mod grade;
mod guard;
mod input;
mod mapping;
mod merge;
mod missing_words;
mod number;
mod open_file;
mod parsed;
mod pass_rows;
mod pipeline;
mod plan;
mod propose;
mod records;
mod registry;
mod row_passes;
mod rules;
mod run;
mod scores;
mod selection;
mod synonyms;
mod tallies;
mod time;
mod windows;
mod word_table;

pub use duty::{DutyFacts, DutyPlanFile, DutyRows, read_cart_checks, read_plan, read_roster};
pub use error::IngestError;
pub use guard::{Evidence, GuardFinding, IdentifierKind};
pub use input::expand;
pub use mapping::{Limits, Mapping};
pub use propose::{Proposal, Unmapped, propose};
pub use run::{Advance, Ingested, Inputs, Taker, ingest, ingest_into};
pub use selection::with_value;
pub use synonyms::{Suggestion, Sureness, suggest_code};
