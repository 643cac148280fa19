//! Binomial probabilities and quantiles, for any number of trials.

use super::beta::beta_log_tails;
use super::{LogTails, Tail};

/// Slack, relative to the probability asked for, within which a binomial probability counts as
/// equal to it: the step from one count to the next is larger by far up to 10^9 trials.
const SLACK: f64 = 1e-10;

/// `lower` is ln P(X <= count), `upper` is ln P(X > count), for `trials` with success
/// probability `p` in 0 to 1. The identity with the beta distribution is Abramowitz & Stegun
/// (1964), 26.5.24; from memory.
pub(in crate::stats) fn binomial_log_tails(trials: u64, p: f64, count: u64) -> LogTails {
    if count >= trials {
        return LogTails {
            lower: 0.0,
            upper: f64::NEG_INFINITY,
        };
    }
    let successes = count as f64 + 1.0;
    let failures = (trials - count) as f64;
    beta_log_tails(successes, failures, p, 1.0 - p).mirrored()
}

/// The smallest count `k` with P(X <= k) >= `probability` (lower tail), or with
/// P(X > k) <= `probability` (upper tail). A probability that is hit exactly counts as reached.
///
/// Where both expected successes and failures exceed 10^8, the count may be one off.
pub(in crate::stats) fn binomial_quantile(
    trials: u64,
    p: f64,
    tail: Tail,
    probability: f64,
) -> u64 {
    let target = probability.ln();
    let reached = |count| {
        let tails = binomial_log_tails(trials, p, count);
        match tail {
            Tail::Lower => tails.lower >= target - SLACK,
            Tail::Upper => tails.upper <= target + SLACK,
        }
    };
    let (mut low, mut high) = (0, trials);
    while low < high {
        let middle = low + (high - low) / 2;
        if reached(middle) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    low
}
