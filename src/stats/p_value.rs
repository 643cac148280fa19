//! Probabilities beyond a test statistic, for the tests in this module. Knows numbers only: which
//! test, and whether its statistic follows the distribution, is for the callers to know.

use statrs::distribution::{ChiSquared, ContinuousCDF};
use std::f64::consts::SQRT_2;

/// Probability of a standard normal value above `z`. By libm's `erfc`, accurate to the last digits
/// where the normal distribution of statrs 0.19.1 has ten.
pub(super) fn normal_above(z: f64) -> f64 {
    0.5 * libm::erfc(z / SQRT_2)
}

/// Probability of a standard normal value at least as far from 0 as `z`, on either side.
pub(super) fn normal_beyond(z: f64) -> f64 {
    libm::erfc(z.abs() / SQRT_2)
}

/// Probability of a chi-square value above `value` with this many degrees of freedom; `None`
/// without any, or when `value` is not finite.
pub(super) fn chi_square_above(value: f64, degrees_of_freedom: usize) -> Option<f64> {
    if !value.is_finite() {
        return None;
    }
    match degrees_of_freedom {
        0 => None,
        1 => Some(normal_beyond(value.max(0.0).sqrt())),
        more => Some(ChiSquared::new(more as f64).ok()?.sf(value)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// mpmath 1.3, 50 digits: `erfc(z / sqrt(2)) / 2` and `gammainc(df / 2, x / 2, inf) / gamma(df / 2)`.
    #[test]
    fn tails_have_all_their_digits() {
        let close = |actual: f64, expected: f64| {
            assert!((actual / expected - 1.0).abs() < 1e-12, "{actual:e}");
        };
        close(normal_above(0.71), 0.238_852_068_089_986_7);
        close(normal_above(8.0), 6.220_960_574_271_784e-16);
        close(normal_beyond(-1.0), 0.317_310_507_862_914_1);
        let chi_square = |value, df| chi_square_above(value, df).expect("degrees of freedom");
        close(chi_square(3.84, 1), 0.050_043_521_248_705_1);
        close(chi_square(0.5, 2), 0.778_800_783_071_404_9);
        close(chi_square(30.0, 3), 1.380_057_031_293_254_7e-6);
        close(chi_square(0.01, 4), 0.999_987_541_588_645_7);
        close(chi_square(100.0, 20), 1.259_608_459_166_090_8e-12);
        close(chi_square(900.0, 50), 2.989_672_179_505_925e-156);
    }

    #[test]
    fn a_distribution_needs_a_degree_of_freedom_and_a_value() {
        assert_eq!(chi_square_above(1.0, 0), None);
        assert_eq!(chi_square_above(f64::NAN, 2), None);
        assert_eq!(chi_square_above(f64::INFINITY, 1), None);
        assert_eq!(chi_square_above(0.0, 1), Some(1.0));
        assert_eq!(chi_square_above(0.0, 7), Some(1.0));
        assert_eq!(chi_square_above(f64::MAX, 3), Some(0.0));
    }
}
