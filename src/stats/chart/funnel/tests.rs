use super::*;
use crate::stats::chart::limits::Side;
use proptest::prelude::*;

fn size(cases: u64) -> NonZeroU64 {
    NonZeroU64::new(cases).expect("some cases")
}

fn level(fraction: f64) -> Level {
    Level::new(fraction).expect("a level")
}

/// `P(X = count)` by multiplying up, so that the test does not use what it tests.
fn probability(cases: u64, target: f64, count: u64) -> f64 {
    let ways: f64 = (0..count)
        .map(|i| (cases - i) as f64 / (count - i) as f64)
        .product();
    ways * target.powf(count as f64) * (1.0 - target).powf((cases - count) as f64)
}

#[test]
fn exact_limits_lie_between_the_counts_that_the_level_separates() {
    for cases in 1..=60 {
        for target in [0.02, 0.1, 0.5, 0.83] {
            let bounds = exact_limits(target, size(cases), Level::P95);
            let below =
                |count: u64| -> f64 { (0..=count).map(|k| probability(cases, target, k)).sum() };
            let place = |q: f64| (0..cases).find(|count| below(*count) >= q).unwrap_or(cases);
            let inside = |limit: f64, count: u64| {
                let at = limit * cases as f64;
                at <= count as f64 + 1e-9 && at >= count as f64 - 1.0 - 1e-9
            };
            match bounds.low {
                None => assert_eq!(place(0.025), 0, "{cases} {target}"),
                Some(low) => assert!(inside(low, place(0.025)), "{cases} {target} {low}"),
            }
            match bounds.high {
                None => assert_eq!(place(0.975), cases, "{cases} {target}"),
                Some(high) => assert!(inside(high, place(0.975)), "{cases} {target} {high}"),
            }
        }
    }
}

#[test]
fn beyond_an_even_limit_lie_exactly_the_counts_that_are_rarer_than_the_level_leaves() {
    for cases in 1..=60 {
        for target in [0.02, 0.1, 0.5, 0.83] {
            let bounds = even_limits(target, size(cases), Level::P95);
            let chance = |counts: std::ops::RangeInclusive<u64>| -> f64 {
                counts.map(|k| probability(cases, target, k)).sum()
            };
            for count in 0..=cases {
                let side = bounds.beyond(count as f64 / cases as f64);
                let is_rare = [chance(0..=count), chance(count..=cases)].map(|p| p < 0.025);
                let expected = [side == Some(Side::Below), side == Some(Side::Above)];
                assert_eq!(is_rare, expected, "{count} of {cases} at {target}");
            }
        }
    }
}

#[test]
fn even_limits_match_exact_arithmetic() {
    // The definition in fractions (Python 3.11, fractions.Fraction and math.comb).
    for (target, cases, level, low, high) in [
        (
            0.1,
            50,
            0.95,
            Some(0.013_862_926_957_343_694),
            Some(0.199_722_727_623_364_5),
        ),
        (0.03, 5, 0.95, None, Some(0.375_107_373_871_777_7)),
        (
            0.5,
            20,
            0.998,
            Some(0.136_735_789_473_684_2),
            Some(0.863_264_210_526_315_8),
        ),
    ] {
        let found = even_limits(target, size(cases), self::level(level));
        for (found, expected) in [(found.low, low), (found.high, high)] {
            assert_eq!(found.is_some(), expected.is_some(), "{target}");
            let distance = found.unwrap_or(0.0) - expected.unwrap_or(0.0);
            assert!(distance.abs() < 1e-10, "{found:?} {expected:?}");
        }
    }
}

#[test]
fn small_units_have_no_limit_where_every_count_is_likely() {
    // 0.9^20 = 0.12: all of 20 is no surprise, 0.9^100 is one.
    assert_eq!(exact_limits(0.9, size(20), Level::P95).high, None);
    assert!(exact_limits(0.9, size(100), Level::P95).high.is_some());
    assert_eq!(exact_limits(0.1, size(20), Level::P95).low, None);
    // One event in 10 cases is rare at this target; none is not beyond the limit.
    let rare = exact_limits(1e-6, size(10), Level::P95);
    assert_eq!((rare.low, rare.high), (None, Some(0.0)));
    assert_eq!(rare.beyond(0.0), None);
    assert!(rare.beyond(0.1).is_some());
}

#[test]
fn targets_that_are_no_shares_strictly_between_have_no_limits() {
    for target in [0.0, 1.0, -0.1, 1.5, f64::NAN, f64::INFINITY] {
        assert_eq!(exact_limits(target, size(9), Level::P95), Bounds::NONE);
        assert_eq!(
            normal_limits(target, size(9), 0.0, Level::P95),
            Bounds::NONE
        );
    }
    for variance in [-1e-9, f64::NAN] {
        let found = normal_limits(0.5, size(9), variance, Level::P95);
        assert_eq!(found, Bounds::NONE);
    }
    assert_eq!(
        normal_limits(0.5, size(9), f64::INFINITY, Level::P95),
        Bounds::NONE
    );
    assert_eq!(pooled_share(&[]), None);
}

#[test]
fn exact_and_normal_limits_meet_in_large_units() {
    for cases in [1_000_000, 1_000_000_000, 1_000_000_000_000] {
        let exact = exact_limits(0.2, size(cases), level(0.998));
        let normal = normal_limits(0.2, size(cases), 0.0, level(0.998));
        let near = |a: Option<f64>, b: Option<f64>| {
            let (a, b) = (a.expect("a limit"), b.expect("a limit"));
            // A few counts: the skewness of the binomial, and its steps.
            (a - b).abs() * cases as f64 <= 4.0 + 1e-4 * (cases as f64).sqrt()
        };
        assert!(near(exact.low, normal.low), "{exact:?} {normal:?}");
        assert!(near(exact.high, normal.high), "{exact:?} {normal:?}");
    }
}

proptest! {
    #[test]
    fn limits_are_ordered_widen_with_the_level_and_never_panic(
        target in 0.0..1.0_f64,
        cases in prop_oneof![1_u64..200, any::<u64>()],
    ) {
        prop_assume!(cases > 0);
        for limits in [
            exact_limits,
            |target, cases, level| normal_limits(target, cases, 0.0, level),
        ] {
            let inner = limits(target, size(cases), level(0.95));
            let outer = limits(target, size(cases), level(0.998));
            for bounds in [inner, outer] {
                let (low, high) = (bounds.low.unwrap_or(0.0), bounds.high.unwrap_or(1.0));
                prop_assert!(0.0 <= low && low <= high && high <= 1.0, "{:?}", bounds);
            }
            let slack = 1e-9;
            prop_assert!(outer.low.unwrap_or(0.0) <= inner.low.unwrap_or(0.0) + slack);
            prop_assert!(outer.high.unwrap_or(1.0) >= inner.high.unwrap_or(1.0) - slack);
        }
    }

    #[test]
    fn normal_limits_mirror_with_the_target_and_widen_with_the_variance(
        target in 0.01..0.99_f64,
        cases in 1_u64..5000,
        variance in 0.0..0.1_f64,
    ) {
        let there = normal_limits(target, size(cases), variance, Level::P95);
        let back = normal_limits(1.0 - target, size(cases), variance, Level::P95);
        let low = |bounds: Bounds| bounds.low.unwrap_or(0.0);
        let high = |bounds: Bounds| bounds.high.unwrap_or(1.0);
        prop_assert!((low(there) + high(back) - 1.0).abs() < 1e-12);
        let plain = normal_limits(target, size(cases), 0.0, Level::P95);
        prop_assert!(low(there) <= low(plain) && high(there) >= high(plain));
    }
}
