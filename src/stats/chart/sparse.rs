//! Shares of which hits or misses are too few a month for the limits of a p chart: exact binomial
//! limits in their place. Knows tallies in order.

use super::funnel::even_limits;
use super::limits::{Bounds, ChartPoint, Limits};
use super::share::pooled_share;
use crate::domain::tally::Tally;
use crate::stats::Level;
use std::num::NonZeroU64;

/// What three standard deviations of a normal distribution leave inside.
const THREE_SIGMA: f64 = 0.997_300_203_936_74;

/// The pooled share of a baseline, for limits by the binomial distribution itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SparseBaseline {
    center: f64,
    target: f64,
}

/// Baseline of a p chart with exact limits: a month lies beyond one when a count as far out has a
/// chance below 0.135 %, as with three standard deviations of a normal distribution.
///
/// The limits are those of the share `(k + 1/2) / (n + 1)`, the mean of Jeffreys' posterior up to a
/// trifle: a baseline without a single miss does not make every later miss a signal. Runs on one
/// side of so lopsided a line mean little; count points alone.
///
/// `None` without points.
pub fn sparse_baseline(points: &[Option<Tally>]) -> Option<SparseBaseline> {
    let tallies = || points.iter().copied().flatten();
    let sum = |part: fn(Tally) -> u64| tallies().map(part).sum::<u64>() as f64;
    Some(SparseBaseline {
        center: pooled_share(tallies())?,
        target: (sum(Tally::events) + 0.5) / (sum(Tally::cases) + 1.0),
    })
}

impl SparseBaseline {
    /// The pooled share of the baseline.
    pub fn center(&self) -> f64 {
        self.center
    }

    /// The shares of `points`, which need not be those of the baseline, each with its own limits.
    pub fn chart(&self, points: &[Option<Tally>]) -> Vec<Option<ChartPoint>> {
        let charted = |tally: Tally| ChartPoint {
            value: tally.share(),
            limits: Limits {
                center: self.center,
                run_line: self.center,
                two_sigma: Bounds::NONE,
                control: self.limits(tally.cases()),
            },
        };
        points.iter().map(|point| point.map(charted)).collect()
    }

    fn limits(&self, cases: u64) -> Bounds {
        match (NonZeroU64::new(cases), Level::new(THREE_SIGMA)) {
            (Some(cases), Some(level)) => even_limits(self.target, cases, level),
            _ => Bounds::NONE,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tally(events: u64, cases: u64) -> Option<Tally> {
        Tally::new(events, cases).expect("no more events than cases")
    }

    /// Probabilities of the binomial distribution added up, an independent way to the limits.
    fn at_most(events: u64, cases: u64, share: f64) -> f64 {
        let mut term = (1.0 - share).powi(i32::try_from(cases).expect("few"));
        let mut sum = 0.0;
        for count in 0..=events {
            sum += term;
            term *= (cases - count) as f64 / (count + 1) as f64 * share / (1.0 - share);
        }
        sum
    }

    #[test]
    fn a_month_beyond_a_limit_is_as_rare_as_three_standard_deviations() {
        let months = vec![tally(19, 20); 12];
        let lines = sparse_baseline(&months).expect("a baseline");
        assert!((lines.center() - 0.95).abs() < 1e-15);
        let target = 228.5 / 241.0;
        for cases in [8, 20, 35] {
            for events in 0..=cases {
                let charted = lines.chart(&[tally(events, cases)]);
                let point = charted[0].expect("a point");
                let is_beyond = point.limits.control.beyond(point.value).is_some();
                let is_rare = at_most(events, cases, target) < 0.00135;
                assert_eq!(is_beyond, is_rare, "{events} of {cases}");
            }
        }
    }

    #[test]
    fn a_baseline_without_a_miss_leaves_room_for_a_few() {
        let lines = sparse_baseline(&[tally(20, 20); 12]).expect("a baseline");
        let is_beyond = |events| {
            let point = lines.chart(&[tally(events, 20)])[0].expect("a point");
            point.limits.control.beyond(point.value).is_some()
        };
        // The chance of two misses in 20 or more at 0.5 / 241 is 0.0008, of one 0.04.
        assert_eq!([18, 19, 20].map(is_beyond), [true, false, false]);
        assert!(sparse_baseline(&[None]).is_none());
    }
}
