use super::*;
use crate::stats::quantile::Distribution;
use crate::stats::quantile::quantile as type_7;
use proptest::prelude::*;

fn grouped(cases: impl IntoIterator<Item = (i64, bool)>) -> BTreeMap<(i64, bool), u64> {
    let mut counts = BTreeMap::new();
    for case in cases {
        *counts.entry(case).or_default() += 1;
    }
    counts
}

/// Remission times of the 6-MP arm, Freireich and others (1963), as printed in many textbooks.
fn remission() -> KaplanMeier {
    let reached = [6, 6, 6, 7, 10, 13, 16, 22, 23].map(|minutes| (minutes, true));
    let left = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35].map(|minutes| (minutes, false));
    KaplanMeier::new(&grouped(reached.into_iter().chain(left)))
}

#[test]
fn the_log_log_band_matches_lifelines() {
    // lifelines 0.30.3: KaplanMeierFitter().fit(t, e).confidence_interval_, which is log-log.
    for (minutes, not_yet, low, high) in [
        (
            6,
            0.857_142_857_142_857,
            0.619_717_955_265_983_8,
            0.951_551_747_646_996_9,
        ),
        (
            10,
            0.752_941_176_470_587_8,
            0.503_199_510_799_956_4,
            0.889_361_835_169_265_1,
        ),
        (
            16,
            0.627_450_980_392_156_6,
            0.367_510_855_987_501_94,
            0.804_912_189_471_842_1,
        ),
        (
            23,
            0.448_179_271_708_683_27,
            0.188_052_005_959_232_33,
            0.680_142_628_495_241_2,
        ),
    ] {
        let reached = remission()
            .reached_by(minutes, Level::P95)
            .expect("followed");
        let interval = reached.interval.expect("between 0 and 1");
        assert!((reached.share - (1.0 - not_yet)).abs() < 1e-14);
        assert!((interval.low - (1.0 - high)).abs() < 1e-14, "{interval:?}");
        assert!((interval.high - (1.0 - low)).abs() < 1e-14, "{interval:?}");
    }
}

#[test]
fn numbers_at_risk_and_censored_cases_match_r() {
    // R 2.11.1, package survival, tests/doaml.Rout.save: summary(survfit(Surv(time, status) ~ x)) of
    // the maintained arm (Miller 1981, Survival Analysis), columns time, n.risk, n.event.
    let reached = [9, 13, 18, 23, 31, 34, 48].map(|minutes| (minutes, true));
    let left = [13, 28, 45, 161].map(|minutes| (minutes, false));
    let curve = KaplanMeier::new(&grouped(reached.into_iter().chain(left)));
    let printed = [
        (9, 11, 1),
        (13, 10, 1),
        (18, 8, 1),
        (23, 7, 1),
        (31, 5, 1),
        (34, 4, 1),
        (48, 2, 1),
    ];
    let steps = curve.steps().iter();
    let found: Vec<_> = steps.map(|s| (s.minutes, s.at_risk, s.events)).collect();
    assert_eq!(found, printed);
    for (minutes, at_risk, _) in printed {
        assert_eq!(curve.at_risk(minutes), at_risk, "{minutes}");
    }
    // Between the minutes: whoever is still there at the next one; after the last, nobody.
    let between = [0, 10, 28, 29, 45, 161, 162].map(|minutes| curve.at_risk(minutes));
    assert_eq!(between, [11, 10, 6, 5, 3, 1, 0]);
    let rows = curve.followed().iter().filter(|row| row.censored > 0);
    let censored: Vec<_> = rows.map(|row| (row.minutes, row.censored)).collect();
    assert_eq!(censored, [(13, 1), (28, 1), (45, 1), (161, 1)]);
}

#[test]
fn the_band_of_a_step_is_the_interval_up_to_the_next() {
    let curve = remission();
    for (step, next) in curve.steps().iter().zip(&curve.steps()[1..]) {
        let band = step.interval(Level::P95).expect("between 0 and 1");
        for minutes in [step.minutes, next.minutes - 1] {
            let reached = curve.reached_by(minutes, Level::P95).expect("followed");
            let interval = reached.interval.expect("between 0 and 1");
            assert!((interval.low - (1.0 - band.high)).abs() < 1e-15);
            assert!((interval.high - (1.0 - band.low)).abs() < 1e-15);
        }
    }
}

#[test]
fn limits_of_quantiles_match_statsmodels() {
    // statsmodels 0.15.0: SurvfuncRight(t, e).quantile_ci(q, method="cloglog").
    for (q, estimate, low, high) in [
        (0.1, Some(6.0), Some(6.0), Some(10.0)),
        (0.25, Some(13.0), Some(6.0), Some(22.0)),
        (0.5, Some(23.0), Some(13.0), None),
        (0.75, None, Some(23.0), None),
    ] {
        let expected = TimeQuantile {
            estimate,
            low,
            high,
        };
        assert_eq!(remission().quantile(q, Level::P95), Some(expected), "{q}");
    }
}

/// Times of R's package survival, tests/quantile.R; the curve is 6/7, 18/35, 9/35 at 1, 6 and 9.
fn of_r() -> KaplanMeier {
    let cases = [(9, 1), (1, 1), (1, 0), (6, 1), (6, 1), (8, 0), (10, 0)];
    KaplanMeier::new(&grouped(
        cases.map(|(minutes, reached)| (minutes, reached == 1)),
    ))
}

