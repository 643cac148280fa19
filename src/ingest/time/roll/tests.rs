//! Courses of cases over midnight, worked by hand.

mod clock_changes;

use super::*;
use crate::ingest::case::COURSE;
use crate::ingest::rules::built_in;
use crate::ingest::time::TimeFormat;
use jiff::tz::TimeZone;

/// Whether the cells have dates of their own, none, or one date for the whole case.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Dates {
    AsWritten,
    Shared,
}

fn new_york() -> ZoneTable {
    let zone = TimeZone::get("America/New_York").expect("a zone of the bundled database");
    ZoneTable::new(&zone)
}

fn place_of(field: CaseField) -> usize {
    let place = COURSE.iter().position(|known| *known == field);
    place.expect("an event of the course")
}

fn written(text: &str) -> Written {
    let words = if text.len() > 5 {
        "%Y-%m-%d %H:%M"
    } else {
        "%H:%M"
    };
    let format = TimeFormat::new(words).expect("a common form");
    format.read(text).expect("a time of the test")
}

fn place(times: &[(CaseField, &str)], dates: Dates) -> Placed<{ COURSE.len() }> {
    let mut course = [None; COURSE.len()];
    for (field, text) in times {
        course[place_of(*field)] = Some(CourseTime {
            written: written(text),
            has_shared_date: dates == Dates::Shared,
        });
    }
    Roll::new(&COURSE, &built_in(), CaseField::ArrivedAt).place(&course, &new_york())
}

/// The date and time of each event, or the issue for which it has none; `+` in front where
/// `PastMidnight` is reported.
#[track_caller]
fn check(dates: Dates, times: &[(CaseField, &str)], expected: &[&str]) -> Placed<{ COURSE.len() }> {
    let placed = place(times, dates);
    let zone = new_york();
    let found: Vec<_> = times
        .iter()
        .map(|(field, _)| {
            let place = place_of(*field);
            let sign = match placed.issues[place] {
                None => "",
                Some(IssueCode::PastMidnight) => "+",
                Some(code) => return code.code().to_string(),
            };
            let minute = match placed.readings[place].expect("a reading where no issue is") {
                Reading::Once(minute) | Reading::Twice { first: minute, .. } => minute,
            };
            let shown = jiff::Timestamp::from_second(zone.local(minute) * 60).expect("a moment");
            let shown = TimeZone::UTC.to_datetime(shown).strftime("%Y-%m-%d %H:%M");
            format!("{sign}{shown}")
        })
        .collect();
    assert_eq!(found, expected);
    placed
}

use CaseField::{
    AirwayAt, ArrivedAt, CalledAt, CartAt, EndedAt, HandoverAt, PrecleanAt, RemovedAt, ScopeInAt,
    ScopeOutAt, TeamAt,
};

#[test]
fn midnight_is_crossed_at_each_event() {
    // One event after the other lies past midnight, and all that follow it.
    let course = [
        (TeamAt, "23:40", "00:05"),
        (ScopeInAt, "23:45", "00:01"),
        (RemovedAt, "23:50", "00:03"),
        // Ten minutes to the pre-clean are the most that is usual.
        (ScopeOutAt, "23:56", "00:04"),
        (PrecleanAt, "23:57", "00:06"),
        (HandoverAt, "23:58", "00:40"),
        (EndedAt, "23:59", "00:50"),
    ];
    for crossing in 0..=course.len() {
        let mut times = vec![(CalledAt, "2025-06-10 23:30".to_string())];
        let mut shared = times.clone();
        let mut expected = vec!["2025-06-10 23:30".to_string()];
        for (index, (field, before, after)) in course.iter().enumerate() {
            let (sign, date, time) = if index < crossing {
                ("", "2025-06-10", before)
            } else {
                ("+", "2025-06-11", after)
            };
            times.push((*field, (*time).to_string()));
            shared.push((*field, format!("2025-06-10 {time}")));
            expected.push(format!("{sign}{date} {time}"));
        }
        for (times, dates) in [(times, Dates::AsWritten), (shared, Dates::Shared)] {
            let times: Vec<_> = times
                .iter()
                .map(|(field, text)| (*field, text.as_str()))
                .collect();
            let expected: Vec<_> = expected.iter().map(String::as_str).collect();
            let placed = check(dates, &times, &expected);
            assert!(!placed.has_two_midnights);
        }
    }
}

