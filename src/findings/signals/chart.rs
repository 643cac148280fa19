//! One chart: stretches of months, each with its own lines, and what the rules find in each.

use super::Baseline;
use super::ChartForm;
use super::MonthChart;
use super::MonthSignal;
use super::MonthValue;
use super::chance::chance;
use super::followed::Followed;
use super::lines::Lines;
use super::patterns::Asked;
use super::patterns::beyond_and_long;
use super::patterns::long_and_few_crossings;
use super::series::Series;
use crate::domain::month::Month;
use crate::stats::chart::autocorrelation::autocorrelation;
use crate::stats::chart::limits::ChartPoint;
use std::ops::Range;

/// Months with the same lines.
pub(super) struct Stretch {
    /// Where the lines hold.
    pub(super) span: Range<usize>,
    /// Where they come from, the beginning of the span.
    pub(super) baseline: Range<usize>,
    pub(super) lines: Lines,
}

/// The chart of a series whose process may have changed at the beginning of `changes`, oldest
/// first.
pub(super) fn month_chart(
    followed: &Followed<'_>,
    series: &Series,
    changes: &[Month],
    baseline_months: usize,
) -> MonthChart {
    let values = series.values();
    let stretches = stretches(series, &values, changes, baseline_months);
    let mut points: Vec<MonthValue> = (0..values.len())
        .map(|index| MonthValue {
            month: series.months[index],
            n: series.n[index],
            value: values[index],
            line: None,
            low: None,
            high: None,
        })
        .collect();
    let (mut signals, mut charted) = (Vec::new(), Vec::new());
    for stretch in &stretches {
        charted = vec![None; stretch.span.len()];
        for index in stretch.span.clone() {
            let limits = stretch.lines.at(&series.data, index);
            let point = &mut points[index];
            point.line = Some(limits.run_line);
            (point.low, point.high) = (limits.control.low, limits.control.high);
            charted[index - stretch.span.start] =
                point.value.map(|value| ChartPoint { value, limits });
        }
        let patterns = match stretch.lines {
            Lines::Run(line) => long_and_few_crossings(&values[stretch.span.clone()], line),
            // About so lopsided a line most points lie on one side.
            Lines::SparseShares(_) | Lines::SparseRates(_) => {
                beyond_and_long(&charted, Asked::Points)
            }
            _ => beyond_and_long(&charted, Asked::PointsAndRuns),
        };
        let month = |place: usize| series.months[stretch.span.start + place];
        signals.extend(patterns.into_iter().map(|pattern| MonthSignal {
            rule: pattern.rule,
            side: pattern.side,
            first: month(pattern.first),
            last: month(pattern.last),
            met: month(pattern.met),
            points: pattern.points,
        }));
    }
    let last = stretches.last();
    MonthChart {
        measure: followed.definition.id.clone(),
        by: followed.by.to_owned(),
        group: followed.group.clone(),
        statistic: series.statistic(),
        form: last.map_or(ChartForm::Run, |stretch| stretch.lines.form()),
        points,
        baselines: stretches
            .iter()
            .map(|stretch| Baseline {
                form: stretch.lines.form(),
                first: series.months[stretch.span.start],
                last: series.months[stretch.baseline.end - 1],
                points: count(&values[stretch.baseline.clone()]),
            })
            .collect(),
        signals,
        // Of the last stretch, whose points are still at hand.
        chance: last.and_then(|stretch| chance(&series.data, &values, stretch, &charted)),
        autocorrelation: last.and_then(|stretch| {
            autocorrelation(&values[stretch.baseline.clone()])
                .filter(|found| found.is_notable && found.lag_one > 0.0)
                .map(|found| found.lag_one)
        }),
    }
}

/// The stretches: one from the first month, and one from each change that has a whole baseline
/// behind it. A change without one is judged by the lines from before it, which still come from
/// the months before it alone.
fn stretches(
    series: &Series,
    values: &[Option<f64>],
    changes: &[Month],
    baseline_months: usize,
) -> Vec<Stretch> {
    let first = series.months[0];
    let mut places: Vec<usize> = changes
        .iter()
        .filter_map(|change| usize::try_from(change.since(first)).ok())
        .filter(|place| (1..values.len()).contains(place))
        .collect();
    places.dedup();
    let ends = places.iter().copied().skip(1).chain([values.len()]);
    let with_lines = places
        .iter()
        .copied()
        .zip(ends)
        .filter(|(start, end)| count(&values[*start..*end]) >= baseline_months);
    let first_end = places.first().copied().unwrap_or(values.len());
    let phases: Vec<(usize, usize)> = std::iter::once((0, first_end)).chain(with_lines).collect();
    let spans = phases.iter().enumerate().map(|(place, (start, end))| {
        let next = phases.get(place + 1).map_or(values.len(), |next| next.0);
        (*start..next, *start..*end)
    });
    spans
        .filter_map(|(span, phase)| {
            let baseline = baseline(values, phase, baseline_months)?;
            let lines = Lines::new(&series.data, values, baseline.clone())?;
            Some(Stretch {
                span,
                baseline,
                lines,
            })
        })
        .collect()
}

/// The first `baseline_months` months with a value of a phase, and the gaps between them; `None`
/// without a value.
fn baseline(
    values: &[Option<f64>],
    phase: Range<usize>,
    baseline_months: usize,
) -> Option<Range<usize>> {
    let last = phase
        .clone()
        .filter(|index| values[*index].is_some())
        .take(baseline_months)
        .last()?;
    Some(phase.start..last + 1)
}

fn count(values: &[Option<f64>]) -> usize {
    values.iter().flatten().count()
}
