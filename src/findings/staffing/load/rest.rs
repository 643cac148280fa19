//! Rest after call-backs: by the roster where there is one, and by the staffed hours in any case.
//!
//! Places on the roster are told apart here and nowhere else: what leaves is counted by site.

use super::call_backs::CallBack;
use crate::domain::duty::calendar::{DutyCalendar, Span};
use crate::domain::duty::plan::DutyRules;
use crate::domain::duty::roster::{Duty, RosterLine};
use crate::domain::month::Month;
use crate::findings::staffing::sites::{Share, next_beginning};
use crate::stats::Level;
use std::collections::BTreeMap;

/// Rest after the call-backs of one site, or of all.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rest {
    /// By the roster; `None` without one.
    pub by_roster: Option<RosterRest>,
    /// By the staffed hours.
    pub by_hours: HoursRest,
}

/// On-call duties of a roster that call-backs met, and the rest until the next shift of the same
/// place.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RosterRest {
    /// On-call duties.
    pub duties: u64,
    /// Those that a call-back met.
    pub met: u64,
    /// Met duties with less rest than the rule asks for, of those that can be judged.
    pub short: Share,
    /// Met duties with a call-back whose end is unknown.
    pub end_unknown: u64,
    /// Met duties of a place without a shift afterwards.
    pub no_shift_after: u64,
    /// Call-backs within the dates of the roster that met no duty.
    pub without_duty: u64,
    /// Call-backs before the first line of the roster of their site, or after its last.
    pub off_roster: u64,
    /// The local days on which the first line begins and the last one ends; `None` without a line, or
    /// where the calendar does not tell them.
    pub dates: Option<[RosterDay; 2]>,
}

/// A local day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct RosterDay {
    /// Its month.
    pub month: Month,
    /// The day of the month, from 1 on.
    pub day: u8,
}

impl RosterDay {
    /// The local day of a minute. The period begins with the first day of a month; beyond it days are
    /// taken to have 24 hours. `None` for a calendar that begins on another day.
    fn of(minute: i64, calendar: &DutyCalendar) -> Option<RosterDay> {
        const DAY: i64 = 24 * 60;
        let days = &calendar.days;
        let (period, count) = (calendar.period, i64::try_from(days.len()).ok()?);
        // The first local midnight lies on the same or on the day before in UTC.
        let first = period.from.div_euclid(DAY);
        let first = [first, first + 1]
            .into_iter()
            .find(|day| RosterDay::since_1970(*day).is_some_and(|found| found.day == 1))?;
        let place = if minute < period.from {
            (minute - period.from).div_euclid(DAY)
        } else if minute >= period.until {
            count + (minute - period.until).div_euclid(DAY)
        } else {
            i64::try_from(days.partition_point(|day| day.until <= minute)).ok()?
        };
        RosterDay::since_1970(first + place)
    }

    /// The day so many days after 1 January 1970; `None` before that.
    fn since_1970(days: i64) -> Option<RosterDay> {
        let (first, last) = (Month::new(1970, 1).ok()?, Month::new(2200, 12).ok()?);
        let mut left = u64::try_from(days).ok()?;
        for month in first.through(last) {
            let of_month = u64::from(month.days());
            if left < of_month {
                let day = u8::try_from(left + 1).ok()?;
                return Some(RosterDay { month, day });
            }
            left -= of_month;
        }
        None
    }
}

/// The stand-in where no roster says who had a shift: call-backs that ended shortly before the next
/// staffed hours.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct HoursRest {
    /// Call-backs that ended less than the rest of the rule before the next staffed hours began, of
    /// those whose end is known.
    pub short: Share,
    /// Call-backs whose end is unknown.
    pub end_unknown: u64,
}

/// The rest after the call-backs of one site, in the order in which they began.
pub(super) fn rest(
    call_backs: &[CallBack],
    site: &str,
    calendar: &DutyCalendar,
    rules: DutyRules,
    roster: Option<&[RosterLine]>,
    level: Level,
) -> Rest {
    let of_site = |roster: &[RosterLine]| {
        let lines = roster.iter().filter(|line| line.site == site);
        by_roster(
            call_backs,
            &lines.collect::<Vec<_>>(),
            calendar,
            rules,
            level,
        )
    };
    Rest {
        by_roster: roster.map(of_site),
        by_hours: by_hours(call_backs, calendar, rules, level),
    }
}

