//! Events per observed time. Knows a count and an exposure; whether the events come evenly, and
//! in which unit time is given, is for the caller to know.

use super::Level;
use super::special::{Tail, gamma_quantile};

#[cfg(test)]
mod tests;

/// A rate and its interval, per unit of the exposure given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rate {
    /// Events per unit of exposure.
    pub rate: f64,
    /// Lower limit, exactly 0 without events.
    pub low: f64,
    /// Upper limit, above 0 even without events.
    pub high: f64,
}

/// Garwood's exact interval of a Poisson rate: covers the true rate at least as often as the
/// level says.
///
/// `None` when `exposure` is not a positive finite number, or so small that the upper limit
/// exceeds what f64 can hold.
///
/// Source: Garwood (1936), Biometrika 28:437-442, as gamma quantiles; formula from memory, its
/// printed table reproduced.
pub fn garwood(events: u64, exposure: f64, level: Level) -> Option<Rate> {
    if !(exposure > 0.0 && exposure.is_finite()) {
        return None;
    }
    let count = events as f64;
    let tail = level.tail();
    let (low, high) = if events == 0 {
        (0.0, -tail.ln())
    } else {
        (
            gamma_quantile(count, Tail::Lower, tail),
            gamma_quantile(count + 1.0, Tail::Upper, tail),
        )
    };
    let rate = Rate {
        rate: count / exposure,
        low: low / exposure,
        high: high / exposure,
    };
    rate.high.is_finite().then_some(rate)
}
