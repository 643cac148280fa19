//! Charts from counts that are small enough to follow by hand.

mod forms;

use super::*;
use crate::domain::counts::ALL;
use crate::domain::counts::EventsCount;
use crate::domain::counts::Key;
use crate::domain::counts::MinutesCount;
use crate::domain::counts::ShareCount;
use crate::domain::measure::MeasureKind;
use crate::findings::headline::HEADLINES;
use crate::findings::tests::definition;
use std::collections::BTreeMap;

const FIRST: &str = "2024-01";

fn month(text: &str) -> Month {
    text.parse().unwrap()
}

/// Keys of consecutive months, with the counts; `None` leaves a month out.
fn table<C>(
    measure: &str,
    by: &str,
    group: &str,
    counts: impl IntoIterator<Item = Option<C>>,
) -> BTreeMap<Key, C> {
    (0..)
        .zip(counts)
        .filter_map(|(step, count)| {
            let key = Key {
                measure: measure.into(),
                version: 1,
                by: by.into(),
                group: group.into(),
                month: Some(month(FIRST).plus(step)),
            };
            Some((key, count?))
        })
        .collect()
}

fn share((hit, eligible): (u64, u64)) -> ShareCount {
    ShareCount {
        eligible,
        hit,
        excluded: 0,
    }
}

fn shares(measure: &str, months: &[(u64, u64)]) -> CountTables {
    let counts = months.iter().map(|counts| Some(share(*counts)));
    CountTables {
        shares: table(measure, ALL, ALL, counts),
        ..CountTables::default()
    }
}

/// Six cases a month, all with this length.
fn minutes(months: &[Option<i64>]) -> CountTables {
    let counts = months.iter().map(|length| {
        Some(MinutesCount {
            cases: BTreeMap::from([(((*length)?, true), 6)]),
            excluded: 0,
        })
    });
    CountTables {
        minutes: table("call_to_scope", ALL, ALL, counts),
        ..CountTables::default()
    }
}

fn of(counts: &CountTables, kind: MeasureKind, months: i32, phases: &[Phase]) -> MonthChart {
    let id = match kind {
        MeasureKind::Share => "retrieval_success",
        MeasureKind::Minutes => "call_to_scope",
        MeasureKind::ClusteredShare => "device_success",
        MeasureKind::Count => "calls",
    };
    let last = month(FIRST).plus(months - 1);
    let definitions = [definition(id, kind)];
    let all = signals(counts, &definitions, month(FIRST), last, phases, 12);
    assert_eq!(all.charts.len(), 1);
    all.charts[0].clone()
}

fn phase(from: &str) -> Phase {
    Phase {
        from: month(from),
        note: "a second cart".into(),
        measures: vec![],
        sites: vec![],
    }
}

/// Around 30 minutes in the first year, then longer.
fn lengths(later: i64, months: usize) -> Vec<Option<i64>> {
    let first = [28, 32, 30, 29, 31, 30, 33, 27, 30, 31, 29, 30].map(Some);
    let rest = (0..months).map(|place| Some(later + [-1, 1, 0][place % 3]));
    first.into_iter().chain(rest).collect()
}

#[test]
fn lines_come_from_the_first_twelve_months_and_stay() {
    let lengths = lengths(60, 3);
    let chart = of(&minutes(&lengths), MeasureKind::Minutes, 15, &[]);
    // By hand: the mean of the twelve is 360 / 12; ranges 4 2 1 2 1 3 6 3 1 2 1 add up to 26.
    let distance = 3.0 / 1.128 * 26.0 / 11.0;
    for point in &chart.points {
        assert!((point.line.unwrap() - 30.0).abs() < 1e-9);
        assert!((point.high.unwrap() - 30.0 - distance).abs() < 1e-9);
    }
    assert_eq!(chart.form, ChartForm::Xmr);
    let baseline = chart.baselines[0];
    assert_eq!((baseline.last, baseline.points), (month("2024-12"), 12));
    let expected = MonthSignal {
        rule: MonthRule::BeyondLimits,
        side: Some(Side::Above),
        first: month("2025-01"),
        last: month("2025-03"),
        met: month("2025-01"),
        points: 3,
    };
    assert_eq!(chart.signals, [expected]);
    assert_eq!(chart.standing().count(), 1);
    assert!(
        chart
            .chance
            .is_some_and(|chance| (0.01..0.06).contains(&chance))
    );
}

