//! Calls that come while teams are bound: as observed, minute by minute, and as a queue with the
//! measured load has it, side by side.
//!
//! A team belongs to a site, so calls of two sites never meet; all sites are added up.

mod model;
mod sweep;

#[cfg(test)]
mod tests;

pub use model::{Agreement, Model};

use super::sites::{Share, are_ends_known, by_site, unsigned, weekdays};
use crate::domain::codes::{Shift, Weekday};
use crate::domain::duty::calendar::DutyCalendar;
use crate::domain::duty::call::Call;
use crate::domain::duty::plan::DutyRules;
use crate::stats::Level;
use sweep::{Sweep, sweep};

/// Numbers of bound teams that are told apart: none, one, two, and three or more.
pub const LEVELS: usize = 4;

/// Hours of a block of the day.
pub const BLOCK_HOURS: u8 = 4;

/// Of fewer calls than this it is not said how they compare with a model. A limit of this project.
pub const FEWEST_TO_COMPARE: u64 = 20;

/// Blocks of a day.
const BLOCKS: usize = 6;

/// Which calls meet, by site and for all.
#[derive(Clone, Debug, PartialEq)]
pub struct Overlap {
    /// Minutes that a team is bound after the case where its release is not recorded.
    pub wrap_up_minutes: i64,
    /// Confidence level of the intervals.
    pub level: f64,
    /// Each site, by name; the calls without a site come last.
    pub sites: Vec<SiteOverlap>,
    /// The sites at which it can be told which calls met, added up; every site where that holds at none.
    pub all: SiteOverlap,
}

/// Which calls of one site meet, or those of each site, added up.
#[derive(Clone, Debug, PartialEq)]
pub struct SiteOverlap {
    /// The site; `None` for all sites added up.
    pub site: Option<String>,
    /// Whether it can be told which calls met: the end is known of half of the calls or more. Otherwise
    /// there is no share and no model.
    pub is_told: bool,
    /// All hours, staffed hours, after hours.
    pub hours: [HoursOverlap; 3],
    /// The most teams bound at once, at one site.
    pub most_at_once: u64,
    /// The longest stretch in which two teams or more were bound, in minutes, at one site; 0 where
    /// there is none.
    pub longest_minutes: u64,
    /// Blocks of [`BLOCK_HOURS`] hours from midnight on, those of Monday to Friday first, then those
    /// of Saturday and Sunday.
    pub blocks: Vec<BlockOverlap>,
}

/// Calls and time of some hours of the week.
#[derive(Clone, Debug, PartialEq)]
pub struct HoursOverlap {
    /// The shift; `None` for all hours.
    pub shift: Option<Shift>,
    /// Whether it can be told which calls of the site met.
    pub is_told: bool,
    /// Calls by how many teams of the site were bound when they came; the last place holds three or
    /// more.
    pub found: [u64; LEVELS],
    /// Calls that came while a team was bound, of all calls.
    pub while_one: Share,
    /// Calls that came while two teams or more were bound, of all calls.
    pub while_two: Share,
    /// Calls of unknown length: they are among the calls, and bind nobody.
    pub unknown: u64,
    /// Minutes of the period by how many teams of the site were bound.
    pub minutes: [u64; LEVELS],
    /// The measured load and what a queue makes of it; `None` without a call of known length.
    pub model: Option<Model>,
    /// How calls and model compare; `None` without a model.
    pub agreement: Option<Agreement>,
    /// The same beside a rate that changes with the hour; for all hours alone.
    pub by_hour: Option<ByHour>,
}

/// The share of calls that would come while a team is bound if each block of hours had its own steady
/// rate. What it leaves unexplained is not due to the hour of the day or to the weekend.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ByHour {
    /// The share.
    pub while_one: f64,
    /// How the observed share compares.
    pub agreement: Agreement,
}

/// The calls of one block of the day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BlockOverlap {
    /// Whether it is one of Saturday and Sunday.
    pub is_weekend: bool,
    /// Its first hour on the local clock.
    pub first_hour: u8,
    /// Calls that came while a team was bound, of all calls of the block.
    pub while_one: Share,
}

impl HoursOverlap {
    /// Puts the share of a rate by hour beside the observed one.
    fn put_beside(&mut self, by_hour: Option<f64>) {
        self.by_hour = by_hour.and_then(|while_one| {
            let agreement = Agreement::of(self.while_one, while_one)?;
            Some(ByHour {
                while_one,
                agreement,
            })
        });
    }

    /// Calls.
    pub fn calls(&self) -> u64 {
        self.found.iter().sum()
    }

