use super::*;
use crate::stats::{Interval, Level};
use proptest::prelude::*;

fn distribution(values: &[i64]) -> Distribution {
    Distribution::new(values.iter().map(|value| (*value, 1)))
}

fn moved(values: &[i64], by: i64) -> Vec<i64> {
    values.iter().map(|value| value + by).collect()
}

/// All differences, sorted: what the implementation never writes down.
fn differences(first: &[i64], second: &[i64]) -> Vec<i64> {
    let mut all: Vec<i64> = first
        .iter()
        .flat_map(|x| second.iter().map(move |y| x - y))
        .collect();
    all.sort_unstable();
    all
}

#[test]
fn nothing_comes_from_nothing() {
    let (none, some) = (distribution(&[]), distribution(&[3, 5, 8]));
    for (first, second) in [(&none, &some), (&some, &none), (&none, &none)] {
        assert_eq!(mann_whitney(first, second), None);
        assert_eq!(mann_whitney_exact(first, second), None);
        assert_eq!(hodges_lehmann(first, second, Level::P95), None);
        assert_eq!(kruskal_wallis(&[first.clone(), second.clone()]), None);
    }
    assert_eq!(kruskal_wallis(&[]), None);
    assert_eq!(kruskal_wallis(std::slice::from_ref(&some)), None);
}

#[test]
fn equal_values_have_no_order_but_a_shift_of_0() {
    let equal = Distribution::new([(7, 40)]);
    assert_eq!(mann_whitney(&equal, &equal), None);
    assert_eq!(kruskal_wallis(&[equal.clone(), equal.clone()]), None);
    let shift = hodges_lehmann(&equal, &equal, Level::P95).expect("cases");
    let interval = Some(Interval {
        low: 0.0,
        high: 0.0,
    });
    assert_eq!(
        shift,
        Shift {
            estimate: 0.0,
            interval
        }
    );
}

#[test]
fn one_value_against_another_is_a_coin_toss() {
    let (low, high) = (distribution(&[1]), distribution(&[9]));
    let found = mann_whitney(&high, &low).expect("two values");
    assert_eq!((found.u, found.p), (1.0, 1.0));
    let exact = mann_whitney_exact(&high, &low).expect("two values");
    assert_eq!(
        (exact.less, exact.greater, exact.two_sided),
        (1.0, 0.5, 1.0)
    );
    let shift = hodges_lehmann(&high, &low, Level::P95).expect("cases");
    assert_eq!(
        shift,
        Shift {
            estimate: 8.0,
            interval: None
        }
    );
}

#[test]
fn an_interval_appears_with_the_sizes_that_allow_it() {
    let up_to = |n: i64| distribution(&(0..n).collect::<Vec<_>>());
    let has = |n, m| {
        let shift = hodges_lehmann(&up_to(n), &up_to(m), Level::P95).expect("cases");
        shift.interval.is_some()
    };
    // One over the number of arrangements must be below 0.025; there are 20, 56, 70; 36, 45; 40, 41.
    assert!(!has(3, 3) && has(3, 5) && has(4, 4));
    assert!(!has(2, 7) && has(2, 8) && !has(1, 39) && has(1, 40));
}

#[test]
fn the_largest_counts_and_values_come_to_an_end() {
    let ends = Distribution::new([(i64::MIN, u64::MAX / 2), (i64::MAX, u64::MAX / 2)]);
    let low = Distribution::new([(i64::MIN, u64::MAX)]);
    let found = mann_whitney(&ends, &low).expect("two values");
    assert!(found.u > 0.0 && found.p <= 0.0);
    assert!(mann_whitney(&ends, &ends).is_some_and(|found| found.p >= 1.0));
    assert!(kruskal_wallis(&[ends.clone(), low.clone(), ends.clone()]).is_some());
    let shift = hodges_lehmann(&ends, &low, Level::P95).expect("cases");
    assert!(shift.estimate.is_finite() && shift.interval.is_some());
    let full = hodges_lehmann(&low, &low, Level::P95).expect("cases");
    let interval = Some(Interval {
        low: 0.0,
        high: 0.0,
    });
    assert_eq!(
        full,
        Shift {
            estimate: 0.0,
            interval
        }
    );
    let narrow = Level::new(f64::MIN_POSITIVE).expect("above 0");
    let wide = Level::new(1.0 - f64::EPSILON / 2.0).expect("below 1");
    for level in [narrow, wide] {
        let shift = hodges_lehmann(&ends, &ends, level).expect("cases");
        let interval = shift.interval.expect("large groups");
        assert!(interval.low <= shift.estimate && shift.estimate <= interval.high);
    }
}

/// 50 against 50 are the last with the exact distribution, and the normal one takes over without
/// a jump.
#[test]
fn exact_and_normal_ranks_meet() {
    let width = |n: i64| {
        let values: Vec<i64> = (0..n).map(|i| i * 1_000_000 / n).collect();
        let group = distribution(&values);
        let shift = hodges_lehmann(&group, &group, Level::P95).expect("cases");
        let interval = shift.interval.expect("large groups");
        interval.high - interval.low
    };
    let (exact, normal) = (width(50), width(51));
    assert!(normal < exact && normal > exact * 0.97, "{exact} {normal}");
}

fn values() -> impl Strategy<Value = Vec<i64>> {
    prop::collection::vec(-30_i64..30, 1..30)
}

