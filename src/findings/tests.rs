//! Findings from counts that are small enough to follow by hand.

use super::estimate::{Settings, findings, share};
use super::finding::{Finding, Method, Statistic};
use super::headline::{headlines, months_before};
use super::review::Change;
use crate::domain::counts::{
    ALL, CountTables, EventsCount, Key, MinutesCount, PassesCount, ShareCount,
};
use crate::domain::measure::{Better, Definition, MeasureKind};
use crate::domain::month::Month;
use std::collections::BTreeMap;
use std::num::NonZeroUsize;

fn month(text: &str) -> Month {
    text.parse().unwrap()
}

/// The key of a group over the whole period.
pub(crate) fn group_key(measure: &str, by: &str, group: &str) -> Key {
    Key {
        measure: measure.to_owned(),
        version: 1,
        by: by.to_owned(),
        group: group.to_owned(),
        month: None,
    }
}

fn key(measure: &str, month: Option<Month>) -> Key {
    Key {
        measure: measure.into(),
        version: 1,
        by: ALL.into(),
        group: ALL.into(),
        month,
    }
}

pub(super) fn definition(id: &str, kind: MeasureKind) -> Definition {
    Definition {
        id: id.into(),
        version: 1,
        kind,
        title: id.into(),
        question: String::new(),
        eligible: String::new(),
        hit: String::new(),
        better: Better::Higher,
        source: String::new(),
        sql: String::new(),
    }
}

/// The share of `retrieval_success` by month, as (month, hit, eligible).
fn shares(months: &[(&str, u64, u64)]) -> CountTables {
    let shares = months.iter().map(|(text, hit, eligible)| {
        let count = ShareCount {
            eligible: *eligible,
            hit: *hit,
            excluded: 1,
        };
        (key("retrieval_success", Some(month(text))), count)
    });
    CountTables {
        shares: shares.collect(),
        ..CountTables::default()
    }
}

#[track_caller]
fn check_change(months: &[(&str, u64, u64)], expected: Change) {
    let definitions = [definition("retrieval_success", MeasureKind::Share)];
    let counts = shares(months);
    let all = headlines(
        &counts,
        &definitions,
        month("2024-01"),
        month("2026-09"),
        Settings::default(),
    );
    let change = all[0].change;
    match (change, expected) {
        (
            Change::Difference {
                estimate,
                low,
                high,
            },
            Change::Difference {
                estimate: e,
                low: l,
                high: h,
            },
        ) => {
            // Four printed digits.
            for (found, printed) in [(estimate, e), (low, l), (high, h)] {
                assert!((found - printed).abs() < 0.000_05, "{change:?}");
            }
        }
        _ => assert_eq!(change, expected),
    }
}

/// Newcombe (1998), Statistics in Medicine 17:873-890, Table II, method 10, example (a): 56 of 70
/// against 48 of 80. The earlier group is split over two months, and months of more than a year ago
/// must not count.
#[test]
fn a_headline_compares_with_the_pooled_year_before() {
    check_change(
        &[
            ("2025-08", 0, 500),
            ("2025-09", 20, 50),
            ("2026-08", 28, 30),
            ("2026-09", 56, 70),
        ],
        Change::Difference {
            estimate: 0.2,
            low: 0.0524,
            high: 0.3339,
        },
    );
}

#[test]
fn a_headline_says_when_it_cannot_compare() {
    let too_few = Change::TooFewCases { needed: 10 };
    check_change(&[("2026-08", 20, 40), ("2026-09", 9, 9)], too_few);
    check_change(&[("2026-08", 9, 9), ("2026-09", 20, 40)], too_few);
    check_change(&[("2026-08", 20, 40)], too_few);
    check_change(&[("2026-09", 20, 40)], Change::NotCompared);
    check_change(
        &[("2026-08", 0, 0), ("2026-09", 20, 40)],
        Change::NotCompared,
    );
}

#[test]
fn a_month_without_a_call_is_compared_all_the_same() {
    let count = |events| EventsCount {
        events,
        exposure_minutes: 30 * 24 * 60,
    };
    let counts = CountTables {
        events: BTreeMap::from([
            (key("calls", Some(month("2026-08"))), count(30)),
            (key("calls", Some(month("2026-09"))), count(0)),
        ]),
        ..CountTables::default()
    };
    let definitions = [definition("calls", MeasureKind::Count)];
    let all = headlines(
        &counts,
        &definitions,
        month("2026-08"),
        month("2026-09"),
        Settings::default(),
    );
    let Change::Difference { estimate, high, .. } = all[0].change else {
        panic!("{:?}", all[0].change);
    };
    // Garwood limits of 0 and 30: 3.69 above 0, and 30 - 20.24 = 9.76 below 30; squared and added
    // 10.43, taken off the difference.
    assert!((estimate + 30.0).abs() < 1e-9 && (high + 19.57).abs() < 0.01);
    // No call in 30 days: exactly 0, with the exact Poisson limit of 3.69 (Garwood 1936).
    let now = all[0].month.as_ref().unwrap();
    assert_eq!((now.estimate, now.low), (Some(0.0), Some(0.0)));
    assert!((now.high.unwrap() - 3.6889).abs() < 0.0001);
}

