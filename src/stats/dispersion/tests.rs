use super::*;
use crate::stats::rate::garwood;
use proptest::prelude::*;

/// One year of invented counts, with the days of its months.
const YEAR: [(u64, f64); 12] = [
    (3, 31.0),
    (7, 28.0),
    (2, 31.0),
    (9, 30.0),
    (4, 31.0),
    (5, 30.0),
    (12, 31.0),
    (1, 31.0),
    (6, 30.0),
    (8, 31.0),
    (3, 30.0),
    (0, 31.0),
];

fn exposed(counts: &[(u64, f64)]) -> Vec<Exposed> {
    let counts = counts.iter();
    counts
        .map(|&(events, exposure)| Exposed { events, exposure })
        .collect()
}

fn close(actual: f64, expected: f64) {
    assert!(
        (actual / expected - 1.0).abs() < 1e-10,
        "{actual} {expected}"
    );
}

#[test]
fn the_index_weighs_every_count_by_its_exposure() {
    // mpmath 1.3, 40 digits, term by term; the chance by gammainc(11 / 2, x / 2, inf).
    let found = dispersion(&exposed(&YEAR)).expect("events");
    close(found.index, 2.542_688_986_640_6);
    close(found.p, 0.003_272_257_077_031_08);
    assert_eq!(found.degrees_of_freedom, 11);
}

#[test]
fn with_equal_exposures_the_index_is_the_variance_over_the_mean() {
    // By hand: 2, 4, 6, 8 have mean 5 and variance 20 / 3.
    let counts = [(2, 30.0), (4, 30.0), (6, 30.0), (8, 30.0)];
    close(
        dispersion(&exposed(&counts)).expect("events").index,
        4.0 / 3.0,
    );
    // Counts in the proportions of their exposures have none.
    let even = [(10, 1.0), (20, 2.0), (30, 3.0)];
    let found = dispersion(&exposed(&even)).expect("events");
    assert!(found.index < 1e-12 && found.p > 0.999_999);
}

#[test]
fn nothing_can_be_said_of_one_count_or_none() {
    for none in [
        vec![],
        vec![(5, 30.0)],
        vec![(0, 30.0), (0, 31.0)],
        vec![(1, 0.0), (2, 31.0)],
        vec![(1, f64::NAN), (2, 31.0)],
        vec![(1, f64::MAX), (2, f64::MAX)],
    ] {
        assert_eq!(dispersion(&exposed(&none)), None, "{none:?}");
    }
}

#[test]
fn the_interval_of_uneven_counts_is_that_of_fewer_events() {
    // mpmath 1.3, 40 digits: gamma quantiles of c / index and c / index + 1, times the index.
    for (events, index, low, high) in [
        (60, 1.0, 45.786_320_950_007_3, 77.231_893_406_643_3),
        (60, 2.0, 40.481_748_042_841_8, 85.653_730_789_615_3),
        (240, 2.5, 194.400_770_537_486, 293.081_077_498_321),
        (5, 3.0, 0.442_780_443_657_986, 20.067_554_762_522_8),
    ] {
        let found = garwood_of_effective_count(events, 2.0, index, Level::P95).expect("a rate");
        close(found.low * 2.0, low);
        close(found.high * 2.0, high);
        close(found.rate * 2.0, events as f64);
    }
    for wrong in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(garwood_of_effective_count(3, wrong, 1.0, Level::P95), None);
        assert_eq!(garwood_of_effective_count(3, 1.0, wrong, Level::P95), None);
    }
}

proptest! {
    #[test]
    fn an_even_count_has_the_interval_of_garwood_and_an_uneven_one_a_wider(
        events in 0_u64..5000, exposure in 0.1_f64..1e6, index in 0.1_f64..30.0,
    ) {
        let plain = garwood(events, exposure, Level::P95).expect("a rate");
        let even = garwood_of_effective_count(events, exposure, 1.0, Level::P95).expect("a rate");
        prop_assert!((plain.low - even.low).abs() <= 1e-9 * plain.high);
        prop_assert!((plain.high / even.high - 1.0).abs() < 1e-9);
        let uneven = garwood_of_effective_count(events, exposure, index, Level::P95).expect("a rate");
        prop_assert!(uneven.low <= even.low * (1.0 + 1e-9));
        prop_assert!(uneven.high >= even.high * (1.0 - 1e-9));
        prop_assert!(uneven.low <= uneven.rate && uneven.rate <= uneven.high);
    }
}
