//! What the parts about single calls share: calls by site, minutes that lie in spans, shares of
//! counts with their intervals.

use crate::domain::codes::{NOT_RECORDED, Weekday};
use crate::domain::duty::calendar::Span;
use crate::domain::duty::call::Call;
use crate::domain::tally::Tally;
use crate::findings::comparisons::{Counted, Interval};
use crate::stats::Level;
use crate::stats::proportion::wilson;
use std::collections::BTreeMap;

/// Events among a number of chances, with Wilson's interval.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Share {
    /// The counts.
    pub counted: Counted,
    /// The interval; `None` where there was no chance.
    pub interval: Option<Interval>,
}

impl Share {
    /// The share of `events` among `cases`.
    pub(super) fn new(events: u64, cases: u64, level: Level) -> Share {
        let counted = Counted { events, cases };
        let interval = counted.tally().map(|tally| wilson(tally, level));
        Share {
            counted,
            interval: interval.map(|found| Interval {
                low: found.low,
                high: found.high,
            }),
        }
    }

    /// All events among all chances of several shares.
    pub(super) fn sum(shares: impl Iterator<Item = Share>, level: Level) -> Share {
        let (events, cases) = shares.fold((0, 0), |(events, cases), share| {
            (events + share.counted.events, cases + share.counted.cases)
        });
        Share::new(events, cases, level)
    }

    /// Events as a fraction; `None` where there was no chance.
    pub fn estimate(self) -> Option<f64> {
        self.counted.tally().map(Tally::share)
    }
}

/// The calls of each site in the order of their minutes; sites by name, those without one last.
pub(super) fn by_site(calls: &[Call]) -> Vec<(&str, Vec<&Call>)> {
    let mut sites: BTreeMap<(bool, &str), Vec<&Call>> = BTreeMap::new();
    for call in calls {
        let place = (call.site == NOT_RECORDED, call.site.as_str());
        sites.entry(place).or_default().push(call);
    }
    for calls in sites.values_mut() {
        calls.sort_by_key(|call| call.called);
    }
    let sites = sites.into_iter();
    sites.map(|((_, site), calls)| (site, calls)).collect()
}

/// The weekday of each of the days, which follow each other, as a place in the week from Monday on.
/// Any call of a known day tells them all; none without such a call.
pub(super) fn weekdays(calls: &[Call], days: &[Span]) -> Vec<usize> {
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
    let shift = week * days.len() + known_weekday - known_day;
    (0..days.len()).map(|day| (day + shift) % week).collect()
}

/// Minutes of a span that lie in any of `spans`, which rise and do not overlap.
pub(super) fn minutes_in(spans: &[Span], span: Span) -> i64 {
    let first = spans.partition_point(|other| other.until <= span.from);
    let near = spans[first..].iter();
    near.take_while(|other| other.from < span.until)
        .map(|other| other.shared(span))
        .sum()
}

/// The first of `spans`, which rise and do not overlap, that begins after `minute`.
pub(super) fn next_beginning(spans: &[Span], minute: i64) -> Option<i64> {
    let next = spans.partition_point(|span| span.from <= minute);
    spans.get(next).map(|span| span.from)
}

/// Whether enough ends are known to tell what calls that bind a team do: those of half of the calls or
/// more. A limit of this project.
pub(super) const fn are_ends_known(unknown: u64, calls: u64) -> bool {
    unknown.saturating_mul(2) <= calls
}

/// A number of minutes or things as it is counted elsewhere; none below zero.
pub(super) fn unsigned(number: i64) -> u64 {
    u64::try_from(number).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn minutes_of_a_span_lie_in_other_spans() {
        let span = |from, until| Span { from, until };
        let spans = [span(0, 10), span(20, 30), span(40, 50)];
        assert_eq!(minutes_in(&spans, span(5, 45)), 5 + 10 + 5);
        assert_eq!(minutes_in(&spans, span(10, 20)), 0);
        assert_eq!(minutes_in(&spans, span(9, 21)), 2);
        assert_eq!(minutes_in(&[], span(0, 100)), 0);
        let next = [-1, 0, 19, 20, 40].map(|minute| next_beginning(&spans, minute));
        assert_eq!(next, [Some(0), Some(20), Some(20), Some(40), None]);
    }

    #[test]
    fn ends_are_known_where_no_more_than_half_of_them_are_not() {
        let known = [(0, 0), (0, 1), (1, 2), (2, 3), (1, 1)];
        let told = known.map(|(unknown, calls)| are_ends_known(unknown, calls));
        assert_eq!(told, [true, true, true, false, false]);
    }

    #[test]
    fn a_share_without_a_chance_has_no_interval_and_others_add_up() {
        let share = |events, cases| Share::new(events, cases, Level::P95);
        assert_eq!((share(0, 0).interval, share(0, 0).estimate()), (None, None));
        let sum = Share::sum(
            [share(1, 4), share(0, 0), share(2, 6)].into_iter(),
            Level::P95,
        );
        assert_eq!(sum, share(3, 10));
        // Wilson, 3 of 10: 0.1078 to 0.6032 (Newcombe 1998 prints the method; by hand from its form).
        let interval = sum.interval.expect("10 chances");
        assert!((interval.low - 0.1078).abs() < 1e-4 && (interval.high - 0.6032).abs() < 1e-4);
    }
}
