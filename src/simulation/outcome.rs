//! What comes out of one arrangement.

use super::ratio::{Estimate, ratio};
use super::tally::{BlockTally, TeamTally};

/// The calls ask for more than the teams can do: waiting grows without end, and no share of calls
/// that wait exists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the queue never ends")]
pub struct EndlessQueue;

/// What comes out of one arrangement. Waits are what is added before a team sets out.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// Simulated years of 52 weeks.
    pub years: u32,
    /// Independent blocks of years, from which errors are known.
    pub blocks: usize,
    /// Simulated calls.
    pub calls: u64,
    /// Calls that wait.
    pub waiting_calls: u64,
    /// Share of calls that wait; `None` without a call.
    pub waiting: Option<Estimate>,
    /// Mean minutes of waiting over all calls; `None` without a call.
    pub mean_wait: Option<Estimate>,
    /// Mean minutes of waiting over the calls that wait; `None` where none does.
    pub mean_wait_of_waiting: Option<Estimate>,
    /// Nine of ten calls wait no longer; `None` without a call.
    pub p90_wait: Option<WaitQuantile>,
    /// Nine of ten calls that wait do so no longer; `None` where none does.
    pub p90_wait_of_waiting: Option<WaitQuantile>,
    /// Calls by the whole minutes that cover their wait, from 0 on.
    pub waits: Vec<u64>,
    /// Simulated calls with a window and a scope that went in.
    pub windowed: u64,
    /// Share of these with scope in within the window.
    pub in_window: Option<Estimate>,
    /// The same share if no call waited and each team came from where it is between calls.
    pub in_window_without_wait: Option<Estimate>,
    /// What each team does, in the order of the arrangement.
    pub teams: Vec<TeamLoad>,
    /// Share of time with none, one, two .. teams bound.
    pub bound_shares: Vec<f64>,
    /// Share of calls that find none, one, two .. teams bound or promised to a call that waits.
    pub found_bound: Vec<f64>,
    /// Calls that wait and calls, block by block.
    waiting_by_block: Vec<(u64, u64)>,
}

/// A quantile of waits in whole minutes, and where it may lie for having simulated no longer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WaitQuantile {
    /// The quantile.
    pub minutes: u32,
    /// Lower and upper limit of about 95 %; `None` with fewer than two blocks.
    pub limits: Option<[u32; 2]>,
}

/// What one team does in 30 days.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TeamLoad {
    /// Calls that it takes.
    pub calls: Estimate,
    /// Call-backs that begin after hours.
    pub call_backs: Estimate,
    /// Hours bound, its ways included.
    pub bound_hours: Estimate,
    /// Hours of these after hours.
    pub after_hours: Estimate,
}

const MONTH_MINUTES: f64 = 30.0 * 24.0 * 60.0;

impl Outcome {
    /// The outcome of blocks.
    pub(super) fn new(blocks: &[&BlockTally], years: u32) -> Outcome {
        let over = |above: fn(&BlockTally) -> f64, below: fn(&BlockTally) -> f64| {
            ratio(blocks.iter().map(|block| (above(block), below(block))))
        };
        let calls = |block: &BlockTally| block.calls as f64;
        let waiting = |block: &BlockTally| block.waiting() as f64;
        let windowed = |block: &BlockTally| block.windowed as f64;
        let teams = blocks.first().map_or(0, |block| block.teams.len());
        Outcome {
            years,
            blocks: blocks.len(),
            calls: blocks.iter().map(|block| block.calls).sum(),
            waiting_calls: blocks.iter().map(|block| block.waiting()).sum(),
            waiting: over(waiting, calls),
            mean_wait: over(|block| block.wait_sum, calls),
            mean_wait_of_waiting: over(|block| block.wait_sum, waiting),
            p90_wait: p90(blocks, 0),
            p90_wait_of_waiting: p90(blocks, 1),
            waits: sums(blocks, |block| &block.waits),
            windowed: blocks.iter().map(|block| block.windowed).sum(),
            in_window: over(|block| block.in_window as f64, windowed),
            in_window_without_wait: over(|block| block.in_window_without_wait as f64, windowed),
            teams: (0..teams)
                .filter_map(|team| TeamLoad::new(blocks, team))
                .collect(),
            bound_shares: shares(&float_sums(blocks)),
            found_bound: shares(
                &sums(blocks, |block| &block.found_bound)
                    .iter()
                    .map(|calls| *calls as f64)
                    .collect::<Vec<_>>(),
            ),
            waiting_by_block: blocks
                .iter()
                .map(|block| (block.waiting(), block.calls))
                .collect(),
        }
    }

