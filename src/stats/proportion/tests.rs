use super::*;

fn tally(events: u64, cases: u64) -> Tally {
    Tally::new(events, cases)
        .expect("events within cases")
        .expect("some cases")
}

#[track_caller]
fn assert_near(actual: f64, expected: f64, tolerance: f64) {
    assert!(
        (actual - expected).abs() <= tolerance,
        "{actual} instead of {expected}"
    );
}

type Method = fn(Tally, Level) -> Interval;

const METHODS: [(&str, Method); 3] = [
    ("wilson", wilson),
    ("clopper_pearson", clopper_pearson),
    ("jeffreys", jeffreys),
];

#[test]
fn every_interval_encloses_its_share_mirrors_itself_and_rises() {
    for (name, interval) in METHODS {
        for cases in 1..=200 {
            let mut before = Interval {
                low: -1.0,
                high: -1.0,
            };
            for events in 0..=cases {
                let this = interval(tally(events, cases), Level::P95);
                let share = tally(events, cases).share();
                let of = format!("{name} {events}/{cases}: {this:?}");
                assert!(0.0 <= this.low && this.low <= share, "{of}");
                assert!(share <= this.high && this.high <= 1.0, "{of}");
                assert!(before.low < this.low && before.high <= this.high, "{of}");
                let mirror = interval(tally(cases - events, cases), Level::P95);
                assert_near(mirror.low, 1.0 - this.high, 1e-14);
                assert_near(mirror.high, 1.0 - this.low, 1e-14);
                before = this;
            }
        }
    }
}

#[test]
fn the_ends_are_exact_at_any_size_and_level() {
    for (name, interval) in METHODS {
        for cases in [1, 2, 7, 300, 10_000_019, u64::MAX] {
            for level in [1e-300, 0.5, 0.95, 1.0 - f64::EPSILON].map(Level::new) {
                let level = level.expect("a level");
                let (none, all) = (tally(0, cases), tally(cases, cases));
                assert!(interval(none, level).low.to_bits() == 0, "{name} {cases}");
                assert!(interval(all, level).high.to_bits() == 1.0_f64.to_bits());
                assert!(interval(none, level).high <= 1.0 && interval(all, level).low >= 0.0);
            }
        }
    }
}

/// Put back into the binomial test, each limit has half of what the level leaves.
#[test]
fn clopper_pearson_inverts_the_binomial_test() {
    let level = Level::new(0.9).expect("a level");
    for cases in 1..=60_u64 {
        for events in 0..=cases {
            let Interval { low, high } = clopper_pearson(tally(events, cases), level);
            let sum = |p: f64, counts: std::ops::RangeInclusive<u64>| {
                // Own sum of binomial terms, so that the test does not use what it tests.
                counts
                    .map(|k| {
                        let ways: f64 = (0..k)
                            .map(|i| ((cases - i) as f64 / (k - i) as f64).ln())
                            .sum();
                        (ways + k as f64 * p.ln() + (cases - k) as f64 * (1.0 - p).ln()).exp()
                    })
                    .sum::<f64>()
            };
            if events > 0 {
                assert_near(sum(low, events..=cases), 0.05, 1e-12);
            }
            if events < cases {
                assert_near(sum(high, 0..=events), 0.05, 1e-12);
            }
        }
    }
}

#[test]
fn wilson_keeps_its_digits_at_one_case_and_at_billions() {
    // One case: the limit is z²/(1 + z²), from the formula by hand.
    let z = 1.959_963_984_540_054_f64;
    assert_near(
        wilson(tally(0, 1), Level::P95).high,
        z * z / (1.0 + z * z),
        1e-15,
    );
    // mpmath 1.4.1, 40 digits, both roots of (n + z²) x² - (2k + z²) x + k²/n, k = 1, n = 10^12.
    let rare = wilson(tally(1, 1_000_000_000_000), Level::P95);
    assert_near(rare.low / 1.765_245_549_351_747_3e-13, 1.0, 1e-13);
    assert_near(rare.high / 5.664_934_265_736_511e-12, 1.0, 1e-13);
}

#[test]
fn a_difference_turns_its_sign_with_its_groups_and_stays_within_bounds() {
    for (k1, k2) in (0..=12).flat_map(|k1| (0..=9).map(move |k2| (k1, k2))) {
        let there = newcombe_difference(tally(k1, 12), tally(k2, 9), Level::P95);
        let back = newcombe_difference(tally(k2, 9), tally(k1, 12), Level::P95);
        assert!(-1.0 <= there.low && there.low <= there.estimate);
        assert!(there.estimate <= there.high && there.high <= 1.0);
        assert_near(back.estimate, -there.estimate, 0.0);
        assert_near(back.low, -there.high, 1e-15);
        assert_near(back.high, -there.low, 1e-15);
    }
}
