//! Calls that find every team busy, for calls that come at random and a steady rate. Knows an
//! offered load and a number of teams; whether it is that of the busiest hour is for the caller
//! to know: an average over day and night hides the hours in which two calls meet.
//!
//! The offered load is calls per hour times mean hours a call keeps a team: the mean number of
//! teams that would be busy if there were always one more. The number of teams fits 16 bits, so
//! that a recursion over it is short for every input.

#[cfg(test)]
mod tests;

/// Share of calls that find all teams busy, when such a call goes elsewhere and does not wait
/// (M/G/c/c, Erlang's loss formula). Emergencies wait instead, so for them this is a floor.
///
/// 1 without teams, even for a load of 0. `None` unless the load is finite and at least 0.
///
/// Source: Erlang (1917), by the recursion `B(c) = a B(c - 1) / (c + a B(c - 1))`, `B(0) = 1`;
/// from memory.
pub fn erlang_b(offered_load: f64, teams: u16) -> Option<f64> {
    if !(offered_load >= 0.0 && offered_load.is_finite()) {
        return None;
    }
    let mut blocked = 1.0;
    for team in 1..=teams {
        let busy = offered_load * blocked;
        blocked = busy / (f64::from(team) + busy);
    }
    Some(blocked)
}

/// Share of calls that wait for a team, when every call waits until one is free (M/M/c).
///
/// 1 when the load is not below the number of teams: the queue then grows without end. `None`
/// unless the load is finite and at least 0. Assumes that the time a call keeps a team varies like
/// an exponential one; steadier times make waiting shorter, not rarer by much.
///
/// Source: Erlang (1917), from [`erlang_b`] as `B / (1 - a / c (1 - B))`; from memory.
pub fn erlang_c(offered_load: f64, teams: u16) -> Option<f64> {
    let blocked = erlang_b(offered_load, teams)?;
    let free_teams = f64::from(teams) - offered_load;
    if free_teams <= 0.0 {
        return Some(1.0);
    }
    // The same as above times c / c; no difference of nearly equal numbers at a heavy load.
    Some((f64::from(teams) * blocked / (free_teams + offered_load * blocked)).min(1.0))
}

/// Mean wait of all calls, those that do not wait included, in the unit of `mean_service`, the
/// mean time a call keeps a team: `C / (c - a)` times that (M/M/c).
///
/// `None` when the load is not below the number of teams (no mean exists), or unless load and
/// service time are finite and at least 0.
pub fn mean_wait(offered_load: f64, teams: u16, mean_service: f64) -> Option<f64> {
    let waits = erlang_c(offered_load, teams)?;
    let free_teams = f64::from(teams) - offered_load;
    if !(free_teams > 0.0 && mean_service >= 0.0 && mean_service.is_finite()) {
        return None;
    }
    let wait = waits * (mean_service / free_teams);
    wait.is_finite().then_some(wait)
}

/// Share of all calls that wait longer than `time`, served in order of arrival (M/M/c):
/// `C exp(-(c - a) time / mean_service)`, with both times in the same unit.
///
/// 1 when the load is not below the number of teams. `None` unless load and `time` are finite and
/// at least 0, and the service time is finite and above 0.
pub fn waits_longer_share(
    offered_load: f64,
    teams: u16,
    mean_service: f64,
    time: f64,
) -> Option<f64> {
    let waits = erlang_c(offered_load, teams)?;
    let times_are_times =
        mean_service > 0.0 && mean_service.is_finite() && time >= 0.0 && time.is_finite();
    if !times_are_times {
        return None;
    }
    let free_teams = (f64::from(teams) - offered_load).max(0.0);
    // Divided first, so that a very short service time gives infinity and not 0 times infinity.
    let decay = if free_teams > 0.0 && time > 0.0 {
        time / mean_service * free_teams
    } else {
        0.0
    };
    Some(waits * (-decay).exp())
}
