//! Call-backs: calls outside staffed hours, put together by the rule of the site, and the hours
//! outside staffed hours that calls bind.

use crate::domain::codes::Shift;
use crate::domain::duty::calendar::{DutyCalendar, Span};
use crate::domain::duty::call::Call;
use crate::domain::duty::plan::DutyRules;
use crate::domain::month::Month;
use crate::findings::staffing::sites::{minutes_in, unsigned};
use crate::stats::Level;
use crate::stats::rate::{Rate, garwood};
use std::collections::BTreeMap;

/// One activation of a team outside staffed hours.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct CallBack {
    /// From its first call until the team was free, as far as that is known.
    pub(super) span: Span,
    /// Whether it is known when each of its calls let the team go.
    pub(super) is_end_known: bool,
    /// Calls of it.
    pub(super) calls: u64,
}

/// Call-backs of one site, or of all.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CallBacks {
    /// Calls outside staffed hours.
    pub after_hours_calls: u64,
    /// Those of them that found a team still at work from staffed hours: no call-back.
    pub stayed_on: u64,
    /// Call-backs with one call, with two, with three or more.
    pub by_calls: [u64; 3],
    /// Days of the period, those of each site added up.
    pub site_days: u64,
    /// Call-backs per 30 days of one site with Garwood's interval; `None` without a day.
    pub per_30_days: Option<Rate>,
}

/// Minutes outside staffed hours that the calls of one month bound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BoundMonth {
    /// Month of the calls; a case that runs into the next month counts where it began.
    pub month: Month,
    /// Minutes outside staffed hours in which a team of the site was bound, each minute once.
    pub minutes: u64,
    /// Calls whose busy time is known.
    pub known: u64,
    /// Calls whose busy time is unknown; they add nothing.
    pub unknown: u64,
}

/// The call-backs of one site, in the order in which they began.
///
/// A call belongs to the activation before it when it comes before the team is free, or up to
/// `merge_minutes` after. An activation is a call-back when its first call came outside staffed
/// hours. A call in staffed hours never joins a call-back: there is a team on duty for it. A call
/// whose busy time is unknown is taken to end at once, so that it merges with fewer calls.
pub(super) fn call_backs(calls: &[&Call], rules: DutyRules) -> Vec<CallBack> {
    let mut found = Vec::new();
    activations(calls, rules, |activation| {
        if activation.first == Shift::AfterHours {
            found.push(activation.so_far);
        }
    });
    found
}

/// An activation, and whether its first call came in staffed hours.
struct Activation {
    first: Shift,
    so_far: CallBack,
}

fn activations(calls: &[&Call], rules: DutyRules, mut each: impl FnMut(Activation)) {
    let mut current: Option<Activation> = None;
    for call in calls {
        let busy = call.busy(rules.wrap_up_minutes);
        let until = busy.map_or(call.called, |busy| busy.span.until);
        if let Some(activation) = &mut current {
            let so_far = &mut activation.so_far;
            let is_near = call.called <= so_far.span.until.saturating_add(rules.merge_minutes);
            let is_for_those_on_duty =
                call.shift == Shift::InHours && activation.first == Shift::AfterHours;
            if is_near && !is_for_those_on_duty {
                so_far.span.until = so_far.span.until.max(until);
                so_far.is_end_known &= busy.is_some();
                so_far.calls += 1;
                continue;
            }
        }
        let begun = Activation {
            first: call.shift,
            so_far: CallBack {
                span: Span {
                    from: call.called,
                    until,
                },
                is_end_known: busy.is_some(),
                calls: 1,
            },
        };
        if let Some(ended) = current.replace(begun) {
            each(ended);
        }
    }
    if let Some(ended) = current {
        each(ended);
    }
}

