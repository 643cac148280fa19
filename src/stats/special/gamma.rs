//! Tails and quantiles of the gamma distribution with scale 1, for shapes above 0 of any size.

use super::saddle_point::log_gamma_density;
use super::{Cumulants, LARGE_SHAPE, LogTails, Tail, nonzero, normal_quantile, solve};

/// The value with `probability` (above 0, at most 0.5 for full accuracy) in the given tail.
///
/// Relative error at most 4e-15 against 40-digit roots (154 cases: shapes of a half to 3·10^8,
/// probabilities of 5e-13 to 0.05), also where the value is tiny.
pub(in crate::stats) fn gamma_quantile(shape: f64, tail: Tail, probability: f64) -> f64 {
    let cumulants = Cumulants::of_log_gamma(shape);
    let z = normal_quantile(tail, probability);
    if shape > LARGE_SHAPE {
        return cumulants.quantile(z).exp();
    }
    solve(tail, probability.ln(), cumulants.start(z), |log_x| {
        let x = log_x.exp();
        (gamma_log_tails(shape, x), log_gamma_density(shape, x))
    })
    .exp()
}

/// Tails at `x`, for shapes up to [`LARGE_SHAPE`].
pub(super) fn gamma_log_tails(shape: f64, x: f64) -> LogTails {
    let log_density = log_gamma_density(shape, x);
    if x < shape + 1.0 {
        LogTails::from_lower(log_density + (series(shape, x) / shape).ln())
    } else {
        LogTails::from_upper(log_density + continued_fraction(shape, x).ln())
    }
}

/// The number of terms needed grows with the root of the shape.
fn most_terms(shape: f64) -> f64 {
    200.0 + 10.0 * shape.sqrt()
}

/// Abramowitz & Stegun (1964), 6.5.29; from memory.
fn series(shape: f64, x: f64) -> f64 {
    let (mut sum, mut term, mut index) = (1.0, 1.0, 1.0);
    while index < most_terms(shape) && term > sum * f64::EPSILON * 0.1 {
        term *= x / (shape + index);
        sum += term;
        index += 1.0;
    }
    sum
}

/// Abramowitz & Stegun (1964), 6.5.31 in its even form, by Lentz's method; from memory.
fn continued_fraction(shape: f64, x: f64) -> f64 {
    let mut b = x + 1.0 - shape;
    let mut d = nonzero(b).recip();
    let mut c = 1e300;
    let mut fraction = d;
    let mut index = 1.0;
    while index < most_terms(shape) {
        let numerator = -index * (index - shape);
        b += 2.0;
        d = nonzero(numerator * d + b).recip();
        c = nonzero(b + numerator / c);
        fraction *= c * d;
        if (c * d - 1.0).abs() <= f64::EPSILON {
            break;
        }
        index += 1.0;
    }
    fraction
}
