//! The hours of the period: which month and shift each belongs to, and how many calls it draws.
//!
//! Knows the time zone and the public holidays of the invented hospitals. Draws nothing.

use super::truths::usual;
use crate::domain::codes::Presentation;
use crate::domain::month::Month;
use jiff::civil::{Date, DateTime, Weekday};
use jiff::tz::{TimeZone, TimeZoneDatabase};
use jiff::{Span, Timestamp};
use std::io;

/// Where the invented hospitals stand.
pub(super) const TIME_ZONE: &str = "America/New_York";
/// First and last hour (excluded) in which a team is in the house, Monday to Friday.
pub(super) const STAFFED_HOURS: (i8, i8) = (8, 17);

/// Calls by hour of the day, as relative numbers; only their shape matters.
/// Food: meals late in the day, as published for after-hours endoscopy of stuck food (two thirds
/// after hours). Objects: spread over the waking hours. Bleeds: noticed and referred by day.
const FOOD_BY_HOUR: [f64; 24] = [
    22., 14., 9., 6., 5., 5., 6., 8., 14., 18., 24., 32., 42., 46., 42., 40., 42., 52., 64., 74.,
    72., 58., 42., 30.,
];
const OBJECT_BY_HOUR: [f64; 24] = [
    12., 9., 7., 6., 5., 5., 8., 14., 26., 34., 38., 38., 36., 36., 38., 40., 42., 44., 46., 44.,
    38., 30., 24., 18.,
];
const BLEED_BY_HOUR: [f64; 24] = [
    18., 16., 15., 14., 14., 15., 18., 26., 44., 54., 56., 52., 46., 44., 42., 42., 40., 36., 32.,
    30., 28., 26., 24., 20.,
];

/// How one reason for a call spreads over the week.
struct Profile {
    presentation: Presentation,
    /// Share of all calls.
    share: f64,
    by_hour: &'static [f64; 24],
    /// Calls on a day of the weekend or a holiday, relative to a working day.
    weekend: f64,
}

const PROFILES: [Profile; 4] = [
    Profile {
        presentation: Presentation::FoodImpaction,
        share: usual::FOOD_SHARE,
        by_hour: &FOOD_BY_HOUR,
        weekend: 1.15,
    },
    Profile {
        presentation: Presentation::ForeignBody,
        share: usual::FOREIGN_BODY_SHARE,
        by_hour: &OBJECT_BY_HOUR,
        weekend: 1.0,
    },
    Profile {
        presentation: Presentation::UpperBleed,
        share: usual::UPPER_BLEED_SHARE,
        by_hour: &BLEED_BY_HOUR,
        weekend: 0.85,
    },
    Profile {
        presentation: Presentation::LowerBleed,
        share: usual::LOWER_BLEED_SHARE,
        by_hour: &BLEED_BY_HOUR,
        weekend: 0.85,
    },
];

/// One hour of the period.
pub(super) struct Hour {
    /// Start, minutes since 1970 UTC.
    pub(super) start_minute: i64,
    /// Month on the wall clock.
    pub(super) month: Month,
    /// Whether a team is in the house.
    pub(super) staffed: bool,
    /// Intensity of calls by reason; a usual week adds up to 1.
    pub(super) calls: [(Presentation, f64); 4],
}

impl Hour {
    /// Intensity of calls for any reason.
    pub(super) fn intensity(&self) -> f64 {
        self.calls.iter().map(|(_, weight)| weight).sum()
    }
}

/// A change of the clocks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct ClockChange {
    /// The first minute by the new time, since 1970 UTC.
    pub(super) at_minute: i64,
    /// Whether the clocks go back, so that an hour comes twice; otherwise an hour is skipped.
    pub(super) goes_back: bool,
}

/// The period on the clocks of the hospitals.
pub(super) struct Calendar {
    zone: TimeZone,
    holidays: Vec<Date>,
    /// First minute of the period, since 1970 UTC.
    start_minute: i64,
    /// First minute after the period.
    end_minute: i64,
    /// Intensity of each profile per unit of its hour table.
    scales: [f64; 4],
}

