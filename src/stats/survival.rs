//! Time to an end that some cases were not followed up to (cancelled, transferred): the
//! Kaplan-Meier curve, its quantiles and the share that got there by a given minute.
//!
//! Knows grouped counts. It assumes that leaving early says nothing about how much longer a case
//! would have taken; where it does (given up because it was hard), the curve is not the answer.

use super::{Interval, Level};
use std::collections::BTreeMap;

#[cfg(test)]
mod tests;

/// Two probabilities closer than this count as equal: the curve is a product, so `0.5` may come
/// out as `0.5000000000000001`.
const TOLERANCE: f64 = 1e-10;

/// One minute at which at least one case reached the end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// Minutes since the start.
    pub minutes: i64,
    /// Cases followed at least until here, at least 1.
    pub at_risk: u64,
    /// Cases that reached the end at this minute, at least 1.
    pub events: u64,
    /// Estimated share that has not reached the end after this minute.
    pub not_yet: f64,
    /// Greenwood's standard error of `not_yet`; `None` when `not_yet` is 0.
    pub standard_error: Option<f64>,
}

impl Step {
    /// The pointwise log-log interval of `not_yet`: the band of the curve from this minute up to the
    /// next step. `None` where the curve is 0, or 1 (by rounding, beyond 10^15 cases).
    pub fn interval(&self, level: Level) -> Option<Interval> {
        band(self, level)
    }
}

/// One minute at which at least one case reached the end or was followed no longer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Followed {
    /// Minutes since the start.
    pub minutes: i64,
    /// Cases followed at least until here, at least 1.
    pub at_risk: u64,
    /// Cases that reached the end at this minute.
    pub events: u64,
    /// Cases followed until this minute only.
    pub censored: u64,
}

/// The Kaplan-Meier curve.
///
/// A case that leaves at the same minute at which others reach the end counts as followed until
/// just after them.
///
/// Sources: Kaplan & Meier (1958), Journal of the American Statistical Association 53:457-481;
/// standard error: Greenwood (1926), Reports on Public Health and Medical Subjects 33. Both from
/// memory; the printed examples of the reference values are reproduced.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct KaplanMeier {
    steps: Vec<Step>,
    followed: Vec<Followed>,
}

/// A quantile of the time to the end, in minutes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TimeQuantile {
    /// The time; `None` when the curve never gets there.
    pub estimate: Option<f64>,
    /// Lower limit; `None` when the band never gets there.
    pub low: Option<f64>,
    /// Upper limit; `None` when the band never gets there.
    pub high: Option<f64>,
}

/// The estimated share that has reached the end by some minute.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reached {
    /// The share.
    pub share: f64,
    /// Log-log interval; `None` while the share is 0 and once it is 1, where it is not defined.
    pub interval: Option<Interval>,
}

impl KaplanMeier {
    /// The curve of cases grouped by (minutes, whether the end was reached).
    pub fn new(cases: &BTreeMap<(i64, bool), u64>) -> KaplanMeier {
        let mut by_minute: BTreeMap<i64, (u64, u64)> = BTreeMap::new();
        for (&(minutes, reached), &count) in cases.iter().filter(|(_, count)| **count > 0) {
            let (events, censored) = by_minute.entry(minutes).or_default();
            *(if reached { events } else { censored }) = count;
        }

        // Counted from the end, so that a total stopped at `u64::MAX` still covers every event.
        let mut at_risk = 0_u64;
        let mut followed = Vec::new();
        for (&minutes, &(events, censored)) in by_minute.iter().rev() {
            at_risk = at_risk.saturating_add(events).saturating_add(censored);
            followed.push(Followed {
                minutes,
                at_risk,
                events,
                censored,
            });
        }
        followed.reverse();

        let mut not_yet = 1.0;
        let mut greenwood = 0.0;
        let mut steps = Vec::new();
        for row in followed.iter().filter(|row| row.events > 0) {
            let (n, remaining) = (row.at_risk as f64, (row.at_risk - row.events) as f64);
            not_yet *= remaining / n;
            greenwood += row.events as f64 / n / remaining;
            steps.push(Step {
                minutes: row.minutes,
                at_risk: row.at_risk,
                events: row.events,
                not_yet,
                standard_error: (not_yet > 0.0).then(|| not_yet * greenwood.sqrt()),
            });
        }
        KaplanMeier { steps, followed }
    }

