use super::*;
use proptest::prelude::*;

fn fit(units: &[((u64, u64), u64)]) -> Option<UnitShares> {
    fit_unit_shares(&units.iter().copied().collect())
}

fn tally(events: u64, cases: u64) -> Tally {
    Tally::new(events, cases).expect("fits").expect("cases")
}

#[track_caller]
fn check(units: &[((u64, u64), u64)], mean: f64, concentration: f64) {
    let found = fit(units).expect("events and misses");
    assert!((found.mean / mean - 1.0).abs() < 1e-9, "{found:?}");
    let error = found.concentration / concentration - 1.0;
    assert!(error.abs() < 1e-7, "{found:?}: {error:e}");
}

/// scipy 1.17.1: `optimize.minimize(..., method="Nelder-Mead")` of the sum of
/// `betaln(k + a, n - k + b) - betaln(a, b)` gives six digits; these are the roots of its slopes by
/// mpmath 1.4.1 `findroot` with 40 digits, started there.
#[test]
fn maximum_likelihood_matches_scipy_and_mpmath() {
    check(
        &[
            ((3, 10), 2),
            ((7, 12), 1),
            ((1, 9), 3),
            ((15, 20), 1),
            ((0, 4), 2),
            ((40, 60), 1),
            ((5, 30), 1),
        ],
        0.317_169_669_390_918_25,
        3.863_127_927_897_054_4,
    );
    check(
        &[
            ((120, 1000), 1),
            ((150, 1100), 1),
            ((90, 1000), 1),
            ((260, 2000), 1),
            ((1100, 10_000), 1),
        ],
        0.117_246_964_247_666_29,
        629.711_314_944_957_9,
    );
    check(
        &[((0, 5), 40), ((1, 5), 8), ((2, 5), 3), ((5, 5), 2)],
        0.098_530_444_909_281_13,
        1.574_517_341_215_902_4,
    );
    check(
        &[
            ((1, 100), 5),
            ((2, 100), 4),
            ((0, 100), 8),
            ((6, 100), 1),
            ((3, 150), 2),
        ],
        0.011_723_014_696_545_695,
        172.516_971_291_440_95,
    );
    check(
        &[
            ((500_000, 1_000_000), 1),
            ((510_000, 1_000_000), 1),
            ((49_000, 100_000), 2),
        ],
        0.497_622_352_245_400_45,
        3_688.526_753_797_683,
    );
}

#[test]
fn units_that_differ_little_have_a_large_concentration() {
    // Hits of 18 batters in their first 45 at bats, Efron & Morris (1975); values as above.
    let hits = [
        (18, 1),
        (17, 1),
        (16, 1),
        (15, 1),
        (14, 2),
        (13, 1),
        (12, 1),
        (11, 2),
        (10, 5),
        (9, 1),
        (8, 1),
        (7, 1),
    ];
    let units = hits.map(|(hits, batters)| ((hits, 45), batters));
    check(&units, 0.265_432_504_379_877_4, 793.236_821_048_559_4);
}

#[test]
fn units_no_more_different_than_chance_have_an_infinite_concentration() {
    for units in [
        &[((5, 10), 8)][..],
        &[((4, 10), 3), ((5, 10), 6), ((6, 10), 3)],
        // One unit, and units of one case, cannot show a difference.
        &[((3, 10), 1)],
        &[((0, 1), 7), ((1, 1), 5)],
    ] {
        let found = fit(units).expect("events and misses");
        let events: u64 = units
            .iter()
            .map(|((events, _), count)| events * count)
            .sum();
        let cases: u64 = units.iter().map(|((_, cases), count)| cases * count).sum();
        assert!(found.concentration.is_infinite(), "{found:?}");
        assert!((found.mean - events as f64 / cases as f64).abs() < 1e-15);
        let shrunk = shrunk_share(tally(9, 10), found, Level::P95).expect("a mean");
        assert!((shrunk.estimate - found.mean).abs() < 1e-15 && shrunk.interval.is_none());
    }
}

