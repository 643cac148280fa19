//! Quantile functions of the normal, beta, gamma and binomial distributions, and the binomial
//! probabilities, for the intervals in this module. Knows numbers only: no tally, no level.
//!
//! The normal quantile comes from statrs. The others are ours, because statrs 0.19.1 loses digits
//! from about 10^5 cases and does not return at 10^7 (its beta quantile), or stops on an absolute
//! error (its gamma quantile). Ours have a bounded number of steps for every input.
//!
//! All of it works on the logarithm of the smaller tail, in a variable on which that logarithm is
//! concave (log odds for beta, log for gamma), so that Newton's method cannot run away.

mod beta;
mod binomial;
mod counts;
mod gamma;
mod saddle_point;
#[cfg(test)]
mod tests;

pub(super) use beta::beta_quantile;
pub(super) use binomial::{binomial_log_tails, binomial_quantile};
pub(super) use counts::{
    beta_binomial_log_tails, negative_binomial_log_tails, poisson_log_tails, smallest_count,
};
pub(super) use gamma::gamma_quantile;

use statrs::distribution::{ContinuousCDF, Normal};
use std::f64::consts::SQRT_2;

/// Shapes above this get the Cornish-Fisher expansion: its error, of order `1 / shape^2` of a
/// standard deviation, is then below the rounding of f64, and a continued fraction would need
/// tens of thousands of terms.
const LARGE_SHAPE: f64 = 1e8;

/// The side from which a probability is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Tail {
    /// Probability of a value at or below.
    Lower,
    /// Probability of a value above.
    Upper,
}

/// Natural logarithms of the probabilities below and above a point.
#[derive(Clone, Copy, Debug)]
pub(super) struct LogTails {
    pub(super) lower: f64,
    pub(super) upper: f64,
}

impl LogTails {
    fn from_lower(lower: f64) -> LogTails {
        let lower = lower.min(0.0);
        LogTails {
            lower,
            upper: (-lower.exp()).ln_1p(),
        }
    }

    fn from_upper(upper: f64) -> LogTails {
        LogTails::from_lower(upper).mirrored()
    }

    fn mirrored(self) -> LogTails {
        LogTails {
            lower: self.upper,
            upper: self.lower,
        }
    }

    fn of(self, tail: Tail) -> f64 {
        match tail {
            Tail::Lower => self.lower,
            Tail::Upper => self.upper,
        }
    }
}

/// The standard normal value with `probability` in the given tail; `probability` in 0 to 1.
pub(super) fn normal_quantile(tail: Tail, probability: f64) -> f64 {
    let below = Normal::standard().inverse_cdf(probability.clamp(0.0, 1.0));
    match tail {
        Tail::Lower => below,
        Tail::Upper => -below,
    }
}

/// Student's t value with `probability` in the upper tail, for `degrees` of freedom above 0.
/// `probability` in 0 to 0.5.
///
/// `degrees / (degrees + t²)` follows a beta distribution (Abramowitz & Stegun 1964, formula 26.7.1;
/// from memory); of it and its complement the smaller is looked up, which keeps its digits.
pub(super) fn student_quantile(probability: f64, degrees: f64) -> f64 {
    let both_tails = 2.0 * probability.clamp(0.0, 0.5);
    let ratio = if both_tails < 0.5 {
        let part = beta_quantile(degrees / 2.0, 0.5, Tail::Lower, both_tails);
        (1.0 - part) / part
    } else {
        let part = beta_quantile(0.5, degrees / 2.0, Tail::Upper, both_tails);
        part / (1.0 - part)
    };
    (degrees * ratio).sqrt()
}

/// Tails of the standard normal distribution at `z`. Uses libm's `erfc`, which is accurate to the
/// last digits where that of statrs 0.19.1 has ten.
fn normal_log_tails(z: f64) -> LogTails {
    if z < 0.0 {
        LogTails::from_lower((0.5 * libm::erfc(-z / SQRT_2)).ln())
    } else {
        LogTails::from_upper((0.5 * libm::erfc(z / SQRT_2)).ln())
    }
}

/// The standard normal probability of a value at or below `z`.
pub(super) fn normal_below(z: f64) -> f64 {
    0.5 * libm::erfc(-z / SQRT_2)
}

/// First four cumulants of a distribution that is near normal.
#[derive(Clone, Copy, Debug)]
struct Cumulants {
    mean: f64,
    variance: f64,
    third: f64,
    fourth: f64,
}

