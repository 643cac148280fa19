use super::*;

/// Put back into the Poisson test, each limit has half of what the level leaves.
#[test]
fn garwood_inverts_the_poisson_test() {
    for events in 0..=60_u64 {
        let rate = garwood(events, 2.5, Level::P95).expect("a positive exposure");
        let at_most = |mean: f64, count: u64| {
            (0..=count)
                .map(|k| {
                    let log_factorial: f64 = (1..=k).map(|i| (i as f64).ln()).sum();
                    (k as f64 * mean.ln() - mean - log_factorial).exp()
                })
                .sum::<f64>()
        };
        assert!((at_most(rate.high * 2.5, events) - 0.025).abs() < 1e-12);
        if events > 0 {
            let at_least = 1.0 - at_most(rate.low * 2.5, events - 1);
            assert!((at_least - 0.025).abs() < 1e-12, "{events}: {at_least}");
        }
        assert!(rate.low <= rate.rate && rate.rate < rate.high);
    }
}

#[test]
fn no_event_still_has_an_upper_limit() {
    let rate = garwood(0, 100.0, Level::P95).expect("a positive exposure");
    assert!(rate.rate.to_bits() == 0 && rate.low.to_bits() == 0);
    assert!((rate.high - 0.036_888_794_541_139_36).abs() < 1e-16);
}

#[test]
fn an_exposure_must_be_a_positive_number() {
    for exposure in [0.0, -1.0, f64::NAN, f64::INFINITY, 5e-324] {
        assert_eq!(garwood(3, exposure, Level::P95), None, "{exposure}");
    }
    let most = garwood(u64::MAX, f64::MAX, Level::P95).expect("a positive exposure");
    assert!(most.low <= most.rate && most.rate <= most.high);
}
