//! Reference values are 40-digit roots made with mpmath 1.4.1: Newton's method on the logarithm of
//! the tail, started at scipy 1.17.1 `betaincinv`, `betainccinv`, `gammaincinv`, `gammainccinv`.
//! Binomial quantiles are `scipy.stats.binom.ppf(q, n, p)`, those above 10^6 confirmed with mpmath.

use super::Tail::{Lower, Upper};
use super::*;

#[track_caller]
fn assert_close(actual: f64, expected: f64) {
    let error = (actual / expected - 1.0).abs();
    assert!(
        error < 2e-14,
        "{actual:e} instead of {expected:e}, relative error {error:e}"
    );
}

#[track_caller]
fn check_beta(a: f64, b: f64, tail: Tail, probability: f64, expected: f64) {
    assert_close(beta_quantile(a, b, tail, probability), expected);
}

#[test]
fn beta_quantiles_match_mpmath_from_one_case_to_hundreds_of_millions() {
    check_beta(0.5, 0.5, Upper, 0.025, 0.998_458_666_866_564);
    check_beta(1.5, 2.5, Lower, 0.025, 0.038_747_617_785_165_16);
    check_beta(3.5, 7.5, Lower, 5e-9, 0.000_986_377_026_049_718_7);
    check_beta(1.0, 300.0, Upper, 0.005, 0.017_506_015_484_986_308);
    check_beta(31.0, 270.0, Lower, 0.025, 0.071_296_446_028_533_08);
    check_beta(31.0, 270.0, Upper, 0.025, 0.139_673_307_355_102_3);
    check_beta(0.5, 10_000.5, Upper, 0.025, 0.000_251_156_484_383_297_6);
    check_beta(5001.0, 5000.0, Upper, 0.025, 0.509_848_619_410_019_5);
    check_beta(1e5, 3.0, Lower, 0.025, 0.999_927_756_455_468);
    check_beta(3.0, 99_998.0, Upper, 0.025, 0.000_072_244_989_365_047_9);
    check_beta(2.5, 9_999_998.5, Lower, 0.025, 4.156_058_292_773_596e-8);
    check_beta(5e6, 5e6, Lower, 0.025, 0.499_690_102_505_861_77);
    check_beta(9_999_971.0, 31.0, Upper, 0.025, 0.999_997_893_699_671_5);
    check_beta(2.5e8, 2.5e8 + 1.0, Lower, 0.025, 0.499_956_172_873_077_25);
    check_beta(3e8, 30.0, Upper, 0.025, 0.999_999_932_530_425_5);
}

/// Each of these is wrong or never returns in statrs 0.19.1.
#[test]
fn inputs_that_defeat_the_library_come_out_right() {
    check_beta(1.0, 1e7, Upper, 0.025, 3.688_878_773_722_438_7e-7);
    check_beta(2.0, 999_999.0, Lower, 0.025, 2.422_093_703_160_032e-7);
    assert_close(gamma_quantile(0.5, Lower, 1e-12), 7.853_981_633_974_483e-25);
    assert_close(gamma_quantile(1.0, Upper, 5e-13), 28.324_168_296_488_494);
    let half = beta::beta_log_tails(5e6, 5e6, 0.5, 0.5);
    assert_close(half.lower.exp(), 0.5);
    assert_close(half.upper.exp(), 0.5);
    // A median that is hit exactly: P(X <= (n - 1) / 2) is 1/2.
    for trials in [1, 11, 15, 17, 21, 35] {
        for tail in [Lower, Upper] {
            assert_eq!(binomial_quantile(trials, 0.5, tail, 0.5), (trials - 1) / 2);
        }
    }
    assert_eq!(binomial_quantile(10_000_000, 0.5, Lower, 0.5), 5_000_000);
}

#[test]
fn gamma_quantiles_match_mpmath() {
    assert_close(gamma_quantile(1.0, Lower, 0.025), 0.025_317_807_984_289_876);
    assert_close(gamma_quantile(4.0, Lower, 0.005), 0.672_206_543_507_405_2);
    assert_close(gamma_quantile(138.0, Upper, 0.025), 161.956_404_688_073_4);
    assert_close(gamma_quantile(1000.0, Lower, 5e-9), 829.257_768_966_138_5);
    assert_close(gamma_quantile(1e6, Upper, 0.025), 1_001_960.910_965_450_3);
    assert_close(
        gamma_quantile(1e6 + 1.0, Upper, 0.05),
        1_001_646.422_767_616_8,
    );
    assert_close(gamma_quantile(3e8, Lower, 0.025), 299_966_053.375_140_6);
}

#[test]
fn binomial_quantiles_match_scipy() {
    let check = |trials, p, tail, probability, expected| {
        assert_eq!(
            binomial_quantile(trials, p, tail, probability),
            expected,
            "{trials} trials, p {p}"
        );
    };
    check(10, 0.5, Lower, 0.025, 2);
    check(13, 0.25, Lower, 0.025, 1);
    check(13, 0.25, Upper, 0.025, 6);
    check(35, 0.9, Upper, 0.025, 35);
    check(36, 0.9, Lower, 0.025, 29);
    check(36, 0.9, Upper, 0.025, 35);
    check(300, 0.9, Upper, 0.025, 280);
    check(100_000, 0.5, Lower, 0.025, 49_690);
    check(10_000_000, 0.9, Upper, 0.025, 9_001_859);
    check(10_000_000, 0.5, Lower, 0.025, 4_996_901);
    check(1_000_000_000, 0.25, Lower, 0.025, 249_973_162);
}