    /// Share of calls that wait longer than so many whole minutes; `None` without a call.
    pub fn waits_longer(&self, minutes: usize) -> Option<f64> {
        let longer: u64 = self.waits.iter().skip(minutes + 1).sum();
        (self.calls > 0).then(|| longer as f64 / self.calls as f64)
    }
}

/// The share of calls that wait in the second less that in the first, of two arrangements that met
/// the same calls: what both have by chance falls out. `None` unless both have blocks and a call.
pub fn waiting_difference(first: &Outcome, second: &Outcome) -> Option<Estimate> {
    let pairs = first.waiting_by_block.iter().zip(&second.waiting_by_block);
    let differences =
        pairs.map(|(first, second)| (second.0 as f64 - first.0 as f64, first.1 as f64));
    ratio(differences)
}

impl TeamLoad {
    fn new(blocks: &[&BlockTally], team: usize) -> Option<TeamLoad> {
        let per_month = |of: fn(&TeamTally) -> f64| {
            let of_blocks = blocks
                .iter()
                .map(|block| (of(&block.teams[team]) * MONTH_MINUTES, block.minutes));
            ratio(of_blocks)
        };
        Some(TeamLoad {
            calls: per_month(|team| team.calls as f64)?,
            call_backs: per_month(|team| team.call_backs as f64)?,
            bound_hours: per_month(|team| team.bound / 60.0)?,
            after_hours: per_month(|team| team.bound_after_hours / 60.0)?,
        })
    }
}

/// The 90th percentile of the waits of at least `fewest` minutes: the first whole minutes that cover
/// nine of ten. Its limits are those minutes that cover nine tenths less or plus the error of the
/// share that is covered.
///
/// Source: Woodruff (1952), J. Am. Stat. Assoc. 47:635-646; from memory.
fn p90(blocks: &[&BlockTally], fewest: usize) -> Option<WaitQuantile> {
    const SHARE: f64 = 0.9;
    let waits = sums(blocks, |block| &block.waits);
    let waits = waits.get(fewest..)?;
    let all: u64 = waits.iter().sum();
    if all == 0 {
        return None;
    }
    let covering = |share: f64| {
        let mut covered = 0;
        let place = waits.iter().position(|calls| {
            covered += calls;
            covered as f64 >= share * all as f64
        });
        place.unwrap_or(waits.len() - 1) + fewest
    };
    let quantile = covering(SHARE);
    let below = |block: &BlockTally| fewest.checked_sub(1).map_or(0, |last| block.within(last));
    let covered = ratio(blocks.iter().map(|block| {
        let below = below(block);
        (
            (block.within(quantile) - below) as f64,
            (block.calls - below) as f64,
        )
    }))?;
    let minutes = |place: usize| u32::try_from(place).unwrap_or(u32::MAX);
    Some(WaitQuantile {
        minutes: minutes(quantile),
        limits: covered.standard_error.map(|error| {
            [SHARE - 1.96 * error, SHARE + 1.96 * error]
                .map(|share| minutes(covering(share.clamp(0.0, 1.0))))
        }),
    })
}

/// Counts of all blocks, place by place.
fn sums(blocks: &[&BlockTally], of: impl Fn(&BlockTally) -> &Vec<u64>) -> Vec<u64> {
    let mut sums = Vec::new();
    for block in blocks {
        let counts = of(block);
        if sums.len() < counts.len() {
            sums.resize(counts.len(), 0);
        }
        for (sum, count) in sums.iter_mut().zip(counts) {
            *sum += count;
        }
    }
    sums
}

fn float_sums(blocks: &[&BlockTally]) -> Vec<f64> {
    let places = blocks.first().map_or(0, |block| block.bound_minutes.len());
    (0..places)
        .map(|place| blocks.iter().map(|block| block.bound_minutes[place]).sum())
        .collect()
}

/// Each as a part of all; none where all is 0.
fn shares(parts: &[f64]) -> Vec<f64> {
    let all: f64 = parts.iter().sum();
    if all <= 0.0 {
        return Vec::new();
    }
    parts.iter().map(|part| part / all).collect()
}
