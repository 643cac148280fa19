use super::*;
use crate::domain::counts::{ALL, Key};
use crate::findings::drift::tests::calls;
use crate::findings::tests::group_key as key;
use crate::stats::competing::CumulativeIncidence;
use std::collections::BTreeMap;

fn count(cases: &[(i64, bool, u64)]) -> MinutesCount {
    MinutesCount {
        cases: cases.iter().map(|&(at, end, n)| ((at, end), n)).collect(),
        excluded: 0,
    }
}

fn curves(rows: &[(Key, MinutesCount)]) -> Curves {
    let counts = CountTables {
        minutes: rows.iter().cloned().collect(),
        ..CountTables::default()
    };
    Curves::new(&counts, &definitions(), Settings::default())
}

/// The measures with curves, and one without.
fn definitions() -> Vec<Definition> {
    let ids = MEASURES.into_iter().chain(["call_to_team"]);
    ids.map(|id| Definition {
        id: id.to_owned(),
        ..calls()
    })
    .collect()
}

/// The 6-MP arm of Freireich and others (1963), as minutes.
fn remission() -> MinutesCount {
    let reached = [(6, 3), (7, 1), (10, 1), (13, 1), (16, 1), (22, 1), (23, 1)];
    let left = [6, 9, 10, 11, 17, 19, 20, 25, 32, 34, 35].map(|at| (at, 1 + u64::from(at == 32)));
    let reached = reached.map(|(at, n)| (at, true, n)).into_iter();
    let cases: Vec<_> = reached.chain(left.map(|(at, n)| (at, false, n))).collect();
    count(&cases)
}

#[test]
fn a_curve_is_the_published_one_with_band_and_numbers_at_risk() {
    let found = curves(&[(key("call_to_scope", "urgency", "urgent"), remission())]);
    let curve = &found.curves[0];
    assert_eq!((curve.cases, curve.censored), (21, 12));
    // R's survfit of these data as printed in many textbooks (published.csv, C156 to C161); limits:
    // lifelines 0.30.3, KaplanMeierFitter().fit(t, e).confidence_interval_, which is log-log.
    for (minutes, at_risk, not_yet) in [
        (6, 21, 0.857),
        (7, 17, 0.807),
        (10, 15, 0.753),
        (13, 12, 0.690),
        (16, 11, 0.627),
        (22, 7, 0.538),
        (23, 6, 0.448),
    ] {
        assert_eq!(curve.at_risk(minutes), at_risk, "{minutes}");
        let (share, _) = curve.by(minutes).expect("followed");
        assert!((1.0 - share - not_yet).abs() <= 0.000_5, "{minutes}");
    }
    let (_, interval) = curve.by(15).expect("followed");
    let (_, at_13) = curve.by(13).expect("followed");
    assert_eq!(interval, at_13);
    let (_, interval) = curve.by(16).expect("followed");
    let interval = interval.expect("between 0 and 1");
    assert!((interval.low - (1.0 - 0.804_912_189_471_842_1)).abs() < 1e-14);
    assert!((interval.high - (1.0 - 0.367_510_855_987_501_94)).abs() < 1e-14);
    assert_eq!(curve.by(5), Some((0.0, None)));
    assert_eq!(
        (curve.reaches(0.25), curve.reaches(0.5)),
        (Some(13), Some(23))
    );
    assert_eq!(curve.reaches(0.9), None);
    let events: u64 = curve.points.iter().map(|point| point.events).sum();
    let censored: u64 = curve.points.iter().map(|point| point.censored).sum();
    assert_eq!((events, censored), (9, 12));
}

