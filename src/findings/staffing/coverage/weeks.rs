//! The whole weeks in which a site was observed, Monday to Sunday on its own clock, with the calls of
//! each.

use super::fit::{Pooled, hour_of_week, observed_months};
use crate::domain::duty::call::Call;
use crate::domain::duty::plan::WEEK_HOURS;
use crate::domain::exposure::Exposure;
use crate::domain::month::Month;
use crate::simulation::{RecordedWeek, WeekCall};
use std::collections::BTreeMap;

/// Hours of the week at 1970-01-01 00:00, a Thursday.
const EPOCH_HOUR: i64 = 3 * 24;

/// Every week of which each day was observed, oldest first, those without a call included.
pub(super) fn recorded(calls: &[&Call], exposure: &Exposure, pooled: &Pooled) -> Vec<RecordedWeek> {
    let Some(first) = calls.first() else {
        return Vec::new();
    };
    let months = observed_months(exposure, &first.site);
    let mut weeks = BTreeMap::<i64, Vec<WeekCall>>::new();
    for month in &months {
        let (start, end) = (first_day(*month), first_day(month.plus(1)));
        let mondays = (start..end).filter(|day| (day + 3).rem_euclid(7) == 0);
        for monday in mondays {
            if monday + 7 <= end || months.contains(&month.plus(1)) {
                weeks.insert((monday + 3) / 7, Vec::new());
            }
        }
    }
    for call in calls {
        let (week, minute) = week_and_minute(call);
        if let Some(week) = weeks.get_mut(&week) {
            week.push(WeekCall {
                minute,
                call: pooled.recorded(call),
            });
        }
    }
    weeks.into_values().map(RecordedWeek::new).collect()
}

/// The week, counted from that of 1970-01-01, and the minute within it at which a call came on the
/// clock of its site. That clock is told by the weekday and the hour of the call: it is less than half
/// a week away from UTC.
fn week_and_minute(call: &Call) -> (i64, u16) {
    let week_hours = i64::try_from(WEEK_HOURS).expect("168");
    let local = hour_of_week(call.weekday, call.hour);
    let local_hour = i64::try_from(local).expect("below 168");
    let utc = call.called.div_euclid(60) + EPOCH_HOUR;
    let ahead = (local_hour - utc + week_hours / 2).rem_euclid(week_hours) - week_hours / 2;
    let minute = u16::try_from(local_hour * 60 + call.called.rem_euclid(60));
    (
        (utc + ahead).div_euclid(week_hours),
        minute.expect("below 10,080"),
    )
}

/// Days from 1970-01-01 to the first of a month in the Gregorian calendar.
fn first_day(month: Month) -> i64 {
    let (year, number) = (i64::from(month.year()), i64::from(month.number()));
    // Years that begin in March, so that the leap day is the last of its year.
    let (year, since_march) = if number < 3 {
        (year - 1, number + 9)
    } else {
        (year, number - 3)
    };
    let leap_days = year / 4 - year / 100 + year / 400;
    // 153 days in five months from March on; 719,468 days from 0000-03-01 to 1970-01-01.
    year * 365 + leap_days + (153 * since_march + 2) / 5 - 719_468
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::codes::{Presentation, Shift, Weekday};

    #[test]
    fn months_begin_where_calendars_say() {
        // Checked with `date -u -d 2024-03-01 +%s` / 86,400 and its kin.
        for (month, day) in [
            ("1970-01", 0),
            ("1970-02", 31),
            ("2000-03", 11_017),
            ("2024-02", 19_754),
            ("2024-03", 19_783),
            ("2026-09", 20_697),
        ] {
            assert_eq!(first_day(month.parse().expect("a month")), day, "{month}");
        }
    }

    #[test]
    fn a_call_lies_in_the_week_of_its_own_clock() {
        let call = |called: i64, weekday, hour| Call {
            site: "Alder".to_owned(),
            month: "2026-09".parse().expect("a month"),
            weekday,
            hour,
            shift: Shift::AfterHours,
            presentation: Presentation::ALL[0],
            called,
            team: None,
            scope_in: None,
            scope_out: None,
            ended: None,
            released: None,
            deadline: None,
        };
        // 2026-09-07 is a Monday, day 20,703; its week is number (20,703 + 3) / 7 = 2,958.
        let midnight = 20_703 * 24 * 60;
        let of =
            |minutes: i64, weekday, hour| week_and_minute(&call(midnight + minutes, weekday, hour));
        assert_eq!(of(17, Weekday::Monday, 0), (2958, 17));
        // Two hours ahead of UTC it is Monday 00:20 when UTC has Sunday 22:20; five behind UTC it is
        // Sunday 22:20, minute 6 * 1,440 + 22 * 60 + 20, when UTC has Monday 03:20.
        assert_eq!(of(-100, Weekday::Monday, 0), (2958, 20));
        assert_eq!(of(200, Weekday::Sunday, 22), (2957, 9_980));
    }
}
