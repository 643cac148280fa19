//! Lengths of time: quantiles with their limits.

use super::{Settings, blank};
use crate::domain::counts::{Key, MinutesCount};
use crate::domain::measure::MeasureKind;
use crate::findings::finding::{Finding, Method, Statistic, Unit};
use crate::stats::Level;
use crate::stats::quantile::{Distribution, Ranks, order_ranks, quantile, quantile_between};
use crate::stats::survival::KaplanMeier;
use std::collections::BTreeMap;

/// The quantiles of a length of time, with what each is called.
const QUANTILES: [(Statistic, f64); 4] = [
    (Statistic::Median, 0.5),
    (Statistic::P25, 0.25),
    (Statistic::P75, 0.75),
    (Statistic::P90, 0.9),
];

/// The quantiles of a length of time. Kaplan-Meier as soon as one case was not followed to its end.
pub(in crate::findings) fn minutes(
    key: &Key,
    count: &MinutesCount,
    settings: Settings,
) -> Vec<Finding> {
    minutes_with(&mut KnownRanks::default(), key, count, settings)
}

/// Ranks of the limits of the quantiles by the number of cases, at one level. Of the numbers of cases
/// of many groups and months few differ.
#[derive(Default)]
pub(super) struct KnownRanks(BTreeMap<u64, [Option<Ranks>; QUANTILES.len()]>);

/// [`minutes`] with the ranks that are known already.
pub(super) fn minutes_with(
    known: &mut KnownRanks,
    key: &Key,
    count: &MinutesCount,
    settings: Settings,
) -> Vec<Finding> {
    let cases: u64 = count.cases.values().sum();
    let censored = censored(count);
    let (method, times) = if censored > 0 {
        (Method::KaplanMeier, followed_times(count, settings.level))
    } else {
        (
            Method::OrderStatistics,
            whole_times(known, count, settings.level),
        )
    };
    QUANTILES
        .iter()
        .zip(times)
        .map(|((statistic, _), (estimate, low, high))| Finding {
            estimate,
            low,
            high,
            events: cases - censored,
            cases,
            excluded: count.excluded,
            censored,
            ..blank(
                key,
                MeasureKind::Minutes,
                *statistic,
                method,
                Unit::Minutes,
                settings,
            )
        })
        .collect()
}

/// Cases that were followed for a while only.
fn censored(count: &MinutesCount) -> u64 {
    let cases = count.cases.iter().filter(|((_, reached), _)| !reached);
    cases.map(|(_, cases)| cases).sum()
}

/// The number of cases and their median, the same as that of [`minutes`] without its limits.
pub(in crate::findings) fn cases_and_median(count: &MinutesCount) -> (u64, Option<f64>) {
    let median = if censored(count) > 0 {
        let found = KaplanMeier::new(&count.cases).quantile(0.5, Level::P95);
        found.and_then(|found| found.estimate)
    } else {
        quantile(&distribution(count), 0.5)
    };
    (count.cases.values().sum(), median)
}

fn distribution(count: &MinutesCount) -> Distribution {
    let lengths = count.cases.iter();
    Distribution::new(lengths.map(|((value, _), cases)| (*value, *cases)))
}

/// Estimate and limits of one quantile.
type Time = (Option<f64>, Option<f64>, Option<f64>);

/// The quantiles where every case came to its end.
fn whole_times(
    known: &mut KnownRanks,
    count: &MinutesCount,
    level: Level,
) -> [Time; QUANTILES.len()] {
    let values = distribution(count);
    let cases = values.cases();
    let ranks = known
        .0
        .entry(cases)
        .or_insert_with(|| QUANTILES.map(|(_, q)| order_ranks(cases, q, level)));
    std::array::from_fn(|place| {
        let found = ranks[place].and_then(|ranks| {
            let (_, q) = QUANTILES[place];
            quantile_between(&values, q, ranks)
        });
        found.map_or((None, None, None), |found| {
            (Some(found.estimate), found.low, found.high)
        })
    })
}

/// The quantiles where some cases were followed for a while only.
fn followed_times(count: &MinutesCount, level: Level) -> [Time; QUANTILES.len()] {
    let curve = KaplanMeier::new(&count.cases);
    QUANTILES.map(|(_, q)| {
        curve
            .quantile(q, level)
            .map_or((None, None, None), |found| {
                (found.estimate, found.low, found.high)
            })
    })
}