#[test]
fn units_of_all_or_nothing_keep_their_shares() {
    let found = fit(&[((0, 8), 6), ((8, 8), 3)]).expect("events and misses");
    assert!((found.concentration / SMALLEST_CONCENTRATION - 1.0).abs() < 1e-9);
    assert!((found.mean - 1.0 / 3.0).abs() < 1e-4, "{found:?}");
    let shrunk = shrunk_share(tally(8, 8), found, Level::P95).expect("a mean");
    assert!(shrunk.estimate > 0.999_999);
}

/// scipy 1.17 `beta.ppf([0.025, 0.975], 11.999, 0.001)`: 0.9999999999995 and 1, both above the mean.
#[test]
fn limits_hold_the_estimate_where_nearly_all_lies_at_an_end() {
    let units = UnitShares {
        mean: 0.999,
        concentration: 1.0,
    };
    for (events, mean) in [(11, 0.999), (0, 0.001)] {
        let units = UnitShares { mean, ..units };
        let shrunk = shrunk_share(tally(events, 11), units, Level::P95).expect("a share");
        let interval = shrunk.interval.expect("a spread");
        let nearer = if events == 0 {
            interval.high
        } else {
            interval.low
        };
        assert_eq!(nearer.to_bits(), shrunk.estimate.to_bits());
        assert!(interval.low <= shrunk.estimate && shrunk.estimate <= interval.high);
    }
}

#[test]
fn nothing_comes_from_nothing_and_the_largest_counts_end() {
    assert_eq!(fit(&[]), None);
    assert_eq!(fit(&[((0, 0), 4), ((1, 2), 0)]), None);
    assert_eq!(fit(&[((0, 9), 4), ((0, 3), 2)]), None);
    assert_eq!(fit(&[((9, 9), 4), ((3, 3), 2)]), None);
    assert_eq!(fit(&[((3, 2), 1), ((1, 2), 1)]), None);

    let counts = [0, 1, 17, 1_000_000_007, u64::MAX];
    for first in counts {
        for second in counts {
            for many in [1, u64::MAX] {
                let units = [
                    ((first.min(second), second), many),
                    ((1, 2), 1),
                    ((0, u64::MAX), 1),
                ];
                let found = fit(&units).expect("an event and a miss");
                assert!(found.mean > 0.0 && found.mean < 1.0, "{units:?} {found:?}");
                assert!(found.concentration >= SMALLEST_CONCENTRATION * 0.999);
                for unit in [tally(0, 1), tally(u64::MAX, u64::MAX), tally(1, u64::MAX)] {
                    let shrunk = shrunk_share(unit, found, Level::P95).expect("a mean");
                    assert!((0.0..=1.0).contains(&shrunk.estimate));
                    assert!(shrunk.interval.is_none_or(|found| found.low <= found.high));
                }
            }
        }
    }
    for (mean, concentration) in [
        (0.0, 5.0),
        (1.0, 5.0),
        (0.5, 0.0),
        (0.5, -1.0),
        (f64::NAN, 5.0),
        (0.5, f64::NAN),
    ] {
        let units = UnitShares {
            mean,
            concentration,
        };
        assert_eq!(shrunk_share(tally(1, 2), units, Level::P95), None);
    }
    for (mean, concentration) in [(5e-324, 5e-324), (0.5, f64::MAX), (0.999, 5e-324)] {
        let units = UnitShares {
            mean,
            concentration,
        };
        let shrunk = shrunk_share(tally(0, u64::MAX), units, Level::P95).expect("a prior");
        assert!((0.0..=1.0).contains(&shrunk.estimate), "{shrunk:?}");
    }
}

fn units() -> impl Strategy<Value = BTreeMap<(u64, u64), u64>> {
    let unit = (0_u64..=40, 0_u64..=40, 1_u64..4);
    prop::collection::vec(unit, 2..25).prop_map(|units| {
        let keyed = units.into_iter();
        keyed
            .map(|(events, misses, count)| ((events, events + misses), count))
            .collect()
    })
}

