use super::super::funnel::pooled_share;
use super::*;
use proptest::prelude::*;

fn tally(events: u64, cases: u64) -> Tally {
    Tally::new(events, cases)
        .expect("events within cases")
        .expect("some cases")
}

#[test]
fn equal_units_have_no_spread_and_units_apart_have_one() {
    let equal = [tally(20, 100); 12];
    let found = overdispersion(&equal, 0.2).expect("units");
    assert!(found.phi < 1e-20 && found.variance_between.abs() <= 0.0 && !found.is_notable);
    let apart: Vec<Tally> = (0..12)
        .map(|unit| tally(10 + 40 * (unit % 2), 100))
        .collect();
    let found = overdispersion(&apart, 0.3).expect("units");
    // By hand: each unit lies 0.2 from 0.3, in units of sqrt(0.0021): z² = 0.04 / 0.0021, and with
    // equal weights the variance between is (Σz² - 11) 0.0021 / 11.
    let square = 0.04 / 0.0021;
    assert!((found.phi - square).abs() < 1e-10);
    let by_hand = (12.0 * square - 11.0) * 0.0021 / 11.0;
    assert!((found.variance_between - by_hand).abs() < 1e-12);
    assert!(found.is_notable);
}

/// The 95 % quantile of chi-squared with 12 degrees of freedom is 21.03. With a target of 0.2 and
/// 2500 cases a unit, a standard deviation is 20 cases: units 26 and 27 cases off the target have
/// sums of `z²` of 20.28 and 21.87.
#[test]
fn a_spread_is_notable_from_the_quantile_of_chi_squared() {
    for (distance, is_notable) in [(26, false), (27, true)] {
        let units: Vec<Tally> = (0..12)
            .map(|unit| tally(500 - distance + 2 * distance * (unit % 2), 2500))
            .collect();
        let found = overdispersion(&units, 0.2).expect("units");
        assert_eq!(found.is_notable, is_notable, "{found:?}");
    }
}

/// Eleven units on target and one far away: its z value is drawn in to that of the others.
#[test]
fn one_outlying_unit_among_twelve_does_not_widen_the_limits() {
    let mut units = vec![tally(20, 100); 12];
    units[5] = tally(90, 100);
    let found = overdispersion(&units, 0.2).expect("units");
    assert!(found.phi < 1e-20 && !found.is_notable);
}

#[test]
fn too_few_units_and_targets_that_are_none() {
    let units = [tally(1, 4), tally(2, 4)];
    assert_eq!(overdispersion(&units[..1], 0.3), None);
    assert_eq!(overdispersion(&[], 0.3), None);
    for target in [0.0, 1.0, -0.5, f64::NAN, 5e-324] {
        assert_eq!(overdispersion(&units, target), None, "{target}");
    }
}

proptest! {
    #[test]
    fn order_and_mirror_change_nothing_at_any_size(
        counts in prop::collection::vec((any::<u64>(), prop_oneof![1_u64..100, 1..=u64::MAX]), 2..20),
        target in 0.001..0.999_f64,
    ) {
        let units: Vec<Tally> = counts.iter().map(|(k, n)| tally(*k.min(n), *n)).collect();
        let mirrored: Vec<Tally> = units.iter().map(|u| tally(u.misses(), u.cases())).collect();
        let mut reversed = units.clone();
        reversed.reverse();
        let found = overdispersion(&units, target).expect("units");
        prop_assert!(found.phi >= 0.0 && found.variance_between >= 0.0);
        prop_assert!(found.variance_between.is_finite());
        let near = |a: f64, b: f64| (a - b).abs() <= 1e-6 * (1.0 + a.abs());
        let back = overdispersion(&reversed, target).expect("units");
        prop_assert!(near(found.phi, back.phi));
        prop_assert!(near(found.variance_between, back.variance_between));
        let back = overdispersion(&mirrored, 1.0 - target).expect("units");
        prop_assert!(near(found.phi, back.phi));
        prop_assert!(pooled_share(&units).is_some_and(|share| (0.0..=1.0).contains(&share)));
    }
}
