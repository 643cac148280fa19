//! Shares of which hits or misses are too few a month for the limits of a p chart, and rates of
//! which events are: exact limits in their place, by the binomial distribution and by Poisson's.
//! Knows tallies, and counts with exposures, in order.

use super::funnel::even_limits;
use super::limits::{Bounds, ChartPoint, Limits};
use super::rate::{EventCount, total, u_baseline};
use super::share::pooled_share;
use crate::domain::tally::Tally;
use crate::stats::Level;
use crate::stats::special::{Tail, poisson_log_tails, smallest_count};
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
    let total = Tally::total(tallies())?;
    Some(SparseBaseline {
        center: pooled_share(tallies())?,
        target: (total.events() as f64 + 0.5) / (total.cases() as f64 + 1.0),
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

/// The pooled rate of a baseline, for limits by the Poisson distribution itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SparseRateBaseline {
    center: f64,
    target: f64,
}

/// Baseline of a u chart with exact limits: a month lies beyond one when a count as far out has a
/// chance below 0.135 %. Three standard deviations leave far more above where events are few: at 1.5
/// a month, 0.45 %.
///
/// The limits are those of the rate `(k + 1/2) / T`, the mean of Jeffreys' posterior: a baseline
/// without a single event does not make every later one a signal. Between whole counts they are
/// interpolated as those of [`super::funnel::exact_limits`], which moves no count across them. No
/// lower limit where even no event at all is likely enough. Runs on one side of a line about which
/// most months are 0 or 1 mean little; count points alone.
///
/// `None` where [`u_baseline`] is.
pub fn sparse_rate_baseline(points: &[Option<EventCount>]) -> Option<SparseRateBaseline> {
    let (events, exposure) = total(points);
    Some(SparseRateBaseline {
        center: u_baseline(points)?.center(),
        target: (events as f64 + 0.5) / exposure,
    })
}

impl SparseRateBaseline {
    /// The pooled rate of the baseline.
    pub fn center(&self) -> f64 {
        self.center
    }

    /// The rates of `points`, which need not be those of the baseline, each with its own limits.
    pub fn chart(&self, points: &[Option<EventCount>]) -> Vec<Option<ChartPoint>> {
        let charted = |count: EventCount| ChartPoint {
            value: count.rate(),
            limits: Limits {
                center: self.center,
                run_line: self.center,
                two_sigma: Bounds::NONE,
                control: self.limits(count.exposure()),
            },
        };
        points.iter().map(|point| point.map(charted)).collect()
    }

    fn limits(&self, exposure: f64) -> Bounds {
        let mean = self.target * exposure;
        if !(mean > 0.0 && mean.is_finite()) {
            return Bounds::NONE;
        }
        let tail = f64::midpoint(1.0, -THREE_SIGMA);
        let at_most = |count: u64| poisson_log_tails(mean, count).lower.exp();
        let above = |count: u64| poisson_log_tails(mean, count).upper.exp();
        // How far before `count` the probability is reached, in 0 to 1.
        let part = |here: f64, before: f64| {
            let step = (here - before).abs();
            if step > 0.0 {
                ((here - tail).abs() / step).min(1.0)
            } else {
                0.0
            }
        };
        let most = |side| smallest_count(u64::MAX, side, tail, |at| poisson_log_tails(mean, at));
        // From this count on no lower count is too rare; up to the other no higher one is.
        let low = most(Tail::Lower)
            .filter(|count| *count > 0)
            .map(|count| count as f64 - part(at_most(count), at_most(count - 1)));
        let high = most(Tail::Upper).map(|count| {
            let reached = count.checked_sub(1).map_or(1.0, above);
            count as f64 + 1.0 - part(above(count), reached)
        });
        Bounds {
            low: low.map(|count| count / exposure),
            high: high.map(|count| count / exposure),
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

    fn months(events: u64, exposure: f64) -> Vec<Option<EventCount>> {
        vec![EventCount::new(events, exposure); 12]
    }

    /// Chances of exactly 0, 1, 2, … events, added up: an independent way to the limits.
    fn poisson_at_most(events: u64, mean: f64) -> f64 {
        let mut term = (-mean).exp();
        let mut sum = term;
        for count in 1..=events {
            term *= mean / count as f64;
            sum += term;
        }
        sum
    }

    #[test]
    fn a_rate_beyond_a_limit_is_as_rare_as_three_standard_deviations() {
        for (events, exposure) in [(1, 0.5), (2, 1.0), (4, 3.0)] {
            let lines = sparse_rate_baseline(&months(events, exposure)).expect("a baseline");
            let center = events as f64 / exposure;
            assert!((lines.center() - center).abs() < 1e-15);
            let target = (12.0 * events as f64 + 0.5) / (12.0 * exposure);
            for later in [0.3, 1.0, 2.5, 8.0] {
                let mean = target * later;
                for count in 0..60 {
                    let charted = lines.chart(&[EventCount::new(count, later)]);
                    let point = charted[0].expect("a point");
                    let is_above = count > 0 && 1.0 - poisson_at_most(count - 1, mean) < 0.00135;
                    let is_below = poisson_at_most(count, mean) < 0.00135;
                    let is_beyond = point.limits.control.beyond(point.value).is_some();
                    assert_eq!(is_beyond, is_above || is_below, "{count} in {later}");
                }
            }
        }
    }

    #[test]
    fn a_baseline_without_an_event_leaves_room_for_one() {
        let lines = sparse_rate_baseline(&months(0, 1.0)).expect("a baseline");
        let is_beyond = |events| {
            let point = lines.chart(&[EventCount::new(events, 1.0)])[0].expect("a point");
            point.limits.control.beyond(point.value).is_some()
        };
        // At 0.5 / 12 a month: one event or more with a chance of 0.041, two with 0.00084.
        assert_eq!([0, 1, 2].map(is_beyond), [false, false, true]);
        assert!(sparse_rate_baseline(&[None]).is_none());
    }
}