#[test]
fn an_arrival_lies_before_the_call_or_shortly_after_it() {
    for (arrival, expected) in [
        ("00:20", "2025-06-10 00:20"),
        ("00:05", "2025-06-10 00:05"),
        ("23:55", "+2025-06-09 23:55"),
        // Announced by another hospital: up to an hour after the call.
        ("01:20", "2025-06-10 01:20"),
        ("01:21", "+2025-06-09 01:21"),
    ] {
        let times = [(ArrivedAt, arrival), (CalledAt, "2025-06-10 00:20")];
        check(Dates::AsWritten, &times, &[expected, "2025-06-10 00:20"]);
    }
    // Announced before midnight, arrived after it.
    let times = [(ArrivedAt, "00:15"), (CalledAt, "2025-06-10 23:40")];
    check(
        Dates::AsWritten,
        &times,
        &["+2025-06-11 00:15", "2025-06-10 23:40"],
    );
    // The same the other way round: the arrival has the date.
    let times = [(ArrivedAt, "2025-06-10 23:50"), (CalledAt, "00:20")];
    check(
        Dates::AsWritten,
        &times,
        &["2025-06-10 23:50", "+2025-06-11 00:20"],
    );
    let times = [
        (ArrivedAt, "2025-06-10 23:50"),
        (CalledAt, "2025-06-10 00:20"),
    ];
    check(
        Dates::Shared,
        &times,
        &["2025-06-10 23:50", "+2025-06-11 00:20"],
    );
    let times = [(ArrivedAt, "2025-06-10 10:50"), (CalledAt, "10:20")];
    check(
        Dates::AsWritten,
        &times,
        &["2025-06-10 10:50", "2025-06-10 10:20"],
    );
}

#[test]
fn a_cart_may_come_before_the_team_and_before_the_call() {
    let times = [
        (CalledAt, "2025-06-10 00:10"),
        (TeamAt, "00:40"),
        (CartAt, "00:20"),
    ];
    let expected = ["2025-06-10 00:10", "2025-06-10 00:40", "2025-06-10 00:20"];
    check(Dates::AsWritten, &times, &expected);
    let times = [(CalledAt, "2025-06-10 12:10"), (CartAt, "11:30")];
    check(
        Dates::AsWritten,
        &times,
        &["2025-06-10 12:10", "2025-06-10 11:30"],
    );
    // Twenty minutes before the call, on the day before.
    let times = [(CalledAt, "2025-06-10 00:10"), (CartAt, "23:50")];
    check(
        Dates::AsWritten,
        &times,
        &["2025-06-10 00:10", "+2025-06-09 23:50"],
    );
    let times = [
        (CalledAt, "2025-06-10 23:50"),
        (CartAt, "00:05"),
        (TeamAt, "00:30"),
    ];
    let expected = ["2025-06-10 23:50", "+2025-06-11 00:05", "+2025-06-11 00:30"];
    check(Dates::AsWritten, &times, &expected);
}