#[test]
fn a_run_begins_at_its_first_point() {
    let chart = of(&minutes(&lengths(32, 9)), MeasureKind::Minutes, 21, &[]);
    let runs: Vec<_> = chart
        .signals
        .iter()
        .filter(|signal| signal.rule == MonthRule::EightOnOneSide)
        .collect();
    let [run] = runs[..] else {
        panic!("{:?}", chart.signals);
    };
    // 2024-12 lies on the line, so the run begins behind it.
    assert_eq!((run.first, run.last), (month("2025-01"), month("2025-09")));
    assert_eq!((run.points, run.met), (9, month("2025-08")));
    let seven = of(&minutes(&lengths(32, 7)), MeasureKind::Minutes, 19, &[]);
    assert!(seven.signals.is_empty(), "{:?}", seven.signals);
}

#[test]
fn a_change_gets_lines_of_its_own_when_a_whole_baseline_lies_behind_it() {
    let lengths = lengths(60, 12);
    let phases = [phase("2025-01")];
    // Eleven months behind it: judged by the lines from before.
    let young = of(&minutes(&lengths[..23]), MeasureKind::Minutes, 23, &phases);
    assert_eq!(young.baselines.len(), 1);
    assert!((young.points[22].line.unwrap() - 30.0).abs() < 1e-9);
    assert_eq!(young.standing().count(), 2, "beyond the limits, and a run");
    // Twelve: lines of its own from its first month on, and nothing to signal.
    let grown = of(&minutes(&lengths), MeasureKind::Minutes, 24, &phases);
    assert_eq!(grown.baselines.len(), 2);
    assert_eq!(grown.baselines[1].first, month("2025-01"));
    assert!((grown.points[11].line.unwrap() - 30.0).abs() < 1e-9);
    assert!((grown.points[12].line.unwrap() - 60.0).abs() < 1e-9);
    assert_eq!(grown.signals, []);
}

#[test]
fn lines_before_a_change_come_from_the_months_before_it_alone() {
    let lengths: Vec<Option<i64>> = lengths(60, 4).split_off(2);
    let chart = of(
        &minutes(&lengths),
        MeasureKind::Minutes,
        14,
        &[phase("2024-11")],
    );
    // Ten months before the change are too few for limits, and the four behind it do not help.
    assert_eq!(chart.form, ChartForm::Run);
    assert_eq!(chart.baselines[0].points, 10);
    assert!((chart.points[13].line.unwrap() - 30.0).abs() < 1e-9);
}

#[test]
fn a_change_of_another_site_or_measure_changes_no_lines() {
    let lengths = lengths(60, 12);
    let elsewhere = Phase {
        sites: vec!["Birch".into()],
        ..phase("2025-01")
    };
    let other = Phase {
        measures: vec!["calls".into()],
        ..phase("2025-01")
    };
    for phase in [elsewhere, other] {
        let chart = of(&minutes(&lengths), MeasureKind::Minutes, 24, &[phase]);
        assert_eq!(chart.baselines.len(), 1);
    }
}

#[test]
fn a_month_with_four_cases_is_a_gap_and_no_zero() {
    let mut counts = minutes(&lengths(30, 6));
    let at = month("2025-02");
    for (key, count) in &mut counts.minutes {
        if key.month == Some(at) {
            count.cases = BTreeMap::from([((90, true), 4)]);
        }
    }
    let chart = of(&counts, MeasureKind::Minutes, 18, &[]);
    let point = chart.points[13];
    assert_eq!((point.n, point.value), (4, None));
    assert!(point.line.is_some(), "lines go on over a gap");
    assert_eq!(chart.signals, []);
}

#[test]
fn the_month_in_view_can_signal_nothing_when_it_is_a_gap() {
    let mut lengths = lengths(60, 4);
    lengths[15] = None;
    let chart = of(&minutes(&lengths), MeasureKind::Minutes, 16, &[]);
    assert_eq!(chart.standing().count(), 0);
    assert_eq!(chart.chance, None);
    assert_eq!(chart.signals.len(), 1, "what was seen before stays");
}

