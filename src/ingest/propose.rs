//! Exports without a mapping → a mapping that a person can read, correct and use: which column gives
//! which field, what its words mean, how its times are written, how sure each line is, and what is
//! left to decide.
//!
//! Reads the first bytes of each file only. Nothing is decided for good: what is proposed is a text,
//! which `Mapping::read` checks like any other. The text holds headings and words of the export, so
//! columns that the identifier guard finds are never mapped nor their words written; which other words
//! are written says `words`.

mod assignment;
mod cells;
mod columns;
mod devices;
mod document;
mod fit;
mod headings;
mod meaning;
mod sample;
#[cfg(test)]
mod tests;
mod times;
mod toml_text;
mod words;

use super::error::IngestError;
use crate::domain::fields::{CaseField, Field, Kind, Origin, PassField};
use crate::domain::issue::Source;
use columns::columns;
use devices::device_columns;
use document::Findings;
use fit::{Judge, TimesAre, has_clock, is_length, is_times};
use meaning::Meanings;
use sample::SampledExport;
use std::path::PathBuf;
use times::Times;

/// Exports for which a mapping is wanted.
#[derive(Clone, Copy, Debug)]
pub struct Unmapped<'a> {
    /// Cases exports, at least one; `-` is standard input.
    pub cases: &'a [PathBuf],
    /// Passes exports.
    pub passes: &'a [PathBuf],
    /// IANA name of the zone of the clocks, where a person has said it.
    pub time_zone: Option<&'a str>,
}

/// A mapping to be read by a person. No `Debug`: its text holds words of the export.
pub struct Proposal {
    /// The mapping, in TOML.
    pub toml: String,
    /// What is left to decide, in the words of the mapping: fields and numbers of columns, neither
    /// headings nor words of the export.
    pub to_decide: Vec<String>,
    /// Columns of all exports.
    pub columns: usize,
    /// Of these, columns that give a field.
    pub columns_mapped: usize,
}

/// Proposes a mapping.
///
/// # Errors
/// When a file cannot be read, is empty, or has no header or no row.
pub fn propose(exports: &Unmapped<'_>) -> Result<Proposal, IngestError> {
    let cases = SampledExport::read(exports.cases)?;
    let passes = if exports.passes.is_empty() {
        None
    } else {
        Some(SampledExport::read(exports.passes)?)
    };
    let mut meanings = Meanings::default();
    let times_are = times_are(&cases);
    let mut judge = Judge {
        export: Source::Cases,
        times: times_are,
        certainty: cases.certainty,
        meanings: &mut meanings,
    };
    // Passes come from one place.
    let devices = match passes {
        Some(_) => None,
        None => device_columns(&cases, &mut judge),
    };
    let taken = devices
        .as_ref()
        .map_or(Vec::new(), devices::DeviceColumns::columns);
    let is_elapsed = times_are == TimesAre::Elapsed;
    let may_be_mapped = |field: CaseField| match field.origin() {
        Origin::Export => !(is_elapsed && field == CaseField::CalledAt),
        Origin::CallTime => is_elapsed,
        Origin::Derived => false,
    };
    let case_columns = columns(&cases, &mut judge, may_be_mapped, &taken);
    let pass_columns = passes.as_ref().map(|passes| {
        let mut judge = Judge {
            export: Source::Passes,
            times: TimesAre::Clock,
            certainty: passes.certainty,
            meanings: &mut meanings,
        };
        columns::<PassField>(passes, &mut judge, |_| true, &[])
    });
    let times = Times::of(&cases, &case_columns);
    let findings = Findings {
        cases: &cases,
        case_columns: &case_columns,
        times_are,
        times: &times,
        devices: devices.as_ref(),
        passes: passes.as_ref().zip(pass_columns.as_ref()),
        time_zone: exports.time_zone,
    };
    let (toml, to_decide) = document::write(&findings, &mut meanings);
    let of_export = |export: &SampledExport| export.columns.len() + export.columns_beyond;
    let mapped_passes = pass_columns
        .as_ref()
        .map_or(0, |columns| columns.found.len());
    Ok(Proposal {
        toml,
        to_decide,
        columns: of_export(&cases) + passes.as_ref().map_or(0, of_export),
        columns_mapped: document::columns_mapped(&findings) + mapped_passes,
    })
}

/// Whether the columns that seem to be moments of a case hold clock times or numbers.
fn times_are(cases: &SampledExport) -> TimesAre {
    let (mut clocks, mut lengths) = (0, 0);
    for column in &cases.columns {
        let is_moment = CaseField::ALL.iter().any(|field| {
            field.kind() == Kind::Minute
                && column
                    .words
                    .fit(Source::Cases, field.name(), true)
                    .is_some()
        });
        if is_moment && has_clock(&column.cells) {
            clocks += 1;
        } else if is_moment
            && column.cells.telling() > 0
            && !is_times(&column.cells)
            && column.cells.share(is_length) >= 0.9
        {
            lengths += 1;
        }
    }
    if lengths > clocks {
        TimesAre::Elapsed
    } else {
        TimesAre::Clock
    }
}
