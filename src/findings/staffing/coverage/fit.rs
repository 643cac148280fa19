//! What the simulation takes from the records of a site: how often calls come in each hour of the
//! week, and what they took.

use super::{FEWEST_USABLE, pool_sizes};
use crate::domain::codes::{Shift, Weekday};
use crate::domain::duty::call::Call;
use crate::domain::duty::plan::WEEK_HOURS;
use crate::domain::exposure::{Exposure, StaffedWeek};
use crate::domain::month::Month;
use crate::simulation::{CallPool, Rates, RecordedCall};
use std::collections::BTreeSet;

/// Hours of a block, toward whose rate each of its hours is drawn.
pub const BLOCK_HOURS: usize = 4;

/// So many calls at the rate of its block are added to each hour, with the time in which they would
/// come. A choice of this project: with more calls of its own an hour speaks for itself, with fewer
/// its block speaks for it.
pub const BLOCK_CALLS: f64 = 5.0;

/// So many calls at the rate of the site are added to each block, so that no block is taken to be
/// without calls for ever.
pub const SITE_CALLS: f64 = 0.5;

/// Blocks of a week: those of a day from Monday to Friday, and those of a day of the weekend.
pub(super) const BLOCKS: usize = 2 * 24 / BLOCK_HOURS;

/// What the simulation takes from the records of one site.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// Calls of the site, each of which counts for how often calls come.
    pub calls: u64,
    /// Calls of which the minutes are known, from which simulated ones are drawn.
    pub usable: u64,
    /// Of these, calls of which the release of the team is recorded.
    pub released: u64,
    /// Of the usable calls, those in hours.
    pub usable_in_hours: u64,
    /// How many recorded calls an in-hours and an after-hours call is drawn from.
    pub pool_sizes: [usize; 2],
    /// Whether in-hours and after-hours calls are drawn from the same, because one has too few.
    pub is_pool_shared: bool,
    /// Whether the records say when teams came. Otherwise their way is part of the minutes of a call
    /// wherever they come from, and scenarios differ by hours and number of teams alone.
    pub knows_travel: bool,
    /// Minutes that the site was observed.
    pub observed_minutes: u64,
    /// The hours of the week, from Monday 00:00 on.
    pub hours: Vec<FittedHour>,
    /// Share of calls that come after hours by the fit.
    pub after_hours_share: f64,
    /// Mean minutes that a call binds a team as recorded, its way included.
    pub mean_minutes: f64,
    /// Mean number of teams that would be bound if there were always one more.
    pub offered_load: f64,
}

/// One hour of the week.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FittedHour {
    /// Recorded calls.
    pub calls: u64,
    /// Observed minutes.
    pub minutes: u64,
    /// Calls per observed hour as simulated.
    pub calls_per_hour: f64,
}

impl Fit {
    /// The fit and its rates; `None` without observed time or calls in it.
    pub(super) fn new(
        calls: &[&Call],
        exposure: &Exposure,
        after_hours: &[bool; WEEK_HOURS],
        pooled: &Pooled,
        pool: &CallPool,
    ) -> Option<(Fit, Rates)> {
        let site = &calls.first()?.site;
        let months = observed_months(exposure, site);
        let mut counts = [0; WEEK_HOURS];
        let mut minutes = [0; WEEK_HOURS];
        for (cell, observed) in &exposure.by_hour {
            if months.contains(&cell.month) {
                minutes[hour_of_week(cell.weekday, cell.hour)] += *observed;
            }
        }
        for call in calls.iter().filter(|call| months.contains(&call.month)) {
            counts[hour_of_week(call.weekday, call.hour)] += 1;
        }
        let rates = smoothed(&counts, &minutes)?;
        let shares: Vec<(f64, f64)> = rates
            .iter()
            .zip(after_hours)
            .map(|(rate, after)| (*rate, pool.mean_minutes(*after)))
            .collect();
        let per_week: f64 = shares.iter().map(|(rate, _)| rate).sum();
        let after = rates.iter().zip(after_hours).filter(|(_, after)| **after);
        let after: f64 = after.map(|(rate, _)| rate).sum();
        let load: f64 = shares.iter().map(|(rate, mean)| rate * mean).sum();
        let hours = rates.iter().zip(counts.iter().zip(&minutes));
        let fit = Fit {
            calls: counts.iter().sum(),
            usable: pooled.usable() as u64,
            released: pooled.released,
            usable_in_hours: pooled.in_hours.len() as u64,
            pool_sizes: pool_sizes(pool),
            is_pool_shared: pool.is_shared(),
            knows_travel: pooled.knows_travel,
            observed_minutes: minutes.iter().sum(),
            hours: hours
                .map(|(rate, (calls, minutes))| FittedHour {
                    calls: *calls,
                    minutes: *minutes,
                    calls_per_hour: rate * 60.0,
                })
                .collect(),
            after_hours_share: after / per_week,
            mean_minutes: load / per_week,
            offered_load: load / WEEK_HOURS as f64,
        };
        Some((fit, Rates::new(rates)?))
    }

