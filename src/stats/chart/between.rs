//! What lies between rare events: cases (g chart) or time (t chart). Shares of months with 0 or 1
//! event say nothing; the distance from one event to the next does, and grows when care gets
//! safer. Knows distances in order; there are no gaps among them.

use super::limits::{Bounds, ChartPoint, Limits, Possible};
use super::mean;
use super::moving::{MEAN_RANGE_OF_TWO, moving_ranges};

#[cfg(test)]
mod tests;

/// Median over mean of the cases between events, for events so rare that their distances are
/// near exponential (ln 2, as the books print it).
const MEDIAN_OVER_MEAN: f64 = 0.693;

/// Exponent that makes exponential times near normal.
const NORMALIZING_ROOT: f64 = 3.6;

/// What a g chart takes from its baseline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GBaseline {
    center: f64,
}

/// Baseline of a g chart, from the number of cases without the event before each event (0 where
/// two cases in a row had it).
///
/// With the mean `g`, the upper limit is `g + 3 sqrt(g (g + 1))`; there is never a lower one, so a
/// cluster of events shows only as a run below the line for runs, `0.693 g`, the median.
///
/// `None` without points. Source: Benneyan (2001), Health Care Management Science 4:305-318; from
/// memory.
pub fn g_baseline(cases_between: &[u64]) -> Option<GBaseline> {
    let center = mean(cases_between.iter().map(|cases| *cases as f64))?;
    Some(GBaseline { center })
}

impl GBaseline {
    /// The lines, the same at every point.
    pub fn limits(&self) -> Limits {
        let sigma = (self.center * (self.center + 1.0)).sqrt();
        Limits {
            run_line: MEDIAN_OVER_MEAN * self.center,
            ..Limits::symmetric(self.center, sigma, Possible::NotNegative)
        }
    }

    /// The distances in `cases_between`, which need not be those of the baseline, with their lines.
    pub fn chart(&self, cases_between: &[u64]) -> Vec<Option<ChartPoint>> {
        let limits = self.limits();
        let value = |cases: &u64| *cases as f64;
        let point = |value| Some(ChartPoint { value, limits });
        cases_between.iter().map(value).map(point).collect()
    }
}

/// What a t chart takes from its baseline, on the scale of the 3.6th root.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TBaseline {
    root_center: f64,
    root_sigma: f64,
}

/// Baseline of a t chart, from whole units of time between events: the 3.6th roots are charted as
/// individual values (see [`super::xmr`]) and the lines raised to the power of 3.6 again.
///
/// Two events in the same unit have a time of 0, which counts as half a unit. Take a unit in which
/// that is rare. Fewer than about 20 events make poor limits.
///
/// `None` without two points. Source: Nelson (1994), Journal of Quality Technology 26:235-236, and
/// Montgomery, Introduction to Statistical Quality Control, chapter 7; from memory.
pub fn t_baseline(time_between: &[u64]) -> Option<TBaseline> {
    let roots: Vec<Option<f64>> = time_between
        .iter()
        .map(|units| Some(usable_time(*units).powf(1.0 / NORMALIZING_ROOT)))
        .collect();
    let mean_range = mean(moving_ranges(&roots).into_iter().flatten())?;
    Some(TBaseline {
        root_center: mean(roots.into_iter().flatten())?,
        root_sigma: mean_range / MEAN_RANGE_OF_TWO,
    })
}

impl TBaseline {
    /// The lines in units of time, the same at every point. The upper limit lies farther from the
    /// center than the lower one. A lower limit below 0 on the scale of roots is none.
    pub fn limits(&self) -> Limits {
        let roots = Limits::symmetric(self.root_center, self.root_sigma, Possible::NotNegative);
        let time = |root: f64| root.powf(NORMALIZING_ROOT);
        let times = |bounds: Bounds| Bounds {
            low: bounds.low.map(time),
            high: bounds.high.map(time),
        };
        Limits {
            center: time(roots.center),
            run_line: time(roots.run_line),
            two_sigma: times(roots.two_sigma),
            control: times(roots.control),
        }
    }

    /// The times in `time_between`, which need not be those of the baseline, with their lines.
    pub fn chart(&self, time_between: &[u64]) -> Vec<Option<ChartPoint>> {
        let limits = self.limits();
        let value = |units: &u64| usable_time(*units);
        let point = |value| Some(ChartPoint { value, limits });
        time_between.iter().map(value).map(point).collect()
    }
}

fn usable_time(units: u64) -> f64 {
    if units == 0 { 0.5 } else { units as f64 }
}
