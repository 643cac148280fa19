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

fn exposed(events: u64, exposure: f64) -> Exposed {
    Exposed { events, exposure }
}

/// Put back into the binomial test of the split, each limit has half of what the level leaves.
#[test]
fn the_ratio_inverts_the_test_of_the_split() {
    for (events_1, events_2) in [(0, 4), (1, 1), (3, 0), (7, 12), (40, 9), (150, 160)] {
        let (first, second) = (exposed(events_1, 80.0), exposed(events_2, 50.0));
        let ratio = rate_ratio(first, second, Level::P95).expect("exposures");
        let at_odds = |ratio: f64| binomial_exact(events_1, events_2, ratio * 80.0 / 50.0);
        if events_1 > 0 {
            assert!(
                (at_odds(ratio.low).greater - 0.025).abs() < 1e-12,
                "{ratio:?}"
            );
        }
        if events_2 > 0 {
            assert!(
                (at_odds(ratio.high).less - 0.025).abs() < 1e-12,
                "{ratio:?}"
            );
        }
        let turned = rate_ratio(second, first, Level::P95).expect("exposures");
        assert!((turned.p - ratio.p).abs() < 1e-12);
        assert!((turned.low * ratio.high - 1.0).abs() < 1e-12 || events_2 == 0);
        assert!((turned.high * ratio.low - 1.0).abs() < 1e-12 || events_1 == 0);
    }
}

#[test]
fn a_group_without_events_leaves_one_limit() {
    let ratio = |k, m| rate_ratio(exposed(k, 2.0), exposed(m, 1.0), Level::P95).expect("exposures");
    let neither = ratio(0, 0);
    assert_eq!(
        (neither.estimate, neither.low, neither.high),
        (None, 0.0, f64::INFINITY)
    );
    assert!(neither.p >= 1.0);
    assert_eq!((ratio(0, 5).estimate, ratio(0, 5).low), (Some(0.0), 0.0));
    assert_eq!(
        (ratio(5, 0).estimate, ratio(5, 0).high),
        (Some(f64::INFINITY), f64::INFINITY)
    );
    // Clopper-Pearson for 5 of 5, as odds over those of the exposures.
    let share = 0.025_f64.powf(0.2);
    let low = share / (1.0 - share) / 2.0;
    assert!((ratio(5, 0).low - low).abs() < 1e-12, "{:?}", ratio(5, 0));
    // Splits of 5 at 2 to 1, in 243rds: 1, 10, 40, 80, 80, 32. Three are not likelier than 32.
    assert!((ratio(5, 0).p - 43.0 / 243.0).abs() < 1e-12);
}

#[test]
fn a_ratio_needs_exposures_and_ends_for_any_count() {
    for wrong in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(
            rate_ratio(exposed(1, wrong), exposed(1, 1.0), Level::P95),
            None
        );
        assert_eq!(
            rate_ratio(exposed(1, 1.0), exposed(1, wrong), Level::P95),
            None
        );
    }
    let (tiny, huge) = (exposed(1, f64::MIN_POSITIVE), exposed(1, f64::MAX));
    assert_eq!(rate_ratio(tiny, huge, Level::P95), None);
    let most = exposed(u64::MAX, 1.0);
    let ratio = rate_ratio(most, most, Level::P95).expect("exposures");
    assert!(ratio.low <= 1.0 && 1.0 <= ratio.high && ratio.p > 0.99);
    let ratio = rate_ratio(most, exposed(0, 1.0), Level::P95).expect("exposures");
    assert!(ratio.low > 1e18 && ratio.p <= 0.0, "{ratio:?}");
}
