//! What another arrangement of teams would do with calls like those of the records: a simulation,
//! call by call, of who takes it, when, and for how long.
//!
//! Numbers in, numbers out: knows `domain` alone, no site, no file and no clock. The same seed gives
//! the same numbers on every machine and with any number of threads.
//!
//! | file | what it holds |
//! |---|---|
//! | `week` | the hours of a week on an axis of minutes |
//! | `draws` | random numbers |
//! | `calls` | the recorded calls that simulated ones are drawn from |
//! | `arrivals` | when calls come |
//! | `teams` | who takes a call, and when |
//! | `tally` | what is counted in one block of years |
//! | `ratio` | shares and means over all blocks, with their simulation error |
//! | `outcome` | what comes out of one arrangement |
//!
//! # The rules
//!
//! - Calls are taken in the order in which they come. A call goes to the first team, in the order of
//!   the arrangement, that is on duty and free; where there is none, to the team that is free and on
//!   duty first.
//! - A team is bound from the moment at which it takes a call, on its way included, until it is free
//!   again, also beyond the end of its duty. What it has begun it ends.
//! - A team that takes a waiting call the moment it is free is still in the house: its way is 0.
//! - Each block of years begins without any call, and its first weeks are not counted.

mod arrivals;
mod calls;
mod draws;
mod outcome;
mod ratio;
mod tally;
mod teams;
mod week;

#[cfg(test)]
mod tests;

pub use arrivals::{Arrivals, Rates, RecordedWeek, WeekCall};
pub use calls::{CallPool, RecordedCall};
pub use draws::Draws;
pub use outcome::{EndlessQueue, Outcome, TeamLoad, WaitQuantile, waiting_difference};
pub use ratio::Estimate;

use crate::domain::duty::plan::{ScenarioTeam, WEEK_HOURS};
use crate::domain::side_by_side::side_by_side;
use std::num::NonZeroUsize;
use tally::{BlockTally, Course};
use teams::Teams;
use week::AfterHours;

/// Weeks of a simulated year.
pub const YEAR_WEEKS: u32 = 52;

/// Weeks at the start of each block that are simulated and not counted.
pub const WARM_UP_WEEKS: u32 = 4;

/// Most blocks that the years are split into.
const MOST_BLOCKS: u32 = 100;

/// What is simulated.
#[derive(Clone, Copy, Debug)]
pub struct Setting<'a> {
    /// When calls come.
    pub arrivals: Arrivals<'a>,
    /// What each of them draws from.
    pub pool: &'a CallPool,
    /// Which hours of the week, from Monday 00:00 on, are after hours.
    pub after_hours: &'a [bool; WEEK_HOURS],
    /// A call that a team takes up to so many minutes after it was free belongs to the same
    /// call-back.
    pub merge_minutes: i64,
    /// The arrangements. All meet the same calls.
    pub arrangements: &'a [&'a [ScenarioTeam]],
}

/// What comes out of each arrangement, in their order, over so many years. The years are split into
/// up to 100 blocks, each of which starts empty with random numbers of its own.
pub fn simulate(
    setting: &Setting<'_>,
    years: u32,
    seed: u64,
    threads: NonZeroUsize,
) -> Vec<Result<Outcome, EndlessQueue>> {
    let lengths = block_years(years);
    let numbered: Vec<(u64, u32)> = (0..).zip(lengths).collect();
    let blocks = side_by_side(&numbered, threads, |(number, years)| {
        block(setting, *years, seed, *number)
    });
    outcomes(setting, &blocks, years)
}

/// What comes out of each arrangement where each block of years has a setting of its own, with the
/// same arrangements: what is not known of the setting then shows as a difference between blocks.
pub fn simulate_each(
    settings: &[Setting<'_>],
    years_each: u32,
    seed: u64,
    threads: NonZeroUsize,
) -> Vec<Vec<Result<Outcome, EndlessQueue>>> {
    let numbered: Vec<(u64, &Setting<'_>)> = (0..).zip(settings).collect();
    side_by_side(&numbered, threads, |(number, setting)| {
        let block = block(setting, years_each, seed, *number);
        outcomes(setting, &[block], years_each)
    })
}

fn outcomes(
    setting: &Setting<'_>,
    blocks: &[Vec<Option<BlockTally>>],
    years: u32,
) -> Vec<Result<Outcome, EndlessQueue>> {
    (0..setting.arrangements.len())
        .map(|place| {
            let of_one: Option<Vec<&BlockTally>> =
                blocks.iter().map(|block| block[place].as_ref()).collect();
            of_one.map_or(Err(EndlessQueue), |tallies| {
                Ok(Outcome::new(&tallies, years))
            })
        })
        .collect()
}

/// The years of each block, as even as whole years can be.
fn block_years(years: u32) -> Vec<u32> {
    let blocks = years.min(MOST_BLOCKS);
    (0..blocks)
        .map(|block| years / blocks + u32::from(block < years % blocks))
        .collect()
}

/// One block; `None` for an arrangement whose queue never ends.
fn block(setting: &Setting<'_>, years: u32, seed: u64, number: u64) -> Vec<Option<BlockTally>> {
    let after_hours = AfterHours::new(setting.after_hours);
    let from = f64::from(WARM_UP_WEEKS) * week::WEEK_MINUTES;
    let until = from + f64::from(years) * f64::from(YEAR_WEEKS) * week::WEEK_MINUTES;
    let mut courses: Vec<Option<Course>> = setting
        .arrangements
        .iter()
        .map(|teams| Teams::new(teams, setting.merge_minutes))
        .map(|teams| teams.map(|teams| Course::new(teams, from, until)))
        .collect();
    let mut draws = Draws::new(seed, number);
    let mut stream = setting.arrivals.stream(until);
    while let Some(arrival) = stream.next(&mut draws) {
        let call = match arrival.call {
            Some(call) => call,
            None => setting
                .pool
                .draw(setting.after_hours[arrival.hour], &mut draws),
        };
        for course in &mut courses {
            let goes_on = match course {
                Some(open) => open.take(arrival.at, &call, &after_hours),
                None => continue,
            };
            if !goes_on {
                *course = None;
            }
        }
    }
    courses
        .into_iter()
        .map(|course| course.map(Course::closed))
        .collect()
}
