use super::super::limits::Bounds;
use super::super::rules::{Rule, signals};
use super::*;
use proptest::prelude::*;

fn tally(events: u64, cases: u64) -> Tally {
    Tally::new(events, cases)
        .expect("events within cases")
        .expect("some cases")
}

fn observed(points: &[(u64, u64)]) -> Vec<Option<Tally>> {
    points
        .iter()
        .map(|(events, cases)| Some(tally(*events, *cases)))
        .collect()
}

/// Eight months, worked out by hand.
const MONTHS: [(u64, u64); 8] = [
    (9, 10),
    (17, 20),
    (12, 15),
    (20, 20),
    (14, 18),
    (22, 25),
    (16, 16),
    (11, 15),
];

#[test]
fn eight_months_by_hand() {
    let found = laney_p_baseline(&observed(&MONTHS)).expect("neighbors");
    assert!((found.center() - 0.8705).abs() < 5e-5);
    assert!((found.sigma_z() - 1.57).abs() < 5e-3);
}

#[test]
fn every_point_has_the_limits_of_its_own_cases() {
    let points = observed(&[(10, 100), (20, 200), (4, 16)]);
    let found = p_baseline(&observed(&[(10, 100)])).expect("a point");
    let chart = found.chart(&points);
    let distance = |index: usize| {
        let high = chart[index].and_then(|point| point.limits.control.high);
        high.expect("an upper limit") - 0.1
    };
    // 3 sqrt(0.1 * 0.9 / 100) = 0.09, and half of that spread with four times the cases.
    assert!((distance(0) - 0.09).abs() < 1e-15);
    assert!((distance(2) - 0.225).abs() < 1e-15);
    assert!((distance(1) / distance(0) - 0.5_f64.sqrt()).abs() < 1e-14);
}

#[test]
fn a_lower_limit_appears_from_the_number_of_cases_that_allows_it() {
    let found = p_baseline(&observed(&[(5, 100)])).expect("a point");
    // More than 9 * 0.95 / 0.05 = 171.
    let low = |cases| found.chart(&observed(&[(0, cases)]))[0].and_then(|p| p.limits.control.low);
    assert_eq!(low(170), None);
    assert!(low(172).is_some_and(|low| low > 0.0));
    let chart = found.chart(&observed(&[(0, 170), (0, 172)]));
    let found: Vec<usize> = signals(&chart, &[Rule::BeyondLimits])
        .iter()
        .map(|signal| signal.index)
        .collect();
    assert_eq!(found, [1], "no signal where there is no limit");
}

#[test]
fn p_prime_is_p_when_sigma_z_is_1() {
    let points = observed(&MONTHS);
    let plain = p_baseline(&points).expect("points");
    let prime = laney_p_baseline(&points).expect("neighbors");
    let unscaled = ShareBaseline {
        sigma_z: 1.0,
        ..prime
    };
    assert_eq!(unscaled, plain);
    assert_eq!(unscaled.chart(&points), plain.chart(&points));
    let narrow = ShareBaseline {
        sigma_z: 0.5,
        ..plain
    };
    assert_eq!(narrow.never_narrower(), plain);
    assert_eq!(prime.never_narrower(), prime);
}

#[test]
fn shares_of_0_1_and_all_the_same_have_no_limits_and_no_signals() {
    let large = [(u64::MAX / 3, u64::MAX), (u64::MAX / 10 * 7, u64::MAX - 1)];
    for month in [(0, 12), (12, 12), (1, 3), (7, 10), large[0], large[1]] {
        let points = observed(&[month; 15]);
        let found = p_baseline(&points).expect("points");
        assert!((found.center() - tally(month.0, month.1).share()).abs() <= 0.0);
        assert_eq!(signals(&found.chart(&points), &Rule::ALL), []);
        let prime = laney_p_baseline(&points);
        if month.0 == 0 || month.0 == month.1 {
            assert_eq!(prime, None);
            let later = found.chart(&observed(&[(6, 12)]));
            assert_eq!(
                later[0].map(|point| point.limits.control),
                Some(Bounds::NONE)
            );
        } else {
            let chart = prime.expect("neighbors").chart(&points);
            assert_eq!(signals(&chart, &Rule::ALL), []);
        }
    }
}

#[test]
fn nothing_gives_nothing_and_p_prime_wants_neighbors() {
    assert_eq!(p_baseline(&[]), None);
    assert_eq!(p_baseline(&[None, None]), None);
    let lonely = [Some(tally(1, 4)), None, Some(tally(3, 4))];
    assert!(p_baseline(&lonely).is_some());
    assert_eq!(laney_p_baseline(&lonely), None);
    assert_eq!(p_baseline(&lonely).expect("points").chart(&lonely)[1], None);
}

#[test]
fn huge_counts_keep_their_digits() {
    let half = u64::MAX / 2;
    let points = observed(&[(half, u64::MAX), (half - 5_000_000_000, u64::MAX)]);
    let found = laney_p_baseline(&points).expect("neighbors");
    assert!((found.center() - 0.5).abs() < 1e-9);
    let limits = found.chart(&points)[0].expect("a point").limits;
    let (low, high) = (limits.control.low, limits.control.high);
    assert!(low.expect("low") <= found.center() && found.center() <= high.expect("high"));
}

proptest! {
    #[test]
    fn misses_mirror_events_and_order_matters_only_for_neighbors(
        counts in prop::collection::vec((0_u64..60, 1_u64..60), 2..30),
    ) {
        let pairs: Vec<(u64, u64)> = counts.iter().map(|(k, n)| (*k.min(n), *n)).collect();
        let mirrored: Vec<(u64, u64)> = pairs.iter().map(|(k, n)| (n - k, *n)).collect();
        for baseline in [p_baseline, laney_p_baseline] {
            let (there, back) = (baseline(&observed(&pairs)), baseline(&observed(&mirrored)));
            prop_assert_eq!(there.is_some(), back.is_some());
            let (Some(there), Some(back)) = (there, back) else { continue };
            prop_assert!((there.center() + back.center() - 1.0).abs() < 1e-14);
            prop_assert!((there.sigma_z() - back.sigma_z()).abs() < 1e-9);
            let near = |a: Option<f64>, b: Option<f64>| match (a, b) {
                (Some(a), Some(b)) => (a + b - 1.0).abs() < 1e-9,
                // A limit within rounding of 0 or 1 may be kept on one side only.
                (Some(edge), None) | (None, Some(edge)) => !(1e-12..=1.0 - 1e-12).contains(&edge),
                (None, None) => true,
            };
            let charts = (there.chart(&observed(&pairs)), back.chart(&observed(&mirrored)));
            for (there, back) in charts.0.iter().flatten().zip(charts.1.iter().flatten()) {
                prop_assert!(near(there.limits.control.low, back.limits.control.high));
                prop_assert!(near(there.limits.control.high, back.limits.control.low));
            }
        }
        let mut sorted = pairs.clone();
        sorted.sort_unstable();
        prop_assert_eq!(p_baseline(&observed(&sorted)), p_baseline(&observed(&pairs)));
        let mut reversed = pairs.clone();
        reversed.reverse();
        let sigma = |pairs: &[(u64, u64)]| laney_p_baseline(&observed(pairs)).map(|b| b.sigma_z());
        match (sigma(&reversed), sigma(&pairs)) {
            (Some(a), Some(b)) => prop_assert!((a - b).abs() < 1e-12 * (1.0 + a)),
            (a, b) => prop_assert_eq!(a, b),
        }
    }
}
