use super::*;
use proptest::prelude::*;

fn observed(values: &[f64]) -> Vec<Option<f64>> {
    values.iter().copied().map(Some).collect()
}

#[test]
fn ten_useful_points_are_the_fewest() {
    assert_eq!(run_limits(9), None);
    assert_eq!(run_limits(0), None);
    let table = [
        (10, 6, 2),
        (36, 8, 13),
        (40, 8, 14),
        (48, 9, 18),
        (60, 9, 23),
    ];
    for (useful, longest_run, crossings) in table {
        let expected = RunLimits {
            longest_run,
            crossings,
        };
        assert_eq!(run_limits(useful), Some(expected), "{useful}");
    }
    let most = run_limits(u64::MAX).expect("many");
    assert_eq!(most.longest_run, 67);
    assert!(most.crossings < u64::MAX / 2);
}

#[test]
fn a_run_at_the_limit_is_no_signal_and_one_longer_is() {
    // 20 points: runs of up to 7 are usual.
    let series = |run: usize| {
        let mut values = vec![1.0; run];
        values.extend((0..20 - run).map(|index| if index % 2 == 0 { -1.0 } else { 1.0 }));
        run_chart_about(&observed(&values), 0.0).expect("points")
    };
    assert_eq!(
        (series(7).longest_run, series(7).has_long_run()),
        (7, false)
    );
    assert_eq!((series(8).longest_run, series(8).has_long_run()), (8, true));
    assert!(!series(8).has_few_crossings());
}

#[test]
fn a_series_that_goes_up_once_crosses_too_seldom() {
    let values: Vec<f64> = (0..12).map(f64::from).collect();
    let chart = run_chart(&observed(&values)).expect("points");
    assert_eq!((chart.crossings, chart.longest_run), (1, 6));
    assert!(chart.has_few_crossings() && !chart.has_long_run());
    // Of 12 points, 3 crossings are the fewest that a shuffled series has.
    let crossing_thrice = [
        1.0, 1.0, 1.0, -1.0, -1.0, -1.0, 1.0, 1.0, 1.0, -1.0, -1.0, -1.0,
    ];
    let chart = run_chart_about(&observed(&crossing_thrice), 0.0).expect("points");
    assert_eq!(chart.crossings, 3);
    assert!(!chart.has_few_crossings());
}

#[test]
fn points_on_the_line_and_gaps_are_left_out_and_end_nothing() {
    let points = [
        Some(1.0),
        None,
        Some(2.0),
        Some(0.0),
        Some(-0.0),
        Some(3.0),
        Some(-1.0),
        Some(0.0),
        Some(-1.0),
    ];
    let chart = run_chart_about(&points, 0.0).expect("points");
    assert_eq!(
        (chart.useful, chart.longest_run, chart.crossings),
        (5, 3, 1)
    );
    assert_eq!(chart.limits, None);
    assert!(!chart.has_long_run() && !chart.has_few_crossings());
}

#[test]
fn nothing_equal_and_unusable_points() {
    assert_eq!(run_chart(&[]), None);
    assert_eq!(run_chart(&[None, None]), None);
    assert_eq!(run_chart(&observed(&[1.0, f64::NAN])), None);
    assert_eq!(run_chart(&observed(&[1.0, f64::INFINITY])), None);
    assert_eq!(run_chart_about(&observed(&[1.0]), f64::NAN), None);
    let same = run_chart(&observed(&[0.1; 30])).expect("points");
    assert_eq!((same.useful, same.longest_run, same.limits), (0, 0, None));
    let wide = run_chart(&observed(&[f64::MAX, f64::MIN, f64::MAX, f64::MAX])).expect("points");
    assert!(wide.center.is_finite());
}

proptest! {
    #[test]
    fn mirror_reversal_and_scale_change_nothing(
        values in prop::collection::vec(-20_i32..20, 1..60),
    ) {
        let values: Vec<f64> = values.into_iter().map(f64::from).collect();
        let found = run_chart(&observed(&values)).expect("points");
        let counts = |chart: RunChart| (chart.useful, chart.longest_run, chart.crossings);
        let changed = |change: fn(f64) -> f64| {
            let values: Vec<f64> = values.iter().map(|value| change(*value)).collect();
            counts(run_chart(&observed(&values)).expect("points"))
        };
        prop_assert_eq!(changed(|value| -value), counts(found));
        prop_assert_eq!(changed(|value| 8.0 * value + 3.0), counts(found));
        let mut reversed = observed(&values);
        reversed.reverse();
        prop_assert_eq!(run_chart(&reversed), Some(found));
        prop_assert!(found.longest_run + found.crossings <= found.useful);
        // At least half of the points are at or above the median, and at or below.
        let above = values.iter().filter(|value| **value > found.center).count();
        let below = values.iter().filter(|value| **value < found.center).count();
        prop_assert!(2 * above <= values.len() && 2 * below <= values.len());
    }
}
