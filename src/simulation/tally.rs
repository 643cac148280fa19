//! What is counted of one arrangement in one block of years.

use super::calls::RecordedCall;
use super::teams::{Taken, Teams};
use super::week::AfterHours;

/// A wait after which a queue is said never to end, in minutes: four weeks. A limit of this project.
/// No case of the records can wait for so long, so its length does not matter; what matters is that
/// an arrangement with less capacity than calls gets there within a few simulated years.
pub(super) const ENDLESS_WAIT: f64 = 28.0 * 24.0 * 60.0;

/// The counts of one block.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct BlockTally {
    /// Minutes that were counted.
    pub minutes: f64,
    /// Calls.
    pub calls: u64,
    /// Calls by the whole minutes that cover their wait: 0 for a call that does not wait, 1 for one
    /// that waits up to a minute.
    pub waits: Vec<u64>,
    /// Minutes of waiting of all calls.
    pub wait_sum: f64,
    /// Calls with a window in which a scope went in.
    pub windowed: u64,
    /// Of these, calls with scope in within the window.
    pub in_window: u64,
    /// Of these, calls that would have been if nobody waited.
    pub in_window_without_wait: u64,
    /// What each team did.
    pub teams: Vec<TeamTally>,
    /// Minutes with none, one, two .. teams bound.
    pub bound_minutes: Vec<f64>,
    /// Calls that find none, one, two .. teams bound.
    pub found_bound: Vec<u64>,
}

/// What one team did.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct TeamTally {
    /// Calls that it took.
    pub calls: u64,
    /// Call-backs that began after hours.
    pub call_backs: u64,
    /// Minutes that it was bound.
    pub bound: f64,
    /// Minutes of these after hours.
    pub bound_after_hours: f64,
}

impl BlockTally {
    /// Calls that wait.
    pub(super) fn waiting(&self) -> u64 {
        self.calls - self.waits.first().copied().unwrap_or(0)
    }

    /// Calls of which the wait is covered by so many whole minutes.
    pub(super) fn within(&self, minutes: usize) -> u64 {
        self.waits.iter().take(minutes + 1).sum()
    }
}

/// One arrangement on its way through a block.
pub(super) struct Course {
    teams: Teams,
    from: f64,
    until: f64,
    /// Until when bound teams have been counted.
    swept: f64,
    ends: Vec<f64>,
    tally: BlockTally,
}

impl Course {
    /// Counts what comes from one moment until another.
    pub(super) fn new(teams: Teams, from: f64, until: f64) -> Course {
        let count = teams.count();
        Course {
            from,
            until,
            swept: 0.0,
            ends: Vec::with_capacity(count),
            tally: BlockTally {
                minutes: until - from,
                teams: vec![TeamTally::default(); count],
                bound_minutes: vec![0.0; count + 1],
                found_bound: vec![0; count + 1],
                ..BlockTally::default()
            },
            teams,
        }
    }

    /// Gives a call to a team. `false` when it would wait for so long that the queue never ends.
    pub(super) fn take(&mut self, now: f64, call: &RecordedCall, after_hours: &AfterHours) -> bool {
        let first_free = self.teams.first_free(now);
        let wait = first_free.1 - now;
        if wait > ENDLESS_WAIT {
            return false;
        }
        let is_counted = now >= self.from;
        if is_counted {
            self.tally.found_bound[self.teams.bound_after(now)] += 1;
        }
        self.sweep(first_free.1);
        let taken = self.teams.take(now, first_free, call);
        if is_counted {
            self.count(wait, call, &taken, after_hours);
        }
        true
    }

    fn count(&mut self, wait: f64, call: &RecordedCall, taken: &Taken, after_hours: &AfterHours) {
        let tally = &mut self.tally;
        tally.calls += 1;
        tally.wait_sum += wait;
        let minutes = whole_minutes(wait);
        if minutes >= tally.waits.len() {
            tally.waits.resize(minutes + 1, 0);
        }
        tally.waits[minutes] += 1;
        if let (Some(window), Some(to_scope)) = (call.window, call.team_to_scope) {
            let (window, to_scope) = (f64::from(window), f64::from(to_scope));
            tally.windowed += 1;
            tally.in_window += u64::from(wait + taken.travel + to_scope <= window);
            tally.in_window_without_wait += u64::from(taken.usual_travel + to_scope <= window);
        }
        let team = &mut tally.teams[taken.team];
        team.calls += 1;
        team.call_backs += u64::from(taken.is_new_call_back && after_hours.holds(taken.begin));
        team.bound += taken.free_at - taken.begin;
        team.bound_after_hours += after_hours.between(taken.begin, taken.free_at);
    }

    /// Counts bound teams up to a moment, at which the next call is taken.
    fn sweep(&mut self, moment: f64) {
        let to = moment.min(self.until);
        let from = self.swept.max(self.from);
        if to > from {
            self.teams.ends_after(from, &mut self.ends);
            let mut counted = from;
            let mut bound = self.ends.len();
            for end in &self.ends {
                if *end >= to {
                    break;
                }
                self.tally.bound_minutes[bound] += end - counted;
                counted = *end;
                bound -= 1;
            }
            self.tally.bound_minutes[bound] += to - counted;
        }
        self.swept = moment.max(self.swept);
    }

    /// The counts at the end of the block.
    pub(super) fn closed(mut self) -> BlockTally {
        self.sweep(self.until);
        self.tally
    }
}

/// The whole minutes that cover a wait.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a wait is at least 0 and at most ENDLESS_WAIT"
)]
fn whole_minutes(wait: f64) -> usize {
    wait.ceil() as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_minutes_cover_a_wait() {
        let waits = [0.0, 0.001, 1.0, 1.5, ENDLESS_WAIT];
        assert_eq!(waits.map(whole_minutes), [0, 1, 1, 2, 40_320]);
    }
}
