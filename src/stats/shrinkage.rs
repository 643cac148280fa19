//! Shares of many units (devices, months, sites), each drawn toward the share of all: the fewer
//! cases a unit has, the more. Knows counts; whether the units are of one kind is for the caller
//! to know. To be shown beside the raw share, never instead of it.
//!
//! The units' true shares are taken as draws from one beta distribution, which is estimated from
//! all of them by maximum likelihood.

use super::special::{Tail, beta_quantile};
use super::{Interval, Level};
use crate::domain::tally::Tally;
use likelihood::Scores;
use std::collections::BTreeMap;

mod likelihood;
#[cfg(test)]
mod tests;

/// The beta distribution that the true shares of units are drawn from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnitShares {
    /// Mean of the true shares, strictly between 0 and 1.
    pub mean: f64,
    /// How alike they are, as a number of cases (`a + b` of the beta distribution), above 0: a
    /// unit with this many cases is drawn half way to the mean. Infinite when the units differ no
    /// more than chance alone would make them.
    pub concentration: f64,
}

/// Concentrations outside of these count as the end or as infinite: shares that are all 0 or 1,
/// and units as alike as those of 10^9 cases.
const SMALLEST_CONCENTRATION: f64 = 1e-6;
const LARGEST_CONCENTRATION: f64 = 1e9;

/// Fits the beta distribution to units grouped by (events, cases).
///
/// Maximum likelihood of the beta-binomial model. Where the observed variance is not above the
/// binomial one (Tarone's statistic not above 0, as for a single unit or units of one case), the
/// concentration is infinite and the mean is the share of all cases. When units have either all
/// events or none, it ends at 10^-6.
///
/// `None` without an event or without a miss in all units together, where nothing can be said
/// about how units differ, or when a unit has more events than cases. Units without cases add
/// nothing. With fewer than about ten units the concentration is known badly.
///
/// Sources: Griffiths (1973), Biometrics 29:637-648 (maximum likelihood); Tarone (1979),
/// Biometrika 66:585-590 (statistic); Kleinman (1973), Journal of the American Statistical
/// Association 68:46-54 (moments, for the start); all from memory.
pub fn fit_unit_shares(units: &BTreeMap<(u64, u64), u64>) -> Option<UnitShares> {
    fit_no_less_alike(units, SMALLEST_CONCENTRATION)
}

/// [`fit_unit_shares`] with the maximum likelihood among concentrations of at least `least`, which is
/// above 0: for callers to whom units with nothing but events or misses do not tell that every unit has
/// 0 or 1 for its share.
pub fn fit_no_less_alike(units: &BTreeMap<(u64, u64), u64>, least: f64) -> Option<UnitShares> {
    if units.keys().any(|(events, cases)| events > cases) {
        return None;
    }
    let scores = Scores::new(units);
    let (events, misses) = scores.totals();
    if events <= 0.0 || misses <= 0.0 {
        return None;
    }
    // Misses may be too few to keep f64 from rounding to 1.
    let pooled = (events / (events + misses)).min(share(LOG_ODDS_ENDS.1));
    let alike = UnitShares {
        mean: pooled,
        concentration: f64::INFINITY,
    };
    if scores.spread_at_binomial(pooled) <= 0.0 {
        return Some(alike);
    }

    // For each concentration the best mean, and the sign of the slope there says on which side the
    // best concentration lies.
    let mut mean_log_odds = (events / misses).ln();
    let log_concentration = root_of_falling(
        |log_concentration| {
            let spread = (-log_concentration).exp();
            mean_log_odds = root_of_falling(
                |log_odds| scores.by_mean(share(log_odds), share(-log_odds), spread),
                mean_log_odds,
                0.125,
                LOG_ODDS_ENDS,
            );
            // More spread is less concentration, so its slope is turned round.
            -scores.by_spread(share(mean_log_odds), share(-mean_log_odds), spread)
        },
        scores.moments_concentration(pooled).ln(),
        0.5,
        (
            least.max(SMALLEST_CONCENTRATION).ln(),
            LARGEST_CONCENTRATION.ln(),
        ),
    );
    let concentration = log_concentration.exp();
    if concentration >= LARGEST_CONCENTRATION * 0.999 {
        return Some(alike);
    }
    Some(UnitShares {
        mean: share(mean_log_odds),
        concentration,
    })
}

/// A unit's share, drawn toward the mean of all units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShrunkShare {
    /// Mean of what the unit's true share may be; between its raw share and the mean of all.
    pub estimate: f64,
    /// Equal tails of what it may be, widened to hold the estimate where nearly all of it lies at 0
    /// or 1, so that the mean is beyond a quantile. Takes the mean and concentration of the units as
    /// known, so it is somewhat too narrow when there are few units. `None` when the concentration is
    /// infinite: then all units have one share, and the interval of that is the one to show.
    pub interval: Option<Interval>,
}

