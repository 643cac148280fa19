//! The points at which a rule is met, gathered to patterns with a first and a last point. Knows
//! points in order, not months.

use super::MonthRule;
use super::Side;
use super::lines::RunLine;
use crate::stats::chart::limits::ChartPoint;
use crate::stats::chart::rules::LONG_RUN;
use crate::stats::chart::rules::Rule;
use crate::stats::chart::rules::side_of_line;
use crate::stats::chart::rules::signals;
use crate::stats::chart::run_chart::run_limits;

/// A pattern between two points, by their places among all points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Pattern {
    pub(super) rule: MonthRule,
    pub(super) side: Option<Side>,
    pub(super) first: usize,
    pub(super) last: usize,
    /// The first point at which the rule was met.
    pub(super) met: usize,
    /// Points with a value in it.
    pub(super) points: usize,
}

/// What is asked of a chart with limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Asked {
    /// Points beyond the limits.
    Points,
    /// Points beyond the limits, and long runs on one side of the line.
    PointsAndRuns,
}

impl Asked {
    /// The rules by their names on the charts, with the points that each needs at least.
    const fn rules(self) -> &'static [(Rule, MonthRule, usize)] {
        const ALL: [(Rule, MonthRule, usize); 2] = [
            (Rule::BeyondLimits, MonthRule::BeyondLimits, 1),
            (Rule::EightOnOneSide, MonthRule::EightOnOneSide, LONG_RUN),
        ];
        match self {
            Asked::Points => ALL.split_at(1).0,
            Asked::PointsAndRuns => &ALL,
        }
    }
}

/// The patterns of a chart with limits: oldest first.
pub(super) fn beyond_and_long(points: &[Option<ChartPoint>], asked: Asked) -> Vec<Pattern> {
    // Places of the points with a value, so that a gap does not end a pattern.
    let observed: Vec<usize> = (0..points.len())
        .filter(|index| points[*index].is_some())
        .collect();
    let mut patterns: Vec<Pattern> = Vec::new();
    // The last rank of each pattern among the observed points, beside it.
    let mut ends: Vec<usize> = Vec::new();
    let rules = asked.rules();
    let found = rules.iter().flat_map(|(stands_for, rule, length)| {
        signals(points, &[*stands_for])
            .into_iter()
            .map(|signal| (signal, *rule, *length))
    });
    for (signal, rule, length) in found {
        let rank = observed.partition_point(|index| *index < signal.index);
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
                met: signal.index,
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
    let useful: Vec<Useful> = values
        .iter()
        .enumerate()
        .filter_map(|(place, value)| Some((place, side_of_line((*value)?, line.center)?)))
        .zip(1..)
        .map(|((place, side), number)| Useful {
            place,
            side,
            number,
        })
        .collect();
    let limits = run_limits(useful.len() as u64);
    let (Some(limits), Some(first), Some(last)) = (limits, useful.first(), useful.last()) else {
        return Vec::new();
    };
    let runs: Vec<&[Useful]> = useful.chunk_by(|a, b| a.side == b.side).collect();
    let crossings = runs.len() as u64 - 1;
    let few = (crossings < limits.crossings).then_some(Pattern {
        rule: MonthRule::FewCrossings,
        side: None,
        first: first.place,
        last: last.place,
        met: last.place,
        points: useful.len(),
    });
    let long = runs.iter().filter_map(|run| {
        let (first, last) = run.first().zip(run.last())?;
        (run.len() as u64 > limits.longest_run).then(|| Pattern {
            rule: MonthRule::LongRun,
            side: Some(first.side),
            first: first.place,
            last: last.place,
            met: too_long_at(run).unwrap_or(last.place),
            points: run.len(),
        })
    });
    let mut patterns: Vec<Pattern> = long.chain(few).collect();
    patterns.sort_by_key(|pattern| (pattern.first, pattern.rule));
    patterns
}

/// A point off the line of a run chart.
struct Useful {
    place: usize,
    side: Side,
    /// How many there were by then, itself included.
    number: u64,
}

/// The first point at which a run was longer than shuffled points show by then.
fn too_long_at(run: &[Useful]) -> Option<usize> {
    let mut lengths = run.iter().zip(1_u64..);
    lengths.find_map(|(point, length)| {
        let limits = run_limits(point.number)?;
        (length > limits.longest_run).then_some(point.place)
    })
}
