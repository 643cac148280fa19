//! When the team was free for another call: after the scope is out or the case is called off there
//! are papers, the next of kin and the cart, and at some point the team goes.
//!
//! Draws from a stream of its own, after everything else of a case, so that no other value of the
//! sample depends on it. Medians and shares are plausible; nothing here is a planted truth.

use super::case::Case;
use super::draws::Draws;

/// Number of the stream.
pub(super) const STREAM: u64 = 30;

/// Share of cases of which nobody wrote down when the team was free.
const RELEASE_LOST: f64 = 0.05;
/// Shortest and longest wrap-up after a scope, in minutes.
const WRAP_UP_MINUTES: (i64, i64) = (10, 60);
/// The same after a case that was called off.
const STAND_DOWN_MINUTES: (i64, i64) = (5, 30);
/// Wrap-up of the cases that are planted for a change of the clocks.
const PLANTED_MINUTES: i64 = 31;

/// Adds the moment to a case of which everything else is known. Where the end of the scope was not
/// written down, the team goes some minutes after it has handed the scope over.
pub(super) fn add(draws: &mut Draws, case: &mut Case) {
    let scope_wrap_up = draws
        .minutes(24.0, 0.45)
        .clamp(WRAP_UP_MINUTES.0, WRAP_UP_MINUTES.1);
    let stand_down = draws
        .minutes(12.0, 0.5)
        .clamp(STAND_DOWN_MINUTES.0, STAND_DOWN_MINUTES.1);
    let is_lost = draws.chance(RELEASE_LOST);
    let times = &mut case.times;
    times.released = if case.is_planted {
        times.scope_out.map(|out| out + PLANTED_MINUTES)
    } else if is_lost {
        None
    } else if let Some(ended) = times.ended {
        Some(ended + stand_down)
    } else if let Some(scope_out) = times.scope_out {
        Some(scope_out + scope_wrap_up)
    } else {
        times.handover.map(|handover| handover + stand_down)
    };
}
