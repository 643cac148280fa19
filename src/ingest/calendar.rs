//! From the moment of a call to month, weekday, hour and shift, and from the calendar to the hours
//! that were observed.

mod duty;

pub(super) use duty::duty_calendar;

use super::mapping::{StaffedHours, TimeForm};
use super::time::{civil_from_days, days_from_civil};
use crate::domain::codes::{Shift, Weekday};
use crate::domain::exposure::{StaffedWeek, WeekHour};
use crate::domain::month::Month;
use jiff::civil::{Date, Time};
use jiff::tz::TimeZone;
use std::collections::BTreeMap;

/// The calendar of one call.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct CallTime {
    pub(super) month: Month,
    pub(super) weekday: Weekday,
    pub(super) hour: i64,
    pub(super) shift: Shift,
}

/// What the calendar of calls needs of the staffed hours, in minutes and days, so that a call costs
/// no call of a library.
#[derive(Clone, Debug)]
pub(super) struct CallCalendar {
    /// From Monday on.
    is_staffed: [bool; 7],
    from_minute: i64,
    to_minute: i64,
    /// Days since 1970-01-01, rising.
    holidays: Vec<i32>,
}

impl CallCalendar {
    pub(super) fn new(staffed: &StaffedHours) -> CallCalendar {
        // A clock that shows whole minutes shows none of a minute that has begun.
        let minute = |time: Time| {
            let whole = i64::from(time.hour()) * 60 + i64::from(time.minute());
            whole + i64::from(time.second() > 0 || time.subsec_nanosecond() > 0)
        };
        let mut holidays: Vec<_> = staffed
            .holidays
            .iter()
            .filter_map(|day| {
                let (month, number) = (day.month().unsigned_abs(), day.day().unsigned_abs());
                days_from_civil(i32::from(day.year()), month, number)
            })
            .collect();
        holidays.sort_unstable();
        CallCalendar {
            is_staffed: std::array::from_fn(|index| staffed.days.contains(&Weekday::ALL[index])),
            from_minute: minute(staffed.from),
            to_minute: minute(staffed.to),
            holidays,
        }
    }

    /// The calendar of a call, by minutes since 1970-01-01 00:00 on the clocks of the zone; `None`
    /// outside the years 1970 to 2100.
    pub(super) fn call_time(&self, local_minute: i64) -> Option<CallTime> {
        let days = i32::try_from(local_minute.div_euclid(24 * 60)).ok()?;
        let minute_of_day = local_minute.rem_euclid(24 * 60);
        let (year, month, _) = civil_from_days(days)?;
        // 1970-01-01 was a Thursday.
        let weekday = usize::try_from((days + 3) % 7).ok()?;
        let is_in_hours = self.is_staffed[weekday]
            && (self.from_minute..self.to_minute).contains(&minute_of_day)
            && self.holidays.binary_search(&days).is_err();
        Some(CallTime {
            month: Month::new(u16::try_from(year).ok()?, month).ok()?,
            weekday: Weekday::ALL[weekday],
            hour: minute_of_day / 60,
            shift: if is_in_hours {
                Shift::InHours
            } else {
                Shift::AfterHours
            },
        })
    }
}

/// The shift where only weekday and hour are known. The mapping allows no holidays and no part hours
/// then, so that calls and observed time are split alike.
pub(super) fn shift_of_hour(weekday: &str, hour: i64, staffed: &StaffedHours) -> Shift {
    let is_day = staffed.days.iter().any(|day| day.code() == weekday);
    let from = i64::from(staffed.from.hour());
    let to = i64::from(staffed.to.hour());
    if is_day && (from..to).contains(&hour) {
        Shift::InHours
    } else {
        Shift::AfterHours
    }
}

/// The hours of a usual week of which at least half is staffed.
pub(super) fn staffed_week(staffed: &StaffedHours) -> StaffedWeek {
    let minute = |time: Time| i64::from(time.hour()) * 60 + i64::from(time.minute());
    let (from, to) = (minute(staffed.from), minute(staffed.to));
    StaffedWeek::new(|day, hour| {
        let start = i64::from(hour) * 60;
        let staffed_minutes = to.min(start + 60) - from.max(start);
        staffed.days.contains(&day) && staffed_minutes >= 30
    })
}