#[test]
fn the_airway_follows_from_the_scope() {
    for (airway, scope_in, expected) in [
        ("12:41", "12:48", "2025-06-10 12:41"),
        ("12:50", "12:48", "2025-06-10 12:50"),
        ("23:55", "00:04", "2025-06-10 23:55"),
    ] {
        let times = [
            (CalledAt, "2025-06-10 12:00"),
            (AirwayAt, airway),
            (ScopeInAt, scope_in),
        ];
        let placed = place(&times, Dates::AsWritten);
        let airway = placed.readings[place_of(AirwayAt)];
        let shown = new_york().resolve(written(expected).local_minute().expect("a date"));
        assert_eq!(airway, shown.ok());
    }
    // Two hours before the scope is unusual, a day and two hours earlier still more so.
    let times = [(ScopeInAt, "2025-06-10 12:00"), (AirwayAt, "10:00")];
    check(
        Dates::AsWritten,
        &times,
        &["2025-06-10 12:00", "2025-06-10 10:00"],
    );
    let times = [(ScopeInAt, "2025-06-10 12:00"), (AirwayAt, "12:20")];
    check(Dates::AsWritten, &times, &["2025-06-10 12:00", "C12"]);
}

#[test]
fn a_time_that_fits_no_day_is_not_placed() {
    // Nothing has a date.
    let times = [(CalledAt, "23:50"), (TeamAt, "00:20")];
    check(Dates::AsWritten, &times, &["C12", "C12"]);
    // A handover ten minutes before the scope is out: neither that nor 1,430 minutes after it.
    let times = [(ScopeOutAt, "2025-06-10 12:00"), (HandoverAt, "11:50")];
    check(Dates::AsWritten, &times, &["2025-06-10 12:00", "C12"]);
    // Half a day to the last minute.
    let times = [
        (CalledAt, "2025-06-10 23:50"),
        (TeamAt, "11:50"),
        (EndedAt, "02:00"),
    ];
    let expected = ["2025-06-10 23:50", "+2025-06-11 11:50", "+2025-06-11 02:00"];
    check(Dates::AsWritten, &times, &expected);
    let times = [(CalledAt, "2025-06-10 23:50"), (TeamAt, "11:51")];
    check(Dates::AsWritten, &times, &["2025-06-10 23:50", "C12"]);
}

#[test]
fn without_the_event_that_the_table_names_the_one_before_serves() {
    // The scope has no time in, so its way out follows from the call.
    let times = [(CalledAt, "2025-06-10 23:50"), (ScopeOutAt, "00:20")];
    let expected = ["2025-06-10 23:50", "+2025-06-11 00:20"];
    check(Dates::AsWritten, &times, &expected);
    let times = [
        (CalledAt, "2025-06-10 22:00"),
        (ScopeOutAt, "23:40"),
        (HandoverAt, "00:15"),
    ];
    let expected = ["2025-06-10 22:00", "2025-06-10 23:40", "+2025-06-11 00:15"];
    check(Dates::AsWritten, &times, &expected);
}

#[test]
fn a_few_minutes_back_are_two_clocks_and_no_day() {
    for (handover, expected) in [
        ("11:57", "2025-06-10 11:57"),
        ("11:55", "2025-06-10 11:55"),
        ("11:54", "C12"),
    ] {
        let times = [(ScopeOutAt, "2025-06-10 12:00"), (HandoverAt, handover)];
        check(Dates::AsWritten, &times, &["2025-06-10 12:00", expected]);
    }
    let times = [(ScopeOutAt, "2025-06-10 00:01"), (HandoverAt, "23:58")];
    check(
        Dates::AsWritten,
        &times,
        &["2025-06-10 00:01", "+2025-06-09 23:58"],
    );
}

