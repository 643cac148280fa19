//! Events per exposure with their own limits: the u chart, Laney's u' chart, and the c chart, which
//! is a u chart with exposures of 1. Knows counts and exposures in order.

use super::limits::{ChartPoint, Limits, Possible};
use super::moving::sigma_of_neighbors;

#[cfg(test)]
mod tests;

/// A count of events and the exposure in which they came. Invariant: the exposure is a positive
/// finite number, and so is its rate unless it is 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EventCount {
    events: u64,
    exposure: f64,
}

impl EventCount {
    /// `None` unless `exposure`, in any unit, is a positive number and the rate a finite one: a
    /// month without exposure is a gap.
    pub fn new(events: u64, exposure: f64) -> Option<EventCount> {
        let is_usable =
            exposure > 0.0 && exposure.is_finite() && (events as f64 / exposure).is_finite();
        is_usable.then_some(EventCount { events, exposure })
    }

    /// Number of events.
    pub fn events(self) -> u64 {
        self.events
    }

    /// Observed time, in the unit that it was given in.
    pub fn exposure(self) -> f64 {
        self.exposure
    }

    /// Events per unit of exposure.
    pub fn rate(self) -> f64 {
        self.events as f64 / self.exposure
    }
}

/// All events, and all exposure, of the months that were observed.
pub fn total(points: &[Option<EventCount>]) -> (u64, f64) {
    let observed = || points.iter().flatten();
    let events = observed().map(|count| count.events).sum();
    (events, observed().map(|count| count.exposure).sum())
}

/// What a chart of rates takes from its baseline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RateBaseline {
    center: f64,
    sigma_z: f64,
}

/// Baseline of a u chart: the pooled rate. Each point has the limits `u ± 3 sqrt(u / T)` of its own
/// exposure `T`. With exposures of 1 this is the c chart, `c ± 3 sqrt(c)`.
///
/// A lower limit exists only where the baseline expects more than 9 events.
///
/// `None` without points, or when the exposures add up to more than f64 can hold. Source:
/// NIST/SEMATECH e-Handbook, section 6.3.3.1 (c); Montgomery, Introduction to Statistical Quality
/// Control, chapter 7 (u); their examples are reproduced.
pub fn u_baseline(points: &[Option<EventCount>]) -> Option<RateBaseline> {
    let (mut events, mut exposure) = (0.0, 0.0);
    let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
    for point in points.iter().flatten() {
        events += point.events as f64;
        exposure += point.exposure;
        least = least.min(point.rate());
        most = most.max(point.rate());
    }
    // Rounding must not move the center off rates that are all the same.
    (exposure > 0.0 && f64::is_finite(exposure)).then(|| RateBaseline {
        center: (events / exposure).clamp(least, most),
        sigma_z: 1.0,
    })
}

/// Baseline of Laney's u' chart: the limits of the u chart, `sigma_z` times as far from the center,
/// where `sigma_z` is found as for [`super::share::laney_p_baseline`].
///
/// `None` without two neighboring points, or when the pooled rate is 0.
///
/// Source: Laney (2002), Quality Engineering 14:531-537; the form for rates from memory.
pub fn laney_u_baseline(points: &[Option<EventCount>]) -> Option<RateBaseline> {
    let plain = u_baseline(points)?;
    let scores: Vec<Option<f64>> = points
        .iter()
        .map(|point| point.map(|count| (count.rate() - plain.center) / plain.sigma_of(count)))
        .collect();
    Some(RateBaseline {
        sigma_z: sigma_of_neighbors(&scores)?,
        ..plain
    })
}

impl RateBaseline {
    /// The pooled rate of the baseline.
    pub fn center(&self) -> f64 {
        self.center
    }

    /// How far the limits lie from the center, over those of the u chart: 1 for the u chart.
    pub fn sigma_z(&self) -> f64 {
        self.sigma_z
    }

    /// The same with a `sigma_z` below 1 raised to 1.
    #[must_use]
    pub fn never_narrower(self) -> RateBaseline {
        RateBaseline {
            sigma_z: self.sigma_z.max(1.0),
            ..self
        }
    }

    /// The rates of `points`, which need not be those of the baseline, each with its own limits.
    pub fn chart(&self, points: &[Option<EventCount>]) -> Vec<Option<ChartPoint>> {
        let charted = |count: EventCount| ChartPoint {
            value: count.rate(),
            limits: Limits::symmetric(
                self.center,
                self.sigma_of(count) * self.sigma_z,
                Possible::NotNegative,
            ),
        };
        points.iter().map(|point| point.map(charted)).collect()
    }

    /// Standard deviation of a rate in that exposure by counting alone.
    fn sigma_of(&self, count: EventCount) -> f64 {
        (self.center / count.exposure).sqrt()
    }
}
