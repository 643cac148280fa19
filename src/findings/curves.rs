//! How many cases had been scoped by when: one Kaplan-Meier curve per urgency, and for the call also
//! how many had left before the scope by then. From count tables alone.
//!
//! Knows which measures have curves. Compares no group with another, and tests nothing.

use super::comparisons::{Counted, Interval};
use super::estimate::Settings;
use super::finding::{Address, Findings, Statistic};
use super::list_order::place;
use crate::domain::counts::{CountTables, Key, MinutesCount};
use crate::domain::fields::{CaseField, Field};
use crate::domain::measure::Definition;
use crate::stats::proportion::wilson;
use crate::stats::survival::KaplanMeier;

#[cfg(test)]
mod tests;

/// Measures of minutes that have curves.
pub const MEASURES: [&str; 2] = ["call_to_scope", "arrival_to_scope"];

/// A curve is shown while at least this many cases are at risk; behind that each single case moves
/// it by a fifth and more.
pub const FEWEST_AT_RISK: u64 = 5;

/// By when the ends are counted, in minutes: half an hour to a day.
const BY: [i64; 7] = [30, 60, 120, 240, 360, 720, 1440];

/// Every curve of a run, over the whole period.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Curves {
    /// By measure, then by urgency in the order of its list.
    pub curves: Vec<Curve>,
    /// What had become of all judged calls by some minutes, in order of time, up to the first by
    /// which all had come to an end. Empty when nothing was counted.
    pub ends: Vec<EndsBy>,
    /// Calls that could not be judged, so that their ends are not among these.
    pub ends_excluded: u64,
}

/// The curve of one group.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// Identifier of the measure.
    pub measure: String,
    /// Name of the dimension.
    pub by: &'static str,
    /// Its value.
    pub group: String,
    /// Cases, those followed only for a while included.
    pub cases: u64,
    /// Of these, cases followed only until they were cancelled or transferred.
    pub censored: u64,
    /// Every minute at which something happened, in order.
    pub points: Vec<CurvePoint>,
}

/// One minute of a curve. What it says holds up to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurvePoint {
    /// Minutes since the start.
    pub minutes: i64,
    /// Cases still followed and not yet at the end just before this minute.
    pub at_risk: u64,
    /// Cases that reached the end at it.
    pub events: u64,
    /// Cases that left at it.
    pub censored: u64,
    /// Estimated share that has reached the end by it.
    pub reached: f64,
    /// Log-log limits of `reached`; `None` where it is 0 or 1.
    pub interval: Option<Interval>,
}

/// What had become of the judged calls by some minute. Each comes to one of the two ends or waits, so
/// the three counts add up to all that were judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EndsBy {
    /// Minutes since the call, this minute included.
    pub minutes: i64,
    /// The scope was in.
    pub scoped: EndShare,
    /// Cancelled or transferred before the scope went in.
    pub left: EndShare,
    /// Neither.
    pub waiting: EndShare,
}

/// A share of all judged calls with its Wilson limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EndShare {
    /// Cases with this end, of all judged cases.
    pub counted: Counted,
    /// Limits.
    pub interval: Interval,
}

impl Curves {
    /// The curves of a run.
    pub fn new(counts: &CountTables, definitions: &[Definition], settings: Settings) -> Curves {
        let defined = |id: &str| definitions.iter().find(|definition| definition.id == id);
        let mut curves: Vec<Curve> = MEASURES
            .iter()
            .filter_map(|&id| defined(id))
            .flat_map(|definition| of_measure(counts, definition, settings))
            .collect();
        curves.sort_by_cached_key(|curve| {
            let measure = MEASURES.iter().position(|&id| id == curve.measure);
            (measure, place(curve.by, &curve.group), curve.group.clone())
        });
        let all = defined(MEASURES[0])
            .and_then(|definition| counts.minutes.get(&Key::of_all(definition, None)));
        Curves {
            curves,
            ends: all.map_or_else(Vec::new, |count| ends(count, settings)),
            ends_excluded: all.map_or(0, |count| count.excluded),
        }
    }

    /// The curves of one measure.
    pub fn of<'a>(&'a self, measure: &'a str) -> impl Iterator<Item = &'a Curve> {
        let curves = self.curves.iter();
        curves.filter(move |curve| curve.measure == measure)
    }
}

impl Curve {
    /// Whether the numbers of the group may not be seen, by the mark of its median.
    pub fn is_withheld(&self, findings: &Findings) -> bool {
        let median = findings.at(Address {
            measure: &self.measure,
            by: self.by,
            group: &self.group,
            month: None,
            statistic: Statistic::Median,
        });
        median.is_some_and(|median| median.suppressed)
    }