#[test]
fn a_watched_month_without_a_call_is_a_zero() {
    let events = [9, 11, 10, 9, 11, 10, 9, 11, 10, 9, 11, 10, 0];
    let counts = events.map(|events| {
        Some(EventsCount {
            events,
            exposure_minutes: 30 * 24 * 60,
        })
    });
    let counts = CountTables {
        events: table("calls", ALL, ALL, counts),
        ..CountTables::default()
    };
    let chart = of(&counts, MeasureKind::Count, 13, &[]);
    assert_eq!(chart.form, ChartForm::U);
    assert_eq!(chart.points[12].value, Some(0.0));
    // 10 a month: limits at 10 ± 3 √10, so 0 lies below 0.51.
    assert!((chart.points[12].low.unwrap() - (10.0 - 3.0 * 10.0_f64.sqrt())).abs() < 1e-9);
    assert_eq!(chart.signals.len(), 1);
    assert_eq!(chart.signals[0].side, Some(Side::Below));
}

#[test]
fn sites_are_followed_where_there_are_two() {
    let of_sites = |sites: &[&str]| {
        let mut all = shares("retrieval_success", &[(9, 10); 12]);
        for site in sites {
            let months = [(4, 5); 12].map(|counts| Some(share(counts)));
            all.shares
                .extend(table("retrieval_success", "site", site, months));
        }
        let definitions = [definition("retrieval_success", MeasureKind::Share)];
        let last = month("2024-12");
        let signals = signals(&all, &definitions, month(FIRST), last, &[], 12);
        let groups = signals.charts.into_iter().map(|chart| chart.group);
        groups.collect::<Vec<_>>()
    };
    assert_eq!(of_sites(&["Alder"]), ["all"]);
    assert_eq!(of_sites(&["Birch", "Alder"]), ["all", "Alder", "Birch"]);
    assert_eq!(of_sites(&["Alder", "not_recorded"]), ["all"]);
    let with_blanks = of_sites(&["Alder", "not_recorded", "Birch"]);
    assert_eq!(with_blanks, ["all", "Alder", "Birch"]);
}

#[test]
fn later_months_change_nothing() {
    let long = minutes(&lengths(60, 12));
    let chart = of(&long, MeasureKind::Minutes, 13, &[]);
    let short = of(&minutes(&lengths(60, 1)), MeasureKind::Minutes, 13, &[]);
    assert_eq!(chart, short);
}

#[test]
fn the_followed_measures_are_measures() {
    let known = crate::measure::built_in();
    let followed = HEADLINES.iter().chain(&followed::OVER_ALL_CASES);
    let mut ids: Vec<_> = followed.collect();
    for id in &ids {
        assert!(known.iter().any(|definition| definition.id == **id), "{id}");
    }
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), 23);
}

#[test]
fn the_charts_of_harm_count_among_those_that_were_looked_at() {
    use crate::domain::sequence::EventSequence;
    use crate::findings::comparisons::over_time::harm_over_time;

    let last = month("2025-01");
    let mut sequence = EventSequence::default();
    for case in 0..300 {
        sequence.push(last, case * 1440, case % 15 == 0);
    }
    let harm = [harm_over_time("adverse_event", &sequence)];
    let chart = of(&minutes(&lengths(30, 1)), MeasureKind::Minutes, 13, &[]);
    let silent = MonthChart {
        chance: None,
        ..chart.clone()
    };
    let own = chart.chance.unwrap();
    let signals = Signals {
        charts: vec![chart, silent],
    };
    let found = signals.multiplicity(&harm, last);
    assert_eq!(
        (found.charts, found.able),
        (4, 2),
        "19 distances: no chart of days"
    );
    // Nineteen events in the month, which together cannot exceed one chart.
    assert!(
        found.expected > own && found.expected <= own + 1.0,
        "{found:?}"
    );
    let without = signals.multiplicity(&[], last);
    assert_eq!((without.charts, without.able), (2, 1));
    assert!((without.expected - own).abs() < 1e-12);
}
