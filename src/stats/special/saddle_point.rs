//! Densities of beta and gamma without the cancellation of large logarithms of the gamma
//! function. Knows nothing of tails or quantiles.
//!
//! Source: C. Loader (2000), "Fast and accurate computation of binomial probabilities"; from
//! memory. The difference between a count and its expectation is passed in, not recomputed: it
//! is what the last digits at 10^7 cases hang on.

use std::f64::consts::TAU;

/// `ln(x^a y^b / B(a, b))` with `y = 1 - x`, which is also the density of the log odds at `x`.
pub(super) fn log_beta_density(a: f64, b: f64, x: f64, y: f64) -> f64 {
    let sum = a + b;
    let difference = a * y - b * x;
    0.5 * (a / sum * b / TAU).ln() + stirling_error(sum)
        - stirling_error(a)
        - stirling_error(b)
        - deviance(a, sum * x, difference)
        - deviance(b, sum * y, -difference)
}

/// `ln(x^a exp(-x) / Γ(a))`, which is also the density of the logarithm of a gamma variable.
pub(super) fn log_gamma_density(a: f64, x: f64) -> f64 {
    0.5 * (a / TAU).ln() - stirling_error(a) - deviance(a, x, a - x)
}

/// `ln Γ(x + 1)` minus Stirling's approximation of it, for `x > 0`.
fn stirling_error(x: f64) -> f64 {
    if x <= 15.0 {
        return libm::lgamma(x + 1.0) - (x + 0.5) * x.ln() + x - 0.5 * TAU.ln();
    }
    let square = x * x;
    let series = 1.0 / 1680.0 - 1.0 / 1188.0 / square;
    let series = 1.0 / 1260.0 - series / square;
    let series = 1.0 / 360.0 - series / square;
    (1.0 / 12.0 - series / square) / x
}

/// `x ln(x / mean) - difference` where `difference = x - mean`: never negative.
fn deviance(x: f64, mean: f64, difference: f64) -> f64 {
    if difference.abs() >= 0.1 * (x + mean) {
        return x * (x / mean).ln() - difference;
    }
    let v = difference / (x + mean);
    let mut sum = difference * v;
    let mut power = 2.0 * x * v;
    // |v| < 0.1, so 12 terms reach past the last digit.
    for odd in [
        3.0, 5.0, 7.0, 9.0, 11.0, 13.0, 15.0, 17.0, 19.0, 21.0, 23.0, 25.0,
    ] {
        power *= v * v;
        sum += power / odd;
    }
    sum
}