    /// Minutes of the period.
    pub fn all_minutes(&self) -> u64 {
        self.minutes.iter().sum()
    }

    /// Minutes with so many teams bound or more.
    pub fn minutes_from(&self, level: usize) -> u64 {
        self.minutes[level.min(LEVELS)..].iter().sum()
    }

    /// Share of the time with so many teams bound or more; `None` without time.
    pub fn time_share_from(&self, level: usize) -> Option<f64> {
        let all = self.all_minutes();
        (all > 0).then(|| self.minutes_from(level) as f64 / all as f64)
    }
}

/// Which calls meet.
///
/// A call is one more than the calls before it: of two in the same minute the one that stands later
/// finds the team of the earlier one bound. A team that is free again in the minute of a call is
/// free. Calls whose busy time is unknown bind nobody, so that every share is a lower bound where
/// there are any.
pub fn overlap(calls: &[Call], calendar: &DutyCalendar, rules: DutyRules, level: Level) -> Overlap {
    let block_minutes = block_minutes(calls, calendar);
    let sites: Vec<_> = by_site(calls)
        .into_iter()
        .map(|(site, calls)| {
            let swept = sweep(&calls, calendar, rules.wrap_up_minutes);
            let mut of_site = site_overlap(site, &calls, &swept, rules, level);
            let by_hour = by_hour(&of_site, block_minutes);
            of_site.hours[0].put_beside(by_hour);
            of_site
        })
        .collect();
    Overlap {
        wrap_up_minutes: rules.wrap_up_minutes,
        level: level.fraction(),
        all: sum(&sites, level),
        sites,
    }
}

/// Minutes of each block in the period, clock changes spread evenly; 0 where no weekday is known.
fn block_minutes(calls: &[Call], calendar: &DutyCalendar) -> [f64; 2 * BLOCKS] {
    let mut minutes = [0.0; 2 * BLOCKS];
    for (weekday, day) in weekdays(calls, &calendar.days)
        .into_iter()
        .zip(&calendar.days)
    {
        let is_weekend = weekday >= Weekday::Saturday as usize;
        let first = usize::from(is_weekend) * BLOCKS;
        for block in &mut minutes[first..first + BLOCKS] {
            *block += day.minutes() as f64 / BLOCKS as f64;
        }
    }
    minutes
}

/// The share of the calls of a site that come while a team is bound, block by block at the rate of
/// the block; `None` without a model.
fn by_hour(of: &SiteOverlap, block_minutes: [f64; 2 * BLOCKS]) -> Option<f64> {
    let mean = of.hours[0].model?.mean_minutes;
    let (mut meeting, mut all) = (0.0, 0.0);
    for (block, minutes) in of.blocks.iter().zip(block_minutes) {
        let calls = block.while_one.counted.cases as f64;
        if calls > 0.0 && minutes > 0.0 {
            meeting += calls * -(-calls / minutes * mean).exp_m1();
            all += calls;
        }
    }
    (all > 0.0).then(|| meeting / all)
}

/// The hours that are looked at, in order.
const HOURS: [Option<Shift>; 3] = [None, Some(Shift::InHours), Some(Shift::AfterHours)];

fn site_overlap(
    site: &str,
    calls: &[&Call],
    swept: &Sweep,
    rules: DutyRules,
    level: Level,
) -> SiteOverlap {
    let is_unknown = |call: &&&Call| call.busy(rules.wrap_up_minutes).is_none();
    let unknown = calls.iter().filter(is_unknown).count() as u64;
    let is_told = are_ends_known(unknown, calls.len() as u64);
    let hours = HOURS.map(|shift| {
        let mut found = [0; LEVELS];
        let (mut unknown, mut known, mut bound) = (0, 0_u64, 0);
        for (call, bound_teams) in calls.iter().zip(&swept.found) {
            if shift.is_some_and(|shift| call.shift != shift) {
                continue;
            }
            found[(*bound_teams).min(LEVELS - 1)] += 1;
            match call.busy(rules.wrap_up_minutes) {
                None => unknown += 1,
                Some(busy) => {
                    known += 1;
                    bound += unsigned(busy.span.minutes());
                }
            }
        }
        let minutes = match shift {
            None => std::array::from_fn(|k| swept.in_hours[k] + swept.after_hours[k]),
            Some(Shift::InHours) => swept.in_hours,
            Some(Shift::AfterHours) => swept.after_hours,
        };
        let mean = (known > 0).then(|| bound as f64 / known as f64);
        let model = mean
            .filter(|_| is_told)
            .and_then(|mean| Model::new(found.iter().sum(), mean, minutes.iter().sum()));
        hours_overlap((shift, is_told), found, unknown, minutes, model, level)
    });
    SiteOverlap {
        site: Some(site.to_owned()),
        is_told,
        hours,
        most_at_once: swept.most_at_once as u64,
        longest_minutes: unsigned(swept.longest_minutes),
        blocks: blocks(calls, swept, is_told, level),
    }
}

