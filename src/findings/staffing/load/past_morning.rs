//! After-hours cases whose window reached past the start of the next staffed hours: a neutral count
//! of how many could have waited as far as the window goes. Whether one should have is a clinical
//! decision, of which the records hold nothing.

use crate::domain::codes::Shift;
use crate::domain::duty::calendar::DutyCalendar;
use crate::domain::duty::call::Call;
use crate::findings::staffing::sites::{Share, next_beginning};
use crate::stats::Level;

/// Calls outside staffed hours, by what became of them and of their window.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PastMorning {
    /// Cases scoped before the next staffed hours began whose window ends after that, of all those
    /// with a window.
    pub reached: Share,
    /// Scoped before the next staffed hours began, without a window that has an end.
    pub without_window: u64,
    /// Scoped when the next staffed hours had begun.
    pub scoped_in_hours: u64,
    /// No scope went in, or nobody recorded when.
    pub not_scoped: u64,
    /// After the last staffed hours that the calendar knows.
    pub not_known: u64,
}

/// The calls of one site.
pub(super) fn past_morning(calls: &[&Call], calendar: &DutyCalendar, level: Level) -> PastMorning {
    let mut found = PastMorning::default();
    let (mut reached, mut with_window) = (0, 0);
    let after_hours = calls.iter().filter(|call| call.shift == Shift::AfterHours);
    for call in after_hours {
        let next = next_beginning(&calendar.in_hours, call.called);
        match (call.scope_in, next, call.deadline) {
            (None, ..) => found.not_scoped += 1,
            (_, None, _) => found.not_known += 1,
            (Some(scoped), Some(next), _) if scoped >= next => found.scoped_in_hours += 1,
            (.., None) => found.without_window += 1,
            (_, Some(next), Some(deadline)) => {
                with_window += 1;
                reached += u64::from(deadline > next);
            }
        }
    }
    found.reached = Share::new(reached, with_window, level);
    found
}

impl PastMorning {
    pub(super) fn sum(
        all: &(impl Iterator<Item = PastMorning> + Clone),
        level: Level,
    ) -> PastMorning {
        let add = |part: fn(PastMorning) -> u64| -> u64 { all.clone().map(part).sum() };
        PastMorning {
            reached: Share::sum(all.clone().map(|of| of.reached), level),
            without_window: add(|of| of.without_window),
            scoped_in_hours: add(|of| of.scoped_in_hours),
            not_scoped: add(|of| of.not_scoped),
            not_known: add(|of| of.not_known),
        }
    }
}
