//! Who takes a call, and when. Calls come in order and each is given away at once, so there is no
//! queue to hold: a call that waits already has the moment at which its team will be free. (This is
//! the recursion of Kiefer and Wolfowitz for several servers, from memory; no call overtakes another,
//! since a later one is never given an earlier moment.)

use super::calls::RecordedCall;
use super::week::OnDuty;
use crate::domain::duty::plan::{Place, ScenarioTeam};

/// The teams of one arrangement and what each does.
pub(super) struct Teams {
    /// Those that are ever on duty, in the order of the arrangement.
    in_order: Vec<Team>,
    /// All teams of the arrangement.
    count: usize,
    merge_minutes: f64,
    /// The latest moment at which a team will be free.
    latest_free: f64,
}

struct Team {
    /// Its place in the arrangement.
    number: usize,
    on_duty: OnDuty,
    place: Place,
    free_at: f64,
}

/// A call that a team takes.
pub(super) struct Taken {
    /// The team, by its place in the arrangement.
    pub team: usize,
    /// When it takes the call.
    pub begin: f64,
    /// Minutes of its way.
    pub travel: f64,
    /// Minutes that its way would take if it did not come straight from another call.
    pub usual_travel: f64,
    /// When it is free again.
    pub free_at: f64,
    /// Whether it had been free for long enough that this is a call-back of its own.
    pub is_new_call_back: bool,
}

impl Teams {
    /// `None` where no team is ever on duty.
    pub(super) fn new(teams: &[ScenarioTeam], merge_minutes: i64) -> Option<Teams> {
        let count = teams.len();
        let teams: Vec<Team> = teams
            .iter()
            .enumerate()
            .filter_map(|(number, team)| {
                Some(Team {
                    number,
                    on_duty: OnDuty::new(&team.on_duty)?,
                    place: team.place,
                    free_at: f64::NEG_INFINITY,
                })
            })
            .collect();
        (!teams.is_empty()).then_some(Teams {
            in_order: teams,
            count,
            merge_minutes: merge_minutes.max(0) as f64,
            latest_free: f64::NEG_INFINITY,
        })
    }

    /// All teams of the arrangement, those that are never on duty included.
    pub(super) fn count(&self) -> usize {
        self.count
    }

    /// Which team would take a call that comes now, and when.
    pub(super) fn first_free(&self, now: f64) -> (usize, f64) {
        let mut first = (0, f64::INFINITY);
        for (place, team) in self.in_order.iter().enumerate() {
            let begin = team.on_duty.from(now.max(team.free_at));
            if begin < first.1 {
                first = (place, begin);
                if begin <= now {
                    break;
                }
            }
        }
        first
    }

    /// Gives a call to the team that [`Teams::first_free`] named.
    pub(super) fn take(
        &mut self,
        now: f64,
        (place, begin): (usize, f64),
        call: &RecordedCall,
    ) -> Taken {
        let team = &mut self.in_order[place];
        let usual_travel = f64::from(match team.place {
            Place::InHouse { minutes } => minutes,
            Place::Home { minutes } => minutes.unwrap_or(call.to_team),
        });
        let was_waited_for = team.free_at > now && begin <= team.free_at;
        let travel = if was_waited_for { 0.0 } else { usual_travel };
        let is_new_call_back = begin > team.free_at + self.merge_minutes;
        team.free_at = begin + travel + f64::from(call.team_to_free);
        self.latest_free = self.latest_free.max(team.free_at);
        Taken {
            team: team.number,
            begin,
            travel,
            usual_travel,
            free_at: team.free_at,
            is_new_call_back,
        }
    }

    /// How many teams are bound after a moment, or promised to a call that waits.
    pub(super) fn bound_after(&self, moment: f64) -> usize {
        if self.latest_free <= moment {
            return 0;
        }
        let is_bound = |team: &&Team| team.free_at > moment;
        self.in_order.iter().filter(is_bound).count()
    }

    /// The moments after `moment` at which bound teams will be free, earliest first.
    pub(super) fn ends_after(&self, moment: f64, ends: &mut Vec<f64>) {
        ends.clear();
        if self.latest_free <= moment {
            return;
        }
        let all = self.in_order.iter().map(|team| team.free_at);
        ends.extend(all.filter(|end| *end > moment));
        ends.sort_unstable_by(f64::total_cmp);
    }
}
