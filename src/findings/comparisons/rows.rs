//! Every number of the comparisons as one row of a table, in the order of the comparisons.

use super::Comparisons;
use super::cells::Counted;
use super::devices::{DeviceComparison, DeviceComparisons, PooledComparison, Ranged};
use super::method::ComparisonMethod;
use super::protection::Among;
use crate::domain::counts::ALL;
use crate::domain::tally::Tally;
use crate::stats::Interval;

/// Which number of a comparison.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ComparisonStatistic {
    /// A share drawn toward those of the other devices, a fraction.
    DrawnShare,
    /// Share of the judged cases in which a device was the first, a fraction.
    FirstUseShare,
    /// First share minus second share, a fraction.
    Difference,
    /// The same over all strata.
    PooledDifference,
    /// Odds of the first over odds of the second, over all strata.
    OddsRatio,
    /// Chi-square of the test of one odds ratio for all strata.
    Homogeneity,
    /// Distance of the two groups in standard deviations.
    StandardizedDifference,
}

impl ComparisonStatistic {
    /// The word in tables.
    pub const fn code(self) -> &'static str {
        match self {
            ComparisonStatistic::DrawnShare => "drawn_share",
            ComparisonStatistic::FirstUseShare => "first_use_share",
            ComparisonStatistic::Difference => "difference",
            ComparisonStatistic::PooledDifference => "pooled_difference",
            ComparisonStatistic::OddsRatio => "odds_ratio",
            ComparisonStatistic::Homogeneity => "homogeneity",
            ComparisonStatistic::StandardizedDifference => "standardized_difference",
        }
    }
}

/// One row.
#[derive(Clone, Debug, PartialEq)]
pub struct ComparisonRow {
    /// Identifier of the measure.
    pub measure: String,
    /// What is compared: `net vs others`, `yes vs no`, or one value.
    pub comparison: String,
    /// Names of the dimensions of the counts joined with `+`.
    pub by: String,
    /// Value of the dimension within which is compared, or `all`.
    pub stratum: String,
    /// Which number.
    pub statistic: ComparisonStatistic,
    /// The number; `None` when it cannot be estimated.
    pub estimate: Option<f64>,
    /// Its interval.
    pub interval: Option<Interval>,
    /// Level of the interval; `None` for numbers that have none.
    pub level: Option<f64>,
    /// How both were computed.
    pub method: ComparisonMethod,
    /// Events among cases of the first side.
    pub first: Option<Counted>,
    /// Events among cases of the second side.
    pub second: Option<Counted>,
    /// p-value of the test that belongs to it.
    pub p: Option<f64>,
    /// The same, adjusted for the number of comparisons.
    pub adjusted_p: Option<f64>,
    /// How many comparisons it was adjusted for.
    pub comparisons: Option<usize>,
}

impl Comparisons {
    /// Every number as a row.
    pub fn rows(&self, level: f64) -> Vec<ComparisonRow> {
        let mut rows: Vec<_> = self.drawn_rows(level).collect();
        if let Some(devices) = &self.devices {
            rows.extend(
                devices
                    .devices
                    .iter()
                    .flat_map(|device| device_rows(devices, device)),
            );
        }
        rows.extend(self.first_use_rows(level));
        rows.extend(self.protection_rows(level));
        rows
    }

    fn drawn_rows(&self, level: f64) -> impl Iterator<Item = ComparisonRow> {
        self.drawn.iter().map(move |drawn| {
            let (device, object_type) = drawn
                .group
                .split_once('|')
                .unwrap_or((drawn.group.as_str(), ALL));
            ComparisonRow {
                comparison: device.to_owned(),
                stratum: object_type.to_owned(),
                estimate: Some(drawn.estimate),
                interval: drawn.interval,
                level: Some(level),
                first: Some(drawn.raw),
                ..blank(
                    &drawn.measure,
                    &drawn.by,
                    ComparisonStatistic::DrawnShare,
                    drawn.method,
                )
            }
        })
    }

    fn first_use_rows(&self, level: f64) -> impl Iterator<Item = ComparisonRow> {
        self.first_uses.iter().map(move |first_use| ComparisonRow {
            comparison: first_use.device.clone(),
            stratum: first_use.value.clone(),
            estimate: first_use.uses.tally().map(Tally::share),
            interval: first_use.interval,
            level: Some(level),
            first: Some(first_use.uses),
            ..blank(
                &first_use.measure,
                &format!("device+{}", first_use.dimension),
                ComparisonStatistic::FirstUseShare,
                ComparisonMethod::Share(first_use.method),
            )
        })
    }

