//! Time to one of several ends where the first excludes the others (removed, pushed on, gone by
//! itself): the share that came to each end by a given minute, by the Aalen-Johansen estimator.
//!
//! Knows grouped counts. One minus a Kaplan-Meier curve that counts the other ends as cases that
//! left would be too large, since those cases will never come to this end. As there, cases that
//! were only followed for a while are assumed to be like the others.

use super::survival::Reached;
use super::{Interval, Level};
use std::collections::BTreeMap;

#[cfg(test)]
mod tests;

/// One minute at which at least one case came to any end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IncidenceStep {
    /// Minutes since the start.
    pub minutes: i64,
    /// Cases followed at least until here, at least 1.
    pub at_risk: u64,
    /// Cases that came to the end in question at this minute.
    pub events: u64,
    /// Cases that came to another end at this minute.
    pub other_ends: u64,
    /// Estimated share that came to the end in question by this minute, this minute included.
    pub share: f64,
    /// Standard error of `share`.
    pub standard_error: f64,
    /// Estimated share that came to no end by this minute. The shares of all ends and this add up
    /// to 1.
    pub not_yet: f64,
}

/// The cumulative incidence of one end.
///
/// A case that leaves at the same minute at which others come to an end counts as followed until
/// just after them. With one kind of end the share is 1 minus the Kaplan-Meier curve and the
/// standard error is Greenwood's.
///
/// The variance is that of the delta method, with the ends of one minute taken as multinomial
/// among those at risk; without cases that left it is the binomial variance of the share.
///
/// Sources: Aalen & Johansen (1978), Scandinavian Journal of Statistics 5:141-150; variance: Dinse
/// & Larson (1986), Biometrika 73:379-386; both from memory. The variance is written as a
/// recursion over the minutes, which gives the same numbers as the published double sum.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CumulativeIncidence {
    steps: Vec<IncidenceStep>,
    last_followed: Option<i64>,
}

/// Cases that came to the end in question, to another end, or were followed no longer.
#[derive(Clone, Copy, Default)]
struct Counts {
    events: u64,
    other_ends: u64,
    left: u64,
}

impl CumulativeIncidence {
    /// The incidence of `end` among cases grouped by (minutes, the end they came to); `None` for
    /// cases that were followed only until then.
    pub fn new<E: Ord>(cases: &BTreeMap<(i64, Option<E>), u64>, end: &E) -> CumulativeIncidence {
        let mut by_minute: BTreeMap<i64, Counts> = BTreeMap::new();
        for ((minutes, reached), count) in cases.iter().filter(|(_, count)| **count > 0) {
            let counts = by_minute.entry(*minutes).or_default();
            let counter = match reached {
                Some(reached) if reached == end => &mut counts.events,
                Some(_) => &mut counts.other_ends,
                None => &mut counts.left,
            };
            *counter = counter.saturating_add(*count);
        }

        // Counted from the end, so that a total stopped at `u64::MAX` still covers every event.
        let mut at_risk = 0_u64;
        let mut rows: Vec<(i64, u64, Counts)> = Vec::new();
        for (&minutes, &counts) in by_minute.iter().rev() {
            at_risk = [counts.events, counts.other_ends, counts.left]
                .into_iter()
                .fold(at_risk, u64::saturating_add);
            rows.push((minutes, at_risk, counts));
        }

        let mut state = State::START;
        let mut steps = Vec::new();
        for (minutes, at_risk, counts) in rows.into_iter().rev() {
            if counts.events == 0 && counts.other_ends == 0 {
                continue;
            }
            state = state.after(at_risk as f64, counts);
            steps.push(IncidenceStep {
                minutes,
                at_risk,
                events: counts.events,
                other_ends: counts.other_ends,
                share: state.share.min(1.0),
                standard_error: state.share_variance.max(0.0).sqrt(),
                not_yet: state.not_yet,
            });
        }
        CumulativeIncidence {
            steps,
            last_followed: by_minute.keys().next_back().copied(),
        }
    }

    /// The steps in order of time, those at which only other ends were reached included; before
    /// the first, nobody has come to any end.
    pub fn steps(&self) -> &[IncidenceStep] {
        &self.steps
    }

    /// The estimated share that came to the end in question by `minutes`, that minute included.
    ///
    /// The interval is symmetric on the scale of `ln(-ln(1 - share))`, as the log-log interval of
    /// a Kaplan-Meier curve is, so the two agree where there is one kind of end; some programs
    /// take `ln(-ln(share))` instead. It is missing where the share is 0 or 1.
    ///
    /// `None` when no case was followed that long while some could still have come to an end.
    pub fn reached_by(&self, minutes: i64, level: Level) -> Option<Reached> {
        let passed = self.steps.partition_point(|step| step.minutes <= minutes);
        let step = self.steps[..passed].last();
        let not_yet = step.map_or(1.0, |step| step.not_yet);
        if self.last_followed.is_none_or(|last| last < minutes) && not_yet > 0.0 {
            return None;
        }
        Some(Reached {
            share: step.map_or(0.0, |step| step.share),
            interval: step.and_then(|step| band(step, level)),
        })
    }
}

/// Both shares after some minutes, and the covariance matrix of the two.
#[derive(Clone, Copy)]
struct State {
    not_yet: f64,
    share: f64,
    not_yet_variance: f64,
    share_variance: f64,
    covariance: f64,
}

impl State {
    const START: State = State {
        not_yet: 1.0,
        share: 0.0,
        not_yet_variance: 0.0,
        share_variance: 0.0,
        covariance: 0.0,
    };

    /// One minute on, with this many at risk. The fractions that end are multinomial, unrelated to
    /// what went before; their effect on both shares is taken to first order.
    fn after(self, at_risk: f64, counts: Counts) -> State {
        let this_end = counts.events as f64 / at_risk;
        // Not `1 - hazard`, so that it is exactly 0 when the last cases end.
        let stay = (at_risk - counts.events as f64 - counts.other_ends as f64).max(0.0) / at_risk;
        let hazard = 1.0 - stay;
        let spread = self.not_yet * self.not_yet / at_risk;
        State {
            not_yet: self.not_yet * stay,
            share: self.share + self.not_yet * this_end,
            not_yet_variance: stay * stay * self.not_yet_variance + spread * hazard * stay,
            share_variance: self.share_variance
                + this_end * (this_end * self.not_yet_variance + 2.0 * self.covariance)
                + spread * this_end * (1.0 - this_end),
            covariance: stay * (self.covariance + this_end * self.not_yet_variance)
                - spread * this_end * stay,
        }
    }
}

/// `None` where the share is 0 or 1, or so near to 1 that nothing is left of the variance.
fn band(step: &IncidenceStep, level: Level) -> Option<Interval> {
    let log_rest = (-step.share).ln_1p();
    if log_rest >= 0.0 || step.share >= 1.0 {
        return None;
    }
    let scale = (1.0 - step.share) * -log_rest;
    let spread = level.normal_bound() * step.standard_error / scale;
    Some(Interval {
        low: -(log_rest * (-spread).exp()).exp_m1(),
        high: -(log_rest * spread.exp()).exp_m1(),
    })
}
