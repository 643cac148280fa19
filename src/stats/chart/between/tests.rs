use super::super::rules::{Rule, signals};
use super::*;
use proptest::prelude::*;

#[test]
fn forty_cases_between_by_hand() {
    let limits = g_baseline(&[40]).expect("a point").limits();
    assert!((limits.control.high.expect("high") - 161.5).abs() < 0.05);
    assert!((limits.run_line - 27.7).abs() < 0.05);
    assert_eq!((limits.control.low, limits.two_sigma.low), (None, None));
}

/// Eight short distances in a row, all above a lower limit that does not exist.
#[test]
fn a_cluster_of_events_shows_as_a_run_below_the_median_line() {
    let found = g_baseline(&[40]).expect("a point");
    let chart = found.chart(&[27; 8]);
    let fired = signals(&chart, &Rule::ALL);
    assert_eq!(fired.len(), 1);
    assert_eq!((fired[0].index, fired[0].rule), (7, Rule::EightOnOneSide));
    // Between median and mean: above the line for runs.
    assert_eq!(signals(&found.chart(&[30; 7]), &Rule::ALL), []);
}

#[test]
fn twelve_times_by_hand() {
    let times = [31, 12, 55, 8, 40, 22, 63, 17, 29, 48, 5, 36];
    let limits = t_baseline(&times).expect("two points").limits();
    assert!((limits.center - 26.0).abs() < 0.05);
    assert!((limits.control.high.expect("high") - 269.7).abs() < 0.2);
    assert!(limits.control.low.is_none_or(|low| low < 0.1));
}

#[test]
fn a_time_of_0_is_half_a_unit() {
    let found = t_baseline(&[0, 3, 0, 9]).expect("two points");
    let chart = found.chart(&[0]);
    assert!(chart[0].is_some_and(|point| (point.value - 0.5).abs() < 1e-15));
    assert!(found.limits().center > 0.5);
}

#[test]
fn too_few_and_equal_distances() {
    assert_eq!(g_baseline(&[]), None);
    assert_eq!(t_baseline(&[]), None);
    assert_eq!(t_baseline(&[7]), None);
    let never = g_baseline(&[0; 9]).expect("points");
    assert_eq!(never.limits().control, Bounds::NONE);
    assert_eq!(signals(&never.chart(&[0; 9]), &Rule::ALL), []);
    let same = t_baseline(&[7; 9]).expect("points");
    assert_eq!(same.limits().control, Bounds::NONE);
    assert_eq!(signals(&same.chart(&[1, 100]), &Rule::ALL), []);
}

proptest! {
    #[test]
    fn order_matters_for_time_only_and_all_lines_rise(
        mut distances in prop::collection::vec(prop_oneof![0_u64..200, any::<u64>()], 2..30),
    ) {
        let g = g_baseline(&distances).expect("points").limits();
        let t = t_baseline(&distances).expect("two points").limits();
        let lines = [t.control.low, t.two_sigma.low, Some(t.center), t.two_sigma.high, t.control.high];
        let lines: Vec<f64> = lines.into_iter().flatten().collect();
        prop_assert!(lines.is_sorted() && lines.iter().all(|line| line.is_finite()), "{:?}", lines);
        prop_assert!(g.control.high.is_none_or(|high| high.is_finite() && high > g.center));
        distances.reverse();
        let back = t_baseline(&distances).expect("two points").limits();
        let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs();
        prop_assert!(near(back.center, t.center));
        distances.sort_unstable();
        let sorted = g_baseline(&distances).expect("points").limits();
        prop_assert!(near(sorted.center, g.center));
    }
}