impl Calendar {
    /// The months from `first` on, `months` of them.
    ///
    /// # Errors
    /// When there is no month, or the last one lies after the year 2200.
    pub(super) fn new(first: Month, months: u32) -> io::Result<Calendar> {
        let after = i32::try_from(months).map_or(first, |months| first.plus(months));
        if months == 0 || i64::from(after.since(first)) != i64::from(months) {
            return Err(io::Error::new(
                io::ErrorKind::InvalidInput,
                "the months of a sample are at least one and end before 2200-12",
            ));
        }
        let zone = TimeZoneDatabase::bundled()
            .get(TIME_ZONE)
            .expect("the zone stands in the bundled database");
        Ok(Calendar {
            start_minute: midnight_minute(&zone, first),
            end_minute: midnight_minute(&zone, after),
            holidays: holidays(first, after),
            scales: PROFILES.map(|profile| {
                let day: f64 = profile.by_hour.iter().sum();
                profile.share / (day * (5.0 + 2.0 * profile.weekend))
            }),
            zone,
        })
    }

    /// Every hour of the period in order. The hours are those of UTC, so the one that a change of
    /// the clocks repeats stands here twice and the one that it skips not at all.
    pub(super) fn hours(&self) -> impl Iterator<Item = Hour> {
        let count = (self.end_minute - self.start_minute) / 60;
        (0..count).map(|step| self.hour(self.start_minute + 60 * step))
    }

    fn hour(&self, start_minute: i64) -> Hour {
        let wall = self.wall_clock(start_minute);
        let is_day_off = self.is_day_off(wall.date());
        let row = usize::try_from(wall.hour()).expect("0 to 23");
        let mut calls = PROFILES.map(|profile| (profile.presentation, profile.by_hour[row]));
        for ((call, profile), scale) in calls.iter_mut().zip(&PROFILES).zip(self.scales) {
            call.1 *= scale * if is_day_off { profile.weekend } else { 1.0 };
        }
        Hour {
            start_minute,
            month: month_of(wall.date()),
            staffed: !is_day_off && (STAFFED_HOURS.0..STAFFED_HOURS.1).contains(&wall.hour()),
            calls,
        }
    }

    /// Whether no team is in the house all day, a weekend or a public holiday of the period.
    pub(super) fn is_day_off(&self, date: Date) -> bool {
        is_weekend(date) || self.holidays.binary_search(&date).is_ok()
    }

    /// What the clocks on the wall show at `minute` (since 1970 UTC).
    pub(super) fn wall_clock(&self, minute: i64) -> DateTime {
        self.zone.to_datetime(timestamp(minute))
    }

    /// The hour in which `minute` lies.
    pub(super) fn hour_of(&self, minute: i64) -> Hour {
        self.hour(minute - (minute - self.start_minute).rem_euclid(60))
    }

    /// The changes of the clocks within the period, in order.
    pub(super) fn clock_changes(&self) -> Vec<ClockChange> {
        let minute_before = |minute: i64| self.zone.to_offset(timestamp(minute - 1));
        self.zone
            .following(timestamp(self.start_minute))
            .map(|transition| (transition.timestamp().as_second() / 60, transition.offset()))
            .take_while(|(at_minute, _)| *at_minute < self.end_minute)
            .map(|(at_minute, offset)| ClockChange {
                at_minute,
                goes_back: offset < minute_before(at_minute),
            })
            .collect()
    }

    /// The public holidays of the period, in order.
    pub(super) fn holidays(&self) -> &[Date] {
        &self.holidays
    }
}

/// Whether a date is a Saturday or a Sunday.
pub(super) fn is_weekend(date: Date) -> bool {
    matches!(date.weekday(), Weekday::Saturday | Weekday::Sunday)
}

