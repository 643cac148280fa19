use super::*;
use proptest::prelude::*;

fn tally(events: u64, cases: u64) -> Tally {
    Tally::new(events, cases).expect("fits").expect("cases")
}

fn limits(predicted: PredictedCount) -> (u64, u64) {
    (predicted.low, predicted.high)
}

#[test]
fn counts_match_scipy() {
    // scipy 1.17.1: stats.nbinom.ppf([0.025, 0.975], events + 0.5, t / (t + next)).
    for (events, exposure, next, expected) in [
        (0, 12.0, 3.0, (0, 1)),
        (24, 12.0, 3.0, (2, 12)),
        (6, 5.0, 1.0, (0, 4)),
        (1, 365.0, 30.5, (0, 1)),
        (1_000_000, 10.0, 2.5, (248_905, 251_096)),
    ] {
        let found = predict_count(events, exposure, next, Level::P95).expect("exposures");
        assert_eq!(limits(found), expected, "{events}");
    }
}

#[test]
fn uneven_counts_match_negative_binomial_quantiles() {
    // mpmath 1.3, 40 digits: betainc(size, k + 1, 0, p), k counted up, with the mean and variance of
    // the doc comment. The first is the worked number of an even count.
    for (events, exposure, next, index, expected) in [
        (24, 365.0, 92.0, 1.0, (2, 12)),
        (24, 365.0, 92.0, 2.0, (1, 16)),
        (300, 730.0, 92.0, 1.0, (26, 51)),
        (300, 730.0, 92.0, 2.5, (20, 60)),
        (10, 12.0, 3.0, 3.0, (0, 12)),
        (0, 12.0, 3.0, 2.0, (0, 3)),
        (240, 24.0, 3.0, 4.2, (11, 57)),
    ] {
        let found = predict_uneven_count(events, exposure, next, index, Level::P95);
        assert_eq!(limits(found.expect("exposures")), expected, "{events}");
    }
    for wrong in [0.5, f64::NAN, f64::INFINITY] {
        assert_eq!(predict_uneven_count(3, 1.0, 1.0, wrong, Level::P95), None);
        assert_eq!(
            predict_uneven_count(3, wrong - wrong, 1.0, 1.0, Level::P95),
            None
        );
    }
}

#[test]
fn events_match_scipy() {
    // scipy 1.17.1: stats.betabinom(next, k + 0.5, n - k + 0.5).ppf of 0.025, 0.975, 0.005, 0.995.
    for (events, cases, next, at_95, at_99) in [
        (0, 20, 10, (0, 2), (0, 3)),
        (3, 40, 25, (0, 6), (0, 8)),
        (20, 20, 30, (26, 30), (23, 30)),
        (7, 9, 1000, (455, 952), (356, 976)),
        (150, 300, 200_000, (88_721, 111_279), (85_211, 114_789)),
        (1, 1_000_000, 3000, (0, 0), (0, 0)),
        (12, 30, 5, (0, 4), (0, 5)),
    ] {
        let at = |level| limits(predict_events(tally(events, cases), next, level));
        assert_eq!(at(Level::P95), at_95, "{events} of {cases}");
        assert_eq!(at(Level::new(0.99).expect("a level")), at_99);
    }
}

/// The rule over normal scores against the plain sum of beta-binomial terms.
#[test]
fn beta_binomial_tails_are_sums_of_its_terms() {
    for (a, b, trials) in [
        (0.5, 0.5, 1_u64),
        (0.5, 20.5, 10),
        (3.5, 37.5, 25),
        (20.5, 0.5, 30),
        (0.5, 1e6, 40),
        (800.5, 0.7, 90),
        (300.0, 500.0, 60),
        (1.0, 1.0, 50),
    ] {
        let n = trials as f64;
        let mut term: f64 = (0..trials)
            .map(|i| ((b + i as f64) / (a + b + i as f64)).ln())
            .sum::<f64>()
            .exp();
        let mut below = 0.0;
        for count in 0..trials {
            below += term;
            let k = count as f64;
            term *= (n - k) / (k + 1.0) * (a + k) / (b + n - k - 1.0);
            let tails = beta_binomial_log_tails(a, b, trials, count);
            let error = (tails.lower.exp() - below).abs();
            assert!(error < 1e-10, "{a} {b} {trials} {count}: {error:e}");
            assert!((tails.upper.exp() - (1.0 - below)).abs() < 1e-10);
        }
    }
}

