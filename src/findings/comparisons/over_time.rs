//! Harm over time: the cases and the days that lie between one event and the next. Needs the order
//! of the cases, which count tables do not hold; see [`crate::domain::sequence`].

use crate::domain::month::Month;
use crate::domain::sequence::EventSequence;
use crate::stats::chart::between::{g_baseline, t_baseline};
use crate::stats::chart::limits::ChartPoint;
use crate::stats::chart::rules::signals;

pub use crate::stats::chart::limits::Side;
pub use crate::stats::chart::rules::Rule;

/// Distances that the lines are computed from: the first so many, so that they stay as they are when
/// events are added.
const BASELINE: usize = 20;

/// Fewest cases between events for lines; below [`BASELINE`] they are provisional.
const CASES_NEEDED: usize = 12;

/// Fewest times between events for lines.
const TIMES_NEEDED: usize = BASELINE;

const MINUTES_IN_A_DAY: f64 = 24.0 * 60.0;

/// One measure of harm in the order of the calls.
#[derive(Clone, Debug, PartialEq)]
pub struct HarmOverTime {
    /// Identifier of the measure.
    pub measure: String,
    /// Events.
    pub events: usize,
    /// Judged cases.
    pub cases: u64,
    /// Judged cases since the last event, none of them with one.
    pub cases_since: u64,
    /// Days from the call of the last event to that of the last judged case; `None` without events.
    pub days_since: Option<f64>,
    /// Cases between events.
    pub cases_between: BetweenChart,
    /// Days between events.
    pub days_between: BetweenChart,
}

/// What lies between one event and the next, with the lines of its chart.
#[derive(Clone, Debug, PartialEq)]
pub struct BetweenChart {
    /// One point for each event but the first.
    pub points: Vec<BetweenPoint>,
    /// The lines; `None` when there are fewer points than `needed`.
    pub lines: Option<BetweenLines>,
    /// Points that the lines need.
    pub needed: usize,
    /// What the rules found; none without lines.
    pub signals: Vec<BetweenSignal>,
}

/// The distance of one event from the event before.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BetweenPoint {
    /// Month of the event.
    pub month: Month,
    /// Cases without the event in between, or days.
    pub value: f64,
}

/// The lines of a chart, the same at every point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BetweenLines {
    /// The mean, or for days the center on the scale of the 3.6th root.
    pub center: f64,
    /// The line about which runs are counted.
    pub run_line: f64,
    /// Lower limit; `None` where there is none.
    pub low: Option<f64>,
    /// Upper limit; `None` where there is none.
    pub high: Option<f64>,
    /// How many points the lines were computed from, the first ones.
    pub baseline: usize,
    /// Whether these are too few to rely on.
    pub is_provisional: bool,
}

/// A pattern that a steady process seldom shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BetweenSignal {
    /// The rule.
    pub rule: Rule,
    /// On which side.
    pub side: Side,
    /// The points at which it is met, from this one, counted from 0.
    pub first: usize,
    /// To this one.
    pub last: usize,
}

/// The charts of one measure.
pub(super) fn harm_over_time(measure: &str, sequence: &EventSequence) -> HarmOverTime {
    let pairs = || sequence.events.iter().zip(sequence.events.iter().skip(1));
    let months: Vec<Month> = pairs().map(|(_, event)| event.month).collect();
    let cases: Vec<u64> = pairs().map(|(_, event)| event.cases_before).collect();
    let minutes: Vec<u64> = pairs()
        .map(|(before, event)| event.minute.saturating_sub(before.minute).unsigned_abs())
        .collect();
    let last = sequence.events.last();
    HarmOverTime {
        measure: measure.to_owned(),
        events: sequence.events.len(),
        cases: sequence.cases(),
        cases_since: sequence.cases_after,
        days_since: last
            .zip(sequence.last_minute)
            .map(|(event, last)| last.saturating_sub(event.minute) as f64 / MINUTES_IN_A_DAY),
        cases_between: cases_chart(&months, &cases),
        days_between: days_chart(&months, &minutes),
    }
}

fn cases_chart(months: &[Month], cases: &[u64]) -> BetweenChart {
    let baseline = &cases[..cases.len().min(BASELINE)];
    let charted = (cases.len() >= CASES_NEEDED)
        .then(|| g_baseline(baseline))
        .flatten()
        .map(|lines| lines.chart(cases));
    let values = cases.iter().map(|cases| *cases as f64).collect();
    chart(months, values, CASES_NEEDED, charted, 1.0)
}

fn days_chart(months: &[Month], minutes: &[u64]) -> BetweenChart {
    let baseline = &minutes[..minutes.len().min(BASELINE)];
    let charted = (minutes.len() >= TIMES_NEEDED)
        .then(|| t_baseline(baseline))
        .flatten()
        .map(|lines| lines.chart(minutes));
    let days = |minutes: &u64| *minutes as f64 / MINUTES_IN_A_DAY;
    let values = minutes.iter().map(days).collect();
    chart(months, values, TIMES_NEEDED, charted, MINUTES_IN_A_DAY)
}

/// `unit` is what one unit of the values is in that of `charted`.
fn chart(
    months: &[Month],
    values: Vec<f64>,
    needed: usize,
    charted: Option<Vec<Option<ChartPoint>>>,
    unit: f64,
) -> BetweenChart {
    let count = values.len();
    let points = months
        .iter()
        .zip(values)
        .map(|(month, value)| BetweenPoint {
            month: *month,
            value,
        })
        .collect();
    let lines = charted.as_ref().and_then(|charted| {
        let limits = charted.first().copied().flatten()?.limits;
        Some(BetweenLines {
            center: limits.center / unit,
            run_line: limits.run_line / unit,
            low: limits.control.low.map(|low| low / unit),
            high: limits.control.high.map(|high| high / unit),
            baseline: count.min(BASELINE),
            is_provisional: count < BASELINE,
        })
    });
    BetweenChart {
        points,
        lines,
        needed,
        signals: charted.map_or_else(Vec::new, |charted| gathered(&charted)),
    }
}

/// The signals, those of one rule and side that follow one another put together.
fn gathered(charted: &[Option<ChartPoint>]) -> Vec<BetweenSignal> {
    let mut gathered: Vec<BetweenSignal> = Vec::new();
    for signal in signals(charted, &Rule::DEFAULT) {
        let before = gathered.iter_mut().find(|before| {
            before.rule == signal.rule
                && before.side == signal.side
                && before.last + 1 == signal.index
        });
        match before {
            Some(before) => before.last = signal.index,
            None => gathered.push(BetweenSignal {
                rule: signal.rule,
                side: signal.side,
                first: signal.index,
                last: signal.index,
            }),
        }
    }
    gathered
}