#[test]
fn a_shared_date_moves_by_one_day_or_not_at_all() {
    // The second shared date is wrong by more than a night: it stays for the checks of order.
    let times = [(CalledAt, "2025-06-10 12:00"), (TeamAt, "2025-06-10 11:00")];
    check(
        Dates::Shared,
        &times,
        &["2025-06-10 12:00", "2025-06-10 11:00"],
    );
    // Called and scoped past midnight under the date of the arrival.
    let times = [
        (ArrivedAt, "2025-06-10 22:00"),
        (CalledAt, "2025-06-10 00:30"),
        (TeamAt, "2025-06-10 00:55"),
        (AirwayAt, "2025-06-10 01:10"),
        (ScopeInAt, "2025-06-10 01:20"),
        (ScopeOutAt, "2025-06-10 01:40"),
    ];
    let expected = [
        "2025-06-10 22:00",
        "+2025-06-11 00:30",
        "+2025-06-11 00:55",
        "+2025-06-11 01:10",
        "+2025-06-11 01:20",
        "+2025-06-11 01:40",
    ];
    check(Dates::Shared, &times, &expected);
    // Without an arrival the call has the date as written.
    let times = [
        (CalledAt, "2025-06-10 23:30"),
        (ScopeInAt, "2025-06-10 00:20"),
    ];
    check(
        Dates::Shared,
        &times,
        &["2025-06-10 23:30", "+2025-06-11 00:20"],
    );
}

#[test]
fn dates_of_cells_are_never_moved() {
    let times = [
        (CalledAt, "2025-06-10 23:30"),
        (ScopeInAt, "2025-06-10 00:20"),
    ];
    check(Dates::AsWritten, &times, &times.map(|(_, text)| text));
    // A dated event in the middle gives its date to what follows.
    let times = [
        (CalledAt, "2025-06-10 08:00"),
        (ScopeInAt, "2025-06-11 23:50"),
        (ScopeOutAt, "00:10"),
        (HandoverAt, "00:30"),
    ];
    let expected = [
        "2025-06-10 08:00",
        "2025-06-11 23:50",
        "+2025-06-12 00:10",
        "+2025-06-12 00:30",
    ];
    check(Dates::AsWritten, &times, &expected);
}

#[test]
fn two_midnights_in_one_course_are_told() {
    // Called in the evening, scoped the next evening, out of the patient after the next midnight.
    let times = [
        (CalledAt, "2025-06-10 23:00"),
        (ScopeInAt, "18:50"),
        (ScopeOutAt, "00:10"),
        (HandoverAt, "00:30"),
    ];
    let expected = [
        "2025-06-10 23:00",
        "+2025-06-11 18:50",
        "+2025-06-12 00:10",
        "+2025-06-12 00:30",
    ];
    assert!(check(Dates::AsWritten, &times, &expected).has_two_midnights);
    // Arrived the day before the call, out the day after it.
    let times = [
        (ArrivedAt, "23:30"),
        (CalledAt, "2025-06-10 00:40"),
        (ScopeInAt, "23:50"),
        (ScopeOutAt, "00:10"),
    ];
    let expected = [
        "+2025-06-09 23:30",
        "2025-06-10 00:40",
        "2025-06-10 23:50",
        "+2025-06-11 00:10",
    ];
    assert!(check(Dates::AsWritten, &times, &expected).has_two_midnights);
    let times = [(CalledAt, "2025-06-10 23:50"), (TeamAt, "00:20")];
    let expected = ["2025-06-10 23:50", "+2025-06-11 00:20"];
    assert!(!check(Dates::AsWritten, &times, &expected).has_two_midnights);
}

#[test]
fn an_offset_settles_the_moment_and_still_leads_to_the_others() {
    let format = TimeFormat::new("%Y-%m-%dT%H:%M%:z").expect("a common form");
    let mut course = [None; COURSE.len()];
    let mut set = |field, written| {
        course[place_of(field)] = Some(CourseTime {
            written,
            has_shared_date: false,
        });
    };
    // 23:50 in New York, written in UTC; the team by the clock on the wall.
    set(CalledAt, format.read("2025-06-11T03:50Z").expect("a time"));
    set(TeamAt, written("00:20"));
    let placed = Roll::new(&COURSE, &built_in(), CaseField::ArrivedAt).place(&course, &new_york());
    let minute = |field| match placed.readings[place_of(field)] {
        Some(Reading::Once(minute)) => minute,
        _ => 0,
    };
    assert_eq!(minute(TeamAt) - minute(CalledAt), 30);
    assert_eq!(minute(CalledAt) % 1440, 3 * 60 + 50);
}
