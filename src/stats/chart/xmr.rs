//! Individual values and their moving ranges (XmR): one value a month, such as a median of minutes,
//! or one value a case. Knows numbers in order.

use super::limits::{Bounds, ChartPoint, Limits, Possible};
use super::mean;
use super::moving::{MEAN_RANGE_OF_TWO, moving_ranges};

#[cfg(test)]
mod tests;

/// Upper control limit of the range of two values, in mean ranges (D4 for samples of 2).
/// Montgomery, Introduction to Statistical Quality Control, appendix VI.
const RANGE_LIMIT: f64 = 3.267;

/// What a chart of individual values takes from its baseline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct XmrBaseline {
    center: f64,
    mean_moving_range: f64,
    resolution_too_coarse: bool,
    possible: Possible,
}

/// The baseline from `points` in the order of time: mean, and mean distance of neighbors.
///
/// The control limits are the mean ± 3/1.128 mean moving ranges. Books also print 2.66 for that
/// quotient, which moves a limit by less than 1 in 5000 of its distance. `possible` decides which
/// limits exist: minutes have no limit below 0.
///
/// Made for values that are near normal and independent. Skewed minutes: take logarithms, or
/// monthly medians. Neighbors that resemble each other make the limits too narrow, see
/// [`super::autocorrelation`]: with 24 points and a lag-1 correlation of 0.3, 19 charts of 100
/// signal without cause, instead of 7.
///
/// `None` without two neighbors, or when a value or a sum is not a finite number.
///
/// Source: NIST/SEMATECH e-Handbook of Statistical Methods, section 6.3.2.2, whose example it
/// reproduces.
pub fn xmr_baseline(points: &[Option<f64>], possible: Possible) -> Option<XmrBaseline> {
    let ranges: Vec<f64> = moving_ranges(points).into_iter().flatten().collect();
    let zeros = ranges.iter().filter(|range| **range <= 0.0).count();
    Some(XmrBaseline {
        center: mean(points.iter().copied().flatten())?,
        resolution_too_coarse: 2 * zeros > ranges.len(),
        mean_moving_range: mean(ranges)?,
        possible,
    })
}

impl XmrBaseline {
    /// The mean of the baseline.
    pub fn center(&self) -> f64 {
        self.center
    }

    /// The mean distance of neighbors.
    pub fn mean_moving_range(&self) -> f64 {
        self.mean_moving_range
    }

    /// Whether more than half of the moving ranges are 0: the values are rounded so coarsely that
    /// the limits say more about the rounding than about the process.
    pub fn resolution_too_coarse(&self) -> bool {
        self.resolution_too_coarse
    }

    /// The lines, the same at every point.
    pub fn limits(&self) -> Limits {
        let sigma = self.mean_moving_range / MEAN_RANGE_OF_TWO;
        Limits::symmetric(self.center, sigma, self.possible)
    }

    /// The values of `points`, which need not be those of the baseline, with their lines.
    pub fn chart(&self, points: &[Option<f64>]) -> Vec<Option<ChartPoint>> {
        with_limits(points, self.limits())
    }

    /// The moving ranges of `points`, each at the later of its two values. Only a point beyond the
    /// upper limit means something: neighboring ranges share a value, so runs of them come easily.
    pub fn range_chart(&self, points: &[Option<f64>]) -> Vec<Option<ChartPoint>> {
        let high = RANGE_LIMIT * self.mean_moving_range;
        let limits = Limits {
            center: self.mean_moving_range,
            run_line: self.mean_moving_range,
            two_sigma: Bounds::NONE,
            control: Bounds {
                low: None,
                high: (high > 0.0 && high.is_finite()).then_some(high),
            },
        };
        with_limits(&moving_ranges(points), limits)
    }
}

fn with_limits(values: &[Option<f64>], limits: Limits) -> Vec<Option<ChartPoint>> {
    let point = |value| ChartPoint { value, limits };
    values.iter().map(|value| value.map(point)).collect()
}
