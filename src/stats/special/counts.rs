//! Tails and quantiles of counts whose mean is itself uncertain or not: Poisson, negative binomial
//! and beta-binomial. Knows numbers only; every quantile takes at most 64 steps.

use super::beta::{beta_log_tails, beta_quantile};
use super::gamma::gamma_log_tails;
use super::{Cumulants, LARGE_SHAPE, LogTails, Tail, normal_log_tails};
use std::f64::consts::TAU;
use std::ops::RangeInclusive;

/// Slack, relative to the probability asked for, within which a probability counts as equal to it:
/// the step from one count to the next is larger by far up to 10^9 trials.
const SLACK: f64 = 1e-10;

/// `lower` is ln P(X <= count) for a Poisson count with a finite mean of at least 0. The identity
/// with the gamma distribution is Abramowitz & Stegun (1964), 26.4.21; from memory.
pub(in crate::stats) fn poisson_log_tails(mean: f64, count: u64) -> LogTails {
    if mean <= 0.0 {
        return CERTAIN;
    }
    let shape = count as f64 + 1.0;
    let tails = if shape > LARGE_SHAPE {
        normal_log_tails(Cumulants::of_log_gamma(shape).normal_score(mean.ln()))
    } else {
        gamma_log_tails(shape, mean)
    };
    tails.mirrored()
}

/// `lower` is ln P(X <= count) for a negative binomial count: misses before the `size`-th success
/// with probability `p`, where `size` is above 0 and need not be whole. `miss` is `1 - p`, given
/// apart because it may have more digits. Abramowitz & Stegun (1964), 26.5.26; from memory.
pub(in crate::stats) fn negative_binomial_log_tails(
    size: f64,
    p: f64,
    miss: f64,
    count: u64,
) -> LogTails {
    if miss <= 0.0 {
        return CERTAIN;
    }
    beta_log_tails(size, count as f64 + 1.0, p, miss)
}

/// Ends of the trapezoid rule below, in standard deviations over the step. The nodes beyond carry
/// less than 10^-16; the result is within 5e-12 of the sum of terms (180 combinations of shapes of
/// a half to 10^6 and 1 to 2,000 trials, where the probability lies in 0.0001 to 0.9999).
const NODES: RangeInclusive<i32> = -34..=34;
const STEP: f64 = 0.25;

/// `lower` is ln P(X <= count) for the number of events among `trials` whose probability is itself
/// drawn from Beta(a, b).
///
/// At most `count` events occur when the (count + 1)-th smallest of `trials` uniform numbers, which
/// is Beta(count + 1, trials - count), lies above that probability. So the answer is the chance
/// that one beta variable exceeds another, whatever the number of trials: the mean of the tail of
/// the wider one over the narrower one, taken over normal scores.
pub(in crate::stats) fn beta_binomial_log_tails(
    a: f64,
    b: f64,
    trials: u64,
    count: u64,
) -> LogTails {
    if count >= trials {
        return CERTAIN;
    }
    if a > b {
        // Near 1, `1 - x` would have lost its digits.
        return beta_binomial_log_tails(b, a, trials, trials - count - 1).mirrored();
    }
    let rank = (count as f64 + 1.0, (trials - count) as f64);
    let rank_is_narrower = beta_variance(rank.0, rank.1) < beta_variance(a, b);
    let (mut lower, mut upper) = (0.0, 0.0);
    for node in NODES {
        let score = f64::from(node) * STEP;
        let weight = STEP * (-score * score / 2.0).exp() / TAU.sqrt();
        let (tail, probability) = if score < 0.0 {
            (Tail::Lower, normal_log_tails(score).lower.exp())
        } else {
            (Tail::Upper, normal_log_tails(score).upper.exp())
        };
        let tails = if rank_is_narrower {
            beta_tails_at(a, b, beta_quantile(rank.0, rank.1, tail, probability))
        } else {
            beta_tails_at(rank.0, rank.1, beta_quantile(a, b, tail, probability)).mirrored()
        };
        lower += weight * tails.lower.exp();
        upper += weight * tails.upper.exp();
    }
    LogTails {
        lower: lower.min(1.0).ln(),
        upper: upper.min(1.0).ln(),
    }
}

fn beta_variance(a: f64, b: f64) -> f64 {
    let sum = a + b;
    a / sum * (b / sum) / (sum + 1.0)
}

/// The tails where a quantile may have been rounded to 0 or 1.
fn beta_tails_at(a: f64, b: f64, x: f64) -> LogTails {
    if x <= 0.0 {
        CERTAIN.mirrored()
    } else if x >= 1.0 {
        CERTAIN
    } else {
        beta_log_tails(a, b, x, 1.0 - x)
    }
}

/// All of the probability at or below the point.
pub(super) const CERTAIN: LogTails = LogTails {
    lower: 0.0,
    upper: f64::NEG_INFINITY,
};

/// The smallest count up to `most` with P(X <= count) >= `probability` (lower tail), or with
/// P(X > count) <= `probability` (upper tail); `None` when not even `most` gets there. A
/// probability that is hit exactly counts as reached.
pub(in crate::stats) fn smallest_count(
    most: u64,
    tail: Tail,
    probability: f64,
    log_tails: impl Fn(u64) -> LogTails,
) -> Option<u64> {
    let target = probability.ln();
    let reached = |count| {
        let tails = log_tails(count);
        match tail {
            Tail::Lower => tails.lower >= target - SLACK,
            Tail::Upper => tails.upper <= target + SLACK,
        }
    };
    if !reached(most) {
        return None;
    }
    let (mut low, mut high) = (0, most);
    while low < high {
        let middle = low + (high - low) / 2;
        if reached(middle) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    Some(low)
}