fn hours_overlap(
    (shift, is_told): (Option<Shift>, bool),
    found: [u64; LEVELS],
    unknown: u64,
    minutes: [u64; LEVELS],
    model: Option<Model>,
    level: Level,
) -> HoursOverlap {
    let calls = found.iter().sum();
    let from = |least: usize| {
        if is_told {
            Share::new(found[least..].iter().sum(), calls, level)
        } else {
            Share::default()
        }
    };
    let while_one = from(1);
    HoursOverlap {
        shift,
        is_told,
        while_one,
        while_two: from(2),
        found,
        unknown,
        minutes,
        agreement: model.and_then(|model| Agreement::of(while_one, model.bound_from(1))),
        by_hour: None,
        model,
    }
}

fn blocks(calls: &[&Call], swept: &Sweep, is_told: bool, level: Level) -> Vec<BlockOverlap> {
    let mut counts = [[0_u64; 2]; 2 * BLOCKS];
    for (call, bound_teams) in calls.iter().zip(&swept.found) {
        let is_weekend = matches!(call.weekday, Weekday::Saturday | Weekday::Sunday);
        let block = usize::from(call.hour / BLOCK_HOURS).min(BLOCKS - 1);
        let [events, all] = &mut counts[usize::from(is_weekend) * BLOCKS + block];
        *events += u64::from(*bound_teams > 0);
        *all += 1;
    }
    let starts = [false, true].into_iter().flat_map(|is_weekend| {
        (0..24)
            .step_by(BLOCK_HOURS.into())
            .map(move |hour| (is_weekend, hour))
    });
    starts
        .zip(counts)
        .map(|((is_weekend, first_hour), [events, all])| BlockOverlap {
            is_weekend,
            first_hour,
            while_one: if is_told {
                Share::new(events, all, level)
            } else {
                Share::default()
            },
        })
        .collect()
}

/// The sites at which something can be told, added up; all of them where it can at none. What the
/// model says is averaged over the calls of the sites: each call meets the teams of its own site.
fn sum(sites: &[SiteOverlap], level: Level) -> SiteOverlap {
    let is_told = sites.is_empty() || sites.iter().any(|site| site.is_told);
    let told: Vec<_> = sites
        .iter()
        .filter(|site| site.is_told == is_told)
        .collect();
    let sites = told.as_slice();
    let mut hours = [0, 1, 2].map(|place| {
        let of = || sites.iter().map(move |site| &site.hours[place]);
        let added = |part: fn(&HoursOverlap) -> &[u64; LEVELS]| -> [u64; LEVELS] {
            std::array::from_fn(|k| of().map(|hours| part(hours)[k]).sum())
        };
        let model = Model::average(of().map(|hours| (hours.calls(), hours.model)));
        hours_overlap(
            (HOURS[place], is_told),
            added(|hours| &hours.found),
            of().map(|hours| hours.unknown).sum(),
            added(|hours| &hours.minutes),
            model,
            level,
        )
    });
    let by_hour = sites.iter().filter_map(|site| {
        let of = &site.hours[0];
        Some((of.calls() as f64, of.by_hour?.while_one))
    });
    let (meeting, calls) = by_hour.fold((0.0, 0.0), |(meeting, all), (calls, share)| {
        (meeting + calls * share, all + calls)
    });
    hours[0].put_beside((calls > 0.0).then(|| meeting / calls));
    let first = sites.first().map_or(&[][..], |site| site.blocks.as_slice());
    let blocks = first.iter().enumerate().map(|(place, block)| {
        let of_sites = sites.iter().map(|site| site.blocks[place].while_one);
        BlockOverlap {
            while_one: Share::sum(of_sites, level),
            ..*block
        }
    });
    SiteOverlap {
        site: None,
        is_told,
        hours,
        most_at_once: sites
            .iter()
            .map(|site| site.most_at_once)
            .max()
            .unwrap_or(0),
        longest_minutes: sites
            .iter()
            .map(|site| site.longest_minutes)
            .max()
            .unwrap_or(0),
        blocks: blocks.collect(),
    }
}
