//! The events of a share in the order of the calls, with what lay between them. No case can be told
//! from it but by its month: there is no number of a case, and nothing of the cases in between.

use super::month::Month;

/// One event.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SequencedEvent {
    /// Month of the call.
    pub month: Month,
    /// The call, in minutes on one clock for all events.
    pub minute: i64,
    /// Judged cases without the event since the event before, or since the first judged case.
    pub cases_before: u64,
}

/// The events among the judged cases of a share, in the order of the calls.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct EventSequence {
    /// The events, first call first.
    pub events: Vec<SequencedEvent>,
    /// Judged cases without the event since the last event, or of all if there was none.
    pub cases_after: u64,
    /// The call of the last judged case, on the clock of the events; `None` without judged cases.
    pub last_minute: Option<i64>,
}

impl EventSequence {
    /// Adds the next judged case in the order of the calls.
    pub fn push(&mut self, month: Month, minute: i64, is_event: bool) {
        self.last_minute = Some(minute);
        if is_event {
            self.events.push(SequencedEvent {
                month,
                minute,
                cases_before: self.cases_after,
            });
            self.cases_after = 0;
        } else {
            self.cases_after += 1;
        }
    }

    /// Judged cases, with and without the event.
    pub fn cases(&self) -> u64 {
        let before: u64 = self.events.iter().map(|event| event.cases_before + 1).sum();
        before + self.cases_after
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cases_are_counted_from_one_event_to_the_next() {
        let month: Month = "2026-09".parse().expect("a month");
        let mut sequence = EventSequence::default();
        for (minute, is_event) in [(1, false), (2, false), (3, true), (4, true), (9, false)] {
            sequence.push(month, minute, is_event);
        }
        let between: Vec<_> = sequence
            .events
            .iter()
            .map(|event| (event.minute, event.cases_before))
            .collect();
        assert_eq!(between, [(3, 2), (4, 0)]);
        assert_eq!((sequence.cases_after, sequence.last_minute), (1, Some(9)));
        assert_eq!(sequence.cases(), 5);
        assert_eq!(EventSequence::default().cases(), 0);
    }
}
