//! Staffed hours, nights and days on the axis of time, so that what is bound, awake or resting in
//! them is a matter of whole minutes.

/// A stretch of time: `from` belongs to it, `until` does not; minutes, UTC since 1970.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Span {
    /// The first minute.
    pub from: i64,
    /// The first minute after it.
    pub until: i64,
}

impl Span {
    /// Minutes of the span.
    pub fn minutes(self) -> i64 {
        (self.until - self.from).max(0)
    }

    /// Whether a minute belongs to it.
    pub fn contains(self, minute: i64) -> bool {
        (self.from..self.until).contains(&minute)
    }

    /// Minutes that two spans share.
    pub fn shared(self, other: Span) -> i64 {
        (self.until.min(other.until) - self.from.max(other.from)).max(0)
    }
}

/// The months of the records on the axis of time, exact over clock changes and holidays, the same at
/// every site. Spans of one kind rise and do not overlap.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DutyCalendar {
    /// From the start of the first month to the end of the last.
    pub period: Span,
    /// Staffed hours, and those of the two weeks after the period, in which what began within it
    /// may end.
    pub in_hours: Vec<Span>,
    /// Nights that begin within the period.
    pub nights: Vec<Span>,
    /// Local days of the period.
    pub days: Vec<Span>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_that_only_touch_share_nothing() {
        let span = |from, until| Span { from, until };
        assert_eq!(span(0, 10).shared(span(10, 20)), 0);
        assert_eq!(span(0, 10).shared(span(9, 20)), 1);
        assert_eq!(span(5, 6).shared(span(0, 20)), 1);
        assert!(span(0, 10).contains(0) && !span(0, 10).contains(10));
        assert_eq!(span(3, 1).minutes(), 0);
    }
}