    /// Cases at risk at `minutes`, the number below the axis.
    pub fn at_risk(&self, minutes: i64) -> u64 {
        let before = self.points.partition_point(|point| point.minutes < minutes);
        self.points.get(before).map_or(0, |point| point.at_risk)
    }

    /// The points with enough cases at risk to be drawn.
    pub fn shown(&self) -> &[CurvePoint] {
        let is_shown = |point: &CurvePoint| point.at_risk >= FEWEST_AT_RISK;
        &self.points[..self.points.partition_point(is_shown)]
    }

    /// The last minute at which enough cases are at risk; `None` when there never were.
    pub fn shown_until(&self) -> Option<i64> {
        self.shown().last().map(|point| point.minutes)
    }

    /// Share and limits by `minutes`, that minute included; `None` where too few cases were followed
    /// that long. Before the first point nobody has reached the end.
    pub fn by(&self, minutes: i64) -> Option<(f64, Option<Interval>)> {
        if self.at_risk(minutes) < FEWEST_AT_RISK {
            return None;
        }
        let passed = self
            .points
            .partition_point(|point| point.minutes <= minutes);
        let point = self.points[..passed].last();
        Some(point.map_or((0.0, None), |point| (point.reached, point.interval)))
    }

    /// The first minute by which a `share` has reached the end, where enough cases were at risk.
    pub fn reaches(&self, share: f64) -> Option<i64> {
        // The curve is a product, so that a half may come out as a little less.
        let point = self
            .shown()
            .iter()
            .find(|point| point.reached >= share - 1e-10);
        point.map(|point| point.minutes)
    }
}

fn of_measure<'a>(
    counts: &'a CountTables,
    definition: &'a Definition,
    settings: Settings,
) -> impl Iterator<Item = Curve> + use<'a> {
    let by = CaseField::Urgency.column();
    let of_groups = counts.minutes.iter().filter(move |(key, count)| {
        key.measure == definition.id
            && key.version == definition.version
            && key.by == by
            && key.month.is_none()
            && count.cases.values().any(|cases| *cases > 0)
    });
    of_groups.map(move |(key, count)| Curve {
        measure: definition.id.clone(),
        by,
        group: key.group.clone(),
        cases: sum(count, |_| true),
        censored: sum(count, |(_, reached)| !reached),
        points: points(count, settings),
    })
}

fn points(count: &MinutesCount, settings: Settings) -> Vec<CurvePoint> {
    let curve = KaplanMeier::new(&count.cases);
    let mut steps = curve.steps().iter().peekable();
    let (mut reached, mut interval) = (0.0, None);
    let mut points = Vec::new();
    for row in curve.followed() {
        if let Some(step) = steps.next_if(|step| step.minutes == row.minutes) {
            reached = 1.0 - step.not_yet;
            interval = step.interval(settings.level).map(|band| Interval {
                low: 1.0 - band.high,
                high: 1.0 - band.low,
            });
        }
        points.push(CurvePoint {
            minutes: row.minutes,
            at_risk: row.at_risk,
            events: row.events,
            censored: row.censored,
            reached,
            interval,
        });
    }
    points
}

/// Every judged case has come to one of the two ends, none was lost from sight before either. The cumulative
/// incidence of Aalen and Johansen is then the plain share, and takes the limits of one.
fn ends(count: &MinutesCount, settings: Settings) -> Vec<EndsBy> {
    let all = sum(count, |_| true);
    let share = |events: u64| {
        let counted = Counted { events, cases: all };
        let interval = wilson(counted.tally()?, settings.level);
        Some(EndShare { counted, interval })
    };
    let mut found = Vec::new();
    for minutes in BY {
        let scoped = sum(count, |(at, reached)| at <= minutes && reached);
        let left = sum(count, |(at, reached)| at <= minutes && !reached);
        let waiting = all.saturating_sub(scoped).saturating_sub(left);
        let shares = (share(scoped), share(left), share(waiting));
        let (Some(scoped), Some(left), Some(rest)) = shares else {
            break;
        };
        found.push(EndsBy {
            minutes,
            scoped,
            left,
            waiting: rest,
        });
        if waiting == 0 {
            break;
        }
    }
    found
}

fn sum(count: &MinutesCount, is_wanted: impl Fn((i64, bool)) -> bool) -> u64 {
    let wanted = count.cases.iter().filter(|(case, _)| is_wanted(**case));
    wanted.fold(0, |sum, (_, cases)| sum.saturating_add(*cases))
}
