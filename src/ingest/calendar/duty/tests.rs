use super::*;
use crate::domain::codes::Shift;
use crate::domain::codes::Weekday;
use crate::domain::duty::plan::DutyPlan;
use crate::ingest::calendar::CallCalendar;
use crate::ingest::calendar::minutes_of_month;
use crate::ingest::mapping::TimeForm;
use crate::ingest::time::ZoneTable;

fn office_hours() -> StaffedHours {
    StaffedHours {
        days: Weekday::ALL[..5].to_vec(),
        from: Time::constant(8, 0, 0, 0),
        to: Time::constant(17, 0, 0, 0),
        holidays: vec![Date::constant(2024, 11, 28)],
    }
}

fn night(from: u16, until: u16) -> DutyRules {
    DutyRules {
        night_from: from,
        night_until: until,
        ..DutyPlan::default().rules
    }
}

fn zone(name: &str) -> TimeZone {
    TimeZone::get(name).expect("a zone of the bundled database")
}

fn month(text: &str) -> Month {
    text.parse().expect("a month of the test")
}

fn calendar(months: (&str, &str), zone_name: &str, rules: DutyRules) -> DutyCalendar {
    duty_calendar(
        (month(months.0), month(months.1)),
        &zone(zone_name),
        &office_hours(),
        rules,
    )
}

/// Minutes, UTC since 1970, of a moment written in UTC.
fn utc(text: &str) -> i64 {
    let moment: jiff::Timestamp = format!("{text}:00Z").parse().expect("a moment of the test");
    moment.as_second() / 60
}

fn span(from: &str, until: &str) -> Span {
    Span {
        from: utc(from),
        until: utc(until),
    }
}

const USUAL: (u16, u16) = (22 * 60, 7 * 60);

#[test]
fn a_month_has_its_days_its_nights_and_its_staffed_hours() {
    // Vienna is an hour ahead of UTC in January, and 2025-01-01 is a Wednesday.
    let january = calendar(
        ("2025-01", "2025-01"),
        "Europe/Vienna",
        night(USUAL.0, USUAL.1),
    );
    assert_eq!(january.period, span("2024-12-31T23:00", "2025-01-31T23:00"));
    assert_eq!((january.days.len(), january.nights.len()), (31, 31));
    assert_eq!(
        january.days[0],
        span("2024-12-31T23:00", "2025-01-01T23:00")
    );
    assert_eq!(
        january.nights[0],
        span("2025-01-01T21:00", "2025-01-02T06:00")
    );
    // The last night begins within the month and ends after it.
    assert_eq!(
        january.nights[30],
        span("2025-01-31T21:00", "2025-02-01T06:00")
    );
    assert_eq!(
        january.in_hours[0],
        span("2025-01-01T07:00", "2025-01-01T16:00")
    );
    // 23 weekdays, and ten of the two weeks after it, the last of them 2025-02-14.
    assert_eq!(january.in_hours.len(), 23 + 10);
    assert_eq!(
        january.in_hours.last(),
        Some(&span("2025-02-14T07:00", "2025-02-14T16:00"))
    );
}

#[test]
fn the_end_of_summer_time_makes_its_day_and_its_night_longer() {
    // In New York the clocks went from 02:00 back to 01:00 on 2024-11-03, at 06:00 UTC.
    let november = calendar(
        ("2024-11", "2024-11"),
        "America/New_York",
        night(USUAL.0, USUAL.1),
    );
    assert_eq!(november.period.minutes(), (30 * 24 + 1) * 60);
    assert_eq!(
        november.days[2],
        span("2024-11-03T04:00", "2024-11-04T05:00")
    );
    // The night from Saturday to Sunday: nine hours on the clock, ten in truth.
    assert_eq!(
        november.nights[1],
        span("2024-11-03T02:00", "2024-11-03T12:00")
    );
    assert_eq!(november.nights[2].minutes(), 9 * 60);
}

#[test]
fn the_start_of_summer_time_makes_its_day_and_its_night_shorter() {
    // In New York the clocks went from 02:00 to 03:00 on 2025-03-09, at 07:00 UTC.
    let march = calendar(
        ("2025-03", "2025-03"),
        "America/New_York",
        night(USUAL.0, USUAL.1),
    );
    assert_eq!(march.period.minutes(), (31 * 24 - 1) * 60);
    assert_eq!(march.days[8], span("2025-03-09T05:00", "2025-03-10T04:00"));
    assert_eq!(
        march.nights[7],
        span("2025-03-09T03:00", "2025-03-09T11:00")
    );
}

#[test]
fn a_night_within_one_day_ends_on_it() {
    let march = calendar(
        ("2025-03", "2025-03"),
        "America/New_York",
        night(30, 6 * 60),
    );
    assert_eq!(
        march.nights[0],
        span("2025-03-01T05:30", "2025-03-01T11:00")
    );
    assert_eq!(march.nights[8].minutes(), 4 * 60 + 30);
    assert_eq!(march.nights.len(), 31);
    // Where both ends are one time, a night has a whole day.
    let all_day = calendar(("2025-03", "2025-03"), "UTC", night(420, 420));
    assert!(all_day.nights.iter().all(|night| night.minutes() == 1440));
}