    /// Simulated calls per week.
    pub fn calls_per_week(&self) -> f64 {
        self.hours.iter().map(|hour| hour.calls_per_hour).sum()
    }

    /// Weeks that the site was observed.
    pub fn observed_weeks(&self) -> f64 {
        self.observed_minutes as f64 / (WEEK_HOURS as f64 * 60.0)
    }

    /// Recorded calls of each block.
    pub(super) fn block_calls(&self) -> [u64; BLOCKS] {
        let mut calls = [0; BLOCKS];
        for (place, hour) in self.hours.iter().enumerate() {
            calls[block_of(place)] += hour.calls;
        }
        calls
    }
}

/// Months in which a site was observed.
pub(super) fn observed_months(exposure: &Exposure, site: &str) -> BTreeSet<Month> {
    let of_site = exposure
        .by_shift
        .iter()
        .filter(|(cell, _)| cell.site == site);
    of_site.map(|(cell, _)| cell.month).collect()
}

/// The hour of the week, 0 on Monday 00:00.
pub(super) fn hour_of_week(weekday: Weekday, hour: u8) -> usize {
    weekday as usize * 24 + usize::from(hour.min(23))
}

/// The hours that are not staffed in a usual week.
pub(super) fn after_hours(staffed: &StaffedWeek) -> [bool; WEEK_HOURS] {
    let mut hours = [true; WEEK_HOURS];
    for day in Weekday::ALL {
        for hour in 0..24 {
            hours[hour_of_week(*day, hour)] = !staffed.is_staffed(*day, hour);
        }
    }
    hours
}

/// The block that an hour of the week lies in.
pub(super) fn block_of(hour_of_week: usize) -> usize {
    let is_weekend = hour_of_week >= 5 * 24;
    let of_day = hour_of_week % 24 / BLOCK_HOURS;
    of_day + if is_weekend { BLOCKS / 2 } else { 0 }
}

/// Calls per minute in each hour of the week: its own calls and time, and [`BLOCK_CALLS`] calls with the
/// time in which its block brings them; all hours together bring as many calls as were recorded.
/// `None` without a call or without time.
fn smoothed(calls: &[u64; WEEK_HOURS], minutes: &[u64; WEEK_HOURS]) -> Option<[f64; WEEK_HOURS]> {
    let all_calls = calls.iter().sum::<u64>() as f64;
    let all_minutes = minutes.iter().sum::<u64>() as f64;
    if all_calls <= 0.0 || all_minutes <= 0.0 {
        return None;
    }
    let mut blocks = [(0.0, 0.0); BLOCKS];
    for (hour, (calls, minutes)) in calls.iter().zip(minutes).enumerate() {
        let block = &mut blocks[block_of(hour)];
        block.0 += *calls as f64;
        block.1 += *minutes as f64;
    }
    let block_rates = blocks.map(|(calls, minutes)| {
        (calls + SITE_CALLS) / (minutes + SITE_CALLS * all_minutes / all_calls)
    });
    let mut rates: [f64; WEEK_HOURS] = std::array::from_fn(|hour| {
        let rate = block_rates[block_of(hour)];
        (calls[hour] as f64 + BLOCK_CALLS) / (minutes[hour] as f64 + BLOCK_CALLS / rate)
    });
    let expected: f64 = rates
        .iter()
        .zip(minutes)
        .map(|(rate, minutes)| rate * *minutes as f64)
        .sum();
    for rate in &mut rates {
        *rate *= all_calls / expected;
    }
    Some(rates)
}

/// The calls of a site of which the minutes are known.
pub(super) struct Pooled {
    in_hours: Vec<RecordedCall>,
    after_hours: Vec<RecordedCall>,
    released: u64,
    knows_travel: bool,
    wrap_up: i64,
}

