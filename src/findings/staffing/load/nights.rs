//! Nights and weekends with calls.

use crate::domain::codes::Weekday;
use crate::domain::duty::calendar::Span;
use crate::domain::duty::call::Call;
use crate::findings::staffing::sites::{Share, weekdays};
use crate::stats::Level;

/// Nights, or weekends, in which calls came.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Disturbed {
    /// Those with a call, of all.
    pub with_one: Share,
    /// Those with two calls or more, of all.
    pub with_two: Share,
    /// The most in a row without a call, at one site.
    pub longest_quiet: u64,
}

impl Disturbed {
    /// Calls of one site in spans that rise and do not overlap.
    pub(super) fn new(calls: &[&Call], spans: &[Span], level: Level) -> Disturbed {
        let (mut with_one, mut with_two) = (0, 0);
        let (mut quiet, mut longest_quiet) = (0, 0);
        for span in spans {
            let first = calls.partition_point(|call| call.called < span.from);
            let in_span = calls[first..]
                .iter()
                .take_while(|call| call.called < span.until)
                .count();
            with_one += u64::from(in_span > 0);
            with_two += u64::from(in_span > 1);
            quiet = if in_span == 0 { quiet + 1 } else { 0 };
            longest_quiet = longest_quiet.max(quiet);
        }
        let all = spans.len() as u64;
        Disturbed {
            with_one: Share::new(with_one, all, level),
            with_two: Share::new(with_two, all, level),
            longest_quiet,
        }
    }

    pub(super) fn sum(all: impl Iterator<Item = Disturbed> + Clone, level: Level) -> Disturbed {
        Disturbed {
            with_one: Share::sum(all.clone().map(|of| of.with_one), level),
            with_two: Share::sum(all.clone().map(|of| of.with_two), level),
            longest_quiet: all.map(|of| of.longest_quiet).max().unwrap_or(0),
        }
    }
}

/// Saturday and Sunday together, where both lie in the period; none where no call tells the weekday.
pub(super) fn weekends(calls: &[Call], days: &[Span]) -> Vec<Span> {
    let pairs = weekdays(calls, days).into_iter().zip(days.windows(2));
    pairs
        .filter(|(weekday, _)| *weekday == Weekday::Saturday as usize)
        .map(|(_, pair)| Span {
            from: pair[0].from,
            until: pair[1].until,
        })
        .collect()
}