    /// The steps of the curve in order of time; before the first, nobody has reached the end.
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }

    /// Every minute at which something happened, in order: the steps, and those at which cases were
    /// followed no longer.
    pub fn followed(&self) -> &[Followed] {
        &self.followed
    }

    /// Cases at risk at `minutes`: followed at least until then, so that those who reach the end or
    /// leave at this very minute are among them. It is the number below the axis of a curve.
    pub fn at_risk(&self, minutes: i64) -> u64 {
        let before = self.followed.partition_point(|row| row.minutes < minutes);
        self.followed.get(before).map_or(0, |row| row.at_risk)
    }

    /// The time by which a fraction `q` has reached the end: the first step at which the curve is
    /// below `1 - q`. Where it stays at exactly `1 - q` (within 1e-10) for a while, the middle of
    /// that flat part, which reaches to the next step, or behind the last to the last minute at which
    /// a case was followed. So without censoring the median is that of type 7. `None` unless `q` lies
    /// strictly between 0 and 1.
    ///
    /// The limits are found in the same way on the log-log band.
    /// Sources: Brookmeyer & Crowley (1982), Biometrics 38:29-41, with the transformed band, from
    /// memory; the middle of a flat part as `quantile` of R's package survival takes it, also for the
    /// limits, whose printed examples are reproduced.
    pub fn quantile(&self, q: f64, level: Level) -> Option<TimeQuantile> {
        if !(q > 0.0 && q < 1.0) {
            return None;
        }
        Some(TimeQuantile {
            estimate: self.falls_below(1.0 - q, |step| Some(step.not_yet)),
            low: self.falls_below(1.0 - q, |step| Some(band(step, level)?.low)),
            high: self.falls_below(1.0 - q, |step| Some(band(step, level)?.high)),
        })
    }

    /// The minute of the first step at which `curve` is below `height`, or the middle of the flat part
    /// on which it is equal.
    fn falls_below(&self, height: f64, curve: impl Fn(&Step) -> Option<f64>) -> Option<f64> {
        let (place, value) = self.steps.iter().enumerate().find_map(|(place, step)| {
            Some((
                place,
                curve(step).filter(|value| *value <= height + TOLERANCE)?,
            ))
        })?;
        let start = self.steps[place].minutes as f64;
        if value < height - TOLERANCE {
            return Some(start);
        }
        let next = self.steps.get(place + 1).map(|step| step.minutes);
        let end = next.or_else(|| Some(self.followed.last()?.minutes))?;
        Some(f64::midpoint(start, end as f64))
    }

    /// The estimated share that has reached the end by `minutes`, that minute included.
    ///
    /// `None` when no case was followed that long and the curve has not come to 0 by then: what
    /// happens there was not seen.
    pub fn reached_by(&self, minutes: i64, level: Level) -> Option<Reached> {
        let passed = self.steps.partition_point(|step| step.minutes <= minutes);
        let step = self.steps[..passed].last();
        let not_yet = step.map_or(1.0, |step| step.not_yet);
        let last = self.followed.last();
        if last.is_none_or(|last| last.minutes < minutes) && not_yet > 0.0 {
            return None;
        }
        Some(Reached {
            share: 1.0 - not_yet,
            interval: step
                .and_then(|step| band(step, level))
                .map(|band| Interval {
                    low: 1.0 - band.high,
                    high: 1.0 - band.low,
                }),
        })
    }
}

/// Pointwise interval of the curve at a step, symmetric on the scale of `ln(-ln S)`, so that it
/// stays within 0 to 1. `None` where the curve is 0, or 1 (by rounding, beyond 10^15 cases).
///
/// Source: Kalbfleisch & Prentice (1980), The Statistical Analysis of Failure Time Data,
/// section 1.3; from memory.
fn band(step: &Step, level: Level) -> Option<Interval> {
    let log_height = step.not_yet.ln();
    if log_height >= 0.0 {
        return None;
    }
    let spread = level.normal_bound() * step.standard_error? / (step.not_yet * -log_height);
    Some(Interval {
        low: (log_height * spread.exp()).exp(),
        high: (log_height * (-spread).exp()).exp(),
    })
}
