//! Median and other quantiles of minutes when every case reached its end. Knows grouped counts;
//! cases that were only followed for a while belong in `survival`.

use super::Level;
use super::special::{Tail, binomial_log_tails, binomial_quantile};

#[cfg(test)]
mod tests;

/// Values with the number of cases at each, never spread out into single cases.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Distribution {
    /// Values in rising order, each with the number of cases at or below it, which also rises.
    cumulative: Vec<(i64, u64)>,
}

impl Distribution {
    /// From values in whole minutes with their counts, in any order. Equal values are added up,
    /// counts of 0 are left out, and counts stop at `u64::MAX`.
    pub fn new(counts: impl IntoIterator<Item = (i64, u64)>) -> Distribution {
        let mut sorted: Vec<(i64, u64)> = counts.into_iter().filter(|(_, n)| *n > 0).collect();
        sorted.sort_unstable();
        let mut cumulative: Vec<(i64, u64)> = Vec::new();
        let mut total = 0_u64;
        for (value, count) in sorted {
            total = total.saturating_add(count);
            match cumulative.last_mut() {
                Some(last) if last.0 == value => last.1 = total,
                _ => cumulative.push((value, total)),
            }
        }
        Distribution { cumulative }
    }

    /// Number of cases.
    pub fn cases(&self) -> u64 {
        self.cumulative.last().map_or(0, |(_, total)| *total)
    }

    /// The values in rising order, each once, with the number of cases at it, at least 1 (0 beyond
    /// a total of `u64::MAX`).
    pub fn counts(&self) -> impl Iterator<Item = (i64, u64)> {
        let before = std::iter::once(0).chain(self.cumulative.iter().map(|(_, total)| *total));
        self.cumulative
            .iter()
            .zip(before)
            .map(|(&(value, total), before)| (value, total - before))
    }

    /// The value of the case at `rank`, counted from 1; `None` outside 1 to the number of cases.
    pub fn at_rank(&self, rank: u64) -> Option<i64> {
        if rank == 0 {
            return None;
        }
        let index = self.cumulative.partition_point(|(_, total)| *total < rank);
        self.cumulative.get(index).map(|(value, _)| *value)
    }
}

/// The quantile `q` (0.5 for the median) by definition 7: with `h = (n - 1) q`, the straight line
/// between the values at ranks `floor(h) + 1` and `floor(h) + 2`.
///
/// `None` without cases, or when `q` is not in 0 to 1; 0 gives the smallest value, 1 the largest.
/// Definition 7 is the default of R and of `NumPy`; other programs differ in small samples.
///
/// Source: Hyndman & Fan (1996), The American Statistician 50:361-365; from memory.
pub fn quantile(distribution: &Distribution, q: f64) -> Option<f64> {
    let cases = distribution.cases();
    if cases == 0 || !(0.0..=1.0).contains(&q) {
        return None;
    }
    let position = (cases - 1) as f64 * q;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "the position is in 0 to cases - 1, and the cast saturates"
    )]
    let below = (position.floor() as u64).min(cases - 1);
    let value = distribution.at_rank(below + 1)? as f64;
    // The largest value has no neighbor above.
    let next = distribution
        .at_rank(below.saturating_add(2))
        .map_or(value, |next| next as f64);
    Some(value + (position - position.floor()) * (next - value))
}

/// Ranks whose values enclose a quantile, counted from 1, and how often they do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ranks {
    /// Rank of the lower limit; `None` when even the smallest value is no limit at this level.
    pub low: Option<u64>,
    /// Rank of the upper limit; `None` when even the largest value is no limit at this level.
    pub high: Option<u64>,
    /// Probability that the limits enclose the quantile: at least the level, often well above it
    /// in small samples. A missing limit counts as infinitely far away.
    pub coverage: f64,
}

/// The ranks for the quantile `q` of `cases` independent values, with each side left out at most
/// as often as half of what the level leaves.
///
/// `None` without cases, or unless `q` lies strictly between 0 and 1. The median has both limits
/// from 6 cases at 95 %, the quartiles from 13, the 90th percentile from 36.
///
/// Ranks are `qbinom(tail, n, q)` and `qbinom(1 - tail, n, q) + 1` in the notation of R.
/// Source: Thompson (1936), Annals of Mathematical Statistics 7:122-128; Conover (1999),
/// Practical Nonparametric Statistics, section 3.2; both from memory.
pub fn order_ranks(cases: u64, q: f64, level: Level) -> Option<Ranks> {
    if cases == 0 || !(q > 0.0 && q < 1.0) {
        return None;
    }
    let low = binomial_quantile(cases, q, Tail::Lower, level.tail());
    let below_high = binomial_quantile(cases, q, Tail::Upper, level.tail());
    let low = (low > 0).then_some(low);
    let high = (below_high < cases).then(|| below_high + 1);
    Some(Ranks {
        low,
        high,
        coverage: rank_coverage(cases, q, low, high)?,
    })
}

/// Probability that the values at these ranks enclose the quantile `q` of `cases` independent
/// values; ties only make it larger. A `None` rank is a limit infinitely far away.
///
/// `None` unless `q` lies strictly between 0 and 1.
pub fn rank_coverage(cases: u64, q: f64, low: Option<u64>, high: Option<u64>) -> Option<f64> {
    if !(q > 0.0 && q < 1.0) {
        return None;
    }
    // The number of values at or below the quantile is binomial. The lower limit misses when
    // fewer values than its rank are, the upper one when at least as many as its rank are.
    let low_misses = match low {
        None | Some(0) => 0.0,
        Some(rank) => binomial_log_tails(cases, q, rank - 1).lower.exp(),
    };
    let high_misses = match high {
        None => 0.0,
        Some(0) => 1.0,
        Some(rank) => binomial_log_tails(cases, q, rank - 1).upper.exp(),
    };
    Some((1.0 - low_misses - high_misses).max(0.0))
}

/// A quantile of minutes with its order-statistic interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct QuantileInterval {
    /// The quantile by definition 7.
    pub estimate: f64,
    /// Lower limit, a value that occurred; `None` when the sample is too small for one.
    pub low: Option<f64>,
    /// Upper limit, a value that occurred; `None` when the sample is too small for one.
    pub high: Option<f64>,
    /// Probability that the limits enclose the quantile, see [`Ranks::coverage`].
    pub coverage: f64,
}

/// The quantile `q` with the values at [`order_ranks`] as its limits. `None` without cases, or
/// unless `q` lies strictly between 0 and 1.
pub fn quantile_interval(
    distribution: &Distribution,
    q: f64,
    level: Level,
) -> Option<QuantileInterval> {
    let ranks = order_ranks(distribution.cases(), q, level)?;
    quantile_between(distribution, q, ranks)
}

/// The quantile `q` with the values at `ranks` as its limits: those of [`order_ranks`] for its number
/// of cases, which do not depend on the values. `None` without cases, or when `q` is not in 0 to 1.
pub fn quantile_between(
    distribution: &Distribution,
    q: f64,
    ranks: Ranks,
) -> Option<QuantileInterval> {
    let value_at = |rank: Option<u64>| Some(distribution.at_rank(rank?)? as f64);
    Some(QuantileInterval {
        estimate: quantile(distribution, q)?,
        low: value_at(ranks.low),
        high: value_at(ranks.high),
        coverage: ranks.coverage,
    })
}
