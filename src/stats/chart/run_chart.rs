//! The run chart: is a series just shuffled about its median? Asks for no distribution and no
//! limits, so it serves where points are few. Knows numbers in order.

use crate::stats::special::{Tail, binomial_quantile};

#[cfg(test)]
mod tests;

/// A series about a center line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunChart {
    /// The center line: the median, or the line that was given.
    pub center: f64,
    /// Number of points off the line; those exactly on it tell neither way and are left out.
    pub useful: u64,
    /// Most useful points in a row on the same side.
    pub longest_run: u64,
    /// How often the series changes sides from one useful point to the next.
    pub crossings: u64,
    /// What a shuffled series seldom exceeds; `None` with fewer than 10 useful points.
    pub limits: Option<RunLimits>,
}

/// Anhøj's limits for a number of useful points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RunLimits {
    /// A longer run is a signal, a run of this length is not.
    pub longest_run: u64,
    /// Fewer crossings are a signal, this many are not.
    pub crossings: u64,
}

/// Fewest useful points for which a rule means something.
pub const FEWEST_USEFUL: u64 = 10;

/// Longest run `round(log2(n) + 3)` and fewest crossings `qbinom(0.05, n - 1, 0.5)` for `n` useful
/// points; `None` below 10.
///
/// Source: Anhøj & Olesen (2014), `PLoS` ONE 9:e113825; the printed limits for 10 to 30 points are
/// reproduced. One page words the limit for 13 points as "at least 7"; by formula and table it is
/// "more than 7".
pub fn run_limits(useful: u64) -> Option<RunLimits> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 6 and 67"
    )]
    let longest_run = |useful: u64| ((useful as f64).log2() + 3.0).round() as u64;
    (useful >= FEWEST_USEFUL).then(|| RunLimits {
        longest_run: longest_run(useful),
        crossings: binomial_quantile(useful - 1, 0.5, Tail::Lower, 0.05),
    })
}

/// The run chart of `points` about their own median.
///
/// `None` without points, or when one is not a finite number. Points that equal the median are
/// left out, so a series of few different values may have few useful points.
pub fn run_chart(points: &[Option<f64>]) -> Option<RunChart> {
    run_chart_about(points, median(points)?)
}

/// The run chart of `points` about a line that is given: the median of a frozen baseline.
///
/// `None` without points, or when one of them or the line is not a finite number.
pub fn run_chart_about(points: &[Option<f64>], center: f64) -> Option<RunChart> {
    let values: Vec<f64> = points.iter().copied().flatten().collect();
    let is_usable = center.is_finite() && values.iter().all(|value| value.is_finite());
    if !is_usable || values.is_empty() {
        return None;
    }
    let mut chart = RunChart {
        center,
        useful: 0,
        longest_run: 0,
        crossings: 0,
        limits: None,
    };
    let (mut run, mut was_above) = (0, None);
    for value in values {
        let is_above = value > center;
        if !is_above && value >= center {
            continue;
        }
        let is_same_side = was_above == Some(is_above);
        run = if is_same_side { run + 1 } else { 1 };
        chart.crossings += u64::from(was_above == Some(!is_above));
        chart.useful += 1;
        chart.longest_run = chart.longest_run.max(run);
        was_above = Some(is_above);
    }
    chart.limits = run_limits(chart.useful);
    Some(chart)
}

impl RunChart {
    /// Whether a run is longer than a shuffled series would have it: a shift.
    pub fn has_long_run(&self) -> bool {
        self.limits
            .is_some_and(|limits| self.longest_run > limits.longest_run)
    }

    /// Whether the series crosses its line less often than a shuffled one: a shift, a trend or a
    /// slow wave.
    pub fn has_few_crossings(&self) -> bool {
        self.limits
            .is_some_and(|limits| self.crossings < limits.crossings)
    }
}

/// Middle value, or the mean of the two middle ones.
fn median(points: &[Option<f64>]) -> Option<f64> {
    let mut sorted: Vec<f64> = points.iter().copied().flatten().collect();
    sorted.sort_unstable_by(f64::total_cmp);
    let upper = sorted.get(sorted.len() / 2)?;
    let lower = sorted.get((sorted.len() - 1) / 2)?;
    Some(f64::midpoint(*lower, *upper))
}
