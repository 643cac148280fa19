//! How often a chart signals at a given point although nothing has changed.
//!
//! The textbook figure (one point of 370 beyond three standard deviations) holds for lines that are
//! known. Lines from a dozen months are not: they lie beside the truth, and the later points then
//! lie on one side of them, or beyond them, far more often. Here both are counted in: the chance
//! is averaged over what the true process may be after such a baseline.
//!
//! Numerical integration only, no random numbers. For a point that belongs to the baseline itself
//! the lines are taken for the truth. That makes its chance too large rather than too small: lines
//! lean toward the points that they come from, and if one of these lies above, the others lie
//! below the more.

use super::limits::Limits;
use super::rules::LONG_RUN;
use crate::domain::tally::Tally;
use crate::stats::special::binomial_log_tails;
use crate::stats::special::normal_below;
use crate::stats::special::poisson_log_tails;

mod between;
mod runs;
#[cfg(test)]
mod tests;

pub use between::g_alarm;
pub use between::t_alarm;
pub use runs::run_alarm;

/// Steps of each numerical integral. The integrands are smooth and fall off on both sides, where
/// the trapezoidal rule gains digits with every step.
const NODES: usize = 36;

/// A point with its lines.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Recent {
    /// Number of cases of the point, or its exposure.
    pub size: f64,
    /// Its lines.
    pub limits: Limits,
    /// Whether the lines come from this point among others.
    pub is_of_baseline: bool,
}

/// The chances of one point, for one true process.
#[derive(Clone, Copy, Debug)]
struct Chances {
    above: f64,
    below: f64,
    beyond_high: f64,
    beyond_low: f64,
}

/// The chance that the last of `recent` lies beyond its limits or ends a run of eight on one side
/// of the line, given the chances of each point. Exact, as points are independent for one process.
fn signal_at_last(recent: &[Chances]) -> f64 {
    let Some((last, before)) = recent.split_last() else {
        return 0.0;
    };
    let needed = LONG_RUN - 1;
    let run = |side: fn(&Chances) -> f64| {
        if before.len() < needed {
            return 0.0;
        }
        before[before.len() - needed..].iter().map(side).product()
    };
    let [run_above, run_below]: [f64; 2] = [run(|point| point.above), run(|point| point.below)];
    last.beyond_high
        + last.beyond_low
        + run_above * (last.above - last.beyond_high).max(0.0)
        + run_below * (last.below - last.beyond_low).max(0.0)
}

/// Chance of a signal at the last point of a p chart, after a baseline that adds up to `baseline`.
/// `recent` are the last points, eight where there are as many, each with its whole number of cases.
///
/// The true share has the Beta(k + 1/2, n - k + 1/2) distribution of Jeffreys' prior, and months
/// are binomial.
pub fn share_alarm(baseline: Tally, recent: &[Recent]) -> f64 {
    let (a, b) = (
        baseline.events() as f64 + 0.5,
        baseline.misses() as f64 + 0.5,
    );
    let chances = |point: &Recent, share: f64| {
        let cases = whole(point.size);
        Counts::new(point).chances(|count| {
            let tails = binomial_log_tails(cases, share, count.min(cases));
            (tails.lower.exp(), tails.upper.exp())
        })
    };
    let center = (a / b).ln();
    let spread = (1.0 / a + 1.0 / b).sqrt();
    let log_density = log_beta(a, b);
    average(center, spread, log_density, |log_odds| {
        let share = 1.0 / (1.0 + (-log_odds).exp());
        let of_point = |point: &Recent| {
            let known = point.is_of_baseline.then(|| baseline.share());
            chances(point, known.unwrap_or(share))
        };
        signal_at_last(&recent.iter().map(of_point).collect::<Vec<_>>())
    })
}

