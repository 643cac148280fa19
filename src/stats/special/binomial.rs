//! Binomial probabilities and quantiles, for any number of trials.

use super::beta::beta_log_tails;
use super::counts::{CERTAIN, smallest_count};
use super::{LogTails, Tail};

/// `lower` is ln P(X <= count), `upper` is ln P(X > count), for `trials` with success
/// probability `p` in 0 to 1. The identity with the beta distribution is Abramowitz & Stegun
/// (1964), 26.5.24; from memory.
pub(in crate::stats) fn binomial_log_tails(trials: u64, p: f64, count: u64) -> LogTails {
    if count >= trials {
        return CERTAIN;
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
    smallest_count(trials, tail, probability, |count| {
        binomial_log_tails(trials, p, count)
    })
    // All trials are never exceeded, so there always is a smallest count.
    .unwrap_or(trials)
}