/// Minutes of a month in and after hours, exact over clock changes and holidays.
/// `zone` is UTC for elapsed data, whose clock changes are unknown.
pub(super) fn minutes_of_month(
    month: Month,
    form: &TimeForm,
    staffed: &StaffedHours,
) -> [(Shift, u64); 2] {
    let zone = zone_of(form);
    let mut in_hours = 0;
    let mut all = 0;
    for day in days_of(month) {
        if is_staffed_day(day, staffed) {
            in_hours += minute_at(day, staffed.to, &zone) - minute_at(day, staffed.from, &zone);
        }
        all += minute_at(day_after(day), Time::midnight(), &zone)
            - minute_at(day, Time::midnight(), &zone);
    }
    let whole = |minutes: i64| u64::try_from(minutes).unwrap_or(0);
    [
        (Shift::InHours, whole(in_hours)),
        (Shift::AfterHours, whole(all - in_hours)),
    ]
}

/// Minutes of a month by weekday and hour on the clock, exact over clock changes: the hour that is
/// skipped has none, and the one that is repeated twice as many.
pub(super) fn minutes_of_week_hours(month: Month, form: &TimeForm) -> BTreeMap<WeekHour, u64> {
    let zone = zone_of(form);
    let mut minutes = BTreeMap::new();
    for day in days_of(month) {
        let midnight = minute_at(day, Time::midnight(), &zone);
        let next_midnight = minute_at(day_after(day), Time::midnight(), &zone);
        let has_clock_change = next_midnight - midnight != 24 * 60;
        let start_of = |hour: i8| match hour {
            24 => next_midnight,
            _ if has_clock_change => minute_at(day, Time::constant(hour, 0, 0, 0), &zone),
            _ => midnight + i64::from(hour) * 60,
        };
        for hour in 0..24_i8 {
            let cell = WeekHour {
                month,
                weekday: weekday_of(day),
                hour: hour.unsigned_abs(),
            };
            let length = u64::try_from(start_of(hour + 1) - start_of(hour)).unwrap_or(0);
            *minutes.entry(cell).or_insert(0) += length;
        }
    }
    minutes
}

/// UTC for elapsed data, whose clock changes are unknown.
fn zone_of(form: &TimeForm) -> TimeZone {
    match form {
        TimeForm::Clock { zone, .. } => zone.clone(),
        TimeForm::Elapsed => TimeZone::UTC,
    }
}

fn days_of(month: Month) -> impl Iterator<Item = Date> {
    let year = i16::try_from(month.year()).expect("a year of 1900 to 2200");
    let number = i8::try_from(month.number()).expect("a month of 1 to 12");
    let days = Date::constant(year, number, 1).days_in_month();
    (1..=days).map(move |day| Date::constant(year, number, day))
}

fn day_after(day: Date) -> Date {
    day.tomorrow()
        .expect("a day after one in the years 1900 to 2200")
}

/// A moment that a clock change skips or repeats counts as the usual reading has it.
fn minute_at(day: Date, time: Time, zone: &TimeZone) -> i64 {
    zone.to_ambiguous_timestamp(day.to_datetime(time))
        .compatible()
        .map(|moment| moment.as_second().div_euclid(60))
        .expect("a moment of the years 1900 to 2200")
}

fn is_staffed_day(day: Date, staffed: &StaffedHours) -> bool {
    staffed.days.contains(&weekday_of(day)) && !staffed.holidays.contains(&day)
}

