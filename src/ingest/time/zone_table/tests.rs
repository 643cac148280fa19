//! The table against the library that it is made from, and against clock changes known by date.

use super::*;
use jiff::civil::DateTime;
use jiff::tz::AmbiguousOffset;

const ZONES: [&str; 8] = [
    "America/New_York",
    "Europe/Berlin",
    // Half an hour of summer time.
    "Australia/Lord_Howe",
    "America/Sao_Paulo",
    "Asia/Kolkata",
    // Clocks go back for a month of each year.
    "Africa/Casablanca",
    // Offsets with seconds until 1972, and a day that was skipped.
    "Africa/Monrovia",
    "Pacific/Apia",
];

fn zone(name: &str) -> TimeZone {
    TimeZone::get(name).expect("a zone of the bundled database")
}

fn local_minute(date_time: DateTime) -> i64 {
    let since = date_time.duration_since(DateTime::constant(1970, 1, 1, 0, 0, 0, 0));
    since.as_secs().div_euclid(60)
}

/// What the library makes of a minute on the clocks.
fn by_library(local_minutes: i64, zone: &TimeZone) -> Result<Reading, IssueCode> {
    let date_time = jiff::Timestamp::from_second(local_minutes * 60)
        .map(|moment| TimeZone::UTC.to_datetime(moment))
        .expect("a moment within the years");
    let ambiguous = zone.to_ambiguous_timestamp(date_time);
    let minute = |moment: Result<jiff::Timestamp, jiff::Error>| {
        let moment = moment.expect("a moment within the years");
        moment.as_second().div_euclid(60)
    };
    match ambiguous.offset() {
        AmbiguousOffset::Unambiguous { .. } => Ok(Reading::Once(minute(ambiguous.compatible()))),
        AmbiguousOffset::Gap { .. } => Err(IssueCode::SkippedHour),
        AmbiguousOffset::Fold { .. } => Ok(Reading::Twice {
            first: minute(ambiguous.earlier()),
            second: minute(ambiguous.later()),
        }),
    }
}

#[track_caller]
fn check_minute(name: &str, zone: &TimeZone, table: &ZoneTable, local_minutes: i64) {
    let expected = by_library(local_minutes, zone);
    assert_eq!(
        table.resolve(local_minutes),
        expected,
        "{name} {local_minutes}"
    );
    let moment = Timestamp::from_second(local_minutes * 60).expect("a moment within the years");
    assert_eq!(
        table.local(local_minutes),
        local_minute(zone.to_datetime(moment)),
        "{name} {local_minutes} UTC"
    );
}

#[test]
fn the_table_agrees_with_the_library_around_every_change_and_between() {
    for name in ZONES {
        let zone = zone(name);
        let table = ZoneTable::new(&zone);
        let to_2040 = |change: &&Change| (0..2_208_988_800).contains(&change.utc_second);
        for change in table.changes.iter().filter(to_2040) {
            // Every quarter hour, and the minutes at both edges.
            let first = (change.low / 60 - 120).max(0);
            for local in (first..change.high / 60 + 120).step_by(15) {
                check_minute(name, &zone, &table, local);
            }
            for edge in [change.low, change.high, change.utc_second] {
                for local in edge / 60 - 1..=edge / 60 + 1 {
                    check_minute(name, &zone, &table, local.max(0));
                }
            }
        }
        // 1970 to 2040 in steps of four days and a quarter hour, through every time of day.
        for local in (0..36_816_480).step_by(4 * 1440 + 15) {
            check_minute(name, &zone, &table, local);
        }
    }
}

#[test]
fn the_last_summers_of_the_century_are_there() {
    for name in ["America/New_York", "Europe/Berlin"] {
        let (zone, table) = (zone(name), ZoneTable::new(&zone(name)));
        // 2099 and 2100, every 11 hours and a quarter.
        for local in (67_848_480..68_899_680).step_by(675) {
            check_minute(name, &zone, &table, local);
        }
        assert!(table.resolve(68_899_680).is_err() && table.resolve(-1).is_err());
        assert!(table.resolve(i64::MAX).is_err() && table.resolve(i64::MIN).is_err());
    }
}

#[test]
fn the_change_of_new_york_in_2024_is_where_it_was() {
    let table = ZoneTable::new(&zone("America/New_York"));
    let at = |month, day, hour, minute| {
        local_minute(DateTime::constant(2024, month, day, hour, minute, 0, 0))
    };
    assert_eq!(table.repeated_minutes(at(11, 3, 0, 59)), 0);
    assert_eq!(table.repeated_minutes(at(11, 3, 1, 0)), 60);
    assert_eq!(table.repeated_minutes(at(11, 3, 1, 59)), 60);
    assert_eq!(table.repeated_minutes(at(11, 3, 2, 0)), 0);
    assert_eq!(table.resolve(at(3, 10, 2, 30)), Err(IssueCode::SkippedHour));
    // 01:30 daylight time is 05:30 UTC, standard time 06:30.
    assert_eq!(
        table.resolve(at(11, 3, 1, 30)),
        Ok(Reading::Twice {
            first: at(11, 3, 5, 30),
            second: at(11, 3, 6, 30)
        })
    );
}

#[test]
fn half_an_hour_is_repeated_on_lord_howe_and_none_in_kolkata() {
    let at = |month, day, hour, minute| {
        local_minute(DateTime::constant(2024, month, day, hour, minute, 0, 0))
    };
    let lord_howe = ZoneTable::new(&zone("Australia/Lord_Howe"));
    assert_eq!(lord_howe.repeated_minutes(at(4, 7, 1, 45)), 30);
    assert_eq!(lord_howe.repeated_minutes(at(4, 7, 1, 15)), 0);
    let kolkata = ZoneTable::new(&zone("Asia/Kolkata"));
    assert!(kolkata.changes.is_empty());
    assert_eq!(
        kolkata.resolve(at(6, 1, 5, 30)),
        Ok(Reading::Once(at(6, 1, 0, 0)))
    );
    let utc = ZoneTable::new(&TimeZone::UTC);
    assert_eq!(utc.resolve(1), Ok(Reading::Once(1)));
}