#[test]
fn minutes_change_to_kaplan_meier_with_the_first_unfinished_case() {
    let minutes = |pairs: &[(i64, bool)]| MinutesCount {
        cases: pairs.iter().map(|pair| (*pair, 1)).collect(),
        excluded: 2,
    };
    let all_reached: Vec<_> = (1..=6).map(|n| (n * 10, true)).collect();
    let mut one_open = all_reached.clone();
    one_open[0].1 = false;
    for (pairs, method, median, censored) in [
        // Type 7 of 10, 20, … 60.
        (&all_reached, Method::OrderStatistics, 35.0, 0),
        // Five remain at risk after the open case: 0.8, 0.6, then 0.4 at 40 minutes.
        (&one_open, Method::KaplanMeier, 40.0, 1),
    ] {
        let counts = CountTables {
            minutes: BTreeMap::from([(key("call_to_scope", None), minutes(pairs))]),
            ..CountTables::default()
        };
        let all = findings(&counts, Settings::default(), NonZeroUsize::MIN);
        let found = all
            .overall("call_to_scope", None, Statistic::Median)
            .unwrap();
        assert_eq!((found.method, found.estimate), (method, Some(median)));
        assert_eq!(
            (found.cases, found.events, found.censored),
            (6, 6 - censored, censored)
        );
        assert_eq!(found.excluded, 2);
    }
}

#[test]
fn a_share_of_passes_has_passes_for_its_denominator() {
    let count = PassesCount {
        cases: BTreeMap::from([((1, 1), 3), ((1, 3), 2)]),
        excluded: 4,
    };
    let counts = CountTables {
        passes: BTreeMap::from([(key("device_success", None), count)]),
        ..CountTables::default()
    };
    let all = findings(&counts, Settings::default(), NonZeroUsize::MIN);
    let found = all
        .overall("device_success", None, Statistic::Share)
        .unwrap();
    assert_eq!((found.events, found.denominator(), found.cases), (5, 9, 5));
    assert!((found.estimate.unwrap() - 5.0 / 9.0).abs() < 1e-12);
}

/// 6 of 8 judged cases and 2 that were not: 6 of 10 if neither, 8 of 10 if both had met it.
#[test]
fn cases_that_were_not_judged_give_bounds() {
    let count = ShareCount {
        eligible: 8,
        hit: 6,
        excluded: 2,
    };
    let share = share(&key("retrieval_success", None), count, Settings::default());
    assert_eq!(share.bounds(), Some([0.6, 0.8]));
    let none = Finding {
        events: 0,
        cases: 0,
        excluded: 4,
        ..share.clone()
    };
    assert_eq!(none.bounds(), Some([0.0, 1.0]));
    let empty = Finding {
        excluded: 0,
        ..none
    };
    assert_eq!(empty.bounds(), None);
    let withheld = Finding {
        suppressed: true,
        ..share
    };
    assert_eq!(withheld.bounds(), None);
}

/// Of July, August and September with September in view: 2 of 10 and 7 of 20.
#[test]
fn the_months_before_are_pooled_without_the_month_in_view() {
    let counts = shares(&[("2026-07", 2, 10), ("2026-08", 7, 20), ("2026-09", 9, 9)]);
    let before = months_before(
        &counts,
        &[definition("retrieval_success", MeasureKind::Share)],
        month("2026-07"),
        month("2026-09"),
        Settings::default(),
    );
    let pooled = before
        .overall("retrieval_success", None, Statistic::Share)
        .expect("two months before");
    assert_eq!((pooled.events, pooled.cases, pooled.excluded), (9, 30, 2));
    assert_eq!(before.iter().count(), 1);
}

/// The median of 6 values lies between the smallest and the largest with a chance of 31 in 32, that of
/// 5 with one of 15 in 16 only.
#[test]
fn groups_of_different_size_have_each_their_own_limits() {
    let group = |cases: i64, first: i64| MinutesCount {
        cases: (first..first + cases).map(|m| ((m, true), 1)).collect(),
        excluded: 0,
    };
    let months = ["2026-01", "2026-02", "2026-03", "2026-04"];
    let groups = [group(6, 10), group(5, 20), group(6, 30), group(0, 0)];
    let keys = months.map(|text| key("call_to_scope", Some(month(text))));
    let counts = CountTables {
        minutes: keys.into_iter().zip(groups).collect(),
        ..CountTables::default()
    };
    let found = findings(&counts, Settings::default(), NonZeroUsize::MIN);
    let limits = months.map(|text| {
        let median = found.overall("call_to_scope", Some(month(text)), Statistic::Median);
        median.map(|median| (median.low, median.high)).unwrap()
    });
    let expected = [
        (Some(10.0), Some(15.0)),
        (None, None),
        (Some(30.0), Some(35.0)),
        (None, None),
    ];
    assert_eq!(limits, expected);
}

#[test]
fn findings_of_all_kinds_stand_in_one_order_with_any_number_of_threads() {
    let mut counts = shares(&[("2026-01", 1, 2), ("2026-02", 3, 4)]);
    let split = Key {
        by: "adverse_event".into(),
        group: "none".into(),
        ..key("adverse_event", None)
    };
    let count = ShareCount {
        eligible: 9,
        ..ShareCount::default()
    };
    counts.shares.insert(split, count);
    counts
        .minutes
        .insert(key("call_to_scope", None), MinutesCount::default());
    counts
        .events
        .insert(key("calls", None), EventsCount::default());
    let of = |threads| {
        let threads = NonZeroUsize::new(threads).unwrap();
        findings(&counts, Settings::default(), threads)
    };
    let found = of(1);
    assert_eq!(found, of(3));
    let addresses: Vec<_> = found
        .iter()
        .map(|f| (&f.measure, &f.by, &f.group, f.month, f.statistic))
        .collect();
    assert!(addresses.is_sorted(), "{addresses:?}");
    assert!(addresses.len() > 2 + 4 + 1, "{addresses:?}");
}
