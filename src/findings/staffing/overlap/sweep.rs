//! The sweep over the busy times of one site: how many teams each call finds bound, and for how
//! many minutes how many are.

use super::LEVELS;
use crate::domain::duty::calendar::{DutyCalendar, Span};
use crate::domain::duty::call::Call;
use crate::findings::staffing::sites::{minutes_in, unsigned};
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// What the sweep over one site finds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Sweep {
    /// For each call, in order, the teams that were bound when it came.
    pub(super) found: Vec<usize>,
    /// Minutes of staffed hours of the period with so many teams bound; the last place holds more too.
    pub(super) in_hours: [u64; LEVELS],
    /// Minutes of the other hours of the period, likewise.
    pub(super) after_hours: [u64; LEVELS],
    /// The most teams bound at once, also beyond the period.
    pub(super) most_at_once: usize,
    /// The longest stretch with two teams bound or more, also beyond the period.
    pub(super) longest_minutes: i64,
}

/// Sweeps over the calls of one site, sorted by their minute.
pub(super) fn sweep(calls: &[&Call], calendar: &DutyCalendar, wrap_up: i64) -> Sweep {
    let mut swept = Sweep {
        found: Vec::with_capacity(calls.len()),
        in_hours: [0; LEVELS],
        after_hours: [0; LEVELS],
        most_at_once: 0,
        longest_minutes: 0,
    };
    // When the bound teams are free, the next one on top.
    let mut free_at: BinaryHeap<Reverse<i64>> = BinaryHeap::new();
    let mut time = Time {
        calendar,
        at: calendar.period.from,
        overlap_from: None,
        last_overlap: Span {
            from: i64::MIN,
            until: i64::MIN,
        },
    };
    for call in calls {
        time.release(&mut free_at, call.called, &mut swept);
        swept.found.push(free_at.len());
        if let Some(busy) = call.busy(wrap_up) {
            time.pass(call.called, free_at.len(), &mut swept);
            free_at.push(Reverse(busy.span.until));
            time.bound(free_at.len(), call.called, &mut swept);
        }
    }
    time.release(&mut free_at, i64::MAX, &mut swept);
    time.pass(calendar.period.until, 0, &mut swept);
    swept
}

/// How far the sweep has come.
struct Time<'a> {
    calendar: &'a DutyCalendar,
    /// All minutes of the period before this one are counted.
    at: i64,
    /// Since when two teams or more are bound.
    overlap_from: Option<i64>,
    /// The last stretch with two teams or more that ended; it goes on where one begins in the minute
    /// of its end.
    last_overlap: Span,
}

impl Time<'_> {
    /// Frees the teams that are free by `minute`, one after the other.
    fn release(&mut self, free_at: &mut BinaryHeap<Reverse<i64>>, minute: i64, swept: &mut Sweep) {
        while let Some(Reverse(until)) = free_at
            .peek()
            .copied()
            .filter(|Reverse(until)| *until <= minute)
        {
            self.pass(until, free_at.len(), swept);
            free_at.pop();
            self.bound(free_at.len(), until, swept);
        }
    }

    /// Counts the minutes up to `minute`, in which so many teams are bound.
    fn pass(&mut self, minute: i64, teams: usize, swept: &mut Sweep) {
        let span = Span {
            from: self.at,
            until: minute.min(self.calendar.period.until),
        };
        if span.from >= span.until {
            return;
        }
        let level = teams.min(LEVELS - 1);
        let staffed = minutes_in(&self.calendar.in_hours, span);
        swept.in_hours[level] += unsigned(staffed);
        swept.after_hours[level] += unsigned(span.minutes() - staffed);
        self.at = span.until;
    }

    /// Notes that from `minute` on so many teams are bound.
    fn bound(&mut self, teams: usize, minute: i64, swept: &mut Sweep) {
        swept.most_at_once = swept.most_at_once.max(teams);
        match (self.overlap_from, teams > 1) {
            (None, true) if self.last_overlap.until == minute => {
                self.overlap_from = Some(self.last_overlap.from);
            }
            (None, true) => self.overlap_from = Some(minute),
            (Some(from), false) => {
                self.overlap_from = None;
                self.last_overlap = Span {
                    from,
                    until: minute,
                };
                swept.longest_minutes = swept.longest_minutes.max(minute - from);
            }
            (Some(_), true) | (None, false) => {}
        }
    }
}
