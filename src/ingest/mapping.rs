//! The mapping: what the columns and words of one site's export mean, read from `mapping.toml` and
//! checked against the list of fields before any row is read.

mod check;
mod file;

use super::cell::{Value, Words};
use super::error::IngestError;
use crate::domain::codes::Weekday;
use crate::domain::fields::{CaseField, Field, PassField};
use crate::domain::month::Month;
use check::check;
use file::MappingFile;
use jiff::civil::{Date, Time};
use jiff::tz::TimeZone;
use serde::Deserialize;
use std::path::Path;

/// Shares above which a run still writes its outputs but ends with exit code 1.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Limits {
    /// Rows set aside, as a share of rows read.
    pub rows_set_aside: f64,
    /// Values of one field that were filled in but could not be used, as a share of rows read.
    pub values_unusable: f64,
}

impl Default for Limits {
    fn default() -> Limits {
        Limits {
            rows_set_aside: 0.05,
            values_unusable: 0.05,
        }
    }
}

/// How times stand in the export.
#[derive(Clone, Debug)]
pub(super) enum TimeForm {
    /// Local wall-clock times.
    Clock {
        /// Zone of the clocks.
        zone: TimeZone,
        /// `strptime` form of a date and time.
        format: String,
    },
    /// Minutes since the call; month, weekday and hour are columns.
    Elapsed,
}

/// Hours in which the unit is staffed.
#[derive(Clone, Debug)]
pub(super) struct StaffedHours {
    pub(super) days: Vec<Weekday>,
    pub(super) from: Time,
    pub(super) to: Time,
    pub(super) holidays: Vec<Date>,
}

/// Where a field's cells come from, and the words they use.
#[derive(Clone, Debug)]
pub(super) struct Column<F> {
    pub(super) field: F,
    pub(super) heading: String,
    pub(super) words: Words,
}

/// A mapping that has been checked.
#[derive(Clone)]
pub struct Mapping {
    pub(super) time_form: TimeForm,
    pub(super) cases_separator: u8,
    pub(super) case_columns: Vec<Column<CaseField>>,
    /// Fields that have one value for the whole export.
    pub(super) constants: Vec<(CaseField, Value)>,
    pub(super) passes: Option<PassesMapping>,
    pub(super) staffed_hours: StaffedHours,
    pub(super) window_start: CaseField,
    pub(super) period: Option<(Month, Month)>,
    limits: Limits,
    bytes: Vec<u8>,
}

/// The part of a mapping that concerns passes.
#[derive(Clone, Debug)]
pub(super) struct PassesMapping {
    pub(super) separator: u8,
    pub(super) columns: Vec<Column<PassField>>,
}

impl Mapping {
    /// Reads and checks a mapping file.
    ///
    /// # Errors
    /// When it cannot be read, is not TOML, has an unknown key, or contradicts the list of fields.
    pub fn read(path: &Path) -> Result<Mapping, IngestError> {
        let text = std::fs::read_to_string(path)
            .map_err(|source| IngestError::unreadable(path, source))?;
        let file: MappingFile =
            toml::from_str(&text).map_err(|error| IngestError::MappingSyntax {
                path: path.to_path_buf(),
                message: place(&text, &error),
            })?;
        check(file, text.into_bytes()).map_err(|fault| IngestError::MappingFault {
            path: path.to_path_buf(),
            fault,
        })
    }

    /// Shares above which a run ends with exit code 1.
    pub fn limits(&self) -> Limits {
        self.limits
    }

    /// From when urgency windows are counted, in words.
    pub fn window_start(&self) -> &'static str {
        self.window_start.label()
    }

    /// The bytes of the file, for its hash.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// The fields of a case that the export gives, in column order.
    pub(super) fn mapped_case_fields(&self) -> impl Iterator<Item = CaseField> {
        CaseField::ALL.iter().copied().filter(|field| {
            self.case_columns
                .iter()
                .any(|column| column.field == *field)
                || self
                    .constants
                    .iter()
                    .any(|(constant, ..)| constant == field)
        })
    }
}

/// Line and column of a TOML error, and its reason, on one line.
fn place(text: &str, error: &toml::de::Error) -> String {
    let reason = error.message().lines().collect::<Vec<_>>().join("; ");
    match error.span() {
        Some(span) => {
            let before = text.get(..span.start).unwrap_or(text);
            let line = before.matches('\n').count() + 1;
            let column = before.len() - before.rfind('\n').map_or(0, |at| at + 1) + 1;
            format!("line {line}, column {column}: {reason}")
        }
        None => reason,
    }
}