/// Chance of a signal at the last point of a u chart, after `events` in `exposure` in the baseline.
/// `recent` are the last points, eight where there are as many, each with its exposure.
///
/// The true rate has the Gamma(events + 1/2, exposure) distribution of Jeffreys' prior, and months
/// are Poisson. 0 unless all exposures are above 0.
pub fn rate_alarm(events: u64, exposure: f64, recent: &[Recent]) -> f64 {
    if !(exposure > 0.0 && recent.iter().all(|point| point.size > 0.0)) {
        return 0.0;
    }
    let shape = events as f64 + 0.5;
    let chances = |point: &Recent, rate: f64| {
        Counts::new(point).chances(|count| {
            let tails = poisson_log_tails(rate * point.size, count);
            (tails.lower.exp(), tails.upper.exp())
        })
    };
    // On the scale of logarithms, where the density is rate^shape exp(-rate exposure).
    let log_density = |log_rate: f64| shape * log_rate - log_rate.exp() * exposure;
    let (center, spread) = ((shape / exposure).ln(), shape.powf(-0.5));
    average(center, spread, log_density, |log_rate| {
        let of_point = |point: &Recent| {
            let known = point.is_of_baseline.then_some(events as f64 / exposure);
            chances(point, known.unwrap_or(log_rate.exp()))
        };
        signal_at_last(&recent.iter().map(of_point).collect::<Vec<_>>())
    })
}

/// The lines of values that are near normal, where also the spread is estimated: individual values,
/// and the charts of Laney on the scale of z.
#[derive(Clone, Debug, PartialEq)]
pub struct NormalLines<'a> {
    /// Relative standard error of the estimated standard deviation, see [`super::sigma_error`].
    pub sigma_error: f64,
    /// For each of the last points, eight where there are as many: variance of the center line over
    /// that of the point. 1 / 12 for single values and a baseline of 12; 0 for a point of the
    /// baseline itself.
    pub center_variances: &'a [f64],
    /// Distance of the lower limit of the last point from the center, in estimated standard
    /// deviations; `None` where there is no limit.
    pub low: Option<f64>,
    /// The same of the upper limit.
    pub high: Option<f64>,
}

/// Chance of a signal at the last point of a chart with [`NormalLines`].
///
/// The center is normal about the truth. The standard deviation from moving ranges is taken for one
/// from a sum of squares with as many degrees of freedom as give its standard error, so that a
/// point is beyond its limits as often as Student's t is beyond about 3.
pub fn normal_alarm(lines: &NormalLines<'_>) -> f64 {
    let Some(last) = lines.center_variances.last() else {
        return 0.0;
    };
    let sigmas = estimated_sigmas(lines.sigma_error);
    let log_density = |center: f64| -center * center / 2.0;
    average(0.0, 1.0, log_density, |center| {
        let beyond = |limit: Option<f64>, shift: f64| {
            limit.map_or(0.0, |limit| {
                let chance = |sigma: f64| normal_below(-(limit * sigma + shift));
                sigmas
                    .iter()
                    .map(|(weight, sigma)| weight * chance(*sigma))
                    .sum()
            })
        };
        let shift = center * last.sqrt();
        let mut chances: Vec<Chances> = lines
            .center_variances
            .iter()
            .map(|variance| Chances {
                above: normal_below(-center * variance.sqrt()),
                below: normal_below(center * variance.sqrt()),
                beyond_high: 0.0,
                beyond_low: 0.0,
            })
            .collect();
        if let Some(last) = chances.last_mut() {
            last.beyond_high = beyond(lines.high, shift);
            last.beyond_low = beyond(lines.low, -shift);
        }
        signal_at_last(&chances)
    })
}

/// Estimated standard deviations in true ones, with weights that add up to 1: right on average, with
/// the relative standard error `error`.
fn estimated_sigmas(error: f64) -> Vec<(f64, f64)> {
    if error <= 0.0 {
        return vec![(1.0, 1.0)];
    }
    // Half the degrees of freedom: a chi with ν of them has the relative variance 1 / (2 ν - 1/2),
    // near enough from 2 on.
    let shape = (0.5 / (error * error) + 0.25).max(1.0) / 2.0;
    let log_density = |log_square: f64| shape * log_square - log_square.exp();
    let mut sigmas = weighted_places(shape.ln(), shape.powf(-0.5), log_density);
    for (_, place) in &mut sigmas {
        *place = (*place / 2.0).exp();
    }
    let mean: f64 = sigmas.iter().map(|(weight, root)| weight * root).sum();
    for (_, root) in &mut sigmas {
        *root /= mean;
    }
    sigmas
}

