//! How often the charts of rare events signal at their last event although nothing has changed.
//! Knows distances between events in order.

use super::Chances;
use super::NormalLines;
use super::average;
use super::log_beta;
use super::normal_alarm;
use super::power;
use super::signal_at_last;
use super::whole;
use crate::stats::chart::between::g_baseline;
use crate::stats::chart::between::t_baseline;
use crate::stats::chart::limits::Limits;
use crate::stats::chart::rules::LONG_RUN;
use crate::stats::chart::sigma_error;

/// Chance of a signal at the last of `points` distances of a g chart whose lines come from the
/// first of them. `None` without a baseline.
///
/// Cases between events are geometric, and the true chance of an event at a case has the
/// Beta(events + 1/2, cases between + 1/2) distribution.
pub fn g_alarm(baseline: &[u64], points: usize) -> Option<f64> {
    let limits = g_baseline(baseline)?.limits();
    let events = baseline.len() as f64;
    let between: f64 = baseline.iter().map(|cases| *cases as f64).sum();
    let (a, b) = (events + 0.5, between + 0.5);
    let known = of_distance(&limits, events / (events + between));
    let (center, spread) = ((a / b).ln(), (1.0 / a + 1.0 / b).sqrt());
    Some(average(center, spread, log_beta(a, b), |log_odds| {
        let later = of_distance(&limits, 1.0 / (1.0 + (-log_odds).exp()));
        let of_point = |place: usize| {
            if place < baseline.len() { known } else { later }
        };
        let recent = points.saturating_sub(LONG_RUN)..points;
        signal_at_last(&recent.map(of_point).collect::<Vec<_>>())
    }))
}

/// The chances of one distance when each case has the event with chance `share`.
fn of_distance(limits: &Limits, share: f64) -> Chances {
    let longer_than = |line: f64| power(1.0 - share, whole(line.floor()).saturating_add(1));
    let shorter_than = |line: f64| 1.0 - power(1.0 - share, whole(line.ceil()));
    Chances {
        above: longer_than(limits.run_line),
        below: shorter_than(limits.run_line),
        beyond_high: limits.control.high.map_or(0.0, longer_than),
        beyond_low: limits.control.low.map_or(0.0, shorter_than),
    }
}

/// Chance of a signal at the last of `points` distances of a t chart whose lines come from the first
/// of them. `None` without a baseline.
///
/// The 3.6th roots of times between events are taken for normal, as the chart does.
pub fn t_alarm(baseline: &[u64], points: usize) -> Option<f64> {
    let limits = t_baseline(baseline)?.limits();
    let variance = |place: usize| {
        if place < baseline.len() {
            0.0
        } else {
            1.0 / baseline.len() as f64
        }
    };
    let recent = points.saturating_sub(LONG_RUN)..points;
    Some(normal_alarm(&NormalLines {
        sigma_error: sigma_error(&vec![true; baseline.len()])?,
        center_variances: &recent.map(variance).collect::<Vec<_>>(),
        low: limits.control.low.map(|_| 3.0),
        high: limits.control.high.map(|_| 3.0),
    }))
}
