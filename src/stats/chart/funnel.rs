//! Funnel limits: how far the share of a unit may lie from a target by counting alone, for units
//! compared at one time. Knows a target, a number of cases and a level. It ranks nobody.

use super::limits::{Bounds, Possible};
use crate::domain::tally::Tally;
use crate::stats::Level;
use crate::stats::special::{LogTails, Tail, binomial_log_tails, binomial_quantile};
use std::num::NonZeroU64;

#[cfg(test)]
mod tests;

/// The pooled share of units, the usual target when no other is set. `None` without units.
pub fn pooled_share(units: &[Tally]) -> Option<f64> {
    super::share::pooled_share(units.iter().copied())
}

/// `target ± z sqrt(target (1 - target) / cases + variance_between)`, where `variance_between` is 0
/// or comes from [`super::overdispersion`].
///
/// No limits unless `target` lies strictly between 0 and 1 and `variance_between` is 0 or a
/// positive number. Levels in use: 95 % and 99.8 %.
///
/// Source: Spiegelhalter (2005), Statistics in Medicine 24:1185-1202; from memory.
pub fn normal_limits(
    target: f64,
    cases: NonZeroU64,
    variance_between: f64,
    level: Level,
) -> Bounds {
    let is_usable = target > 0.0 && target < 1.0 && variance_between >= 0.0;
    if !is_usable {
        return Bounds::NONE;
    }
    let variance = target * (1.0 - target) / cases.get() as f64 + variance_between;
    let distance = level.normal_bound() * variance.sqrt();
    Possible::Share.keep(target - distance, target + distance)
}

/// Exact binomial limits, interpolated between counts so that the funnel has no steps. For small
/// units, where the normal limits mislead.
///
/// With `q` the probability below the limit and `r` the smallest count with `P(X <= r) >= q`, the
/// limit is `(r - a) / n` with `a = (P(X <= r) - q) / P(X = r)`. There is no lower limit where `r`
/// is 0, and no upper one where `r` is all cases: even that count is likely enough then. By this
/// definition the upper limit lies closer than a mirrored lower one by one count: a unit just
/// above it may have a chance somewhat larger than the level leaves.
///
/// No limits unless `target` lies strictly between 0 and 1.
///
/// Source: Spiegelhalter (2005), Statistics in Medicine 24:1185-1202, appendix A.1.1; from memory.
pub fn exact_limits(target: f64, cases: NonZeroU64, level: Level) -> Bounds {
    let is_usable = target > 0.0 && target < 1.0;
    if !is_usable {
        return Bounds::NONE;
    }
    let size = cases.get() as f64;
    let low = interpolated_count(target, cases.get(), Tail::Lower, level.tail());
    let high = interpolated_count(target, cases.get(), Tail::Upper, level.tail());
    Bounds {
        low: (low > 0.0).then_some(low / size),
        // The limit is within the last count, or negative where any event at all is rarer than the
        // level asks for; a unit without events is not beyond the limit then.
        high: (high <= size - 1.0).then_some(high.max(0.0) / size),
    }
}

/// [`exact_limits`] that treat both sides alike: the upper limit is 1 minus the lower limit of the
/// cases without the event. So a unit beyond a limit has a chance below half of what the level leaves
/// on either side, and counting successes or failures points at the same units. By the published
/// upper limit a single event in a small unit may lie beyond it, however likely it is: at a target of
/// 3 %, 1 of 5 lies above the 95 % limit, and happens in 14 of 100 such units.
///
/// No limits unless `target` lies strictly between 0 and 1.
pub fn even_limits(target: f64, cases: NonZeroU64, level: Level) -> Bounds {
    Bounds {
        low: exact_limits(target, cases, level).low,
        high: exact_limits(1.0 - target, cases, level)
            .low
            .map(|low| 1.0 - low),
    }
}

/// The count, between whole ones, at which `tail` has the given probability.
fn interpolated_count(target: f64, cases: u64, tail: Tail, probability: f64) -> f64 {
    let count = binomial_quantile(cases, target, tail, probability);
    let share_of = |tails: LogTails| match tail {
        Tail::Lower => tails.lower.exp(),
        Tail::Upper => tails.upper.exp(),
    };
    let here = share_of(binomial_log_tails(cases, target, count));
    let before = match (count.checked_sub(1), tail) {
        (Some(before), _) => share_of(binomial_log_tails(cases, target, before)),
        (None, Tail::Lower) => 0.0,
        (None, Tail::Upper) => 1.0,
    };
    let step = (here - before).abs();
    // The count may be one off where there are more than 10^8 cases; then one end of the step
    // stands in for the other, which no chart can show.
    let part = if step > 0.0 {
        ((here - probability).abs() / step).min(1.0)
    } else {
        0.0
    };
    count as f64 - part
}
