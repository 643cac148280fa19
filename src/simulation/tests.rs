//! What the tests of the simulation share.

mod by_hand;
mod queues;

use super::{CallPool, RecordedCall, Setting};
use crate::domain::duty::plan::{Place, ScenarioTeam, WEEK_HOURS};
use std::num::NonZeroUsize;

const NO_HOUR: [bool; WEEK_HOURS] = [false; WEEK_HOURS];
const EVERY_HOUR: [bool; WEEK_HOURS] = [true; WEEK_HOURS];

fn two_threads() -> NonZeroUsize {
    NonZeroUsize::new(2).expect("not 0")
}

/// A call that takes no way and has no window.
fn lasting(minutes: u16) -> RecordedCall {
    RecordedCall {
        to_team: 0,
        team_to_free: minutes,
        team_to_scope: None,
        window: None,
    }
}

fn pool(calls: Vec<RecordedCall>) -> CallPool {
    CallPool::new(calls, Vec::new()).expect("calls")
}

fn team(on_duty: [bool; WEEK_HOURS], place: Place) -> ScenarioTeam {
    ScenarioTeam { on_duty, place }
}

/// Teams at all hours that come as recorded.
fn always(count: usize) -> Vec<ScenarioTeam> {
    vec![team(EVERY_HOUR, Place::Home { minutes: None }); count]
}

/// A setting without after-hours and merging.
fn setting<'a>(
    arrivals: super::Arrivals<'a>,
    pool: &'a CallPool,
    arrangements: &'a [&'a [ScenarioTeam]],
) -> Setting<'a> {
    Setting {
        arrivals,
        pool,
        after_hours: &NO_HOUR,
        merge_minutes: 0,
        arrangements,
    }
}