    fn protection_rows(&self, level: f64) -> impl Iterator<Item = ComparisonRow> {
        self.protection.iter().map(move |harm| ComparisonRow {
            comparison: "yes vs no".to_owned(),
            stratum: match harm.among {
                Among::All => ALL,
                Among::Sharp => "yes",
                Among::NotSharp => "no",
            }
            .to_owned(),
            estimate: harm.difference.map(|difference| difference.estimate),
            interval: harm.difference.map(|difference| Interval {
                low: difference.low,
                high: difference.high,
            }),
            level: Some(level),
            first: Some(harm.with.0),
            second: Some(harm.without.0),
            ..blank(
                &harm.measure,
                &harm.by,
                ComparisonStatistic::Difference,
                ComparisonMethod::Newcombe,
            )
        })
    }

    /// The methods that any number here was computed with, in the order of pages.
    pub fn methods(&self) -> Vec<ComparisonMethod> {
        // The level does not matter here.
        let rows = self.rows(0.0);
        let mut methods = ComparisonMethod::ALL.to_vec();
        methods.retain(|method| rows.iter().any(|row| row.method == *method));
        methods
    }
}

fn device_rows(all: &DeviceComparisons, device: &DeviceComparison) -> Vec<ComparisonRow> {
    let by_type = "device+object_type";
    let named = |by: &str, statistic, method| ComparisonRow {
        comparison: format!("{} vs others", device.device),
        ..blank(&all.measure, by, statistic, method)
    };
    let mut rows: Vec<_> = device
        .strata
        .iter()
        .map(|stratum| ComparisonRow {
            stratum: stratum.object_type.clone(),
            estimate: stratum.difference.map(|difference| difference.estimate),
            interval: stratum.difference.map(|difference| Interval {
                low: difference.low,
                high: difference.high,
            }),
            level: Some(all.level),
            first: Some(stratum.first),
            second: Some(stratum.second),
            ..named(
                by_type,
                ComparisonStatistic::Difference,
                ComparisonMethod::Newcombe,
            )
        })
        .collect();
    if let Ok(pooled) = &device.pooled {
        rows.extend(pooled_rows(all, device, pooled));
    }
    if let Some(test) = device.homogeneity {
        rows.push(ComparisonRow {
            estimate: Some(test.chi_square),
            p: Some(test.p),
            ..named(
                by_type,
                ComparisonStatistic::Homogeneity,
                ComparisonMethod::BreslowDayTarone,
            )
        });
    }
    rows.extend(device.balance.iter().map(|balance| ComparisonRow {
        estimate: balance.distance,
        ..named(
            &format!("device+{}", balance.dimension),
            ComparisonStatistic::StandardizedDifference,
            ComparisonMethod::CategoryDistance,
        )
    }));
    rows
}

/// Difference and odds ratio, each at the usual level and at that for all devices together.
fn pooled_rows(
    all: &DeviceComparisons,
    device: &DeviceComparison,
    pooled: &PooledComparison,
) -> Vec<ComparisonRow> {
    let rows = |statistic, method, ranged: Ranged, [first, second]: [Counted; 2]| {
        let levels = [
            (all.level, ranged.interval),
            (all.family_level, ranged.family_interval),
        ];
        levels.map(|(level, interval)| ComparisonRow {
            comparison: format!("{} vs others", device.device),
            estimate: Some(ranged.estimate),
            interval,
            level: Some(level),
            first: Some(first),
            second: Some(second),
            p: pooled.p,
            adjusted_p: pooled.adjusted_p,
            comparisons: Some(all.devices.len()),
            ..blank(&all.measure, "device+object_type", statistic, method)
        })
    };
    let difference = rows(
        ComparisonStatistic::PooledDifference,
        ComparisonMethod::MantelHaenszelDifference,
        pooled.difference,
        device.compared,
    );
    let odds_ratio = pooled.odds_ratio.map(|odds_ratio| {
        rows(
            ComparisonStatistic::OddsRatio,
            pooled.odds_ratio_method,
            odds_ratio,
            device.informative,
        )
    });
    let odds_ratio = odds_ratio.into_iter().flatten();
    difference.into_iter().chain(odds_ratio).collect()
}

fn blank(
    measure: &str,
    by: &str,
    statistic: ComparisonStatistic,
    method: ComparisonMethod,
) -> ComparisonRow {
    ComparisonRow {
        measure: measure.to_owned(),
        comparison: String::new(),
        by: by.to_owned(),
        stratum: ALL.to_owned(),
        statistic,
        estimate: None,
        interval: None,
        level: None,
        method,
        first: None,
        second: None,
        p: None,
        adjusted_p: None,
        comparisons: None,
    }
}
