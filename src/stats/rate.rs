//! Events per observed time. Knows a count and an exposure; whether the events come evenly, and
//! in which unit time is given, is for the caller to know.

use super::Level;
use super::exact::binomial_exact;
use super::special::{Tail, beta_quantile, gamma_quantile};

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

/// A number of events and the exposure in which they were counted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exposed {
    /// Number of events.
    pub events: u64,
    /// Observed time, cases or whatever the events are counted against, in the same unit for both
    /// rates.
    pub exposure: f64,
}

/// The ratio of two rates, first over second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RateRatio {
    /// The ratio; infinite without events in the second group, `None` without any.
    pub estimate: Option<f64>,
    /// Lower limit, exactly 0 without events in the first group.
    pub low: f64,
    /// Upper limit, infinite without events in the second group.
    pub high: f64,
    /// Two-sided exact test of equal rates: the probability, given the number of all events, of a
    /// split that is not likelier than the observed one. It may disagree with the interval near
    /// the edge, since the interval leaves out equal tails.
    pub p: f64,
}

/// The ratio of two Poisson rates with its conditional exact interval: given all events, those of
/// the first group are binomial. Covers the true ratio at least as often as the level says.
///
/// `None` when an exposure is not a positive finite number, or the ratio of the exposures is not.
///
/// Source: Przyborowski & Wilenski (1940), Biometrika 31:313-323, with Clopper-Pearson limits; from
/// memory, the printed example of R reproduced.
pub fn rate_ratio(first: Exposed, second: Exposed, level: Level) -> Option<RateRatio> {
    let is_positive = |number: f64| number > 0.0 && number.is_finite();
    let odds = first.exposure / second.exposure;
    let inverse_odds = second.exposure / first.exposure;
    if ![first.exposure, second.exposure, odds, inverse_odds]
        .into_iter()
        .all(is_positive)
    {
        return None;
    }
    let (k, m) = (first.events as f64, second.events as f64);
    let tail = level.tail();
    Some(RateRatio {
        estimate: (first.events > 0 || second.events > 0).then(|| k / m * inverse_odds),
        low: match first.events {
            0 => 0.0,
            _ => beta_odds(k, m + 1.0, Tail::Lower, tail) * inverse_odds,
        },
        high: match second.events {
            0 => f64::INFINITY,
            _ => beta_odds(k + 1.0, m, Tail::Upper, tail) * inverse_odds,
        },
        p: binomial_exact(first.events, second.events, odds).two_sided,
    })
}

/// `x / (1 - x)` at the beta quantile `x`. Near 1 the difference is itself a quantile, which keeps
/// its digits.
fn beta_odds(a: f64, b: f64, tail: Tail, probability: f64) -> f64 {
    let x = beta_quantile(a, b, tail, probability);
    if x < 0.5 {
        return x / (1.0 - x);
    }
    let mirrored = match tail {
        Tail::Lower => Tail::Upper,
        Tail::Upper => Tail::Lower,
    };
    x / beta_quantile(b, a, mirrored, probability)
}
