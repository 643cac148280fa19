//! Calls by the hour of the week, all sites together.

use super::rates::{index_of_part, part_of_minutes};
use super::series::{Calls, Served};
use super::{Additive, CallRate, EventsCount, Level, Per};
use crate::domain::codes::Weekday;
use crate::findings::calls_by_hour::{BY, CALLS_PER_CELL};

/// Lengths of a block in which weekdays stand apart, shortest first.
const BLOCK_HOURS: [u8; 4] = [1, 2, 3, 4];

/// The length of a block where days are put together.
pub const DAY_KIND_BLOCK_HOURS: u8 = 4;

/// Which days a row of the week holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Days {
    /// One day of the week.
    One(Weekday),
    /// Monday to Friday.
    MondayToFriday,
    /// Saturday and Sunday.
    Weekend,
}

impl Days {
    /// In words.
    pub fn label(self) -> &'static str {
        match self {
            Days::One(day) => day.label(),
            Days::MondayToFriday => "Monday to Friday",
            Days::Weekend => "Saturday and Sunday",
        }
    }

    /// The word in tables.
    pub fn code(self) -> &'static str {
        match self {
            Days::One(day) => day.code(),
            Days::MondayToFriday => "mon_to_fri",
            Days::Weekend => "sat_sun",
        }
    }

    fn holds(self, day: Weekday) -> bool {
        let is_weekend = day >= Weekday::Saturday;
        match self {
            Days::One(one) => one == day,
            Days::MondayToFriday => !is_weekend,
            Days::Weekend => is_weekend,
        }
    }
}

/// One row of the week.
#[derive(Clone, Debug, PartialEq)]
pub struct WeekRow {
    /// Its days.
    pub days: Days,
    /// Its blocks from midnight on, per 100 hours; `None` where no time was observed.
    pub blocks: Vec<Option<CallRate>>,
}

/// Calls by the hour of the week. A holiday counts as its weekday.
#[derive(Clone, Debug, PartialEq)]
pub struct Week {
    /// Hours of a block of [`Week::rows`].
    pub block_hours: u8,
    /// Monday to Sunday; or Monday to Friday and the weekend, where even blocks of 4 hours would
    /// leave fewer than 5 calls to a cell on average.
    pub rows: Vec<WeekRow>,
    /// Monday to Friday and the weekend in blocks of 4 hours.
    pub day_kinds: Vec<WeekRow>,
    /// Calls whose weekday and hour are known, and the time that was observed.
    pub all: EventsCount,
    /// Calls of which weekday or hour is not recorded.
    pub not_known: u64,
    /// The part of the observed hours that counts; below 1 where a site was not in service all the
    /// time, of which the count tables do not say on which hours of the week it fell.
    pub kept_time: f64,
}

impl Week {
    /// The first hour of each block of [`Week::rows`].
    pub fn first_hours(&self) -> impl Iterator<Item = u8> {
        first_hours(self.block_hours)
    }

    /// Whether weekdays stand apart.
    pub fn has_single_days(&self) -> bool {
        matches!(self.rows.first(), Some(row) if matches!(row.days, Days::One(_)))
    }
}

/// The first hour of each block.
pub fn first_hours(block_hours: u8) -> impl Iterator<Item = u8> {
    (0..24).step_by(usize::from(block_hours.max(1)))
}

/// The calls by hour of the week; `None` when no call has its hour.
pub(super) fn week(calls: &Calls<'_>, all: &Served, index: f64, level: Level) -> Option<Week> {
    let total = all.total();
    let observed = calls.at(super::ALL, super::ALL, None).exposure_minutes;
    let kept_time = (total.exposure_minutes as f64 / observed.max(1) as f64).min(1.0);
    let hours: Vec<(Weekday, u8, EventsCount)> = Weekday::ALL
        .iter()
        .flat_map(|day| (0..24_u8).map(move |hour| (*day, hour)))
        .map(|(day, hour)| {
            let mut count = calls.at(BY, &format!("{}|{hour}", day.code()), None);
            count.exposure_minutes = part_of_minutes(count.exposure_minutes, kept_time);
            (day, hour, count)
        })
        .collect();
    let known = EventsCount::sum(hours.iter().map(|(_, _, count)| count));
    if known.events == 0 {
        return None;
    }
    let rows = |days: &[Days], block_hours: u8| -> Vec<WeekRow> {
        let row = |days: &Days| WeekRow {
            days: *days,
            blocks: first_hours(block_hours)
                .map(|first| {
                    let cell = hours.iter().filter(|(day, hour, _)| {
                        days.holds(*day) && (first..first + block_hours).contains(hour)
                    });
                    let count = EventsCount::sum(cell.map(|(_, _, count)| count));
                    let index = index_of_part(index, count.events, known.events);
                    CallRate::new(count, Per::HundredHours, index, level)
                })
                .collect(),
        };
        days.iter().map(row).collect()
    };
    let kinds = [Days::MondayToFriday, Days::Weekend];
    let day_kinds = rows(&kinds, DAY_KIND_BLOCK_HOURS);
    let (block_hours, rows) = match block_hours(known.events) {
        Some(hours) => {
            let days: Vec<Days> = Weekday::ALL.iter().copied().map(Days::One).collect();
            (hours, rows(&days, hours))
        }
        None => (DAY_KIND_BLOCK_HOURS, day_kinds.clone()),
    };
    Some(Week {
        block_hours,
        rows,
        day_kinds,
        all: known,
        not_known: calls
            .at(super::ALL, super::ALL, None)
            .events
            .saturating_sub(known.events),
        kept_time,
    })
}

/// The shortest block that leaves enough calls to each cell of a weekday; `None` when none does.
pub(super) fn block_hours(calls: u64) -> Option<u8> {
    let has_enough = |hours: &u8| calls * u64::from(*hours) >= CALLS_PER_CELL * 7 * 24;
    BLOCK_HOURS.into_iter().find(has_enough)
}