proptest! {
    #[test]
    fn the_shift_is_the_median_of_all_differences(x in values(), y in values()) {
        let all = differences(&x, &y);
        let median = f64::midpoint(all[(all.len() - 1) / 2] as f64, all[all.len() / 2] as f64);
        let shift = hodges_lehmann(&distribution(&x), &distribution(&y), Level::P95);
        let shift = shift.expect("cases");
        prop_assert!((shift.estimate - median).abs() < 1e-12);
        if let Some(interval) = shift.interval {
            prop_assert!(interval.low <= median && median <= interval.high);
            // As many differences lie below the lower limit as above the upper one.
            let (low, high) = (interval.low, interval.high);
            let rank = all.iter().filter(|d| (**d as f64) < low).count();
            let last = all.iter().filter(|d| (**d as f64) <= low).count();
            let above = all.iter().filter(|d| (**d as f64) > high).count();
            let from = all.iter().filter(|d| (**d as f64) >= high).count();
            prop_assert!(rank < from && above < last);
        }
    }

    /// Without ties, a shift is inside the limits exactly when the test does not reject it.
    #[test]
    fn the_interval_inverts_the_exact_test(
        x in prop::collection::btree_set(-2000_i64..2000, 3..25),
        y in prop::collection::btree_set(-2000_i64..2000, 3..25),
        by in -1500_i64..1500,
    ) {
        // Twice the values are even, an odd shift then never makes a tie.
        let x: Vec<i64> = x.into_iter().map(|value| 2 * value).collect();
        let y: Vec<i64> = y.into_iter().map(|value| 2 * value).collect();
        let by = 2 * by + 1;
        let (first, second) = (distribution(&x), distribution(&y));
        let shift = hodges_lehmann(&first, &second, Level::P95).expect("cases");
        let exact = mann_whitney_exact(&distribution(&moved(&x, -by)), &second).expect("no ties");
        let is_inside = shift.interval.is_none_or(|interval| {
            interval.low < by as f64 && (by as f64) < interval.high
        });
        // A probability that is hit exactly, 1 of 40, counts as inside.
        prop_assert_eq!(is_inside, exact.two_sided >= 0.05 - 1e-12);
    }

    #[test]
    fn moving_a_group_moves_the_shift_and_changing_over_mirrors_it(
        x in values(), y in values(), by in -500_i64..500,
    ) {
        let (first, second) = (distribution(&x), distribution(&y));
        let plain = hodges_lehmann(&first, &second, Level::P95).expect("cases");
        let later = hodges_lehmann(&distribution(&moved(&x, by)), &second, Level::P95);
        let later = later.expect("cases");
        prop_assert!((later.estimate - plain.estimate - by as f64).abs() < 1e-9);
        let back = hodges_lehmann(&second, &first, Level::P95).expect("cases");
        prop_assert!((back.estimate + plain.estimate).abs() < 1e-12);
        prop_assert_eq!(
            back.interval.map(|interval| (-interval.high, -interval.low)),
            plain.interval.map(|interval| (interval.low, interval.high))
        );
    }

    #[test]
    fn tests_of_order_do_not_mind_scale_order_or_grouping(x in values(), y in values()) {
        let (first, second) = (distribution(&x), distribution(&y));
        let found = mann_whitney(&first, &second);
        let back = mann_whitney(&second, &first);
        let p = found.map_or(1.0, |found| found.p);
        prop_assert!((p - back.map_or(1.0, |back| back.p)).abs() < 1e-12);
        let pairs = (x.len() * y.len()) as f64;
        prop_assert_eq!(found.map(|found| found.u), back.map(|found| pairs - found.u));

        let mut counted = std::collections::BTreeMap::new();
        for value in x.iter().rev() {
            *counted.entry(value * 3 - 5).or_insert(0) += 1;
        }
        let stretched: Vec<i64> = y.iter().rev().map(|value| value * 3 - 5).collect();
        let grouped = Distribution::new(counted);
        prop_assert_eq!(mann_whitney(&grouped, &distribution(&stretched)), found);

        // By definition.
        let half_wins = x.iter().flat_map(|a| y.iter().map(move |b| a.cmp(b)));
        let u: f64 = half_wins.map(|order| f64::from(order as i8 + 1) / 2.0).sum();
        prop_assert!(found.is_none_or(|found| (found.u - u).abs() < 1e-9));
    }

    /// With two groups, H is the square of the Mann-Whitney deviate without continuity correction.
    #[test]
    fn kruskal_wallis_of_two_groups_is_mann_whitney(x in values(), y in values()) {
        let groups = [distribution(&x), distribution(&[]), distribution(&y)];
        let found = kruskal_wallis(&groups);
        let whitney = mann_whitney(&groups[0], &groups[2]);
        prop_assert_eq!(found.is_some(), whitney.is_some());
        if let (Some(found), Some(whitney)) = (found, whitney) {
            prop_assert_eq!(found.degrees_of_freedom, 1);
            prop_assert!(found.p <= whitney.p + 1e-12);
            let (n, m) = (x.len() as f64, y.len() as f64);
            let total = n + m;
            let mut ties = 0.0;
            for value in -30..30 {
                let count = x.iter().chain(&y).filter(|other| **other == value).count() as f64;
                ties += count.powi(3) - count;
            }
            let variance = n * m / 12.0 * (total + 1.0 - ties / (total * (total - 1.0)));
            let z_squared = (whitney.u - n * m / 2.0).powi(2) / variance;
            prop_assert!((found.h - z_squared).abs() < 1e-9 * (1.0 + z_squared));
        }
    }
}