#[test]
fn on_a_flat_part_a_quantile_is_its_middle() {
    // R, tests/quantile.Rout.save: 3.5 at 1/7, and 9.5 at 26/35, where the curve ends with the case
    // that was followed for 10.
    for (q, expected) in [(1.0 / 7.0, 3.5), (1.0 / 3.0, 6.0), (26.0 / 35.0, 9.5)] {
        let found = of_r().quantile(q, Level::P95).expect("a quantile");
        assert_eq!(found.estimate, Some(expected), "{q}");
    }
    // 15/18 * 9/15 is 0.5 within rounding only.
    let cases = [(5, 3), (6, 6), (9, 9)].map(|(minutes, cases)| ((minutes, true), cases));
    let curve = KaplanMeier::new(&BTreeMap::from(cases));
    let median = curve.quantile(0.5, Level::P95).expect("a quantile");
    assert_eq!(median.estimate, Some(7.5));
}

#[test]
fn a_limit_is_the_middle_where_its_band_is_flat_at_the_quantile() {
    let curve = remission();
    let step = curve.steps()[2];
    let next = curve.steps()[3].minutes as f64;
    let band = step.interval(Level::P95).expect("between 0 and 1");
    let middle = Some(f64::midpoint(step.minutes as f64, next));
    let at = |height: f64| {
        curve
            .quantile(1.0 - height, Level::P95)
            .expect("a quantile")
    };
    assert_eq!(at(band.low).low, middle);
    assert_eq!(at(band.high).high, middle);
    assert_eq!(at(band.low - 1e-6).low, Some(next), "just below");
}

#[test]
fn nothing_is_said_about_what_was_not_seen() {
    let curve = remission();
    let before = curve.reached_by(5, Level::P95).expect("followed");
    assert!(before.share.to_bits() == 0 && before.interval.is_none());
    assert!(curve.reached_by(35, Level::P95).is_some());
    assert_eq!(curve.reached_by(36, Level::P95), None);
    // Once everybody is there, everybody stays there.
    let done = KaplanMeier::new(&grouped([(3, true), (8, true)]));
    let late = done.reached_by(100, Level::P95).expect("the curve is at 0");
    assert!(late.share.to_bits() == 1.0_f64.to_bits() && late.interval.is_none());

    let nothing = KaplanMeier::new(&BTreeMap::from([((4, true), 0)]));
    assert!(nothing.steps().is_empty());
    assert_eq!(nothing.reached_by(4, Level::P95), None);
    let none = TimeQuantile {
        estimate: None,
        low: None,
        high: None,
    };
    assert_eq!(nothing.quantile(0.5, Level::P95), Some(none));
    for q in [0.0, 1.0, f64::NAN] {
        assert_eq!(curve.quantile(q, Level::P95), None);
    }
}

#[test]
fn the_largest_counts_neither_panic_nor_leave_0_to_1() {
    let curve = KaplanMeier::new(&BTreeMap::from([
        ((i64::MIN, true), u64::MAX),
        ((0, false), u64::MAX),
        ((i64::MAX, true), u64::MAX),
    ]));
    assert!(
        curve
            .steps()
            .iter()
            .all(|step| (0.0..=1.0).contains(&step.not_yet))
    );
    assert!(curve.quantile(0.9, Level::P95).is_some());
    assert!(curve.reached_by(i64::MAX, Level::P95).is_some());
}

proptest! {
    #[test]
    fn without_censoring_the_median_is_that_of_type_7(
        minutes in prop::collection::vec(0_i64..40, 1..80),
    ) {
        let curve = KaplanMeier::new(&grouped(minutes.iter().map(|minutes| (*minutes, true))));
        let values = Distribution::new(minutes.iter().map(|minutes| (*minutes, 1)));
        let median = curve.quantile(0.5, Level::P95).expect("a quantile").estimate;
        prop_assert_eq!(median, type_7(&values, 0.5));
    }

    #[test]
    fn without_censoring_the_curve_is_the_empirical_one(
        minutes in prop::collection::vec(0_i64..40, 1..80),
    ) {
        let curve = KaplanMeier::new(&grouped(minutes.iter().map(|minutes| (*minutes, true))));
        let n = minutes.len() as f64;
        for step in curve.steps() {
            let later = minutes.iter().filter(|minutes| **minutes > step.minutes).count() as f64;
            prop_assert!((step.not_yet - later / n).abs() < 1e-13);
            // Greenwood's formula is then the binomial one.
            let binomial = (later / n * (1.0 - later / n) / n).sqrt();
            prop_assert!((step.standard_error.unwrap_or(0.0) - binomial).abs() < 1e-12);
        }
    }

    #[test]
    fn the_curve_falls_and_its_band_encloses_it(
        cases in prop::collection::vec((0_i64..40, any::<bool>()), 1..80),
        q in 0.05..0.95,
    ) {
        let curve = KaplanMeier::new(&grouped(cases.iter().copied()));
        let mut above = 1.0;
        for step in curve.steps() {
            prop_assert!(step.not_yet < above && step.not_yet >= 0.0);
            above = step.not_yet;
            let reached = curve.reached_by(step.minutes, Level::P95).expect("followed");
            if let Some(interval) = reached.interval {
                prop_assert!(0.0 <= interval.low && interval.low <= reached.share);
                prop_assert!(reached.share <= interval.high && interval.high <= 1.0);
            }
        }
        let found = curve.quantile(q, Level::P95).expect("a quantile");
        if let (Some(low), Some(estimate)) = (found.low, found.estimate) {
            prop_assert!(low <= estimate);
        }
        if let (Some(estimate), Some(high)) = (found.estimate, found.high) {
            prop_assert!(estimate <= high);
        }
    }
}
