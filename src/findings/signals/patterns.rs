//! The points at which a rule is met, gathered to patterns with a first and a last point. Knows
//! points in order, not months.

use super::MonthRule;
use super::Side;
use super::lines::RunLine;
use crate::stats::chart::limits::ChartPoint;
use crate::stats::chart::rules::LONG_RUN;
use crate::stats::chart::rules::Rule;
use crate::stats::chart::rules::signals;
use crate::stats::chart::run_chart::run_limits;

/// A pattern between two points, by their places among all points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Pattern {
    pub(super) rule: MonthRule,
    pub(super) side: Option<Side>,
    pub(super) first: usize,
    pub(super) last: usize,
    /// Points with a value in it.
    pub(super) points: usize,
}

/// The patterns of a chart with limits by the given rules: oldest first.
pub(super) fn beyond_and_long(points: &[Option<ChartPoint>], rules: &[Rule]) -> Vec<Pattern> {
    // Places of the points with a value, so that a gap does not end a pattern.
    let observed: Vec<usize> = (0..points.len())
        .filter(|index| points[*index].is_some())
        .collect();
    let mut patterns: Vec<Pattern> = Vec::new();
    // The last rank of each pattern among the observed points, beside it.
    let mut ends: Vec<usize> = Vec::new();
    for signal in signals(points, rules) {
        let rank = observed.partition_point(|index| *index < signal.index);
        let (rule, length) = match signal.rule {
            Rule::EightOnOneSide => (MonthRule::EightOnOneSide, LONG_RUN),
            Rule::BeyondLimits | Rule::TwoOfThree => (MonthRule::BeyondLimits, 1),
        };
        let going_on = patterns.iter().zip(&ends).position(|(pattern, end)| {
            pattern.rule == rule && pattern.side == Some(signal.side) && end + 1 == rank
        });
        if let Some(place) = going_on {
            patterns[place].last = signal.index;
            patterns[place].points += 1;
            ends[place] = rank;
        } else {
            patterns.push(Pattern {
                rule,
                side: Some(signal.side),
                first: observed[(rank + 1).saturating_sub(length)],
                last: signal.index,
                points: length,
            });
            ends.push(rank);
        }
    }
    patterns.sort_by_key(|pattern| (pattern.first, pattern.rule));
    patterns
}

/// The patterns of a run chart about `line`: oldest first. Points on the line tell neither way, and
/// a line with too few points, or without points on both sides, tells nothing.
pub(super) fn long_and_few_crossings(values: &[Option<f64>], line: RunLine) -> Vec<Pattern> {
    if !line.can_be_judged() {
        return Vec::new();
    }
    let useful: Vec<(usize, Side)> = values
        .iter()
        .enumerate()
        .filter_map(|(index, value)| Some((index, side_of((*value)?, line.center)?)))
        .collect();
    let limits = run_limits(useful.len() as u64);
    let (Some(limits), Some((first, _)), Some((last, _))) = (limits, useful.first(), useful.last())
    else {
        return Vec::new();
    };
    let runs: Vec<&[(usize, Side)]> = useful.chunk_by(|a, b| a.1 == b.1).collect();
    let crossings = runs.len() as u64 - 1;
    let few = (crossings < limits.crossings).then_some(Pattern {
        rule: MonthRule::FewCrossings,
        side: None,
        first: *first,
        last: *last,
        points: useful.len(),
    });
    let long = runs.iter().filter_map(|run| {
        let ((first, side), (last, _)) = run.first().zip(run.last())?;
        (run.len() as u64 > limits.longest_run).then_some(Pattern {
            rule: MonthRule::LongRun,
            side: Some(*side),
            first: *first,
            last: *last,
            points: run.len(),
        })
    });
    let mut patterns: Vec<Pattern> = long.chain(few).collect();
    patterns.sort_by_key(|pattern| (pattern.first, pattern.rule));
    patterns
}

/// `None` on the line.
pub(super) fn side_of(value: f64, line: f64) -> Option<Side> {
    if value > line {
        Some(Side::Above)
    } else if value < line {
        Some(Side::Below)
    } else {
        None
    }
}
