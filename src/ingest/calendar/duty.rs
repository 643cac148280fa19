//! Days, nights and staffed hours as stretches of time on the axis of UTC minutes, for what is told
//! of those on duty. Knows no call.
//!
//! Every edge is the minute at which the clocks first show a time or have jumped past it. So edges
//! rise as their local times do, and no two stretches of a kind overlap at a clock change: a day or a
//! night over one is an hour longer or shorter.

use super::{day_after, days_of, is_staffed_day};
use crate::domain::duty::calendar::DutyCalendar;
use crate::domain::duty::calendar::Span;
use crate::domain::duty::plan::DutyRules;
use crate::domain::month::Month;
use crate::ingest::mapping::StaffedHours;
use jiff::civil::{Date, Time};
use jiff::tz::{AmbiguousOffset, TimeZone};

/// What began within the period may end in the hours of so many days after it.
const DAYS_AFTER: usize = 14;

/// The calendar of the months from `first` to `last`, both included, on the clocks of a zone.
pub(in crate::ingest) fn duty_calendar(
    (first, last): (Month, Month),
    zone: &TimeZone,
    staffed: &StaffedHours,
    rules: DutyRules,
) -> DutyCalendar {
    let days: Vec<Date> = first.through(last).flat_map(days_of).collect();
    let end = days.last().map(|day| day_after(*day));
    let days_after = std::iter::successors(end, |day| Some(day_after(*day))).take(DAYS_AFTER);
    let midnight = |day: Date| minute_of(day, 0, zone);
    let in_hours = days
        .iter()
        .copied()
        .chain(days_after)
        .filter(|day| is_staffed_day(*day, staffed))
        .map(|day| Span {
            from: minute_of(day, shown_minute(staffed.from), zone),
            until: minute_of(day, shown_minute(staffed.to), zone),
        });
    let nights = days.iter().map(|day| {
        let is_next_day = rules.night_until <= rules.night_from;
        let last_day = if is_next_day { day_after(*day) } else { *day };
        Span {
            from: minute_of(*day, rules.night_from, zone),
            until: minute_of(last_day, rules.night_until, zone),
        }
    });
    let local_days = days.iter().map(|day| Span {
        from: midnight(*day),
        until: midnight(day_after(*day)),
    });
    let start = days.first().map_or(0, |day| midnight(*day));
    DutyCalendar {
        period: Span {
            from: start,
            until: end.map_or(start, midnight),
        },
        in_hours: in_hours.filter(has_time).collect(),
        nights: nights.filter(has_time).collect(),
        days: local_days.filter(has_time).collect(),
    }
}

/// A change of the clocks may skip all of a short night, or a whole day where a zone crosses the date
/// line.
fn has_time(span: &Span) -> bool {
    span.minutes() > 0
}

/// A time of day in minutes. A clock that shows whole minutes shows none of a minute that has begun.
fn shown_minute(time: Time) -> u16 {
    let whole =
        u16::from(time.hour().unsigned_abs()) * 60 + u16::from(time.minute().unsigned_abs());
    whole + u16::from(time.second() > 0 || time.subsec_nanosecond() > 0)
}

/// The first minute, UTC since 1970, at which the clocks show a time of a day, `minute_of_day` minutes
/// after midnight (1440 is the end of the day), or have jumped past it.
fn minute_of(day: Date, minute_of_day: u16, zone: &TimeZone) -> i64 {
    let (day, minute_of_day) = match minute_of_day {
        0..1440 => (day, minute_of_day),
        _ => (day_after(day), 0),
    };
    let number = |number: u16| i8::try_from(number).expect("an hour or a minute of a day");
    let time = Time::constant(number(minute_of_day / 60), number(minute_of_day % 60), 0, 0);
    let reading = zone.to_ambiguous_timestamp(day.to_datetime(time));
    let is_skipped = matches!(reading.offset(), AmbiguousOffset::Gap { .. });
    // The usual reading of a repeated time is its first pass, that of a skipped one lies behind the
    // change.
    let moment = reading
        .compatible()
        .expect("a moment of the years 1900 to 2200");
    let behind = moment.as_second() + 1;
    let change = is_skipped.then(|| {
        let behind = jiff::Timestamp::from_second(behind).ok()?;
        zone.preceding(behind).next()
    });
    let first = change.flatten().map_or(moment, |change| change.timestamp());
    first.as_second().div_euclid(60)
}

#[cfg(test)]
mod tests;