fn by_hours(
    call_backs: &[CallBack],
    calendar: &DutyCalendar,
    rules: DutyRules,
    level: Level,
) -> HoursRest {
    let known = call_backs.iter().filter(|call_back| call_back.is_end_known);
    let (mut short, mut judged) = (0, 0);
    for call_back in known {
        judged += 1;
        let next = next_beginning(&calendar.in_hours, call_back.span.from);
        let is_short = |next: i64| next - call_back.span.until < rules.min_rest_minutes;
        short += u64::from(next.is_some_and(is_short));
    }
    HoursRest {
        short: Share::new(short, judged, level),
        end_unknown: call_backs.len() as u64 - judged,
    }
}

fn by_roster(
    call_backs: &[CallBack],
    lines: &[&RosterLine],
    calendar: &DutyCalendar,
    rules: DutyRules,
    level: Level,
) -> RosterRest {
    let mut shifts: BTreeMap<&str, Vec<Span>> = BTreeMap::new();
    for line in lines.iter().filter(|line| line.duty == Duty::Shift) {
        shifts.entry(&line.role).or_default().push(line.span);
    }
    for spans in shifts.values_mut() {
        spans.sort_unstable();
    }
    let mut found = RosterRest::default();
    let mut is_met = vec![false; call_backs.len()];
    let (mut short, mut judged) = (0, 0);
    for duty in lines.iter().filter(|line| line.duty == Duty::OnCall) {
        found.duties += 1;
        let shifts = shifts
            .get(duty.role.as_str())
            .map_or(&[][..], Vec::as_slice);
        let mut met = Vec::new();
        // One call-back may end after the next has begun, so every one that began before is asked.
        let begun = call_backs.partition_point(|call_back| call_back.span.from < duty.span.until);
        for (call_back, is_met) in call_backs[..begun].iter().zip(&mut is_met) {
            if meets(call_back, duty.span) {
                *is_met = true;
                met.push(call_back);
            }
        }
        if met.is_empty() {
            continue;
        }
        found.met += 1;
        if met.iter().any(|call_back| !call_back.is_end_known) {
            found.end_unknown += 1;
            continue;
        }
        // The last call-back rests least, unless a shift lies between two of them.
        let least = met.iter().filter_map(|call_back| {
            let next = next_beginning(shifts, call_back.span.from)?;
            Some(next - call_back.span.until)
        });
        match least.min() {
            None => found.no_shift_after += 1,
            Some(minutes) => {
                judged += 1;
                short += u64::from(minutes < rules.min_rest_minutes);
            }
        }
    }
    found.short = Share::new(short, judged, level);
    let dates = Span {
        from: lines.iter().map(|line| line.span.from).min().unwrap_or(0),
        until: lines.iter().map(|line| line.span.until).max().unwrap_or(0),
    };
    let last_minute = dates.until.saturating_sub(1);
    found.dates = RosterDay::of(dates.from, calendar)
        .zip(RosterDay::of(last_minute, calendar))
        .filter(|_| !lines.is_empty())
        .map(<[_; 2]>::from);
    for (call_back, is_met) in call_backs.iter().zip(is_met) {
        let is_on_roster = dates.contains(call_back.span.from);
        found.off_roster += u64::from(!is_met && !is_on_roster);
        found.without_duty += u64::from(!is_met && is_on_roster);
    }
    found
}

/// Whether a call-back meets a duty: shares a minute with it or begins in it.
fn meets(call_back: &CallBack, duty: Span) -> bool {
    call_back.span.shared(duty) > 0 || duty.contains(call_back.span.from)
}

/// All sites added up.
pub(super) fn sum<'a>(
    all: &(impl Iterator<Item = &'a Rest> + Clone),
    has_roster: bool,
    level: Level,
) -> Rest {
    let by_roster = || all.clone().filter_map(|rest| rest.by_roster);
    let add = |part: fn(RosterRest) -> u64| -> u64 { by_roster().map(part).sum() };
    let by_hours = all.clone().map(|rest| rest.by_hours);
    Rest {
        by_roster: has_roster.then(|| RosterRest {
            duties: add(|of| of.duties),
            met: add(|of| of.met),
            short: Share::sum(by_roster().map(|of| of.short), level),
            end_unknown: add(|of| of.end_unknown),
            no_shift_after: add(|of| of.no_shift_after),
            without_duty: add(|of| of.without_duty),
            off_roster: add(|of| of.off_roster),
            dates: {
                let dates = || by_roster().filter_map(|of| of.dates);
                let first = dates().map(|[first, _]| first).min();
                let last = dates().map(|[_, last]| last).max();
                first.zip(last).map(<[_; 2]>::from)
            },
        }),
        by_hours: HoursRest {
            short: Share::sum(by_hours.clone().map(|of| of.short), level),
            end_unknown: by_hours.map(|of| of.end_unknown).sum(),
        },
    }
}