#[test]
fn binomial_tails_are_sums_of_binomial_terms() {
    let (trials, p): (u64, f64) = (30, 0.3);
    let mut term = (1.0 - p).powi(30);
    let mut below = 0.0;
    for count in 0..=trials {
        below += term;
        term *= (trials - count) as f64 / (count + 1) as f64 * p / (1.0 - p);
        let tails = binomial_log_tails(trials, p, count);
        assert!((tails.lower.exp() - below).abs() < 1e-14, "{count}");
        assert!((tails.upper.exp() - (1.0 - below)).abs() < 1e-14, "{count}");
    }
}

/// The expansion for large shapes and the fraction below it meet without a step.
#[test]
fn both_sides_of_the_large_shape_limit_agree() {
    for (a, b) in [(1.0, 1.0), (1.0, 50.0)].map(|(a, b)| (a * LARGE_SHAPE, b * LARGE_SHAPE)) {
        for z in [-4.0, -1.0, 0.5, 4.0] {
            let cumulants = Cumulants::of_log_gamma(a).minus(Cumulants::of_log_gamma(b));
            let log_odds = cumulants.quantile(z);
            assert!((cumulants.normal_score(log_odds) - z).abs() < 1e-6);
            let x = 1.0 / (1.0 + (-log_odds).exp());
            let y = 1.0 / (1.0 + log_odds.exp());
            let tails = beta::beta_log_tails(a, b, x, y);
            assert!(
                (tails.lower - normal_log_tails(z).lower).abs() < 1e-6,
                "{a} {b} {z}"
            );
        }
    }
}

#[test]
fn no_size_runs_without_end_or_gives_nonsense() {
    let shapes = [0.01, 0.5, 1.0, 3.0, 1e3, 1e7, 9e7, 1.1e8, 1e12, 1e19];
    for tail in [Lower, Upper] {
        for probability in [f64::EPSILON / 4.0, 0.025, 0.5] {
            for a in shapes {
                let value = gamma_quantile(a, tail, probability);
                assert!(value.is_finite() && value >= 0.0, "gamma {a}: {value}");
                for b in shapes {
                    let value = beta_quantile(a, b, tail, probability);
                    assert!((0.0..=1.0).contains(&value), "beta {a} {b}: {value}");
                }
            }
            for trials in [1, 1_000_000_000_000, u64::MAX] {
                for p in [0.0, 1e-18, 0.1, 0.5, 1.0] {
                    assert!(binomial_quantile(trials, p, tail, probability) <= trials);
                }
            }
        }
    }
}

#[test]
fn the_tail_at_a_quantile_is_the_probability_asked_for() {
    let shapes = [0.01, 0.5, 1.0, 2.5, 40.0, 1e3, 1e6, 9e7];
    for (tail, probability) in [Lower, Upper]
        .into_iter()
        .flat_map(|tail| [1e-16, 1e-6, 0.025, 0.5].map(|probability| (tail, probability)))
    {
        for a in shapes {
            for b in shapes {
                let x = beta_quantile(a, b, tail, probability);
                // Nearer to 1, `1 - x` has lost the digits; nearer to 0, so has `x` itself.
                if (1e-290..0.9).contains(&x) {
                    let found = beta::beta_log_tails(a, b, x, 1.0 - x).of(tail);
                    let error = (found - probability.ln()).abs();
                    assert!(error < 1e-8, "{a} {b} {tail:?} {probability}: {error:e}");
                }
            }
            let x = gamma_quantile(a, tail, probability);
            if x > 1e-290 {
                let found = gamma::gamma_log_tails(a, x).of(tail);
                let error = (found - probability.ln()).abs();
                assert!(error < 1e-8, "{a} {tail:?} {probability}: {error:e}");
            }
        }
    }
}

/// `scipy.stats.t.isf(p, df)`, scipy 1.17.
#[test]
fn student_quantiles_match_scipy() {
    for (probability, degrees, expected) in [
        (0.025, 1.0, 12.706_204_736_174_705),
        (0.025, 7.0, 2.364_624_251_592_784_4),
        (0.025, 39.0, 2.022_690_920_036_761),
        (0.005, 3.0, 5.840_909_309_733_357),
        (0.25, 2.0, 0.816_496_580_927_726_1),
        (0.45, 12.0, 0.128_347_380_795_611_37),
        (0.025, 1e6, 1.959_966_356_814_107_2),
        (1e-9, 5.0, 98.937_224_648_369_96),
    ] {
        let found = student_quantile(probability, degrees);
        let error = (found / expected - 1.0).abs();
        assert!(error < 1e-10, "{probability} {degrees}: {found} {error:e}");
    }
    // The ends of what `Level` allows stay finite or infinite, never NaN, and come to an end.
    for degrees in [1.0, 2.0, 1e3, 1e10, 1e18] {
        for probability in [0.0, 5e-17, 0.5] {
            assert!(
                !student_quantile(probability, degrees).is_nan(),
                "{probability} {degrees}"
            );
        }
    }
}