/// The days from the first one of `first` to the last one of `last`.
pub(super) fn days(first: Month, last: Month) -> impl Iterator<Item = Date> {
    let after = first_day(last.plus(1));
    first_day(first)
        .series(Span::new().days(1))
        .take_while(move |date| *date < after)
}

/// The month of a date.
pub(super) fn month_of(date: Date) -> Month {
    let year = u16::try_from(date.year()).expect("the period lies in 1900 to 2200");
    let number = u8::try_from(date.month()).expect("1 to 12");
    Month::new(year, number).expect("the period lies in 1900 to 2200")
}

fn first_day(month: Month) -> Date {
    let year = i16::try_from(month.year()).expect("1900 to 2200");
    let number = i8::try_from(month.number()).expect("1 to 12");
    Date::new(year, number, 1).expect("every month has a first day")
}

fn midnight_minute(zone: &TimeZone, month: Month) -> i64 {
    let midnight = first_day(month).at(0, 0, 0, 0);
    let moment = zone
        .to_timestamp(midnight)
        .expect("the zone has every moment of 1900 to 2200");
    moment.as_second().div_euclid(60)
}

fn timestamp(minute: i64) -> Timestamp {
    Timestamp::from_second(minute * 60).expect("the period lies in 1900 to 2200")
}

/// New Year's Day, Independence Day, the fourth Thursday of November and Christmas Day, from the
/// month `first` to before the month `after`.
fn holidays(first: Month, after: Month) -> Vec<Date> {
    let of_year = |year: u16| {
        let january = first_day(Month::new(year, 1).expect("a year of the period"));
        let day = |months: i64, days: i64| january + Span::new().months(months).days(days);
        let thanksgiving = day(10, 0)
            .nth_weekday_of_month(4, Weekday::Thursday)
            .expect("every month has a fourth Thursday");
        [day(0, 0), day(6, 3), thanksgiving, day(11, 24)]
    };
    (first.year()..=after.year())
        .flat_map(of_year)
        .filter(|date| (first..after).contains(&month_of(*date)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn calendar(first: &str, months: u32) -> Calendar {
        Calendar::new(first.parse().unwrap(), months).unwrap()
    }

    #[test]
    fn the_two_years_have_four_clock_changes_and_eight_holidays() {
        let calendar = calendar("2024-10", 24);
        let changes: Vec<_> = calendar
            .clock_changes()
            .iter()
            .map(|change| {
                let after = calendar.wall_clock(change.at_minute);
                (after.to_string(), change.goes_back)
            })
            .collect();
        assert_eq!(
            changes,
            [
                ("2024-11-03T01:00:00".to_owned(), true),
                ("2025-03-09T03:00:00".to_owned(), false),
                ("2025-11-02T01:00:00".to_owned(), true),
                ("2026-03-08T03:00:00".to_owned(), false),
            ]
        );
        let holidays: Vec<_> = calendar.holidays().iter().map(Date::to_string).collect();
        assert_eq!(
            holidays,
            [
                "2024-11-28",
                "2024-12-25",
                "2025-01-01",
                "2025-07-04",
                "2025-11-27",
                "2025-12-25",
                "2026-01-01",
                "2026-07-04",
            ]
        );
    }

    #[test]
    fn a_usual_week_adds_up_to_one_and_days_have_their_true_length() {
        let may = calendar("2025-05", 1);
        let week: f64 = may.hours().take(168).map(|hour| hour.intensity()).sum();
        assert!((week - 1.0).abs() < 1e-12, "{week}");
        assert_eq!(calendar("2025-11", 1).hours().count(), 30 * 24 + 1);
        assert_eq!(calendar("2025-03", 1).hours().count(), 31 * 24 - 1);
    }

    #[test]
    fn refuses_a_period_without_months_and_one_past_the_last_year() {
        for (first, months) in [("2024-10", 0), ("2200-11", 2), ("2024-10", u32::MAX)] {
            assert!(Calendar::new(first.parse().unwrap(), months).is_err());
        }
    }
}