impl CallBacks {
    pub(super) fn new(
        found: &[CallBack],
        calls: &[&Call],
        site_days: u64,
        level: Level,
    ) -> CallBacks {
        let is_after_hours = |call: &&&Call| call.shift == Shift::AfterHours;
        let after_hours_calls = calls.iter().filter(is_after_hours).count() as u64;
        let in_call_backs: u64 = found.iter().map(|call_back| call_back.calls).sum();
        let with = |calls: fn(u64) -> bool| {
            let found = found.iter().filter(|call_back| calls(call_back.calls));
            found.count() as u64
        };
        CallBacks {
            after_hours_calls,
            stayed_on: after_hours_calls - in_call_backs,
            by_calls: [
                with(|calls| calls == 1),
                with(|calls| calls == 2),
                with(|calls| calls > 2),
            ],
            site_days,
            per_30_days: rate(found.len() as u64, site_days, level),
        }
    }

    pub(super) fn sum<'a>(
        all: &(impl Iterator<Item = &'a CallBacks> + Clone),
        level: Level,
    ) -> CallBacks {
        let add = |part: fn(&CallBacks) -> u64| -> u64 { all.clone().map(part).sum() };
        let site_days = add(|of| of.site_days);
        CallBacks {
            after_hours_calls: add(|of| of.after_hours_calls),
            stayed_on: add(|of| of.stayed_on),
            by_calls: [
                add(|of| of.by_calls[0]),
                add(|of| of.by_calls[1]),
                add(|of| of.by_calls[2]),
            ],
            site_days,
            per_30_days: rate(add(CallBacks::count), site_days, level),
        }
    }

    /// Call-backs.
    pub fn count(&self) -> u64 {
        self.by_calls.iter().sum()
    }

    /// Calls that call-backs were made of.
    pub fn calls(&self) -> u64 {
        self.after_hours_calls - self.stayed_on
    }

    /// Calls of a call-back on average; `None` without one.
    pub fn calls_each(&self) -> Option<f64> {
        (self.count() > 0).then(|| self.calls() as f64 / self.count() as f64)
    }
}

fn rate(events: u64, site_days: u64, level: Level) -> Option<Rate> {
    garwood(events, site_days as f64 / 30.0, level)
}

/// Minutes outside staffed hours that the calls of one site bound, month by month. Where two calls
/// bind teams of the site at once, their minutes count once, for the call that came first.
pub(super) fn bound_months(
    calls: &[&Call],
    calendar: &DutyCalendar,
    rules: DutyRules,
    months: impl Iterator<Item = Month>,
) -> Vec<BoundMonth> {
    let mut found: BTreeMap<Month, BoundMonth> = months.map(BoundMonth::empty).collect();
    let mut covered_until = i64::MIN;
    for call in calls {
        let (_, of_month) = BoundMonth::empty(call.month);
        let of_month = found.entry(call.month).or_insert(of_month);
        let Some(busy) = call.busy(rules.wrap_up_minutes) else {
            of_month.unknown += 1;
            continue;
        };
        of_month.known += 1;
        let new = Span {
            from: busy.span.from.max(covered_until),
            until: busy.span.until,
        };
        if new.from < new.until {
            of_month.minutes += unsigned(new.minutes() - minutes_in(&calendar.in_hours, new));
            covered_until = new.until;
        }
    }
    found.into_values().collect()
}

impl BoundMonth {
    fn empty(month: Month) -> (Month, BoundMonth) {
        let empty = BoundMonth {
            month,
            minutes: 0,
            known: 0,
            unknown: 0,
        };
        (month, empty)
    }

    /// The months of all sites.
    pub(super) fn sum<'a>(sites: impl Iterator<Item = &'a [BoundMonth]>) -> Vec<BoundMonth> {
        let mut all: BTreeMap<Month, BoundMonth> = BTreeMap::new();
        for of_month in sites.flatten() {
            let (_, empty) = BoundMonth::empty(of_month.month);
            let sum = all.entry(of_month.month).or_insert(empty);
            sum.minutes += of_month.minutes;
            sum.known += of_month.known;
            sum.unknown += of_month.unknown;
        }
        all.into_values().collect()
    }
}
