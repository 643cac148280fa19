//! What calls ask of the teams outside staffed hours: call-backs, hours, nights, weekends, rest.
//!
//! A team belongs to a site, so each site is looked at by itself, and all sites are its sum. Nobody
//! is named or ranked: the roster says whether rest was short, never whose.

mod call_backs;
mod nights;
mod past_morning;
mod rest;

#[cfg(test)]
mod tests;

pub use call_backs::{BoundMonth, CallBacks};
pub use nights::Disturbed;
pub use past_morning::PastMorning;
pub use rest::{HoursRest, Rest, RosterDay, RosterRest};

use super::sites::{are_ends_known, by_site, minutes_in, unsigned};
use crate::domain::duty::calendar::{DutyCalendar, Span};
use crate::domain::duty::call::Call;
use crate::domain::duty::plan::DutyRules;
use crate::domain::duty::roster::RosterLine;
use crate::domain::month::Month;
use crate::stats::Level;

/// Minutes of a day.
const DAY: i64 = 24 * 60;

/// What calls ask of the teams, by site and for all.
#[derive(Clone, Debug, PartialEq)]
pub struct Load {
    /// The rules by which calls become call-backs, nights and rest.
    pub rules: DutyRules,
    /// Confidence level of the intervals.
    pub level: f64,
    /// Days of the period.
    pub days: u64,
    /// Whether there was a roster.
    pub has_roster: bool,
    /// Each site, by name; the calls without a site come last.
    pub sites: Vec<SiteLoad>,
    /// All sites added up.
    pub all: SiteLoad,
}

/// What calls ask of the teams of one site, or of all.
#[derive(Clone, Debug, PartialEq)]
pub struct SiteLoad {
    /// The site; `None` for all sites added up.
    pub site: Option<String>,
    /// Calls at any hour.
    pub calls: u64,
    /// How it is known for how long they bound a team.
    pub lengths: Lengths,
    /// Activations outside staffed hours.
    pub call_backs: CallBacks,
    /// Minutes outside staffed hours in which a team was bound, by the month of the call that bound
    /// it; every month of the records.
    pub months: Vec<BoundMonth>,
    /// Minutes of the period outside staffed hours, those of each site added up.
    pub after_hours_minutes: u64,
    /// Nights with calls.
    pub nights: Disturbed,
    /// Weekends with calls.
    pub weekends: Disturbed,
    /// Rest after call-backs.
    pub rest: Rest,
    /// After-hours cases whose window reached past the start of the next staffed hours.
    pub past_morning: PastMorning,
}

/// How it is known for how long calls bound a team.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Lengths {
    /// The release of the team is recorded.
    pub recorded: u64,
    /// The end of the case is, and the time to wrap up was added.
    pub from_end: u64,
    /// Neither, or an end that cannot be.
    pub unknown: u64,
}

impl Lengths {
    /// The lengths of some calls.
    pub(super) fn of<'a>(calls: impl Iterator<Item = &'a Call>, wrap_up: i64) -> Lengths {
        let mut lengths = Lengths::default();
        for call in calls {
            match call.busy(wrap_up) {
                Some(busy) if busy.is_recorded => lengths.recorded += 1,
                Some(_) => lengths.from_end += 1,
                None => lengths.unknown += 1,
            }
        }
        lengths
    }

    /// The sum of the lengths of several sites.
    pub(super) fn sum(lengths: impl Iterator<Item = Lengths>) -> Lengths {
        lengths.fold(Lengths::default(), |sum, lengths| Lengths {
            recorded: sum.recorded + lengths.recorded,
            from_end: sum.from_end + lengths.from_end,
            unknown: sum.unknown + lengths.unknown,
        })
    }
}

impl SiteLoad {
    /// Whether it can be told for how long teams were bound and how long they rested: the end is known
    /// of half of the calls or more.
    pub const fn are_ends_known(&self) -> bool {
        are_ends_known(self.lengths.unknown, self.calls)
    }

    /// Minutes outside staffed hours in which a team was bound.
    pub fn bound_minutes(&self) -> u64 {
        self.months.iter().map(|month| month.minutes).sum()
    }

