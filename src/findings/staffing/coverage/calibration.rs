//! The observed values beside those of a simulation in which each call is taken at once and by a team
//! that comes as recorded. Where they differ, calls do not come as the simulation has them come.

use super::fit::Fit;
use crate::domain::codes::Shift;
use crate::domain::duty::call::Call;
use crate::domain::duty::plan::DutyPlan;
use crate::domain::tally::Tally;
use crate::simulation::Outcome;
use crate::stats::proportion::wilson;
use crate::stats::{Interval, Level};

/// What was observed beside what was simulated.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration {
    /// Calls that came while another still bound a team.
    pub overlapping: Beside,
    /// Calls with scope in within their window.
    pub in_window: Beside,
    /// Calls that came after hours, holidays included in the observed ones alone.
    pub after_hours: Beside,
}

/// An observed share of calls and the simulated one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beside {
    /// Observed calls of the kind.
    pub events: u64,
    /// Observed calls.
    pub cases: u64,
    /// Interval of the observed share; `None` without a call.
    pub interval: Option<Interval>,
    /// The simulated share; `None` where there is none.
    pub simulated: Option<f64>,
}

impl Beside {
    fn new(events: u64, cases: u64, simulated: Option<f64>) -> Beside {
        let tally = Tally::new(events, cases).ok().flatten();
        Beside {
            events,
            cases,
            interval: tally.map(|tally| wilson(tally, Level::P95)),
            simulated,
        }
    }

    /// Whether the simulated share lies within the interval of the observed one; `None` without
    /// either.
    pub fn agrees(&self) -> Option<bool> {
        let interval = self.interval?;
        let simulated = self.simulated?;
        Some((interval.low..=interval.high).contains(&simulated))
    }
}

impl Calibration {
    /// Beside the outcome of the arrangement that stands for the records.
    pub(super) fn new(
        calls: &[&Call],
        plan: &DutyPlan,
        fit: &Fit,
        as_recorded: Option<&Outcome>,
    ) -> Calibration {
        let wrap_up = plan.rules.wrap_up_minutes;
        let mut spans: Vec<_> = calls
            .iter()
            .filter_map(|call| call.busy(wrap_up))
            .map(|busy| busy.span)
            .collect();
        spans.sort_unstable();
        let mut bound_until = i64::MIN;
        let mut overlapping = 0;
        for span in &spans {
            overlapping += u64::from(span.from < bound_until);
            bound_until = bound_until.max(span.until);
        }
        let found_bound = as_recorded.map(|outcome| outcome.found_bound.iter().skip(1).sum());

        let windowed = calls.iter().filter_map(|call| {
            call.busy(wrap_up)?;
            Some(call.scope_in? <= call.deadline?)
        });
        let windowed: Vec<bool> = windowed.collect();
        let in_window = windowed.iter().filter(|within| **within).count() as u64;

        let after_hours = |call: &&&Call| call.shift == Shift::AfterHours;
        let after_hours = calls.iter().filter(after_hours).count() as u64;
        Calibration {
            overlapping: Beside::new(overlapping, spans.len() as u64, found_bound),
            in_window: Beside::new(
                in_window,
                windowed.len() as u64,
                as_recorded.and_then(|outcome| Some(outcome.in_window_without_wait?.value)),
            ),
            after_hours: Beside::new(after_hours, calls.len() as u64, Some(fit.after_hours_share)),
        }
    }
}