impl Pooled {
    /// With the way of the team where enough records tell it, otherwise without.
    pub(super) fn new(calls: &[&Call], wrap_up: i64) -> Pooled {
        let with_travel = Pooled::of(calls, wrap_up, true);
        if with_travel.usable() >= FEWEST_USABLE {
            return with_travel;
        }
        Pooled::of(calls, wrap_up, false)
    }

    fn of(calls: &[&Call], wrap_up: i64, knows_travel: bool) -> Pooled {
        let mut pooled = Pooled {
            in_hours: Vec::new(),
            after_hours: Vec::new(),
            released: 0,
            knows_travel,
            wrap_up,
        };
        for call in calls {
            let Some(recorded) = pooled.recorded(call) else {
                continue;
            };
            pooled.released += u64::from(call.released.is_some());
            match call.shift {
                Shift::InHours => pooled.in_hours.push(recorded),
                Shift::AfterHours => pooled.after_hours.push(recorded),
            }
        }
        pooled
    }

    /// How many there are.
    pub(super) fn usable(&self) -> usize {
        self.in_hours.len() + self.after_hours.len()
    }

    /// To draw from; `None` with too few.
    pub(super) fn pool(&self) -> Option<CallPool> {
        if self.usable() < FEWEST_USABLE {
            return None;
        }
        CallPool::new(self.in_hours.clone(), self.after_hours.clone())
    }

    /// What a call took; `None` where that is not known.
    pub(super) fn recorded(&self, call: &Call) -> Option<RecordedCall> {
        let busy = call.busy(self.wrap_up)?.span;
        let team = if self.knows_travel {
            call.team?
        } else {
            call.called
        };
        Some(RecordedCall {
            to_team: u16::try_from(team - call.called).ok()?,
            team_to_free: u16::try_from(busy.until - team).ok()?,
            team_to_scope: call
                .scope_in
                .and_then(|scope_in| u16::try_from(scope_in - team).ok()),
            window: call
                .deadline
                .and_then(|deadline| i32::try_from(deadline - call.called).ok()),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_are_drawn_toward_their_block_and_keep_the_number_of_calls() {
        // 100 weeks. Monday to Friday 08:00 to 12:00 brings all 840 calls, 210 of them on Monday at 8.
        let mut calls = [0; WEEK_HOURS];
        let minutes = [6000; WEEK_HOURS];
        for day in 0..5 {
            for hour in 8..12 {
                calls[day * 24 + hour] = if (day, hour) == (0, 8) { 235 } else { 30 };
            }
        }
        calls[8] = 270;
        let all: u64 = calls.iter().sum();
        assert_eq!(all, 840);
        let rates = smoothed(&calls, &minutes).expect("calls");
        let week: f64 = rates.iter().map(|rate| rate * 6000.0).sum();
        assert!((week - 840.0).abs() < 1e-6);
        // By hand, before all are scaled: the site brings 840 calls in 168 cells, 5 a cell; its half
        // call takes a tenth of a cell. The block: (840 + 0.5) / (20 + 0.1) = 41.816 a cell; Monday at 8:
        // (270 + 5) / (1 + 5 / 41.816) = 245.629; others (30 + 5) / 1.119571 = 31.262.
        // Other blocks of weekdays: 0.5 / 20.1 = 0.024876; hours 5 / (1 + 5 / 0.024876) = 0.024752.
        // Of weekends: 0.5 / 8.1 = 0.061728; hours 5 / (1 + 5 / 0.061728) = 0.060976.
        // All: 245.629 + 19 * 31.262 + 100 * 0.024752 + 48 * 0.060976 = 845.009; scale 0.994072.
        let per_cell = |hour: usize| rates[hour] * 6000.0;
        let close = |found: f64, expected: f64| (found - expected).abs() < 2e-3 * expected;
        assert!(close(per_cell(8), 244.173), "{}", per_cell(8));
        assert!(close(per_cell(9), 31.077), "{}", per_cell(9));
        assert!(close(per_cell(0), 0.024_605), "{}", per_cell(0));
        assert!(close(per_cell(167), 0.060_614), "{}", per_cell(167));
        assert_eq!(smoothed(&[0; WEEK_HOURS], &minutes), None);
        assert_eq!(smoothed(&calls, &[0; WEEK_HOURS]), None);
    }

    #[test]
    fn blocks_are_four_hours_of_a_weekday_or_of_the_weekend() {
        assert_eq!([0, 3, 4, 23, 24].map(block_of), [0, 0, 1, 5, 0]);
        assert_eq!([119, 120, 124, 167].map(block_of), [5, 6, 7, 11]);
    }
}
