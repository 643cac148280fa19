//! Par levels: how many of a device the cart must carry so that demand until it is filled again
//! seldom exceeds it. Knows a mean, or a number of uses in some time; which items must be there
//! whatever their use, and when stock expires, is for the caller to know.
//!
//! A service level is the probability that the stock covers the demand of one replenishment
//! period, lead time included; strictly between 0 and 1. A level that a stock meets exactly (to
//! 10 digits) counts as met.

use super::prediction::{predicted_log_tails, smallest_predicted_count};
use super::queue::erlang_b;
use super::special::{
    LogTails, Tail, negative_binomial_log_tails, poisson_log_tails, smallest_count,
};

#[cfg(test)]
mod tests;

/// The smallest stock that covers a Poisson demand with this mean.
///
/// Treats the mean as known and the uses as unrelated: from few uses see
/// [`predictive_par_level`], for uses in bursts [`negative_binomial_par_level`].
///
/// `None` unless the mean is finite and at least 0 and the service level strictly between 0 and 1,
/// or when the stock would exceed `u64::MAX`. Above about 10^8 the stock may be one off.
pub fn poisson_par_level(mean_demand: f64, service_level: f64) -> Option<u64> {
    if !(mean_demand >= 0.0 && mean_demand.is_finite()) {
        return None;
    }
    smallest_stock(service_level, |stock| poisson_log_tails(mean_demand, stock))
}

/// The smallest stock that covers a negative binomial demand with this mean and variance, both of
/// the demand in one replenishment period.
///
/// A variance not above the mean is taken as the mean, which makes the demand Poisson. `None` as
/// for [`poisson_par_level`], or unless the variance is finite and at least 0.
pub fn negative_binomial_par_level(
    mean_demand: f64,
    variance: f64,
    service_level: f64,
) -> Option<u64> {
    if !(variance >= 0.0 && variance.is_finite()) {
        return None;
    }
    let excess = variance - mean_demand;
    let size = mean_demand / excess * mean_demand;
    let is_uneven = excess > 0.0 && mean_demand > 0.0 && size < LARGEST_SIZE;
    if !is_uneven {
        return poisson_par_level(mean_demand, service_level);
    }
    if size < SMALLEST_SIZE {
        return tail_of(service_level).map(|_| 0);
    }
    let (p, miss) = (mean_demand / variance, excess / variance);
    smallest_stock(service_level, |stock| {
        negative_binomial_log_tails(size, p, miss, stock)
    })
}

/// From this size on, the variance exceeds the mean by nothing that f64 can hold.
const LARGEST_SIZE: f64 = 1e15;

/// Below this size, the probability of any demand is below what f64 can tell from 0.
const SMALLEST_SIZE: f64 = 1e-30;

/// The smallest stock that covers the demand of the next period of length `next_exposure`, when
/// there were `uses` in a period of length `exposure`.
///
/// The rate of use is not known but estimated, and the stock allows for that: after few uses it is
/// one or two above that of the mean put into [`poisson_par_level`]. No uses in a long time still
/// give a positive mean, half a use in that time. Assumes that uses come at a steady rate.
///
/// `None` unless both periods are finite and above 0 and the service level strictly between 0 and
/// 1, or when the stock would exceed `u64::MAX`.
///
/// Source: the predictive distribution of [`predict_count`](super::prediction::predict_count).
pub fn predictive_par_level(
    uses: u64,
    exposure: f64,
    next_exposure: f64,
    service_level: f64,
) -> Option<u64> {
    let (tail, probability) = tail_of(service_level)?;
    smallest_predicted_count(uses, exposure, next_exposure, tail, probability)
}

/// Probability that the demand of the next period of length `next_exposure` exceeds a stock, when
/// there were `uses` in a period of length `exposure`.
///
/// The counterpart of [`predictive_par_level`]: the smallest stock with which this is at most one
/// less the service level is that par level. `None` unless both periods are finite and above 0.
pub fn predictive_shortage(
    uses: u64,
    exposure: f64,
    next_exposure: f64,
    stock: u64,
) -> Option<f64> {
    let tails = predicted_log_tails(uses, exposure, next_exposure, stock)?;
    Some(tails.upper.exp().min(1.0))
}

/// How many of a stock are still unused after a period of length `next_exposure`, on average, when
/// there were `uses` in a period of length `exposure`.
///
/// With a shelf life as the period: what expires of a stock that came in fresh, is used oldest first
/// and is filled up again. The mean of `max(0, stock - demand)` over the predictive distribution,
/// as the sum of P(demand <= j) over j below the stock. `None` unless both periods are finite and
/// above 0.
pub fn predictive_unused(uses: u64, exposure: f64, next_exposure: f64, stock: u16) -> Option<f64> {
    let mut unused = 0.0;
    for count in 0..stock {
        let tails = predicted_log_tails(uses, exposure, next_exposure, u64::from(count))?;
        unused += tails.lower.exp().min(1.0);
    }
    Some(unused)
}

/// Probability that a needed item is missing, when each item taken is ordered at once and comes
/// back after a lead time, and a demand that finds none is met from elsewhere.
///
/// Erlang's loss formula: items on order are the busy lines. `lead_time_demand` is the mean demand
/// in one lead time. 1 without stock. `None` unless the mean is finite and at least 0.
///
/// Source: Smith (1977), Management Science 23:522-529; from memory.
pub fn lost_sales_risk(lead_time_demand: f64, stock: u16) -> Option<f64> {
    erlang_b(lead_time_demand, stock)
}

fn smallest_stock(service_level: f64, log_tails: impl Fn(u64) -> LogTails) -> Option<u64> {
    let (tail, probability) = tail_of(service_level)?;
    smallest_count(u64::MAX, tail, probability, log_tails)
}

/// The smaller side of a service level, where its digits are.
fn tail_of(service_level: f64) -> Option<(Tail, f64)> {
    if !(service_level > 0.0 && service_level < 1.0) {
        None
    } else if service_level < 0.5 {
        Some((Tail::Lower, service_level))
    } else {
        Some((Tail::Upper, 1.0 - service_level))
    }
}
