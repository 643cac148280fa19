//! Whether counts vary by more than events that come at random would, and what a rate is worth then.
//! Knows counts with the exposure in which they came; why they vary is for the caller to say.

use super::Level;
use super::p_value::chi_square_above;
use super::rate::{Exposed, Rate};
use super::special::{Tail, gamma_quantile};

#[cfg(test)]
mod tests;

/// How far counts lie from what one common rate expects.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dispersion {
    /// Pearson's chi-square over its degrees of freedom: about 1 when events come at random at one
    /// rate, above it when they vary by more, such as in clusters, with the season or with a trend.
    pub index: f64,
    /// Counts less one.
    pub degrees_of_freedom: usize,
    /// The chance of such an index or a higher one when events come at random at one rate.
    pub p: f64,
}

/// The dispersion of `counts` about their common rate. Exposures are in any unit; where counts are
/// sums over unlike parts, the count that each part expects may stand for it.
///
/// With `C` events in the exposure `T`, a count `c` in `t` expects `m = C t / T`; the index is
/// `Σ (c - m)² / m` over the counts less one. With equal exposures it is the variance over the mean.
/// The chance is that of chi-square, which is good from about one expected event a count on.
///
/// `None` with fewer than two counts, without events, or unless every exposure is a positive finite
/// number.
///
/// Source: Fisher's index of dispersion; Armitage, Berry and Matthews (2002), Statistical Methods in
/// Medical Research, 4th edition, section 8.10; from memory.
pub fn dispersion(counts: &[Exposed]) -> Option<Dispersion> {
    let is_time = |count: &Exposed| count.exposure > 0.0 && count.exposure.is_finite();
    let degrees_of_freedom = counts.len().checked_sub(1).filter(|degrees| *degrees > 0)?;
    let events: f64 = counts.iter().map(|count| count.events as f64).sum();
    let exposure: f64 = counts.iter().map(|count| count.exposure).sum();
    if !(events > 0.0 && counts.iter().all(is_time) && exposure.is_finite()) {
        return None;
    }
    let chi_square: f64 = counts
        .iter()
        .map(|count| {
            let expected = events * (count.exposure / exposure);
            let distance = count.events as f64 - expected;
            distance * (distance / expected)
        })
        .sum();
    Some(Dispersion {
        index: chi_square / degrees_of_freedom as f64,
        degrees_of_freedom,
        p: chi_square_above(chi_square, degrees_of_freedom)?,
    })
}

/// The interval of a rate whose counts vary `index` times as much as events that come at random do:
/// Garwood's interval of `events / index` events in `exposure / index`, as if so many of the events
/// had come independently of each other. With an index of 1, or below, it is Garwood's interval.
///
/// `None` when `exposure` or `index` is not a positive finite number, or a limit exceeds what f64 can
/// hold.
///
/// Source: Rao and Scott (1999), Statistics in Medicine 18:1373-1385, for counts divided by their
/// inflation of variance; from memory.
pub fn garwood_of_effective_count(
    events: u64,
    exposure: f64,
    index: f64,
    level: Level,
) -> Option<Rate> {
    let is_positive = |number: f64| number > 0.0 && number.is_finite();
    if !(is_positive(exposure) && is_positive(index)) {
        return None;
    }
    let index = index.max(1.0);
    let count = events as f64 / index;
    let tail = level.tail();
    let low = match events {
        0 => 0.0,
        _ => gamma_quantile(count, Tail::Lower, tail),
    };
    let high = gamma_quantile(count + 1.0, Tail::Upper, tail);
    let per_event = index / exposure;
    let rate = Rate {
        rate: events as f64 / exposure,
        low: low * per_event,
        high: high * per_event,
    };
    rate.high.is_finite().then_some(rate)
}
