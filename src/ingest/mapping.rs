//! The mapping: what the columns and words of one site's export mean, read from `mapping.toml` and
//! checked against the list of fields before any row is read.

mod check;
mod file;

use super::calendar;
use super::cell::{Cells, Value};
use super::error::IngestError;
use super::input::Encoding;
use super::time::{TimeFormat, ZoneTable};
use super::windows::Windows;
use crate::domain::codes::{Outcome, PassResult, Weekday};
use crate::domain::duty::calendar::DutyCalendar;
use crate::domain::duty::plan::DutyRules;
use crate::domain::exposure::StaffedWeek;
use crate::domain::fields::{CaseField, Field, PassField};
use crate::domain::month::Month;
use crate::domain::phase::Phase;
use crate::domain::window::GuidelineWindow;
use check::check;
use file::MappingFile;
use jiff::Timestamp;
use jiff::civil::{Date, Time};
use jiff::tz::TimeZone;
use serde::Deserialize;
use std::collections::BTreeMap;
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
#[derive(Clone)]
pub(super) enum TimeForm {
    /// Local wall-clock times.
    Clock {
        /// Zone of the clocks.
        zone: TimeZone,
        /// The same zone, its clock changes laid out for many look-ups.
        table: Box<ZoneTable>,
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

/// How the files of one export are written, as far as the mapping says so.
#[derive(Clone, Debug)]
pub(super) struct ExportForm {
    pub(super) separator: Option<u8>,
    pub(super) quote: Option<u8>,
    pub(super) encoding: Option<Encoding>,
    pub(super) decimal: u8,
    pub(super) header_rows: usize,
    /// Whether the cells that a short row lacks count as blank.
    pub(super) fills_short_rows: bool,
    /// Headings that are never looked at.
    pub(super) drop: Vec<String>,
    /// Headings that somebody has looked at and found to identify nobody.
    pub(super) cleared: Vec<String>,
}

/// Where a field's cells come from, and how they are read.
#[derive(Clone, Debug)]
pub(super) struct Column<F> {
    pub(super) field: F,
    /// One heading; for a time two where its date stands in a column of its own, the date first.
    pub(super) headings: Vec<String>,
    pub(super) cells: Cells,
    pub(super) time: TimeSource,
}

/// Who says how a time is written.
#[derive(Clone, Debug)]
pub(super) enum TimeSource {
    /// The field is no clock time.
    NoClockTime,
    /// The mapping.
    Given(TimeFormat),
    /// The cells of the column, which have to prove it.
    ByCells,
}

/// One export as the mapping describes it.
#[derive(Clone, Debug)]
pub(super) struct ExportMapping<F> {
    pub(super) form: ExportForm,
    /// In the order of the fields.
    pub(super) columns: Vec<Column<F>>,
}

/// Devices that stand in the row of their case.
#[derive(Clone, Debug)]
pub(super) struct DevicesMapping {
    /// Headings, in the order of the passes.
    pub(super) columns: Vec<String>,
    /// Headings of the results, one for each of `columns`, or none.
    pub(super) results: Vec<String>,
    pub(super) device_cells: Cells,
    pub(super) result_cells: Cells,
    /// Whether devices are written in the order in which they went down.
    pub(super) is_ordered: bool,
    /// Whether the last pass did what the outcome says, and those before it failed.
    pub(super) is_result_from_outcome: bool,
}

impl DevicesMapping {
    /// What the last pass did by the outcome of its case.
    pub(super) fn result_of(outcome: &str) -> Option<PassResult> {
        match outcome {
            _ if outcome == Outcome::Removed.code() => Some(PassResult::ObjectRemoved),
            _ if outcome == Outcome::Pushed.code() => Some(PassResult::PushedOn),
            _ if outcome == Outcome::Failed.code() => Some(PassResult::PassFailed),
            _ => None,
        }
    }
}

/// A mapping that has been checked.
#[derive(Clone)]
pub struct Mapping {
    pub(super) time_form: TimeForm,
    pub(super) cases: ExportMapping<CaseField>,
    /// Fields that have one value for the whole export.
    pub(super) constants: Vec<(CaseField, Constant)>,
    pub(super) devices: Option<DevicesMapping>,
    pub(super) passes: Option<ExportMapping<PassField>>,
    pub(super) staffed_hours: StaffedHours,
    pub(super) window_start: CaseField,
    pub(super) windows: Windows,
    /// Whose date a column is that gives the date of several moments.
    pub(super) date_of: CaseField,
    pub(super) period: Option<(Month, Month)>,
    limits: Limits,
    baseline_months: usize,
    phases: Vec<Phase>,
    targets: BTreeMap<String, f64>,
    bytes: Vec<u8>,
}

/// One value for all rows.
#[derive(Clone, PartialEq, Eq)]
pub(super) enum Constant {
    Text(String),
    Code(&'static str),
    Whole(i64),
}

impl Constant {
    pub(super) fn value(&self) -> Value<'_> {
        match self {
            Constant::Text(text) => Value::Text(text),
            Constant::Code(code) => Value::Code(code),
            Constant::Whole(number) => Value::Whole(*number),
        }
    }
}

impl Mapping {
    /// Reads and checks a mapping file.
    ///
    /// # Errors
    /// When it cannot be read, is not TOML, has an unknown key, or contradicts the list of fields.
    pub fn read(path: &Path) -> Result<Mapping, IngestError> {
        let bytes = std::fs::read(path).map_err(|source| IngestError::unreadable(path, source))?;
        let syntax = |message| IngestError::MappingSyntax {
            path: path.to_path_buf(),
            message,
        };
        let text = std::str::from_utf8(&bytes)
            .map_err(|error| {
                let line = super::blocks::line_ends(&bytes[..error.valid_up_to()]) + 1;
                syntax(format!("line {line} holds bytes that are not UTF-8 text"))
            })?
            .trim_start_matches('\u{feff}');
        let file: MappingFile =
            toml::from_str(text).map_err(|error| syntax(place(text, &error)))?;
        check(file, bytes.clone()).map_err(|fault| IngestError::MappingFault {
            path: path.to_path_buf(),
            fault,
        })
    }

    /// Shares above which a run ends with exit code 1.
    pub fn limits(&self) -> Limits {
        self.limits
    }

    /// Months with a value that the lines of a chart come from, 12 to 60.
    pub fn baseline_months(&self) -> usize {
        self.baseline_months
    }

    /// Dated changes, oldest first. Whether their measures exist is not known here.
    pub fn phases(&self) -> &[Phase] {
        &self.phases
    }

    /// Targets by measure, each 0 or more. Whether the measures exist is not known here.
    pub fn targets(&self) -> &BTreeMap<String, f64> {
        &self.targets
    }

    /// From when urgency windows are counted, in words.
    pub fn window_start(&self) -> &'static str {
        self.window_start.label()
    }

    /// The guideline windows in the order in which they are tried: the site's own, then those of the
    /// built-in table that are on; last those that are off.
    pub fn guideline_windows(&self) -> Vec<GuidelineWindow> {
        self.windows.words()
    }

    /// First and last month to count, where the mapping says them.
    pub fn period(&self) -> Option<(Month, Month)> {
        self.period
    }

    /// Whether times stand on one clock, so that cases have an order; minutes since the call give
    /// none.
    pub fn has_clock_times(&self) -> bool {
        matches!(self.time_form, TimeForm::Clock { .. })
    }

    /// A moment as the clocks of the site showed it, such as `2026-09-03 02:14`; in an hour that they
    /// showed twice, with the offset from UTC behind it. `minute` counts from 1970-01-01 00:00 UTC.
    /// `None` where times are minutes since the call, or when the moment lies beyond the calendar.
    pub fn local_time(&self, minute: i64) -> Option<String> {
        let TimeForm::Clock { zone, .. } = &self.time_form else {
            return None;
        };
        let moment = Timestamp::from_second(minute.checked_mul(60)?).ok()?;
        let local = zone.to_datetime(moment);
        let shown = local.strftime("%Y-%m-%d %H:%M");
        Some(if zone.to_ambiguous_timestamp(local).is_ambiguous() {
            format!("{shown} {}", zone.to_offset(moment))
        } else {
            shown.to_string()
        })
    }

    /// The month of a moment on the clocks of the site, in minutes from 1970-01-01 00:00 UTC, and the
    /// number of its day in it; `None` as for [`Mapping::local_time`].
    pub fn day_of(&self, minute: i64) -> Option<(Month, u8)> {
        let TimeForm::Clock { zone, .. } = &self.time_form else {
            return None;
        };
        let moment = Timestamp::from_second(minute.checked_mul(60)?).ok()?;
        let day = zone.to_datetime(moment).date();
        let year = u16::try_from(day.year()).ok()?;
        let month = Month::new(year, day.month().unsigned_abs()).ok()?;
        Some((month, day.day().unsigned_abs()))
    }

    /// The hours of a usual week that are staffed.
    pub fn staffed_week(&self) -> StaffedWeek {
        calendar::staffed_week(&self.staffed_hours)
    }

    /// Staffed hours, nights and days of the months from `first` to `last`, both included, exact over
    /// clock changes and holidays. `None` where times are minutes since the call.
    pub fn duty_calendar(
        &self,
        first: Month,
        last: Month,
        rules: DutyRules,
    ) -> Option<DutyCalendar> {
        let TimeForm::Clock { zone, .. } = &self.time_form else {
            return None;
        };
        let staffed = &self.staffed_hours;
        Some(calendar::duty_calendar((first, last), zone, staffed, rules))
    }

    /// Every laboratory quantity of the export, in words, with the unit that was declared for it.
    pub fn units(&self) -> impl Iterator<Item = (&'static str, &'static str)> {
        let columns = self.cases.columns.iter();
        let units = columns.filter_map(|column| {
            let unit = column.cells.laboratory_unit()?;
            Some((column.field.label(), unit.code))
        });
        units.filter(|(_, unit)| !unit.is_empty())
    }

    /// The bytes of the file, for its hash.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// The fields of a case that the export gives, in column order.
    pub(super) fn mapped_case_fields(&self) -> impl Iterator<Item = CaseField> {
        let columns = &self.cases.columns;
        CaseField::ALL.iter().copied().filter(|field| {
            columns.iter().any(|column| column.field == *field)
                || self
                    .constants
                    .iter()
                    .any(|(constant, ..)| constant == field)
        })
    }
}

/// Line and column of a TOML error, and its reason, on one line.
pub(super) fn place(text: &str, error: &toml::de::Error) -> String {
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
