//! One share and its interval, and the difference of two shares. Knows tallies only: whether the
//! cases behind them are alike, or independent, is for the caller to know.

use super::difference::{Difference, Estimate, square_and_add};
use super::special::{Tail, beta_quantile};
use super::{Interval, Level};
use crate::domain::tally::Tally;

#[cfg(test)]
mod tests;

/// Wilson score interval of a share, without continuity correction: the default.
///
/// Limits are fractions; `low` is exactly 0 for no events and `high` exactly 1 for all. It covers
/// the true share 95 % of the time on average over shares from 5 cases on. For single shares near 0
/// or 1 it falls to 84 % at 5 and 10 cases, 86 % at 50, 91 % at 100 and 94 % at 300 (exact binomial
/// sums at the 95 % level, `tests/bench/coverage.md`); [`clopper_pearson`] never does, and is wider
/// everywhere else for it.
///
/// Source: Wilson (1927), Journal of the American Statistical Association 22:209-212; method 3
/// of Newcombe (1998), Statistics in Medicine 17:857-872, whose Table I it reproduces. Formula
/// from memory, in a form that loses no digits when the share is near 0.
pub fn wilson(tally: Tally, level: Level) -> Interval {
    let (events, cases, _) = sizes(tally);
    wilson_of_sizes(events, cases, level.normal_bound())
}

/// Wilson's interval for sizes that need not be whole, `0 <= events <= cases`, `cases > 0`, from the
/// bound `z` of a standard normal (or t) distribution.
pub(super) fn wilson_of_sizes(events: f64, cases: f64, z: f64) -> Interval {
    // The limits are the roots of (n + z²) x² - (2k + z²) x + k²/n = 0.
    let misses = (cases - events).max(0.0);
    let root = z * (events * (misses / cases) + z * z / 4.0).sqrt();
    let larger = events + z * z / 2.0 + root;
    Interval {
        low: if events > 0.0 {
            events * (events / cases) / larger
        } else {
            0.0
        },
        // Rounding would leave this just below 1.
        high: if misses > 0.0 {
            (larger / (cases + z * z)).min(1.0)
        } else {
            1.0
        },
    }
}

/// Clopper-Pearson interval of a share: covers the true share at least as often as the level
/// says, whatever it is, and is therefore wide. For statements of safety.
///
/// Two-sided also for no events and for all events, so the upper limit for 0 of n is
/// `1 - 0.025^(1/n)` at 95 %, not the one-sided limit behind the rule of three.
///
/// Source: Clopper & Pearson (1934), Biometrika 26:404-413; as beta quantiles, method 5 of
/// Newcombe (1998), Statistics in Medicine 17:857-872, whose Table I it reproduces. Formula from
/// memory.
pub fn clopper_pearson(tally: Tally, level: Level) -> Interval {
    let (k, n, misses) = sizes(tally);
    let tail = level.tail();
    Interval {
        low: match tally.events() {
            0 => 0.0,
            _ if tally.misses() == 0 => (tail.ln() / n).exp(),
            _ => beta_quantile(k, misses + 1.0, Tail::Lower, tail),
        },
        high: match tally.misses() {
            0 => 1.0,
            _ if tally.events() == 0 => -(tail.ln() / n).exp_m1(),
            _ => beta_quantile(k + 1.0, misses, Tail::Upper, tail),
        },
    }
}

/// Jeffreys interval of a share: equal tails of Beta(k + 1/2, n - k + 1/2).
///
/// `low` is 0 for no events and `high` is 1 for all, so that the share itself is always inside
/// at the usual levels; the other limit of these two stays that of equal tails.
///
/// Source: Brown, Cai & `DasGupta` (2001), Statistical Science 16:101-133; from memory.
pub fn jeffreys(tally: Tally, level: Level) -> Interval {
    let (k, _, misses) = sizes(tally);
    let tail = level.tail();
    Interval {
        low: match tally.events() {
            0 => 0.0,
            _ => beta_quantile(k + 0.5, misses + 0.5, Tail::Lower, tail),
        },
        high: match tally.misses() {
            0 => 1.0,
            _ => beta_quantile(k + 0.5, misses + 0.5, Tail::Upper, tail),
        },
    }
}

/// Difference of the shares of two independent groups, first minus second, with Newcombe's
/// interval from the two Wilson intervals (squares added, no continuity correction).
///
/// Not for the same cases before and after: those are pairs. At the 95 % level it covers 95 % on
/// average over pairs of shares, at worst 91 % (10 against 10), 93 % (10 against 100) and 94 to 95 %
/// (50 against 50, 30 against 400); see `tests/bench/coverage.md`.
///
/// Source: Newcombe (1998), Statistics in Medicine 17:873-890, method 10, whose Table II it
/// reproduces; formula from memory.
pub fn newcombe_difference(first: Tally, second: Tally, level: Level) -> Difference {
    let estimate = |tally: Tally| Estimate {
        value: tally.share(),
        interval: wilson(tally, level),
    };
    let difference = square_and_add(estimate(first), estimate(second));
    Difference {
        // Within -1 to 1 by the formula; the limits here only take off rounding.
        low: difference.low.max(-1.0),
        high: difference.high.min(1.0),
        ..difference
    }
}

fn sizes(tally: Tally) -> (f64, f64, f64) {
    (
        tally.events() as f64,
        tally.cases() as f64,
        tally.misses() as f64,
    )
}