    /// Hours outside staffed hours in which a team was bound, per 30 days of one site; `None`
    /// without a day.
    pub fn bound_hours_per_30_days(&self) -> Option<f64> {
        let days = self.call_backs.site_days;
        (days > 0).then(|| self.bound_minutes() as f64 / 60.0 / (days as f64 / 30.0))
    }
}

/// What the calls of a period ask of the teams.
///
/// Whether a call came outside staffed hours is what its record says; how long it bound a team
/// outside them is what the calendar says.
pub fn load(
    calls: &[Call],
    calendar: &DutyCalendar,
    rules: DutyRules,
    roster: Option<&[RosterLine]>,
    level: Level,
) -> Load {
    let period = Period::new(calls, calendar, rules, level);
    let sites: Vec<_> = by_site(calls)
        .into_iter()
        .map(|(site, calls)| period.site_load(site, &calls, roster))
        .collect();
    Load {
        rules,
        level: level.fraction(),
        days: unsigned(calendar.period.minutes() / DAY),
        has_roster: roster.is_some(),
        all: sum(&sites, roster.is_some(), level),
        sites,
    }
}

/// What holds for every site.
struct Period<'a> {
    calendar: &'a DutyCalendar,
    rules: DutyRules,
    level: Level,
    /// First and last month with a call; `None` without a call.
    months: Option<[Month; 2]>,
    weekends: Vec<Span>,
}

impl<'a> Period<'a> {
    fn new(
        calls: &[Call],
        calendar: &'a DutyCalendar,
        rules: DutyRules,
        level: Level,
    ) -> Period<'a> {
        let months = || calls.iter().map(|call| call.month);
        Period {
            calendar,
            rules,
            level,
            months: months().min().zip(months().max()).map(<[_; 2]>::from),
            weekends: nights::weekends(calls, &calendar.days),
        }
    }

    fn site_load(&self, site: &str, calls: &[&Call], roster: Option<&[RosterLine]>) -> SiteLoad {
        let (calendar, rules, level) = (self.calendar, self.rules, self.level);
        let found = call_backs::call_backs(calls, rules);
        let in_hours = unsigned(minutes_in(&calendar.in_hours, calendar.period));
        let minutes = unsigned(calendar.period.minutes());
        let nights: Vec<_> = calendar
            .nights
            .iter()
            .copied()
            .filter(|night| night.until <= calendar.period.until)
            .collect();
        SiteLoad {
            site: Some(site.to_owned()),
            calls: calls.len() as u64,
            lengths: Lengths::of(calls.iter().copied(), rules.wrap_up_minutes),
            call_backs: CallBacks::new(&found, calls, minutes / unsigned(DAY), level),
            months: self.months.map_or_else(Vec::new, |[first, last]| {
                call_backs::bound_months(calls, calendar, rules, first.through(last))
            }),
            after_hours_minutes: minutes.saturating_sub(in_hours),
            nights: Disturbed::new(calls, &nights, level),
            weekends: Disturbed::new(calls, &self.weekends, level),
            rest: rest::rest(&found, site, calendar, rules, roster, level),
            past_morning: past_morning::past_morning(calls, calendar, level),
        }
    }
}

/// All sites added up; calls of two sites never meet.
fn sum(sites: &[SiteLoad], has_roster: bool, level: Level) -> SiteLoad {
    SiteLoad {
        site: None,
        calls: sites.iter().map(|site| site.calls).sum(),
        lengths: Lengths::sum(sites.iter().map(|site| site.lengths)),
        call_backs: CallBacks::sum(&sites.iter().map(|site| &site.call_backs), level),
        months: BoundMonth::sum(sites.iter().map(|site| site.months.as_slice())),
        after_hours_minutes: sites.iter().map(|site| site.after_hours_minutes).sum(),
        nights: Disturbed::sum(sites.iter().map(|site| site.nights), level),
        weekends: Disturbed::sum(sites.iter().map(|site| site.weekends), level),
        rest: rest::sum(&sites.iter().map(|site| &site.rest), has_roster, level),
        past_morning: PastMorning::sum(&sites.iter().map(|site| site.past_morning), level),
    }
}
