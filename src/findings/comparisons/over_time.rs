//! Harm over time: the cases and the days that lie between one event and the next. Needs the order
//! of the cases, which count tables do not hold; see [`crate::domain::sequence`].

use crate::domain::month::Month;
use crate::domain::sequence::EventSequence;
use crate::stats::chart::between::{g_baseline, t_baseline};
use crate::stats::chart::false_alarm::{g_alarm, t_alarm};
use crate::stats::chart::limits::ChartPoint;
use crate::stats::chart::rules::signals;
use std::collections::BTreeMap;

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

impl BetweenChart {
    /// Signals whose pattern ends at an event of `month`.
    pub fn met_in(&self, month: Month) -> impl Iterator<Item = &BetweenSignal> {
        self.signals.iter().filter(move |signal| {
            let last = self.points.get(signal.last);
            last.is_some_and(|point| point.month == month)
        })
    }
}

impl HarmOverTime {
    /// For the chart of cases between events and that of days: the chance that it signals at an
    /// event of `month` if nothing had changed, at most 1. `None` where no event can signal: there
    /// is none in the month, or the chart has no lines.
    ///
    /// The chance at the last event, times the events of the month, so never too small.
    pub fn false_alarms(&self, month: Month) -> [Option<f64>; 2] {
        let chance = |chart: &BetweenChart, unit: f64, alarm: fn(&[u64], usize) -> Option<f64>| {
            let of_month = chart.points.iter().filter(|point| point.month == month);
            let events = of_month.count();
            let lines = chart.lines.filter(|_| events > 0)?;
            let baseline: Vec<u64> = chart.points[..lines.baseline]
                .iter()
                .map(|point| whole(point.value * unit))
                .collect();
            Some((alarm(&baseline, chart.points.len())? * events as f64).min(1.0))
        };
        [
            chance(&self.cases_between, 1.0, g_alarm),
            chance(&self.days_between, MINUTES_IN_A_DAY, t_alarm),
        ]
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a count or whole minutes, which were made a number for the chart"
)]
fn whole(value: f64) -> u64 {
    value.round().max(0.0) as u64
}

/// The charts of one measure.
pub(in crate::findings) fn harm_over_time(measure: &str, sequence: &EventSequence) -> HarmOverTime {
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

/// The chart of days between events, from the minutes between them and the month of each but the first.
pub(in crate::findings) fn days_chart(months: &[Month], minutes: &[u64]) -> BetweenChart {
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
    // The place of the last of each rule and side: a long series has many signals.
    let mut latest: BTreeMap<(Rule, Side), usize> = BTreeMap::new();
    for signal in signals(charted, &Rule::DEFAULT) {
        let place = latest.get(&(signal.rule, signal.side)).copied();
        match place.map(|place| &mut gathered[place]) {
            Some(before) if before.last + 1 == signal.index => before.last = signal.index,
            _ => {
                latest.insert((signal.rule, signal.side), gathered.len());
                gathered.push(BetweenSignal {
                    rule: signal.rule,
                    side: signal.side,
                    first: signal.index,
                    last: signal.index,
                });
            }
        }
    }
    gathered
}
