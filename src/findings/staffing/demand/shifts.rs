//! Calls in and after the staffed hours, beside the part of the clock that each of them is.

use super::series::{Calls, Served};
use super::{Additive, CallRate, EventsCount, Exposed, Level, Month, Per, RateRatio, Settings};
use crate::domain::codes::Shift;
use crate::domain::tally::Tally;
use crate::findings::estimate::share_interval;
use crate::findings::finding::Method;
use crate::stats::Interval;
use crate::stats::rate::rate_ratio;
use std::collections::BTreeMap;

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

/// Calls by shift of a site or of all; `None` when they were not counted so.
pub(super) fn by_shift(
    calls: &Calls<'_>,
    site: Option<&str>,
    served: &Served,
    sites: &BTreeMap<String, Served>,
    settings: Settings,
) -> Option<ByShift> {
    let level = settings.level;
    let [in_hours, after_hours] = [Shift::InHours, Shift::AfterHours]
        .map(|shift| months_of(calls, site, served, sites, shift));
    let [inside, after] = [&in_hours, &after_hours]
        .map(|months| EventsCount::sum(months.iter().map(|(_, count)| count)));
    if inside.exposure_minutes + after.exposure_minutes == 0 {
        return None;
    }
    let rate = |months: &[(Month, EventsCount)], total: EventsCount| {
        CallRate::new(total, Per::ThirtyDays, index_of(months), level)
    };
    Some(ByShift {
        in_hours: rate(&in_hours, inside),
        after_hours: rate(&after_hours, after),
        after: part_after(inside, after, settings, level),
        not_known: served
            .total()
            .events
            .saturating_sub(inside.events + after.events),
    })
}

fn index_of(months: &[(Month, EventsCount)]) -> f64 {
    let counts: Vec<Exposed> = months
        .iter()
        .map(|(_, count)| Exposed {
            events: count.events,
            exposure: count.exposure_minutes as f64,
        })
        .collect();
    super::rates::evenness(&counts).index()
}

fn part_after(
    inside: EventsCount,
    after: EventsCount,
    settings: Settings,
    level: Level,
) -> Option<AfterHours> {
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

/// The months of one shift, without the time in which a site was not in service.
fn months_of(
    calls: &Calls<'_>,
    site: Option<&str>,
    served: &Served,
    sites: &BTreeMap<String, Served>,
    shift: Shift,
) -> Vec<(Month, EventsCount)> {
    const BY_SITE: &str = "site+shift";
    let in_service = |month: &Month| served.months.iter().any(|(other, _)| other == month);
    let of_site = |name: &str| format!("{name}|{}", shift.code());
    let mut months = match site {
        Some(name) => calls.months(BY_SITE, &of_site(name)),
        None => calls.months("shift", shift.code()),
    };
    if site.is_none() && sites.len() > 1 {
        for (name, site) in sites {
            for (month, _) in &site.left_out {
                let time = calls.at(BY_SITE, &of_site(name), Some(*month));
                if let Some((_, all)) = months.iter_mut().find(|(other, _)| other == month) {
                    all.exposure_minutes =
                        all.exposure_minutes.saturating_sub(time.exposure_minutes);
                }
            }
        }
    }
    months.retain(|(month, count)| in_service(month) && count.exposure_minutes > 0);
    months
}
