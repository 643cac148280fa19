//! A count of events among cases, the raw material of every share.

use std::num::NonZeroU64;

/// `events` among `cases`. Invariant: `events <= cases` and `cases > 0`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tally {
    events: u64,
    cases: NonZeroU64,
}

/// The two counts contradict each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum TallyError {
    /// More events than cases.
    #[error("{events} events among {cases} cases")]
    EventsExceedCases {
        /// Number of events given.
        events: u64,
        /// Number of cases given.
        cases: u64,
    },
}

impl Tally {
    /// `Ok(None)` when `cases` is zero: there is nothing to estimate.
    ///
    /// # Errors
    /// When there are more events than cases.
    pub fn new(events: u64, cases: u64) -> Result<Option<Tally>, TallyError> {
        if events > cases {
            return Err(TallyError::EventsExceedCases { events, cases });
        }
        Ok(NonZeroU64::new(cases).map(|cases| Tally { events, cases }))
    }

    /// All events among all cases; `None` without a tally.
    pub fn total(tallies: impl IntoIterator<Item = Tally>) -> Option<Tally> {
        tallies.into_iter().reduce(|total, tally| Tally {
            events: total.events + tally.events,
            cases: total.cases.saturating_add(tally.cases()),
        })
    }

    /// Number of events.
    pub fn events(self) -> u64 {
        self.events
    }

    /// Number of cases, at least 1.
    pub fn cases(self) -> u64 {
        self.cases.get()
    }

    /// Cases without the event.
    pub fn misses(self) -> u64 {
        self.cases() - self.events
    }

    /// `events / cases`, in 0 to 1. Counts above 2^53 lose their last digits.
    pub fn share(self) -> f64 {
        self.events as f64 / self.cases() as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tallies_add_up_to_one_and_none_to_nothing() {
        let tally = |events, cases| Tally::new(events, cases).ok().flatten();
        let all = [tally(3, 4), None, tally(0, 6)];
        assert_eq!(Tally::total(all.into_iter().flatten()), tally(3, 10));
        assert_eq!(Tally::total([]), None);
    }

    #[test]
    fn a_tally_without_cases_is_nothing_and_an_impossible_one_is_an_error() {
        assert_eq!(Tally::new(0, 0), Ok(None));
        assert_eq!(
            Tally::new(3, 2),
            Err(TallyError::EventsExceedCases {
                events: 3,
                cases: 2
            })
        );
        let tally = Tally::new(3, 4).expect("3 of 4").expect("4 cases");
        assert_eq!((tally.events(), tally.cases(), tally.misses()), (3, 4, 1));
        assert!((tally.share() - 0.75).abs() < 1e-15);
    }
}
