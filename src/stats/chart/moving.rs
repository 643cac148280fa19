//! How far neighbors lie apart, and what that says about the spread. Knows numbers in order.

use super::mean;
use std::f64::consts::FRAC_PI_2;
use std::f64::consts::PI;

/// Mean range of two independent normal values in standard deviations, as the tables print it
/// (d2 for samples of 2). Its exact value is `2 / sqrt(π)`, 1.12838; the printed one is used so
/// that limits agree with the handbooks. Montgomery, Introduction to Statistical Quality Control,
/// appendix VI.
pub(super) const MEAN_RANGE_OF_TWO: f64 = 1.128;

/// The distance of each value from the one just before it; `None` at the first, at a gap and
/// behind one.
pub(super) fn moving_ranges(values: &[Option<f64>]) -> Vec<Option<f64>> {
    let before = std::iter::once(&None).chain(values);
    let pairs = values.iter().zip(before);
    pairs
        .map(|(value, before)| Some(((*value)? - (*before)?).abs()))
        .collect()
}

/// Standard deviation from the mean moving range, the part of the spread that neighbors have:
/// a slow drift does not enter. `None` without two neighbors or with numbers that are not finite.
pub(super) fn sigma_of_neighbors(values: &[Option<f64>]) -> Option<f64> {
    let ranges = moving_ranges(values);
    Some(mean(ranges.into_iter().flatten())? / MEAN_RANGE_OF_TWO)
}

/// Relative standard error of a standard deviation from the mean moving range of independent normal
/// values, given which of the points were observed. `None` without two neighbors.
///
/// With `k` ranges of which `a` pairs share a value, the relative variance of their mean is
/// `(k (π/2 - 1) + 2 a c) / k²`, where `c = (3/4)^½ + π/12 - 1` is the relative covariance of two
/// ranges that share a value. Without gaps this is the `(0.8264 n - 1.082) / (n - 1)²` of Cryer &
/// Ryan (1990), Journal of Quality Technology 22:187-192; from memory.
pub fn sigma_error(is_observed: &[bool]) -> Option<f64> {
    let is_range = |from: usize| is_observed[from..from + 2].iter().all(|seen| *seen);
    let starts = 0..is_observed.len().saturating_sub(1);
    let ranges = starts.clone().filter(|from| is_range(*from)).count() as f64;
    let shared = starts
        .skip(1)
        .filter(|from| is_range(from - 1) && is_range(*from))
        .count() as f64;
    let covariance = 0.75_f64.sqrt() + PI / 12.0 - 1.0;
    let variance = ranges * (FRAC_PI_2 - 1.0) + 2.0 * shared * covariance;
    (ranges > 0.0).then(|| variance.sqrt() / ranges)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_moving_range_reaches_across_a_gap() {
        let values = [Some(1.0), Some(4.0), None, Some(9.0), Some(7.0), None];
        let ranges = moving_ranges(&values);
        assert_eq!(ranges, [None, Some(3.0), None, None, Some(2.0), None]);
        assert_eq!(sigma_of_neighbors(&values), Some(2.5 / 1.128));
        assert_eq!(sigma_of_neighbors(&[Some(1.0), None, Some(2.0)]), None);
        assert_eq!(sigma_of_neighbors(&[]), None);
    }
}