/// The log likelihood straight from its product.
fn log_likelihood(units: &BTreeMap<(u64, u64), u64>, mean: f64, concentration: f64) -> f64 {
    let product = |start: f64, terms: u64| -> f64 {
        (0..terms)
            .map(|index| (start + index as f64 / concentration).ln())
            .sum()
    };
    units
        .iter()
        .map(|((events, cases), count)| {
            let misses = cases - events;
            let unit = product(mean, *events) + product(1.0 - mean, misses) - product(1.0, *cases);
            *count as f64 * unit
        })
        .sum()
}

proptest! {
    #[test]
    fn no_nearby_pair_is_more_likely(units in units()) {
        let Some(found) = fit_unit_shares(&units) else { return Ok(()) };
        let UnitShares { mean, concentration } = found;
        let best = log_likelihood(&units, mean, concentration);
        for factor in [0.5, 0.9, 0.99, 1.01, 1.1, 2.0] {
            // At the lower end a smaller concentration may be more likely still.
            if concentration > 2.0 * SMALLEST_CONCENTRATION {
                let other = log_likelihood(&units, mean, (concentration * factor).min(1e9));
                prop_assert!(other <= best + 1e-7, "{found:?} {factor}");
            }
            let odds = mean / (1.0 - mean) * factor;
            let other = log_likelihood(&units, odds / (1.0 + odds), concentration);
            prop_assert!(other <= best + 1e-7, "{found:?} {factor}");
        }
    }

    #[test]
    fn a_shrunk_share_lies_between_the_raw_one_and_the_mean(
        events in 0_u64..60,
        misses in 1_u64..60,
        mean in 0.01..0.99,
        concentration in 0.1..1e4,
    ) {
        let unit = tally(events, events + misses);
        let prior = UnitShares { mean, concentration };
        let found = shrunk_share(unit, prior, Level::P95).expect("a prior");
        let (low, high) = (unit.share().min(mean), unit.share().max(mean));
        prop_assert!((low - 1e-12..=high + 1e-12).contains(&found.estimate));
        // More cases with the same share are drawn less.
        let larger = shrunk_share(tally(events * 3, (events + misses) * 3), prior, Level::P95);
        let distance = |estimate: f64| (estimate - unit.share()).abs();
        prop_assert!(
            distance(larger.expect("a prior").estimate) <= distance(found.estimate) + 1e-12
        );
        let interval = found.interval.expect("finite");
        prop_assert!(0.0 <= interval.low && interval.low < interval.high && interval.high <= 1.0);
    }
}

/// scipy 1.17: `beta.ppf([0.025, 0.975], 0.75 * 6.4 + 3, 0.25 * 6.4 + 2)`; the estimate by hand:
/// (4.8 + 3) / (6.4 + 5).
#[test]
fn a_unit_of_attempts_that_go_together_counts_by_its_effective_size() {
    let units = UnitShares {
        mean: 0.6,
        concentration: 5.0,
    };
    let found = shrunk_share_of_size(0.75, 6.4, units, Level::P95).expect("a size");
    assert!((found.estimate - 7.8 / 11.4).abs() < 1e-14, "{found:?}");
    let interval = found.interval.expect("a spread");
    assert!(
        (interval.low - 0.401_710_853_517_763_6).abs() < 1e-9,
        "{found:?}"
    );
    assert!(
        (interval.high - 0.905_926_804_270_253_8).abs() < 1e-9,
        "{found:?}"
    );

    let whole = shrunk_share(tally(3, 4), units, Level::P95);
    assert_eq!(shrunk_share_of_size(0.75, 4.0, units, Level::P95), whole);
    for (share, cases) in [
        (0.5, 0.0),
        (0.5, f64::NAN),
        (1.5, 2.0),
        (0.5, f64::INFINITY),
    ] {
        assert_eq!(shrunk_share_of_size(share, cases, units, Level::P95), None);
    }
}
