//! What is true of the invented service, so that a reader of a report can check what it finds.
//!
//! Every number here is described in `sample_data/README.md`, with the measure that shows it.
//! Draws nothing and knows no file.

use crate::domain::month::Month;

/// How the service splits its calls, and its usual shares.
pub(super) mod usual {
    /// Share of calls for stuck food.
    pub(in crate::sample) const FOOD_SHARE: f64 = 0.45;
    /// Share of calls for a swallowed object.
    pub(in crate::sample) const FOREIGN_BODY_SHARE: f64 = 0.25;
    /// Share of calls for upper GI bleeding.
    pub(in crate::sample) const UPPER_BLEED_SHARE: f64 = 0.25;
    /// Share of calls for lower GI bleeding.
    pub(in crate::sample) const LOWER_BLEED_SHARE: f64 = 0.05;
    /// Share of stuck food that is gone when the scope gets there.
    pub(in crate::sample) const FOOD_GONE_SHARE: f64 = 0.14;
    /// Share of swallowed objects that are gone when the scope gets there.
    pub(in crate::sample) const OBJECT_GONE_SHARE: f64 = 0.08;
    /// Share of scoped food cases with biopsies.
    pub(in crate::sample) const FOOD_BIOPSY_SHARE: f64 = 0.45;
    /// Chance of an adverse event in a scoped case without a sharp object.
    pub(in crate::sample) const ADVERSE_SHARE: f64 = 0.055;
    /// The same with a sharp object.
    pub(in crate::sample) const ADVERSE_SHARE_SHARP: f64 = 0.10;
    /// Chance of giving up after a pass that failed; makes about 4 % of retrievals fail.
    pub(in crate::sample) const GIVE_UP_SHARE: f64 = 0.07;
}

/// Truth 1: the cart takes this many minutes longer to the bedside at Cedar.
pub(super) const CEDAR_CART_EXTRA_MINUTES: i64 = 14;

/// Truth 2: how often one pass of the net brings a coin out.
pub(super) const COIN_NET_SUCCESS: f64 = 0.90;
/// Truth 2: how often one pass of the rat-tooth forceps brings a coin out.
pub(super) const COIN_RAT_TOOTH_SUCCESS: f64 = 0.60;

/// Truth 3: from this month on, the way from call to scope is longer at Birch.
pub(super) const BIRCH_SLOWER_FROM: (u16, u8) = (2025, 12);
/// Truth 3: by this factor.
pub(super) const BIRCH_SLOWER_FACTOR: f64 = 1.35;

/// Truth 4: from this month on, after a teaching day, sharp objects mostly leave in an overtube.
pub(super) const OVERTUBE_TAUGHT_FROM: (u16, u8) = (2026, 9);
/// Truth 4: share of retrievals of a sharp object with an overtube before that month.
pub(super) const OVERTUBE_SHARP_BEFORE: f64 = 0.25;
/// Truth 4: the same share from that month on.
pub(super) const OVERTUBE_SHARP_AFTER: f64 = 0.95;

/// Truth 5: share of scoped cases without a scope-out time.
pub(super) const SCOPE_OUT_LOST: f64 = 0.04;
/// Truth 5: share of cases that the cart reached without a cart time.
pub(super) const CART_LOST: f64 = 0.08;
/// Truth 5: share of scoped cases without an airway word.
pub(super) const AIRWAY_LOST: f64 = 0.03;
/// Truth 5: share of cases of food or an object without an obstruction word.
pub(super) const OBSTRUCTION_LOST: f64 = 0.01;

/// Truth 6: share of calls that are cancelled before the scope.
pub(super) const CANCELLED_SHARE: f64 = 0.03;
/// Truth 6: share of patients who are moved to another hospital before the scope.
pub(super) const TRANSFERRED_SHARE: f64 = 0.01;

/// Truth 7: in each night in which the clocks change, one case is called this long before the
/// change. Where they go back, call and scope then lie in the repeated hour, each in another pass
/// through it; where they go forward, the skipped hour lies between call and scope.
pub(super) const CALL_BEFORE_CLOCK_CHANGE_MINUTES: i64 = 45;

/// Truth 8: each kind of fault is planted once, whatever the number of cases: the first kind after
/// one of so many equal parts of all cases, the second after two, and so on.
pub(super) const PARTS_BETWEEN_FAULTS: u64 = 6;

/// Truth 9: share of mornings of a working day on which whoever was on call has the day shift.
pub(super) const SHIFT_AFTER_CALL: f64 = 0.15;
/// Truth 9: the same at Birch, where the roster gives hardly anybody the day off.
pub(super) const SHIFT_AFTER_CALL_BIRCH: f64 = 0.80;

/// Truth 10: share of the checks of a cart that are done late.
pub(super) const CHECK_LATE: f64 = 0.05;
/// Truth 10: the same on Saturdays and Sundays at Birch.
pub(super) const CHECK_LATE_BIRCH_WEEKEND: f64 = 0.35;

/// Truth 11: share of the checks that find a fault.
pub(super) const CHECK_FAULT: f64 = 0.04;
/// Truth 11: the same for the second cart at Alder from the month below on.
pub(super) const CHECK_FAULT_CLUSTERED: f64 = 0.25;
/// Truth 11: from this month on.
pub(super) const CHECK_FAULT_FROM: (u16, u8) = (2026, 5);

/// Whether `month` is the month `from` or a later one.
pub(super) fn has_begun(from: (u16, u8), month: Month) -> bool {
    (month.year(), month.number()) >= from
}
