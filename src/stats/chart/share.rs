//! Shares a month with their own limits: the p chart and Laney's p' chart. Knows tallies in order.

use super::limits::{ChartPoint, Limits, Possible};
use super::moving::sigma_of_neighbors;
use crate::domain::tally::Tally;

#[cfg(test)]
mod tests;

/// What a chart of shares takes from its baseline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShareBaseline {
    center: f64,
    sigma_z: f64,
}

/// Baseline of a p chart: the pooled share. Each point has the limits `p ± 3 sqrt(p (1 - p) / n)`
/// of its own number of cases.
///
/// Made for `n p` and `n (1 - p)` of 5 and more: with 5 cases a month and a share of 5 %, 2.3 % of
/// quiet months lie outside instead of 0.27 %. A lower limit exists only for more than
/// `9 (1 - p) / p` cases, from 172 a month at 5 %.
///
/// `None` without points. Source: NIST/SEMATECH e-Handbook, section 6.3.3.2, whose example (also
/// Montgomery's orange juice cans) it reproduces.
pub fn p_baseline(points: &[Option<Tally>]) -> Option<ShareBaseline> {
    Some(ShareBaseline {
        center: pooled_share(points.iter().copied().flatten())?,
        sigma_z: 1.0,
    })
}

/// Baseline of Laney's p' chart: the limits of the p chart, `sigma_z` times as far from the center.
///
/// With `z` the distance of a share from the center in standard deviations of its own,
/// `sigma_z` is the mean moving range of `z` over 1.128. Above 1, months differ by more than
/// counting explains, as with many cases a month (over 1,000) they always do. Below 1 the limits
/// become narrower than those of the p chart; [`ShareBaseline::never_narrower`] prevents that.
///
/// `None` without two neighboring points, or when the pooled share is 0 or 1.
///
/// Source: Laney (2002), Quality Engineering 14:531-537, with the moving range. Charts made with
/// the standard deviation of `z` instead have other limits.
pub fn laney_p_baseline(points: &[Option<Tally>]) -> Option<ShareBaseline> {
    let plain = p_baseline(points)?;
    let scores: Vec<Option<f64>> = points
        .iter()
        .map(|point| point.map(|tally| (tally.share() - plain.center) / plain.sigma_of(tally)))
        .collect();
    Some(ShareBaseline {
        sigma_z: sigma_of_neighbors(&scores)?,
        ..plain
    })
}

impl ShareBaseline {
    /// The pooled share of the baseline.
    pub fn center(&self) -> f64 {
        self.center
    }

    /// How far the limits lie from the center, over those of the p chart: 1 for the p chart.
    pub fn sigma_z(&self) -> f64 {
        self.sigma_z
    }

    /// The same with a `sigma_z` below 1 raised to 1.
    #[must_use]
    pub fn never_narrower(self) -> ShareBaseline {
        ShareBaseline {
            sigma_z: self.sigma_z.max(1.0),
            ..self
        }
    }

    /// The shares of `points`, which need not be those of the baseline, each with its own limits.
    pub fn chart(&self, points: &[Option<Tally>]) -> Vec<Option<ChartPoint>> {
        let charted = |tally: Tally| ChartPoint {
            value: tally.share(),
            limits: Limits::symmetric(
                self.center,
                self.sigma_of(tally) * self.sigma_z,
                Possible::Share,
            ),
        };
        points.iter().map(|point| point.map(charted)).collect()
    }

    /// Standard deviation of a share of that many cases by counting alone.
    fn sigma_of(&self, tally: Tally) -> f64 {
        (self.center * (1.0 - self.center) / tally.cases() as f64).sqrt()
    }
}

/// Events of all over cases of all, never outside the single shares. `None` without tallies.
pub(super) fn pooled_share(tallies: impl Iterator<Item = Tally>) -> Option<f64> {
    let (mut events, mut cases) = (0.0, 0.0);
    let (mut least, mut most) = (1.0_f64, 0.0_f64);
    for tally in tallies {
        events += tally.events() as f64;
        cases += tally.cases() as f64;
        least = least.min(tally.share());
        most = most.max(tally.share());
    }
    // Rounding must not move the center off shares that are all the same.
    (cases > 0.0).then(|| (events / cases).clamp(least, most))
}