#[test]
fn an_edge_in_a_skipped_or_repeated_hour_stands_where_the_clocks_first_reach_it() {
    // 02:30 of 2025-03-09 is skipped: the clocks pass it at 07:00 UTC.
    let march = |from, until| {
        let nights = calendar(
            ("2025-03", "2025-03"),
            "America/New_York",
            night(from, until),
        )
        .nights;
        (nights.len(), nights[8])
    };
    assert_eq!(
        march(150, 420),
        (31, span("2025-03-09T07:00", "2025-03-09T11:00"))
    );
    assert_eq!(
        march(22 * 60, 150).1,
        span("2025-03-10T02:00", "2025-03-10T06:30")
    );
    // All of a night from 02:10 to 02:50 is skipped.
    assert_eq!(
        march(130, 170),
        (30, span("2025-03-10T06:10", "2025-03-10T06:50"))
    );
    // 01:30 of 2024-11-03 is shown at 05:30 and at 06:30 UTC.
    let november = calendar(("2024-11", "2024-11"), "America/New_York", night(90, 420));
    assert_eq!(
        november.nights[2],
        span("2024-11-03T05:30", "2024-11-03T12:00")
    );
}

#[test]
fn a_holiday_has_no_staffed_hours_within_the_period_or_after_it() {
    // Thanksgiving, Thursday 2024-11-28.
    let holds_thanksgiving = |calendar: &DutyCalendar| {
        let noon = utc("2024-11-28T17:00");
        calendar.in_hours.iter().any(|span| span.contains(noon))
    };
    let rules = night(USUAL.0, USUAL.1);
    let november = calendar(("2024-11", "2024-11"), "America/New_York", rules);
    assert!(!holds_thanksgiving(&november));
    let mut staffed = office_hours();
    staffed.holidays.clear();
    let months = (month("2024-11"), month("2024-11"));
    let open = duty_calendar(months, &zone("America/New_York"), &staffed, rules);
    assert!(holds_thanksgiving(&open));
    assert_eq!(open.in_hours.len(), november.in_hours.len() + 1);
    // 2024-11-01 and 2024-11-13 are a Friday and a Wednesday after the end of October.
    let october = calendar(("2024-10", "2024-10"), "America/New_York", rules);
    let mut closed = office_hours();
    closed.holidays = vec![Date::constant(2024, 11, 13)];
    let months = (month("2024-10"), month("2024-10"));
    let closed = duty_calendar(months, &zone("America/New_York"), &closed, rules);
    assert_eq!(closed.in_hours.len(), october.in_hours.len() - 1);
}

#[test]
fn a_minute_is_staffed_as_the_shift_of_a_call_in_it_says() {
    for (zone_name, months) in [
        ("America/New_York", ("2024-11", "2025-03")),
        ("Australia/Lord_Howe", ("2024-04", "2024-10")),
        ("Asia/Kathmandu", ("2025-01", "2025-02")),
    ] {
        let zone = zone(zone_name);
        let table = ZoneTable::new(&zone);
        let calls = CallCalendar::new(&office_hours());
        let duty = calendar(months, zone_name, night(USUAL.0, USUAL.1));
        for minute in (duty.period.from..duty.period.until).step_by(5) {
            let call = calls.call_time(table.local(minute)).expect("a call");
            let is_staffed = duty.in_hours.iter().any(|span| span.contains(minute));
            assert_eq!(is_staffed, call.shift == Shift::InHours, "{minute}");
        }
    }
}

#[test]
fn stretches_fill_the_observed_time_and_rise_without_overlap() {
    for zone_name in [
        "America/New_York",
        "America/St_Johns",
        "Pacific/Apia",
        "Asia/Beirut",
        "Europe/Lisbon",
    ] {
        // Samoa went without 2011-12-30.
        let months = ("2006-01", "2012-12");
        let duty = calendar(months, zone_name, night(USUAL.0, USUAL.1));
        let form = TimeForm::Clock {
            zone: zone(zone_name),
            table: Box::new(ZoneTable::new(&zone(zone_name))),
        };
        let through = month(months.0).through(month(months.1));
        let observed: u64 = through
            .flat_map(|month| minutes_of_month(month, &form, &office_hours()))
            .map(|(_, minutes)| minutes)
            .sum();
        let period = duty.period.minutes();
        assert_eq!(u64::try_from(period).ok(), Some(observed), "{zone_name}");
        let of_days: i64 = duty.days.iter().map(|day| day.minutes()).sum();
        assert_eq!(of_days, period, "{zone_name}");
        for spans in [&duty.days, &duty.nights, &duty.in_hours] {
            let rises = |pair: &[Span]| pair[0].until <= pair[1].from;
            assert!(spans.windows(2).all(rises), "{zone_name}");
        }
    }
}

#[test]
fn months_in_the_wrong_order_have_no_time() {
    let none = calendar(("2025-03", "2025-02"), "UTC", night(USUAL.0, USUAL.1));
    assert_eq!(none.period.minutes(), 0);
    assert!(none.days.is_empty() && none.nights.is_empty() && none.in_hours.is_empty());
}

#[test]
fn a_last_minute_that_has_begun_is_staffed() {
    let mut staffed = office_hours();
    staffed.to = Time::constant(16, 45, 30, 0);
    let months = (month("2025-01"), month("2025-01"));
    let duty = duty_calendar(months, &TimeZone::UTC, &staffed, night(USUAL.0, USUAL.1));
    assert_eq!(
        duty.in_hours[0],
        span("2025-01-01T08:00", "2025-01-01T16:46")
    );
    staffed.to = Time::constant(23, 59, 59, 0);
    let duty = duty_calendar(months, &TimeZone::UTC, &staffed, night(USUAL.0, USUAL.1));
    assert_eq!(
        duty.in_hours[0],
        span("2025-01-01T08:00", "2025-01-02T00:00")
    );
}