#[test]
fn impossible_exposures_and_the_largest_counts_end() {
    for wrong in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(predict_count(3, wrong, 1.0, Level::P95), None);
        assert_eq!(predict_count(3, 1.0, wrong, Level::P95), None);
    }
    assert_eq!(predict_count(3, 5e-324, f64::MAX, Level::P95), None);
    let nothing = predict_count(3, f64::MAX, 5e-324, Level::P95).expect("exposures");
    assert_eq!(limits(nothing), (0, 0));

    let widest = Level::new(1.0 - f64::EPSILON / 2.0).expect("below 1");
    for level in [Level::P95, widest, Level::new(5e-324).expect("above 0")] {
        for known in [
            tally(0, 1),
            tally(1, 1),
            tally(0, u64::MAX),
            tally(u64::MAX / 2, u64::MAX),
            tally(u64::MAX, u64::MAX),
        ] {
            for next in [0, 1, 1_000_000_000_000, u64::MAX] {
                let found = predict_events(known, next, level);
                assert!(
                    found.low <= found.high && found.high <= next,
                    "{known:?} {next}"
                );
            }
        }
        let count = predict_count(u64::MAX / 4, 1.0, 1.0, level).expect("fits");
        assert!(count.low <= count.high);
    }
    // Ten to the 12th more cases have nearly the share of the known ones.
    let next = predict_events(tally(30, 100), 1_000_000_000_000, Level::P95);
    let share = |count: u64| count as f64 / 1e12;
    // scipy 1.17.1: stats.beta(30.5, 70.5).ppf([0.025, 0.975]).
    assert!((share(next.low) - 0.216_841_428_6).abs() < 1e-5, "{next:?}");
    assert!(
        (share(next.high) - 0.394_546_506_6).abs() < 1e-5,
        "{next:?}"
    );
}

proptest! {
    #[test]
    fn an_index_of_one_is_the_prediction_of_even_counts_and_a_higher_one_is_wider(
        events in 0_u64..5000, exposure in 0.5_f64..5000.0, next in 0.5_f64..5000.0,
        index in 1.0_f64..20.0,
    ) {
        let even = predict_count(events, exposure, next, Level::P95).expect("exposures");
        let same = predict_uneven_count(events, exposure, next, 1.0, Level::P95);
        prop_assert_eq!(Some(even), same);
        let uneven = predict_uneven_count(events, exposure, next, index, Level::P95).expect("limits");
        prop_assert!(uneven.low <= even.low + 1);
        prop_assert!(uneven.high + 1 >= even.high);
    }

    #[test]
    fn limits_are_in_order_widen_with_the_level_and_rise_with_the_events(
        events in 0_u64..40,
        more in 1_u64..40,
        next in 1_u64..60,
    ) {
        let wide = Level::new(0.99).expect("a level");
        let known = tally(events, events + more);
        let (found, wider) = (
            predict_events(known, next, Level::P95),
            predict_events(known, next, wide),
        );
        prop_assert!(wider.low <= found.low && found.low <= found.high);
        prop_assert!(found.high <= wider.high && wider.high <= next);
        // Turned round, events are misses; the limits are quantiles, so mirrored up to one count.
        let mirrored = predict_events(tally(more, events + more), next, Level::P95);
        prop_assert!(mirrored.low.abs_diff(next - found.high) <= 1);

        let one_more = predict_count(events + 1, 10.0, 2.0, Level::P95).expect("exposures");
        let count = predict_count(events, 10.0, 2.0, Level::P95).expect("exposures");
        prop_assert!(count.low <= one_more.low && count.high <= one_more.high);
    }
}