fn weekday_of(day: Date) -> Weekday {
    let index = usize::from(day.weekday().to_monday_zero_offset().unsigned_abs());
    Weekday::ALL[index]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ingest::time::ZoneTable;
    use jiff::Timestamp;

    fn office_hours() -> StaffedHours {
        StaffedHours {
            days: Weekday::ALL[..5].to_vec(),
            from: Time::constant(8, 0, 0, 0),
            to: Time::constant(17, 0, 0, 0),
            holidays: vec![Date::constant(2024, 11, 28)],
        }
    }

    /// The calendar of a call at `minute` (UTC since 1970), by the calendar of a library.
    fn call_time_by_jiff(minute: i64, zone: &TimeZone, staffed: &StaffedHours) -> Option<CallTime> {
        let moment = Timestamp::from_second(minute.checked_mul(60)?).ok()?;
        let local = zone.to_datetime(moment);
        let month = Month::new(
            u16::try_from(local.year()).ok()?,
            u8::try_from(local.month()).ok()?,
        )
        .ok()?;
        let weekday = weekday_of(local.date());
        let is_staffed = is_staffed_day(local.date(), staffed)
            && (staffed.from..staffed.to).contains(&local.time());
        Some(CallTime {
            month,
            weekday,
            hour: i64::from(local.hour()),
            shift: if is_staffed {
                Shift::InHours
            } else {
                Shift::AfterHours
            },
        })
    }

    fn clock(zone: &str) -> TimeForm {
        let zone = TimeZone::get(zone).expect("a zone of the bundled database");
        let table = Box::new(ZoneTable::new(&zone));
        TimeForm::Clock { zone, table }
    }

    #[test]
    fn a_month_with_a_clock_change_is_an_hour_longer() {
        // November 2024 in New York: 30 days and one hour; 21 weekdays less one holiday, 9 hours each.
        let month: Month = "2024-11".parse().expect("a month");
        let minutes = minutes_of_month(month, &clock("America/New_York"), &office_hours());
        assert_eq!(minutes[0], (Shift::InHours, 20 * 9 * 60));
        assert_eq!(minutes[1], (Shift::AfterHours, (30 * 24 + 1 - 20 * 9) * 60));
        let elapsed = minutes_of_month(month, &TimeForm::Elapsed, &office_hours());
        assert_eq!(elapsed[0].1 + elapsed[1].1, 30 * 24 * 60);
    }

    #[test]
    fn an_hour_of_the_week_is_longer_or_shorter_where_the_clock_changes() {
        let at = |month: &str, form: &TimeForm, weekday: Weekday, hour: u8| {
            let month: Month = month.parse().expect("a month");
            let minutes = minutes_of_week_hours(month, form);
            let of_month = minutes.values().sum::<u64>();
            let staffed = minutes_of_month(month, form, &office_hours());
            assert_eq!(of_month, staffed[0].1 + staffed[1].1, "{month}");
            assert_eq!(minutes.len(), 7 * 24);
            minutes[&WeekHour {
                month,
                weekday,
                hour,
            }]
        };
        let new_york = clock("America/New_York");
        // 2024-11-03, the first of four Sundays, has 01:00 to 02:00 twice.
        assert_eq!(at("2024-11", &new_york, Weekday::Sunday, 1), 5 * 60);
        assert_eq!(at("2024-11", &new_york, Weekday::Sunday, 2), 4 * 60);
        // It begins on a Friday and ends on a Saturday: five of both.
        assert_eq!(at("2024-11", &new_york, Weekday::Friday, 12), 5 * 60);
        assert_eq!(at("2024-11", &new_york, Weekday::Monday, 23), 4 * 60);
        // 2024-03-10, the second of five Sundays, has no 02:00 to 03:00.
        assert_eq!(at("2024-03", &new_york, Weekday::Sunday, 2), 4 * 60);
        assert_eq!(at("2024-03", &new_york, Weekday::Sunday, 3), 5 * 60);
        assert_eq!(
            at("2024-03", &TimeForm::Elapsed, Weekday::Sunday, 2),
            5 * 60
        );
        // Lord Howe Island moves its clocks by half an hour: 2024-10-06 has 30 minutes less of 02:00.
        let half = clock("Australia/Lord_Howe");
        assert_eq!(at("2024-10", &half, Weekday::Sunday, 2), 3 * 60 + 30);
    }

    #[test]
    fn an_hour_that_is_staffed_by_half_counts_as_staffed() {
        let mut staffed = office_hours();
        staffed.from = Time::constant(7, 30, 0, 0);
        staffed.to = Time::constant(16, 20, 0, 0);
        let week = staffed_week(&staffed);
        let hours: Vec<u8> = (0..24)
            .filter(|hour| week.is_staffed(Weekday::Friday, *hour))
            .collect();
        assert_eq!(hours, (7..16).collect::<Vec<_>>());
        assert!(!week.is_staffed(Weekday::Saturday, 10));
    }

    #[test]
    fn the_share_of_the_clock_that_is_after_hours() {
        // 2024 without holidays: 262 weekdays of 9 staffed hours in 8784 hours leave 73.2 %.
        let mut staffed = office_hours();
        staffed.holidays.clear();
        let (mut after, mut all) = (0, 0);
        let year: Month = "2024-01".parse().expect("a month");
        for month in year.through(year.plus(11)) {
            let minutes = minutes_of_month(month, &TimeForm::Elapsed, &staffed);
            after += minutes[1].1;
            all += minutes[0].1 + minutes[1].1;
        }
        assert_eq!(all, 8784 * 60);
        assert!((after as f64 / all as f64 - 0.732).abs() < 0.0005);
    }

    #[test]
    fn a_call_falls_into_its_local_hour() {
        let TimeForm::Clock { table, .. } = clock("America/New_York") else {
            return;
        };
        let calendar = CallCalendar::new(&office_hours());
        // 2026-09-30 21:30 UTC is Wednesday 17:30 in New York: after hours by half an hour.
        let minute = 29_846_730;
        let call = calendar
            .call_time(table.local(minute))
            .expect("within the years");
        assert_eq!(call.month.to_string(), "2026-09");
        assert_eq!(
            (call.weekday, call.hour, call.shift),
            (Weekday::Wednesday, 17, Shift::AfterHours)
        );
        let earlier = calendar.call_time(table.local(minute - 31));
        assert_eq!(earlier.map(|call| call.shift), Some(Shift::InHours));
        assert_eq!(shift_of_hour("wed", 16, &office_hours()), Shift::InHours);
        assert_eq!(shift_of_hour("sat", 10, &office_hours()), Shift::AfterHours);
    }

    #[test]
    fn the_calendar_without_library_calls_agrees_with_the_one_with_them() {
        let mut staffed = office_hours();
        staffed.holidays = vec![Date::constant(2026, 1, 1), Date::constant(2024, 11, 28)];
        staffed.from = Time::constant(7, 30, 0, 0);
        staffed.to = Time::constant(16, 45, 30, 0);
        let calendar = CallCalendar::new(&staffed);
        // 1970 to 2100 in steps of 31 hours and 7 minutes; then every 15 minutes of the months with
        // a holiday: 2024-11 starts 28,840,320 minutes after 1970, 2026-01 starts at 29,453,760.
        let all = (0..68_899_680).step_by(31 * 60 + 7);
        let november = (28_840_320..28_883_520).step_by(15);
        let january = (29_453_760..29_498_400).step_by(15);
        for local in all.chain(november).chain(january) {
            assert_eq!(
                calendar.call_time(local),
                call_time_by_jiff(local, &TimeZone::UTC, &staffed),
                "{local}"
            );
        }
        for local in [-1, 68_899_680, i64::MAX, i64::MIN] {
            assert_eq!(calendar.call_time(local), None);
        }
        // Thanksgiving 2024 at noon, and the minute that begins before the staffed hours end.
        let noon = |day: i32| i64::from(day) * 1440 + 720;
        let shift = |minute| calendar.call_time(minute).map(|call| call.shift);
        let thanksgiving = days_from_civil(2024, 11, 28).expect("a day");
        assert_eq!(shift(noon(thanksgiving)), Some(Shift::AfterHours));
        assert_eq!(shift(noon(thanksgiving - 1)), Some(Shift::InHours));
        assert_eq!(shift(noon(thanksgiving - 1) + 285), Some(Shift::InHours));
        assert_eq!(shift(noon(thanksgiving - 1) + 286), Some(Shift::AfterHours));
    }
}
