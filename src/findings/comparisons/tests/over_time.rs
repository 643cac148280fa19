//! Cases and days between events of harm.

use super::*;
use crate::domain::month::Month;
use crate::findings::comparisons::over_time::{
    BetweenChart, HarmOverTime, Rule, Side as ChartSide, harm_over_time,
};

fn month(number: usize) -> Month {
    let first: Month = "2024-01".parse().expect("a month");
    first.plus(i32::try_from(number).expect("few"))
}

/// Events with so many cases without one before each, one call a day.
fn daily(cases_between: &[u64], after: u64) -> EventSequence {
    let mut sequence = EventSequence::default();
    let mut day = 0;
    let mut call = |month, is_event| {
        sequence.push(month, day * 1440, is_event);
        day += 1;
    };
    for (number, cases) in cases_between.iter().enumerate() {
        for _ in 0..*cases {
            call(month(number), false);
        }
        call(month(number), true);
    }
    for _ in 0..after {
        call(month(cases_between.len()), false);
    }
    sequence
}

fn charts(cases_between: &[u64], after: u64) -> HarmOverTime {
    harm_over_time("adverse_event", &daily(cases_between, after))
}

#[test]
fn the_cases_before_the_first_event_and_after_the_last_are_no_distance() {
    let found = charts(&[5, 3, 0], 7);
    let values = |chart: &BetweenChart| -> Vec<f64> {
        chart.points.iter().map(|point| point.value).collect()
    };
    assert_eq!(values(&found.cases_between), [3.0, 0.0]);
    // One call a day: the next event comes one day later than cases lie between.
    assert_eq!(values(&found.days_between), [4.0, 1.0]);
    assert_eq!(found.cases_between.points[1].month, month(2));
    assert_eq!((found.events, found.cases, found.cases_since), (3, 18, 7));
    assert_eq!(found.days_since, Some(7.0));
    assert_eq!(found.cases_between.lines, None);
    assert_eq!(found.cases_between.signals, []);

    let none = charts(&[], 9);
    assert_eq!((none.events, none.cases, none.cases_since), (0, 9, 9));
    assert_eq!(
        (none.days_since, none.cases_between.points.len()),
        (None, 0)
    );
}

/// A mean of 40 has its limit at 40 + 3 sqrt(40 * 41) = 161.5 and its line for runs at 27.7.
#[test]
fn lines_of_cases_come_from_twelve_distances_and_are_provisional_below_twenty() {
    let found = |count: usize| charts(&[vec![0], vec![40; count]].concat(), 0).cases_between;
    assert_eq!(found(11).lines, None);
    for (count, is_provisional) in [(12, true), (19, true), (20, false), (30, false)] {
        let lines = found(count).lines.expect("enough");
        assert_eq!(
            (lines.is_provisional, lines.baseline),
            (is_provisional, count.min(20))
        );
        assert_eq!((lines.center, lines.low), (40.0, None));
        assert!((lines.high.expect("a limit") - 161.49).abs() < 0.01);
        assert!((lines.run_line - 27.72).abs() < 1e-12);
    }
}

#[test]
fn later_events_do_not_move_the_lines_and_show_as_signals() {
    let steady = vec![40; 21];
    // Eight events in quick succession, then one after a long time.
    let later = [vec![10; 9], vec![200]].concat();
    let found = charts(&[steady, later].concat(), 0).cases_between;
    near(found.lines.expect("enough").center, 40.0);
    let signals: Vec<_> = found
        .signals
        .iter()
        .map(|signal| (signal.rule, signal.side, signal.first, signal.last))
        .collect();
    assert_eq!(
        signals,
        [
            // All twenty steady ones lie above the line for runs, from the eighth on.
            (Rule::EightOnOneSide, ChartSide::Above, 7, 19),
            (Rule::EightOnOneSide, ChartSide::Below, 27, 28),
            (Rule::BeyondLimits, ChartSide::Above, 29, 29),
        ]
    );
}

/// numpy: `y = t ** (1 / 3.6)`, center `mean(y) ** 3.6`, limits
/// `(mean(y) ± 3 * mean(abs(diff(y))) / 1.128) ** 3.6`. With twelve there are no lines yet.
#[test]
fn days_between_have_lines_from_twenty_on_in_days_whatever_the_clock_counts() {
    let days = [31, 12, 55, 8, 40, 22, 63, 17, 29, 48, 5, 36];
    let of = |days: &[i64]| {
        let mut sequence = EventSequence::default();
        let mut minute = 0;
        sequence.push(month(0), minute, true);
        for (number, day) in days.iter().enumerate() {
            minute += day * 1440;
            sequence.push(month(number), minute, true);
        }
        harm_over_time("perforation", &sequence).days_between
    };
    assert_eq!(of(&days).lines, None);
    let twenty: Vec<i64> = days.iter().chain(&days[..8]).copied().collect();
    let lines = of(&twenty).lines.expect("twenty");
    near(lines.center, 26.281_140_995_217_907);
    near(lines.high.expect("a limit"), 254.630_189_884_542_46);
    near(
        lines.low.expect("a limit"),
        0.299_621_510_736_554_6_f64.powf(3.6),
    );
    assert!(!lines.is_provisional && lines.baseline == 20);
}

#[test]
fn without_an_order_there_is_no_chart() {
    let of = |order: &CaseOrder| {
        Comparisons::new(&CountTables::default(), &[], order, Settings::default()).over_time
    };
    assert_eq!(of(&CaseOrder::Elapsed), None);
    let known = BTreeMap::from([
        ("adverse_event".to_owned(), daily(&[1, 2], 0)),
        ("made_up".to_owned(), daily(&[1], 0)),
    ]);
    let found = of(&CaseOrder::Known(known)).expect("an order");
    assert_eq!(found.len(), 1, "measures of harm alone");
}

#[test]
fn a_month_with_events_can_raise_a_false_alarm_and_one_without_cannot() {
    // 22 distances around 20 cases, the last in month 22.
    let found = charts(&[[17, 23], [20, 20]].concat().repeat(6)[..23], 3);
    assert_eq!(found.false_alarms(month(23)), [None, None]);
    let [cases, days] = found.false_alarms(month(22)).map(Option::unwrap);
    assert!((0.005..0.1).contains(&cases), "{cases}");
    assert!((0.005..0.1).contains(&days), "{days}");
    // Too few events for lines of days.
    let few = charts(&[20; 15], 0);
    let [cases, days] = few.false_alarms(month(14));
    assert!(cases.is_some() && days.is_none());
}