/// Logarithm of the density of Beta(a, b) on the scale of log odds, but for a constant.
fn log_beta(a: f64, b: f64) -> impl Fn(f64) -> f64 {
    move |log_odds| -a * (-log_odds).exp().ln_1p() - b * log_odds.exp().ln_1p()
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the cast saturates"
)]
fn whole(size: f64) -> u64 {
    size.max(0.0).round() as u64
}

fn power(base: f64, exponent: u64) -> f64 {
    base.powi(i32::try_from(exponent).unwrap_or(i32::MAX))
}

/// The mean of `value` under a density that `log_density` gives but for a constant, from nine times
/// `spread` below `center` to as much above.
fn average(
    center: f64,
    spread: f64,
    log_density: impl Fn(f64) -> f64,
    value: impl Fn(f64) -> f64,
) -> f64 {
    let weighted = weighted_places(center, spread, log_density);
    weighted
        .iter()
        .map(|(weight, place)| weight * value(*place))
        .sum()
}

/// Places with weights that add up to 1; those without any noticeable weight are left out.
fn weighted_places(center: f64, spread: f64, log_density: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    const REACH: f64 = 9.0;
    const NOTICEABLE: f64 = -24.0;
    let places = (0..=NODES).map(|node| {
        let place = center + REACH * spread * (2.0 * node as f64 / NODES as f64 - 1.0);
        (log_density(place), place)
    });
    let places: Vec<(f64, f64)> = places.collect();
    let logs = places.iter().map(|(log, _)| *log);
    let most = logs.fold(f64::NEG_INFINITY, f64::max);
    let kept = places
        .into_iter()
        .filter(|(log, _)| log - most > NOTICEABLE);
    let mut kept: Vec<(f64, f64)> = kept.map(|(log, at)| ((log - most).exp(), at)).collect();
    let sum: f64 = kept.iter().map(|(weight, _)| weight).sum();
    for (weight, _) in &mut kept {
        *weight /= sum;
    }
    kept
}

/// How many events lie on each side of the lines of one point. `None` where none can.
#[derive(Clone, Copy, Debug)]
struct Counts {
    /// Most events that are not above the line.
    not_above: u64,
    /// Most events that are below the line.
    below: Option<u64>,
    /// Most events that are not beyond the upper limit.
    within_high: Option<u64>,
    /// Most events that are beyond the lower limit.
    beyond_low: Option<u64>,
}

impl Counts {
    fn new(point: &Recent) -> Counts {
        let Recent { size, limits, .. } = *point;
        let not_above = |line: f64| most(size, line, |value| value <= line);
        let below = |line: f64| most(size, line, |value| value < line);
        Counts {
            not_above: not_above(limits.run_line).unwrap_or(0),
            below: below(limits.run_line),
            within_high: limits.control.high.and_then(not_above),
            beyond_low: limits.control.low.and_then(below),
        }
    }

    /// `tails` gives the chances of at most so many events, and of more.
    fn chances(&self, tails: impl Fn(u64) -> (f64, f64)) -> Chances {
        let at_most = |count: Option<u64>| count.map_or(0.0, |count| tails(count).0);
        Chances {
            above: tails(self.not_above).1,
            below: at_most(self.below),
            beyond_high: self.within_high.map_or(0.0, |count| tails(count).1),
            beyond_low: at_most(self.beyond_low),
        }
    }
}

/// The most events whose value meets a condition that few meet and many do not, by the same
/// division as on the chart, so that rounding puts no point on another side here than there.
fn most(size: f64, line: f64, meets: impl Fn(f64) -> bool) -> Option<u64> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "the cast saturates, and the steps below start from there"
    )]
    let start = ((size * line).max(0.0) as u64).saturating_add(1);
    // Two steps, and one more for rounding; none of them moves a count beyond 2^53.
    let counts = (0..4).map(|step| start.checked_sub(step));
    let mut counts = counts.map_while(|count| count);
    counts.find(|count| meets(*count as f64 / size))
}
