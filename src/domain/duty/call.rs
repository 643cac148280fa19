//! One call, and for how long it bound a team.

use super::calendar::Span;
use crate::domain::codes::{Presentation, Shift, Weekday};
use crate::domain::month::Month;

/// Longest time that a call binds a team; what is longer is a slip of the pen, and unknown. A limit
/// of this project: trade sources give none.
const LONGEST_BUSY: i64 = 24 * 60;

/// A call with what binds its team.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Call {
    /// The site; `not_recorded` where the record names none.
    pub site: String,
    /// Month of the call on the local calendar.
    pub month: Month,
    /// Weekday of the call.
    pub weekday: Weekday,
    /// Hour of the call on the local clock, 0 to 23.
    pub hour: u8,
    /// Whether the call came in staffed hours.
    pub shift: Shift,
    /// What the call was for.
    pub presentation: Presentation,
    /// When the call came.
    pub called: i64,
    /// When the team was complete at the place.
    pub team: Option<i64>,
    /// When the scope went in.
    pub scope_in: Option<i64>,
    /// When the last scope came out.
    pub scope_out: Option<i64>,
    /// When the case was called off or moved.
    pub ended: Option<i64>,
    /// When the team was free for another call.
    pub released: Option<i64>,
    /// The last minute within the window of the case; `None` without a window.
    pub deadline: Option<i64>,
}

/// For how long a call bound its team, and how that is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Busy {
    /// From the call until the team was free again.
    pub span: Span,
    /// Whether the end was recorded, and not taken from the end of the case.
    pub is_recorded: bool,
}

impl Call {
    /// The time that the call bound a team: from the call until the team was released or, where that
    /// is not recorded, until `wrap_up` minutes after the scope came out or the case was called off.
    ///
    /// `None` where no end is recorded, or one that is not after the call or more than a day later.
    pub fn busy(&self, wrap_up: i64) -> Option<Busy> {
        let (until, is_recorded) = match (self.released, self.scope_out.max(self.ended)) {
            (Some(released), _) => (released, true),
            (None, Some(done)) => (done.saturating_add(wrap_up), false),
            (None, None) => return None,
        };
        let minutes = until.saturating_sub(self.called);
        (1..=LONGEST_BUSY).contains(&minutes).then_some(Busy {
            span: Span {
                from: self.called,
                until,
            },
            is_recorded,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn call() -> Call {
        Call {
            site: "Alder".to_owned(),
            month: "2026-09".parse().expect("a month"),
            weekday: Weekday::Monday,
            hour: 3,
            shift: Shift::AfterHours,
            presentation: Presentation::ALL[0],
            called: 1000,
            team: None,
            scope_in: None,
            scope_out: None,
            ended: None,
            released: None,
            deadline: None,
        }
    }

    fn until(call: &Call) -> Option<(i64, bool)> {
        call.busy(30)
            .map(|busy| (busy.span.until, busy.is_recorded))
    }

    #[test]
    fn a_team_is_bound_until_it_is_released_or_some_time_after_the_case() {
        let mut of = call();
        assert_eq!(until(&of), None);
        of.ended = Some(1010);
        assert_eq!(until(&of), Some((1040, false)));
        of.scope_out = Some(1100);
        assert_eq!(until(&of), Some((1130, false)));
        of.released = Some(1105);
        assert_eq!(until(&of), Some((1105, true)));
    }

    #[test]
    fn an_end_before_the_call_or_a_day_after_it_is_unknown() {
        let released = |minute| Call {
            released: Some(minute),
            ..call()
        };
        assert_eq!(until(&released(1000)), None);
        assert_eq!(until(&released(1001)), Some((1001, true)));
        assert_eq!(until(&released(2440)), Some((2440, true)));
        assert_eq!(until(&released(2441)), None);
    }
}
