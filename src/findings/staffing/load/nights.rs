//! Nights and weekends with calls.

use crate::domain::codes::Weekday;
use crate::domain::duty::calendar::Span;
use crate::domain::duty::call::Call;
use crate::findings::staffing::sites::Share;
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

/// Saturday and Sunday together, where both lie in the period. The weekday of a day is told by any
/// call of a known day, since days follow each other; none without such a call.
pub(super) fn weekends(calls: &[Call], days: &[Span]) -> Vec<Span> {
    let known = calls.iter().find_map(|call| {
        let day = days.partition_point(|day| day.until <= call.called);
        let holds = days.get(day)?.contains(call.called);
        holds.then_some((day, call.weekday as usize))
    });
    let Some((known_day, known_weekday)) = known else {
        return Vec::new();
    };
    let week = Weekday::ALL.len();
    // Weeks enough are added that no difference of days falls below zero.
    let weekday = |day: usize| (day + week * days.len() + known_weekday - known_day) % week;
    (0..days.len().saturating_sub(1))
        .filter(|day| weekday(*day) == Weekday::Saturday as usize)
        .map(|day| Span {
            from: days[day].from,
            until: days[day + 1].until,
        })
        .collect()
}
