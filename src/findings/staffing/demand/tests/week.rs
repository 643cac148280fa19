//! Calls by the hour of the week.

use super::{BY, Tables, few_by_hour, near};
use crate::domain::codes::Weekday;
use crate::findings::staffing::demand::{Days, week};

#[test]
fn weekdays_stand_apart_where_calls_suffice_and_else_only_the_weekend() {
    // 840 calls are 5 in each of 168 hours; 210 are 5 in each of 42 blocks of 4.
    assert_eq!(week::block_hours(840), Some(1));
    assert_eq!(week::block_hours(839), Some(2));
    assert_eq!(week::block_hours(210), Some(4));
    assert_eq!(week::block_hours(209), None);
}

/// Two calls in every hour of the week but none on Sundays, over 10 weeks.
#[test]
fn a_block_of_the_week_has_its_calls_its_hours_and_its_rate() {
    let mut tables = Tables::default();
    for day in Weekday::ALL {
        for hour in 0..24 {
            let events = if *day == Weekday::Sunday { 0 } else { 2 };
            // The clock change of a Sunday skips the hour from 2 on once.
            let is_skipped = *day == Weekday::Sunday && hour == 2;
            let time = 10 * 60 - if is_skipped { 60 } else { 0 };
            tables.add(BY, &format!("{}|{hour}", day.code()), None, (events, time));
        }
    }
    tables.site("Alder", "2025-03", &[290]);
    let week = tables.demand("2025-03", "2025-03").week.expect("hours");
    // 288 calls: 5 or more to a cell of 3 hours, not of 2.
    assert_eq!((week.block_hours, week.rows.len()), (3, 7));
    assert_eq!((week.all.events, week.not_known), (288, 2));
    assert!(week.has_single_days());
    assert_eq!(
        week.first_hours().collect::<Vec<_>>(),
        [0, 3, 6, 9, 12, 15, 18, 21]
    );
    let monday = week.rows[0].blocks[0].expect("time");
    assert_eq!((monday.events, monday.exposure_minutes), (6, 30 * 60));
    // 6 in 30 hours are 20 in 100; Garwood's limits of 6 are 2.20 and 13.06.
    near(monday.rate, 20.0, 1e-9);
    near(monday.low, 2.202 / 0.3, 0.01);
    near(monday.high, 13.059 / 0.3, 0.01);
    let sunday = week.rows[6].blocks[0].expect("time");
    assert_eq!((sunday.events, sunday.exposure_minutes), (0, 29 * 60));
    // Saturday and Sunday from 0 to 4: 8 calls in 79 hours.
    let weekend = week.day_kinds[1].blocks[0].expect("time");
    assert_eq!(week.day_kinds[1].days, Days::Weekend);
    assert_eq!((weekend.events, weekend.exposure_minutes), (8, 79 * 60));
    near(weekend.rate, 8.0 / 0.79, 1e-9);
    let workdays = week.day_kinds[0].blocks[5].expect("time");
    assert_eq!((workdays.events, workdays.exposure_minutes), (40, 200 * 60));
}

#[test]
fn few_calls_leave_only_the_weekend_apart() {
    let week = few_by_hour().week.expect("hours");
    assert_eq!((week.block_hours, week.rows.len()), (4, 2));
    assert!(!week.has_single_days());
    assert_eq!(week.rows, week.day_kinds);
    // No time was observed from 0 to 4.
    assert_eq!(week.rows[0].blocks[0], None);
    assert_eq!(week.rows[0].blocks[1].map(|rate| rate.events), Some(30));
}
