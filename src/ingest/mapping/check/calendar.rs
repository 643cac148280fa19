//! The parts of a mapping about time: staffed hours, period, and the data-quality limits.

use crate::domain::codes::Weekday;
use crate::domain::fields::{CaseField, Field};
use crate::domain::month::Month;
use crate::ingest::error::MappingFault;
use crate::ingest::mapping::file::{PeriodTable, StaffedHoursTable};
use crate::ingest::mapping::{Limits, StaffedHours};
use jiff::civil::Time;

/// Without dates no call can be told to be on a holiday, and hours are whole.
pub(super) fn check_staffed_hours_of_elapsed(staffed: &StaffedHours) -> Result<(), MappingFault> {
    let is_whole = |time: Time| time.minute() == 0 && time.second() == 0;
    if staffed.holidays.is_empty() && is_whole(staffed.from) && is_whole(staffed.to) {
        Ok(())
    } else {
        Err(MappingFault::new(
            "`staffed_hours` has holidays or part hours, which `time_form = \"elapsed\"` cannot tell",
            "take the holidays out, and let the staffed hours begin and end on the hour",
        ))
    }
}

pub(super) fn staffed_hours(table: StaffedHoursTable) -> Result<StaffedHours, MappingFault> {
    let days = table
        .days
        .iter()
        .map(|day| {
            Weekday::ALL
                .iter()
                .copied()
                .find(|weekday| weekday.code() == day)
                .ok_or_else(|| {
                    MappingFault::new(
                        "`staffed_hours.days` holds a word that is no weekday",
                        "the weekdays are: mon, tue, wed, thu, fri, sat, sun",
                    )
                })
        })
        .collect::<Result<_, _>>()?;
    if table.from >= table.to {
        return Err(MappingFault::new(
            "`staffed_hours.from` is not before `staffed_hours.to`",
            "both times lie on the same day, for example from = \"08:00\" and to = \"17:00\"",
        ));
    }
    Ok(StaffedHours {
        days,
        from: table.from,
        to: table.to,
        holidays: table.holidays,
    })
}

/// Whose date a column is that gives the date of several moments; the arrival's unless it is said.
pub(super) fn date_of(name: Option<&str>) -> Result<CaseField, MappingFault> {
    let Some(name) = name else {
        return Ok(CaseField::ArrivedAt);
    };
    [CaseField::ArrivedAt, CaseField::CalledAt]
        .into_iter()
        .find(|field| field.name() == name)
        .ok_or_else(|| {
            MappingFault::new(
                "`cases.date_of` is neither `arrived_at` nor `called_at`",
                "of which moment is the date in the column that several times share?",
            )
        })
}

pub(super) fn period(table: &PeriodTable) -> Result<(Month, Month), MappingFault> {
    let fault = || {
        MappingFault::new(
            "`period.from` and `period.to` are not two months in order",
            "write months as 2026-09; both are part of the period",
        )
    };
    let from: Month = table.from.parse().map_err(|_| fault())?;
    let to: Month = table.to.parse().map_err(|_| fault())?;
    if from <= to {
        Ok((from, to))
    } else {
        Err(fault())
    }
}

pub(super) fn limits(limits: Limits) -> Result<Limits, MappingFault> {
    let is_share = |value: f64| (0.0..=1.0).contains(&value);
    if is_share(limits.rows_set_aside) && is_share(limits.values_unusable) {
        Ok(limits)
    } else {
        Err(MappingFault::new(
            "a value below `[limits]` is not a share between 0 and 1",
            "for 2 percent write 0.02",
        ))
    }
}