/// The share of one unit, drawn toward those of all: Beta(k + a, n - k + b).
///
/// `None` when the mean is not strictly between 0 and 1, or the concentration not above 0.
///
/// Source: Efron & Morris (1975), Journal of the American Statistical Association 70:311-319
/// (the idea); the formula is that of the conjugate prior; from memory.
pub fn shrunk_share(unit: Tally, units: UnitShares, level: Level) -> Option<ShrunkShare> {
    let sizes = (unit.events() as f64, unit.misses() as f64);
    shrunk(unit.share(), sizes, units, level)
}

/// [`shrunk_share`] of a unit whose attempts go together, so that they count for no more than
/// `cases` unrelated ones, which need not be a whole number: see
/// [`super::clustered::ClusteredShare::effective_attempts`].
///
/// `None` also unless `share` is in 0 to 1 and `cases` a positive finite number.
pub fn shrunk_share_of_size(
    share: f64,
    cases: f64,
    units: UnitShares,
    level: Level,
) -> Option<ShrunkShare> {
    if !((0.0..=1.0).contains(&share) && cases > 0.0 && cases.is_finite()) {
        return None;
    }
    let sizes = (share * cases, (1.0 - share) * cases);
    shrunk(share, sizes, units, level)
}

fn shrunk(
    share: f64,
    (events, misses): (f64, f64),
    units: UnitShares,
    level: Level,
) -> Option<ShrunkShare> {
    let UnitShares {
        mean,
        concentration,
    } = units;
    if !(mean > 0.0 && mean < 1.0 && concentration > 0.0) {
        return None;
    }
    // As weights, so that an infinite concentration gives the mean.
    let estimate = mean + (share - mean) / (1.0 + concentration / (events + misses));
    let (a, b) = (mean * concentration, (1.0 - mean) * concentration);
    let interval = (concentration.is_finite() && a > 0.0 && b > 0.0).then(|| {
        let (a, b) = (events + a, misses + b);
        Interval {
            low: beta_quantile(a, b, Tail::Lower, level.tail()).min(estimate),
            high: beta_quantile(a, b, Tail::Upper, level.tail()).max(estimate),
        }
    });
    Some(ShrunkShare { estimate, interval })
}

/// Below the first, no count of 64 bits has a share; above the second, f64 rounds a share to 1.
const LOG_ODDS_ENDS: (f64, f64) = (-45.0, 36.0);

fn share(log_odds: f64) -> f64 {
    1.0 / (1.0 + (-log_odds).exp())
}

/// Where a function that is first positive and then negative crosses 0, between `ends`: widening
/// steps from `start` until it is enclosed, then false position (the Illinois variant) with
/// halving between. The nearer end when it does not cross.
fn root_of_falling(
    mut function: impl FnMut(f64) -> f64,
    start: f64,
    first_step: f64,
    ends: (f64, f64),
) -> f64 {
    let start = start.clamp(ends.0, ends.1);
    let at_start = function(start);
    if at_start == 0.0 {
        return start;
    }
    let (direction, end) = if at_start > 0.0 {
        (1.0, ends.1)
    } else {
        (-1.0, ends.0)
    };
    let (mut near, mut at_near) = (start, at_start);
    let (mut far, mut at_far) = (start, at_start);
    let mut step = first_step;
    while at_far * direction > 0.0 {
        if (far - end) * direction >= 0.0 {
            return end;
        }
        (near, at_near) = (far, at_far);
        far = (far + direction * step).clamp(ends.0, ends.1);
        at_far = function(far);
        step *= 2.0;
    }
    refine(function, (near, at_near), (far, at_far))
}

/// The root between two points at which the function has different signs.
fn refine(
    mut function: impl FnMut(f64) -> f64,
    (mut near, mut at_near): (f64, f64),
    (mut far, mut at_far): (f64, f64),
) -> f64 {
    let mut best = far;
    for round in 0..200 {
        let width = far - near;
        let falsi = far - at_far * (width / (at_far - at_near));
        let next = if round % 6 == 5 || !falsi.is_finite() {
            f64::midpoint(near, far)
        } else {
            falsi
        };
        let moved = (next - best).abs();
        best = next;
        let at_next = function(next);
        let tolerance = 1e-12 * next.abs().max(1.0);
        if at_next == 0.0 || moved <= tolerance || width.abs() <= tolerance {
            break;
        }
        if at_next.signum() == at_far.signum() {
            // The other end keeps its sign twice: half its weight, or it would never move.
            at_near /= 2.0;
        } else {
            (near, at_near) = (far, at_far);
        }
        (far, at_far) = (next, at_next);
    }
    best
}