#[test]
fn a_curve_ends_where_fewer_than_five_are_at_risk() {
    let five = count(&[(10, true, 1), (20, true, 1), (30, true, 5)]);
    let four = count(&[(10, true, 1), (20, true, 2), (30, true, 4)]);
    let few = count(&[(10, true, 4)]);
    let found = curves(&[
        (key("arrival_to_scope", "urgency", "urgent"), four),
        (key("arrival_to_scope", "urgency", "emergent"), five),
        (key("arrival_to_scope", "urgency", "non_urgent"), few),
    ]);
    let until: Vec<_> = found
        .of("arrival_to_scope")
        .map(|curve| (curve.group.as_str(), curve.shown_until()))
        .collect();
    let expected = [
        ("emergent", Some(30)),
        ("urgent", Some(20)),
        ("non_urgent", None),
    ];
    assert_eq!(until, expected, "in the order of the list");
    assert_eq!(found.curves[1].by(21), None);
    assert!(found.curves[1].by(20).is_some());
    assert!(found.ends.is_empty(), "no counts of all calls");
}

#[test]
fn other_months_groups_measures_and_versions_have_no_curve() {
    let some = || count(&[(10, true, 9)]);
    let month = Key {
        month: Some("2026-09".parse().unwrap()),
        ..key("call_to_scope", "urgency", "urgent")
    };
    let of_another_version = |by, group| Key {
        version: 2,
        ..key("call_to_scope", by, group)
    };
    let found = curves(&[
        (of_another_version("urgency", "urgent"), some()),
        (of_another_version(ALL, ALL), some()),
        (month, some()),
        (key("call_to_scope", "shift", "in_hours"), some()),
        (key("call_to_team", "urgency", "urgent"), some()),
        (key("call_to_scope", "urgency", "urgent"), count(&[])),
    ]);
    assert!(found.curves.is_empty() && found.ends.is_empty());
}

#[test]
fn of_all_calls_each_is_scoped_has_left_or_waits() {
    let all = count(&[
        (30, true, 6),
        (31, true, 2),
        (60, false, 1),
        (200, true, 10),
        (400, false, 1),
    ]);
    let found = curves(&[(key("call_to_scope", "all", "all"), all)]);
    let rows: Vec<_> = found
        .ends
        .iter()
        .map(|row| {
            let [scoped, left, waiting] =
                [row.scoped, row.left, row.waiting].map(|share| share.counted.events);
            (row.minutes, scoped, left, waiting)
        })
        .collect();
    let expected = [
        (30, 6, 0, 14),
        (60, 8, 1, 11),
        (120, 8, 1, 11),
        (240, 18, 1, 1),
        (360, 18, 1, 1),
        (720, 18, 2, 0),
    ];
    assert_eq!(rows, expected, "and none after nobody waits");
    // R package binom: binom.confint(18, 20, methods = "wilson"), as in stats/proportion/tests.rs.
    let interval = found.ends[3].scoped.interval;
    assert!((interval.low - 0.698_966_354_771_512_8).abs() < 1e-12);
    assert!((interval.high - 0.972_133_518_786_232).abs() < 1e-12);
}

#[test]
fn without_lost_cases_the_shares_are_the_cumulative_incidences() {
    let all = remission();
    let ends: BTreeMap<_, _> = all
        .cases
        .iter()
        .map(|(&(at, reached), &cases)| ((at * 10, Some(reached)), cases))
        .collect();
    let tenfold = MinutesCount {
        cases: all
            .cases
            .iter()
            .map(|(&(at, reached), &cases)| ((at * 10, reached), cases))
            .collect(),
        excluded: 0,
    };
    let found = curves(&[(key("call_to_scope", "all", "all"), tenfold)]);
    assert_eq!(found.ends.len(), 5, "the last left after 350 minutes");
    for row in found.ends {
        for (end, share) in [(true, row.scoped), (false, row.left)] {
            let incidence = CumulativeIncidence::new(&ends, &end);
            let expected = incidence
                .reached_by(row.minutes, Settings::default().level)
                .expect("nobody was lost");
            let tally = share.counted.tally().expect("cases");
            assert!((expected.share - tally.share()).abs() < 1e-14, "{row:?}");
        }
    }
}
