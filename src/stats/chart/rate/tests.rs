use super::super::rules::{Rule, signals};
use super::*;
use proptest::prelude::*;

fn count(events: u64, exposure: f64) -> Option<EventCount> {
    EventCount::new(events, exposure)
}

#[test]
fn an_exposure_is_a_positive_number() {
    for exposure in [0.0, -0.0, -1.0, f64::NAN, f64::INFINITY, 5e-324] {
        assert_eq!(EventCount::new(3, exposure), None, "{exposure}");
    }
    assert!(EventCount::new(0, 5e-324).is_some());
}

#[test]
fn exposures_of_1_make_a_c_chart() {
    let points = [count(14, 1.0), count(18, 1.0)];
    let found = u_baseline(&points).expect("points");
    let limits = found.chart(&points)[0].expect("a point").limits;
    assert!((limits.center - 16.0).abs() < 1e-15);
    assert_eq!(limits.control.low, Some(4.0));
    assert_eq!(limits.control.high, Some(28.0));
    // A point exactly on its limit is within it.
    let ends = found.chart(&[count(28, 1.0), count(4, 1.0), count(29, 1.0), count(3, 1.0)]);
    let found: Vec<usize> = signals(&ends, &[Rule::BeyondLimits])
        .iter()
        .map(|signal| signal.index)
        .collect();
    assert_eq!(found, [2, 3]);
}

#[test]
fn a_lower_limit_needs_more_than_9_expected_events() {
    let found = u_baseline(&[count(2, 1.0)]).expect("a point");
    let low = |exposure| found.chart(&[count(0, exposure)])[0].and_then(|p| p.limits.control.low);
    assert_eq!(low(4.5), None, "exactly 9 expected: the limit would be 0");
    assert!(low(4.6).is_some_and(|low| low > 0.0));
}

#[test]
fn no_event_at_all_gives_no_limits() {
    let points = [count(0, 2.0), count(0, 3.0)];
    let found = u_baseline(&points).expect("points");
    assert_eq!(
        signals(&found.chart(&[count(5, 1.0)]), &[Rule::BeyondLimits]),
        []
    );
    assert_eq!(laney_u_baseline(&points), None);
    assert_eq!(u_baseline(&[]), None);
    assert_eq!(u_baseline(&[None]), None);
    assert_eq!(u_baseline(&[count(1, f64::MAX), count(1, f64::MAX)]), None);
}

#[test]
fn equal_rates_show_neither_a_side_nor_a_spread() {
    let points = vec![count(3, 0.1); 30];
    let found = laney_u_baseline(&points).expect("neighbors");
    assert!(found.sigma_z() <= 0.0);
    assert_eq!(signals(&found.chart(&points), &Rule::ALL), []);
    let plain = u_baseline(&points).expect("points");
    assert_eq!(found.never_narrower(), plain);
    assert_eq!(signals(&plain.chart(&points), &Rule::ALL), []);
}

/// By hand: events 4 and 16 in exposures of 1; u = 10, z = -6/√10 and 6/√10.
#[test]
fn u_prime_by_hand() {
    let points = [count(4, 1.0), count(16, 1.0)];
    let found = laney_u_baseline(&points).expect("neighbors");
    assert!((found.sigma_z() - 12.0 / 10.0_f64.sqrt() / 1.128).abs() < 1e-14);
    let plain = u_baseline(&points).expect("points");
    let high = |found: &RateBaseline| {
        let limits = found.chart(&points)[0].expect("a point").limits;
        limits.control.high.expect("an upper limit") - limits.center
    };
    assert!((high(&found) / high(&plain) - found.sigma_z()).abs() < 1e-14);
}

proptest! {
    #[test]
    fn another_unit_of_exposure_changes_no_signal(
        counts in prop::collection::vec((0_u64..60, 1_u16..60), 2..30),
    ) {
        let scaled = |unit: f64| -> Vec<Option<EventCount>> {
            counts.iter().map(|(k, t)| count(*k, f64::from(*t) * unit)).collect()
        };
        // A power of two, so that rounding is the same.
        let (days, other) = (scaled(1.0), scaled(4.0));
        for baseline in [u_baseline, laney_u_baseline] {
            let signals = |points: &[Option<EventCount>]| {
                baseline(points).map(|found| signals(&found.chart(points), &Rule::ALL))
            };
            prop_assert_eq!(signals(&days), signals(&other));
        }
    }
}
