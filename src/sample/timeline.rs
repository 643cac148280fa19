//! The moments of a case, from arrival to the handover of the scope.
//!
//! Lengths of time are log-normal: never negative, with the long right tail of real ones. Medians
//! are plausible for an on-call service; published anchors are few. Knows the truths that are
//! about time; knows nothing of how the object came out.

use super::calendar::ClockChange;
use super::calls::Call;
use super::draws::{Draws, whole};
use super::site::Site;
use super::truths::{BIRCH_SLOWER_FACTOR, BIRCH_SLOWER_FROM, CEDAR_CART_EXTRA_MINUTES, has_begun};
use crate::domain::codes::{Airway, Presentation};

/// Moments in minutes since 1970 UTC; `None` is a moment that did not come or was not recorded.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Times {
    pub(super) called: i64,
    pub(super) arrived: Option<i64>,
    pub(super) team: Option<i64>,
    pub(super) cart: Option<i64>,
    pub(super) airway: Option<i64>,
    pub(super) scope_in: Option<i64>,
    pub(super) removed: Option<i64>,
    pub(super) scope_out: Option<i64>,
    pub(super) preclean: Option<i64>,
    pub(super) preclean_end: Option<i64>,
    pub(super) handover: Option<i64>,
    pub(super) manual_clean: Option<i64>,
    pub(super) ended: Option<i64>,
    pub(super) released: Option<i64>,
}

/// What the team did inside, as far as it takes time.
#[derive(Clone, Copy)]
pub(super) enum Work {
    /// So many passes, and whether the object was out after the last one.
    Retrieval { passes: usize, success: bool },
    /// A look around: nothing there.
    Look,
    /// A bleed looked for and treated.
    Hemostasis,
}

/// From arrival to the first of team and cart that is still to come.
struct Gathering {
    arrived: i64,
    team: i64,
    cart: i64,
}

fn draw_gathering(draws: &mut Draws, call: &Call, site: Site) -> Gathering {
    let is_bleed = is_bleed(call.presentation);
    let (until_call, until_call_spread) = if is_bleed { (260.0, 1.0) } else { (75.0, 0.8) };
    let (team, team_spread) = if call.staffed {
        (12.0, 0.35)
    } else {
        (25.0, 0.30)
    };
    let cart_extra = match site {
        Site::Cedar => CEDAR_CART_EXTRA_MINUTES,
        Site::Alder | Site::Birch => 0,
    };
    Gathering {
        arrived: call.minute - draws.minutes(until_call, until_call_spread),
        team: call.minute + draws.minutes(team, team_spread),
        cart: call.minute + draws.minutes(18.0, 0.35) + cart_extra,
    }
}

/// The moments of a case that was cancelled or transferred before the scope went in.
pub(super) fn draw_without_scope(draws: &mut Draws, call: &Call, site: Site) -> Times {
    let gathering = draw_gathering(draws, call, site);
    let ended = call.minute + draws.minutes(45.0, 0.6);
    Times {
        called: call.minute,
        arrived: Some(gathering.arrived),
        team: Some(gathering.team).filter(|team| *team < ended),
        cart: Some(gathering.cart).filter(|cart| *cart < ended),
        ended: Some(ended),
        ..Times::default()
    }
}

/// The moments of a case that was scoped.
pub(super) fn draw_with_scope(
    draws: &mut Draws,
    call: &Call,
    site: Site,
    airway: Airway,
    work: Work,
) -> Times {
    let gathering = draw_gathering(draws, call, site);
    let stabilizing = if is_bleed(call.presentation) {
        draws.minutes(20.0, 0.5)
    } else {
        draws.minutes(8.0, 0.5)
    };
    let securing = match airway {
        Airway::Intubated => draws.minutes(14.0, 0.35),
        Airway::Sedated => draws.minutes(9.0, 0.35),
        Airway::Awake => draws.minutes(4.0, 0.35),
    };
    let ready = gathering.team + stabilizing + securing;
    let scope_in = ready.max(gathering.cart) + draws.minutes(6.0, 0.4);

    let slower = |moment: i64| {
        if site == Site::Birch && has_begun(BIRCH_SLOWER_FROM, call.month) {
            call.minute + whole(BIRCH_SLOWER_FACTOR * (moment - call.minute) as f64)
        } else {
            moment
        }
    };
    let scope_in = slower(scope_in);
    let (removed, scope_out) = draw_inside(draws, scope_in, work);
    Times {
        called: call.minute,
        arrived: Some(gathering.arrived),
        team: Some(gathering.team),
        cart: Some(gathering.cart),
        airway: Some(slower(ready)).filter(|_| airway != Airway::Awake),
        scope_in: Some(scope_in),
        removed,
        scope_out: Some(scope_out),
        preclean: Some(scope_out + draws.minutes(4.0, 0.7)),
        handover: Some(scope_out + 12 + draws.minutes(22.0, 0.6)),
        ..Times::default()
    }
}

/// When the object came out, if it did, and when the scope did.
fn draw_inside(draws: &mut Draws, scope_in: i64, work: Work) -> (Option<i64>, i64) {
    match work {
        Work::Retrieval { passes, success } => {
            let grasping: i64 = (0..passes).map(|_| draws.minutes(5.0, 0.5)).sum();
            let done = scope_in + 2 + grasping;
            let scope_out = done + draws.minutes(5.0, 0.5);
            (success.then_some(done), scope_out)
        }
        Work::Look => (None, scope_in + draws.minutes(9.0, 0.35)),
        Work::Hemostasis => (None, scope_in + draws.minutes(24.0, 0.45)),
    }
}

/// The moments of a case in a night in which the clocks change, without any chance.
///
/// Where they go back, the wall clock shows 01:15 for the call, 01:40 for the team, then 01:02 for
/// the airway and 01:10 for the scope: only the second pass through the hour keeps the order.
/// Where they go forward, it shows 01:15 for the call, then 03:05 for the airway.
pub(super) fn of_clock_change(call: &Call, change: ClockChange) -> Times {
    let after = |minutes: i64| Some(change.at_minute + minutes);
    Times {
        called: call.minute,
        arrived: after(-140),
        team: after(-20),
        cart: after(-24),
        airway: after(if change.goes_back { 2 } else { 5 }),
        scope_in: after(10),
        removed: after(24),
        scope_out: after(29),
        preclean: after(33),
        handover: after(71),
        ..Times::default()
    }
}

fn is_bleed(presentation: Presentation) -> bool {
    matches!(
        presentation,
        Presentation::UpperBleed | Presentation::LowerBleed
    )
}
