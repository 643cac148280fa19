//! From the text of a time cell to minutes: the form of a column, the date and time of day in a
//! cell, the zone, and the day of a time that was written without one.
//!
//! Knows no columns and no files. A cell is text here for as long as it takes to read it; what
//! leaves is numbers and kinds of issues.

mod civil;
mod form_proof;
mod format;
mod program;
mod roll;
mod spreadsheet;
mod zone_table;

pub(super) use civil::{civil_from_days, days_from_civil};
pub(super) use form_proof::{Form, FormProof, Proof, Verdict, settle_sisters};
pub(super) use format::{TimeFormat, swapped};
pub(super) use roll::{CourseTime, Roll};
pub(super) use spreadsheet::is_spreadsheet_error;
pub(super) use zone_table::ZoneTable;

use super::clock::Reading;
use crate::domain::issue::IssueCode;
use std::fmt;

/// Minutes of a day on a clock.
const MINUTES_OF_DAY: i64 = 1440;

/// What one cell says of a time. No part is made up: what the cell does not say is `None`. Small enough
/// to be handed on in registers, for a cell in three is a time.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) struct Written {
    /// Days since 1970-01-01, for a day of 1970 to 2100.
    pub(super) date: Option<u16>,
    /// Minutes since midnight on the clock, 0 to 1439; seconds are cut off.
    pub(super) minute_of_day: Option<u16>,
    /// Minutes by which the clock of the cell is ahead of UTC, where the cell says so.
    pub(super) offset_minutes: Option<i16>,
}

impl fmt::Debug for Written {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Written(..)")
    }
}

impl Written {
    /// The date of one cell with the time of day and the offset of another, for exports that keep
    /// them in two columns.
    pub(super) fn joined(date: Written, time: Written) -> Written {
        Written {
            date: date.date,
            minute_of_day: time.minute_of_day,
            offset_minutes: time.offset_minutes,
        }
    }

    /// Minutes since 1970-01-01 00:00 on the clock that the cell means; `None` without a date or
    /// without a time of day.
    pub(super) fn local_minute(self) -> Option<i64> {
        let minute_of_day = i64::from(self.minute_of_day?);
        Some(i64::from(self.date?) * MINUTES_OF_DAY + minute_of_day)
    }

    /// The moment that a cell with date and time of day means: by its own offset where it has one,
    /// else on the clocks of the zone.
    ///
    /// # Errors
    /// `SkippedHour` when no clock of the zone showed the time; `NotATime` without a date or a time
    /// of day.
    pub(super) fn reading(self, zone: &ZoneTable) -> Result<Reading, IssueCode> {
        let local = self.local_minute().ok_or(IssueCode::NotATime)?;
        match self.offset_minutes {
            Some(offset) => Ok(Reading::Once(local - i64::from(offset))),
            None => zone.resolve(local),
        }
    }
}
