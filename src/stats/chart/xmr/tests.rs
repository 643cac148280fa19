use super::super::rules::{Rule, signals};
use super::*;
use proptest::prelude::*;

fn observed(values: &[f64]) -> Vec<Option<f64>> {
    values.iter().copied().map(Some).collect()
}

fn baseline(values: &[f64]) -> XmrBaseline {
    xmr_baseline(&observed(values), Possible::AnyNumber).expect("two neighbors")
}

#[track_caller]
fn assert_near(actual: Option<f64>, expected: f64, tolerance: f64) {
    let actual = actual.expect("a limit");
    assert!(
        (actual - expected).abs() <= tolerance,
        "{actual} instead of {expected}"
    );
}

/// Twelve months of minutes, worked out by hand to one decimal.
const MONTHS: [f64; 12] = [
    42.0, 55.0, 38.0, 61.0, 47.0, 52.0, 44.0, 58.0, 49.0, 63.0, 41.0, 50.0,
];

#[test]
fn twelve_months_by_hand() {
    let found = baseline(&MONTHS);
    assert!((found.center() - 50.0).abs() < 1e-12);
    assert_near(Some(found.mean_moving_range()), 13.45, 0.005);
    assert_near(found.limits().control.low, 14.2, 0.05);
    assert_near(found.limits().control.high, 85.8, 0.05);
    let ranges = found.range_chart(&observed(&MONTHS));
    assert_eq!(ranges.len(), 12);
    assert_eq!(ranges[0], None);
    let second = ranges[1].expect("a range");
    assert!((second.value - 13.0).abs() < 1e-12);
    assert_near(second.limits.control.high, 43.96, 0.02);
    assert!(!found.resolution_too_coarse());
}

#[test]
fn a_frozen_baseline_does_not_learn_from_later_points() {
    let found = baseline(&MONTHS);
    let later = found.chart(&observed(&[50.0, 86.0, 14.0]));
    for point in later.iter().flatten() {
        assert_eq!(point.limits, found.limits());
    }
    let found: Vec<usize> = signals(&later, &[Rule::BeyondLimits])
        .iter()
        .map(|signal| signal.index)
        .collect();
    assert_eq!(found, [1, 2]);
}

#[test]
fn a_gap_takes_its_moving_ranges_away_and_stays_a_gap() {
    let points = [Some(1.0), Some(3.0), None, Some(100.0), Some(102.0)];
    let found = xmr_baseline(&points, Possible::AnyNumber).expect("two neighbors");
    assert!((found.mean_moving_range() - 2.0).abs() < 1e-15);
    assert!((found.center() - 51.5).abs() < 1e-15);
    let chart = found.chart(&points);
    assert!(chart[2].is_none() && chart.iter().flatten().count() == 4);
    assert_eq!(found.range_chart(&points)[3], None);
}

#[test]
fn too_few_or_unusable_points_have_no_baseline() {
    for points in [
        vec![],
        vec![None, None],
        vec![Some(1.0)],
        vec![Some(1.0), None, Some(2.0)],
        vec![Some(1.0), Some(f64::NAN)],
        vec![Some(1.0), Some(f64::INFINITY)],
        vec![Some(f64::MAX), Some(f64::MAX)],
        vec![Some(f64::MAX), Some(f64::MIN)],
    ] {
        assert_eq!(
            xmr_baseline(&points, Possible::AnyNumber),
            None,
            "{points:?}"
        );
    }
}

#[test]
fn equal_points_have_no_limits_and_no_signal_at_any_value() {
    for value in [0.0, 0.1, 1.0 / 3.0, 1e300 / 30.0, -7.7] {
        let found = baseline(&[value; 30]);
        assert_eq!(found.limits().control, Bounds::NONE);
        assert!(found.resolution_too_coarse());
        let chart = found.chart(&observed(&[value; 30]));
        assert_eq!(signals(&chart, &Rule::ALL), [], "{value}");
        let ranges = found.range_chart(&observed(&[value, value + 1.0]));
        assert_eq!(
            ranges[1].map(|range| range.limits.control),
            Some(Bounds::NONE)
        );
    }
}

#[test]
fn resolution_is_too_coarse_from_more_than_half_zero_ranges() {
    assert!(!baseline(&[5.0, 5.0, 10.0]).resolution_too_coarse());
    assert!(baseline(&[5.0, 5.0, 5.0, 10.0]).resolution_too_coarse());
}

#[test]
fn a_limit_that_minutes_cannot_reach_is_none_and_never_fires() {
    let points = observed(&[3.0, 30.0, 5.0, 41.0, 8.0]);
    let found = xmr_baseline(&points, Possible::NotNegative).expect("two neighbors");
    assert_eq!(found.limits().control.low, None);
    let free = xmr_baseline(&points, Possible::AnyNumber).expect("two neighbors");
    assert!(free.limits().control.low.is_some_and(|low| low < 0.0));
    assert_eq!(
        signals(&found.chart(&observed(&[0.0])), &[Rule::BeyondLimits]),
        []
    );
}

proptest! {
    #[test]
    fn limits_follow_shift_scale_mirror_and_reversal(
        values in prop::collection::vec(-1000_i32..1000, 2..40),
        shift in -500_i32..500,
        scale in 1_u8..20,
    ) {
        let values: Vec<f64> = values.into_iter().map(f64::from).collect();
        let limits = |change: &dyn Fn(f64) -> f64| {
            let changed: Vec<f64> = values.iter().map(|value| change(*value)).collect();
            let limits = baseline(&changed).limits();
            (limits.center, limits.control.low, limits.control.high)
        };
        let near = |a: Option<f64>, b: Option<f64>| match (a, b) {
            (Some(a), Some(b)) => (a - b).abs() <= 1e-10 * (1.0 + a.abs()),
            (None, None) => true,
            _ => false,
        };
        let (shift, scale) = (f64::from(shift), f64::from(scale));
        let (center, low, high) = limits(&|value| value);
        let moved = limits(&|value| value * scale + shift);
        let expected = |line: f64| line * scale + shift;
        prop_assert!(near(Some(moved.0), Some(expected(center))));
        prop_assert!(near(moved.1, low.map(expected)) && near(moved.2, high.map(expected)));
        let mirrored = limits(&|value| -value);
        prop_assert!(near(mirrored.1, high.map(|high| -high)));
        prop_assert!(near(mirrored.2, low.map(|low| -low)));
        let mut reversed = observed(&values);
        reversed.reverse();
        let reversed = xmr_baseline(&reversed, Possible::AnyNumber).expect("two neighbors");
        prop_assert!(near(reversed.limits().control.high, high));
    }

    #[test]
    fn no_series_panics(
        values in prop::collection::vec(prop::option::of(prop::num::f64::ANY), 0..20),
    ) {
        for possible in [Possible::AnyNumber, Possible::NotNegative, Possible::Share] {
            if let Some(found) = xmr_baseline(&values, possible) {
                prop_assert!(found.center().is_finite());
                let chart = found.chart(&values);
                prop_assert_eq!(chart.len(), values.len());
                signals(&chart, &Rule::ALL);
                signals(&found.range_chart(&values), &Rule::ALL);
            }
        }
    }
}
