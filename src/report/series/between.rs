//! What lies between one event and the next: the points that a chart has room for, and what its
//! signals say. Which events they are is for the section to know.

use crate::findings::comparisons::over_time::{
    BetweenChart, BetweenLines, BetweenSignal, Rule, Side,
};
use crate::report::chart::{SequenceLines, SequencePoint};
use crate::report::format;

/// Points that a chart has room for: the last ones.
const MOST_POINTS: usize = 60;

/// How many of the first points are not drawn.
fn left_out(chart: &BetweenChart) -> usize {
    chart.points.len().saturating_sub(MOST_POINTS)
}

/// The points that are drawn, and how many before them are not.
pub(in crate::report) fn points_drawn(chart: &BetweenChart) -> (usize, Vec<SequencePoint>) {
    let left_out = left_out(chart);
    let is_signal = |index: usize| {
        let mut signals = chart.signals.iter();
        signals.any(|signal| (signal.first..=signal.last).contains(&index))
    };
    let points = chart.points.iter().enumerate().skip(left_out);
    let points = points.map(|(index, point)| SequencePoint {
        month: point.month,
        value: point.value,
        is_signal: is_signal(index),
    });
    (left_out, points.collect())
}

/// The lines of the chart, when so many of its first points are not drawn.
pub(in crate::report) fn lines_drawn(lines: BetweenLines, left_out: usize) -> SequenceLines {
    SequenceLines {
        middle: lines.run_line,
        low: lines.low,
        high: lines.high,
        baseline: lines.baseline.saturating_sub(left_out),
    }
}

/// The rule that a signal met.
pub(in crate::report) const fn rule_met(signal: BetweenSignal) -> &'static str {
    match (signal.rule, signal.side) {
        (Rule::BeyondLimits, Side::Above) => "beyond the upper limit",
        (Rule::BeyondLimits, Side::Below) => "below the lower limit",
        (_, Side::Above) => "eight or more in a row above the middle",
        (_, Side::Below) => "eight or more in a row below the middle",
    }
}

/// Which rules were met: `told` tells of each signal that ends at a point that is drawn, and the others
/// are counted, each sentence about the distances `about`.
pub(in crate::report) fn signal_words(
    about: &str,
    chart: &BetweenChart,
    told: impl Fn(BetweenSignal) -> String,
) -> Vec<String> {
    let about = format::capitalized(about);
    if chart.signals.is_empty() {
        return vec![format!(
            "{about}: no rule was met (a point beyond the limits; eight in a row on one side of the \
             middle)."
        )];
    }
    let left_out = left_out(chart);
    let signals = chart.signals.iter().copied();
    let (drawn, earlier): (Vec<_>, Vec<_>) = signals.partition(|signal| signal.last >= left_out);
    let mut words: Vec<_> = drawn.into_iter().map(told).collect();
    if !earlier.is_empty() {
        let (one, many) = if words.is_empty() {
            ("time", "times")
        } else {
            ("more time", "more times")
        };
        words.push(format!(
            "{about}: rules were met {} before the distances that are drawn.",
            format::counted(earlier.len() as u64, one, many)
        ));
    }
    words
}

/// What a signal on this side says of the `events`.
pub(in crate::report) fn meaning(events: &str, side: Side) -> String {
    let how = match side {
        Side::Above => "lay further apart",
        Side::Below => "came closer together",
    };
    format!("{events} {how} than before")
}

/// `event of March 2026`, or `events of March 2026 to May 2026`.
pub(in crate::report) fn when(
    chart: &BetweenChart,
    signal: BetweenSignal,
    one: &str,
    many: &str,
) -> String {
    let month = |index: usize| {
        let point = chart.points.get(index);
        point.map_or_else(String::new, |point| format::month_name(point.month))
    };
    let (first, last) = (month(signal.first), month(signal.last));
    if first == last {
        format!("{one} of {first}")
    } else {
        format!("{many} of {first} to {last}")
    }
}

/// Whether a point of the chart met a rule, in a cell; nothing where there are no rules yet.
pub(in crate::report) fn rule_cell(chart: &BetweenChart, point: &SequencePoint) -> &'static str {
    match (&chart.lines, point.is_signal) {
        (None, _) => format::NOTHING,
        (Some(_), true) => "yes",
        (Some(_), false) => "no",
    }
}
