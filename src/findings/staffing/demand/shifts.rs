//! Calls in and after the staffed hours, beside the part of the clock that each of them is.

use super::rates::{index_of_part, part_of_minutes};
use super::series::{Calls, Served};
use super::{ALL, CallRate, EventsCount, Exposed, Per, RateRatio, Settings};
use crate::domain::codes::Shift;
use crate::domain::tally::Tally;
use crate::findings::estimate::share_interval;
use crate::findings::finding::Method;
use crate::stats::Interval;
use crate::stats::rate::rate_ratio;
use std::collections::BTreeMap;

/// The grouping by shift.
const BY_SHIFT: &str = "shift";

/// Calls by shift.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ByShift {
    /// Per 30 days of 24 staffed hours; `None` when no hour is staffed.
    pub in_hours: Option<CallRate>,
    /// Per 30 days of 24 hours that are not staffed; `None` when every hour is.
    pub after_hours: Option<CallRate>,
    /// The part after hours; `None` when there is no call, or only one shift.
    pub after: Option<AfterHours>,
    /// Calls of which the shift is not recorded; they count in no shift.
    pub not_known: u64,
}

/// The part of the calls that comes after hours.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AfterHours {
    /// Calls after hours.
    pub events: u64,
    /// Calls whose shift is known.
    pub calls: u64,
    /// The first of the second.
    pub share: f64,
    /// Its interval.
    pub interval: Interval,
    /// How that was made.
    pub method: Method,
    /// The part of the observed time that is after hours: exact, from the calendar.
    pub clock_share: f64,
    /// The rate after hours over that of the staffed hours, with its exact interval.
    pub ratio: RateRatio,
}

/// Calls by shift of a site or of all, whose months vary by `index`; `None` when they were not
/// counted so.
pub(super) fn by_shift(
    calls: &Calls<'_>,
    site: Option<&str>,
    served: &Served,
    sites: &BTreeMap<String, Served>,
    index: f64,
    settings: Settings,
) -> Option<ByShift> {
    let [inside, after] = [Shift::InHours, Shift::AfterHours]
        .map(|shift| count_of(calls, site, served, sites, shift));
    if inside.exposure_minutes + after.exposure_minutes == 0 {
        return None;
    }
    let all = inside.events + after.events;
    let rate = |count: EventsCount| {
        let index = index_of_part(index, count.events, all);
        CallRate::new(count, Per::ThirtyDays, index, settings.level)
    };
    Some(ByShift {
        in_hours: rate(inside),
        after_hours: rate(after),
        after: part_after(inside, after, settings),
        not_known: served.total().events.saturating_sub(all),
    })
}

fn part_after(inside: EventsCount, after: EventsCount, settings: Settings) -> Option<AfterHours> {
    let level = settings.level;
    let tally = Tally::new(after.events, inside.events + after.events).ok()??;
    let (method, interval) = share_interval(super::CALLS, settings);
    let exposed = |count: EventsCount| Exposed {
        events: count.events,
        exposure: count.exposure_minutes as f64,
    };
    let minutes = after.exposure_minutes as f64;
    Some(AfterHours {
        events: tally.events(),
        calls: tally.cases(),
        share: tally.share(),
        interval: interval(tally, level),
        method,
        clock_share: minutes / (minutes + inside.exposure_minutes as f64),
        ratio: rate_ratio(exposed(after), exposed(inside), level)?,
    })
}

/// Calls and time of one shift, without the time in which a site was not in service. Its part of a
/// month is that of all sites: those of one export share a calendar.
fn count_of(
    calls: &Calls<'_>,
    site: Option<&str>,
    served: &Served,
    sites: &BTreeMap<String, Served>,
    shift: Shift,
) -> EventsCount {
    let mut count = match site {
        Some(name) => calls.at("site+shift", &format!("{name}|{}", shift.code()), None),
        None => calls.at(BY_SHIFT, shift.code(), None),
    };
    let of_sites = sites.values().flat_map(|site| &site.left_out);
    let left_out: Vec<_> = match site {
        None if sites.len() > 1 => of_sites.collect(),
        _ => served.left_out.iter().collect(),
    };
    for (month, time) in left_out {
        let of_shift = calls
            .at(BY_SHIFT, shift.code(), Some(*month))
            .exposure_minutes;
        let of_all = calls.at(ALL, ALL, Some(*month)).exposure_minutes;
        let minutes = part_of_minutes(
            of_shift,
            time.exposure_minutes as f64 / of_all.max(1) as f64,
        );
        count.exposure_minutes = count.exposure_minutes.saturating_sub(minutes);
    }
    count
}