impl Cumulants {
    /// Of the logarithm of a gamma variable with this shape and scale 1: the polygamma functions
    /// by their asymptotic series (Abramowitz & Stegun 1964, 6.4.11 to 6.4.14; from memory). Good
    /// from a shape of about 10 for a start value, and exact in f64 above [`LARGE_SHAPE`].
    fn of_log_gamma(shape: f64) -> Cumulants {
        let r = 1.0 / shape;
        Cumulants {
            mean: shape.ln() - r / 2.0 - r * r / 12.0,
            variance: r + r * r / 2.0 + r * r * r / 6.0,
            third: -(r * r + r * r * r),
            fourth: 2.0 * r * r * r,
        }
    }

    /// Of this variable minus an independent `other`.
    fn minus(self, other: Cumulants) -> Cumulants {
        Cumulants {
            mean: self.mean - other.mean,
            variance: self.variance + other.variance,
            third: self.third - other.third,
            fourth: self.fourth + other.fourth,
        }
    }

    fn skewness(self) -> f64 {
        self.third / self.variance.powf(1.5)
    }

    fn excess(self) -> f64 {
        self.fourth / (self.variance * self.variance)
    }

    /// A start for Newton's method: the expansion where it is good, which saves half of the steps,
    /// else where `z` would be on the normal distribution with the same mean and variance.
    fn start(self, z: f64) -> f64 {
        if self.skewness().abs() < 0.2 && z.abs() < 8.0 {
            self.quantile(z)
        } else {
            self.mean + self.variance.sqrt() * z
        }
    }

    /// The quantile at the standard normal quantile `z`.
    /// Cornish & Fisher (1938), Revue de l'Institut International de Statistique 5:307-320; from
    /// memory.
    fn quantile(self, z: f64) -> f64 {
        let (g, e) = (self.skewness(), self.excess());
        let square = z * z;
        let w = z + g * (square - 1.0) / 6.0 + e * z * (square - 3.0) / 24.0
            - g * g * z * (2.0 * square - 5.0) / 36.0;
        self.mean + self.variance.sqrt() * w
    }

    /// The inverse of [`Cumulants::quantile`], cut at 40 standard deviations, beyond which the
    /// tails are 0 and 1 in f64 and the expansion means nothing.
    fn normal_score(self, value: f64) -> f64 {
        let (g, e) = (self.skewness(), self.excess());
        let w = ((value - self.mean) / self.variance.sqrt()).clamp(-40.0, 40.0);
        let square = w * w;
        w - g * (square - 1.0) / 6.0 - e * w * (square - 3.0) / 24.0
            + g * g * w * (4.0 * square - 7.0) / 36.0
    }
}

/// Largest absolute value of the transformed variable: `exp(700)` is still finite.
const BOUND: f64 = 700.0;

/// The point at which the logarithm of `tail` equals `target`, by Newton's method held in a
/// bracket. `evaluate` gives both log tails and the log density of the transformed variable.
fn solve(tail: Tail, target: f64, start: f64, evaluate: impl Fn(f64) -> (LogTails, f64)) -> f64 {
    let (mut low, mut high) = (-BOUND, BOUND);
    let mut at = if start.abs() < BOUND { start } else { 0.0 };
    // Newton takes 2 to 18 steps from shapes of a half on; halving alone would take 63.
    for _ in 0..100 {
        let (tails, log_density) = evaluate(at);
        let excess = tails.of(tail) - target;
        // d(log tail)/du is the density over the tail, rising for the lower tail.
        let size = excess * (tails.of(tail) - log_density).exp();
        let (step, too_high) = match tail {
            Tail::Lower => (size, excess > 0.0),
            Tail::Upper => (-size, excess < 0.0),
        };
        // Newton's method squares the error: after a step as short as this, nothing is left of it.
        // Far out in the tail a step may come out short by rounding alone; then `excess` is large.
        if step.abs() <= 1e-12 * at.abs().max(1.0) && excess.abs() < 1e-3 {
            return at - step;
        }
        if too_high {
            high = at;
        } else {
            low = at;
        }
        let next = at - step;
        at = if next > low && next < high {
            next
        } else {
            f64::midpoint(low, high)
        };
    }
    at
}

/// Lentz's method steps over a zero denominator.
fn nonzero(value: f64) -> f64 {
    if value.abs() < 1e-300 { 1e-300 } else { value }
}
