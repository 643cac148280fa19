//! Readiness checks of carts: whether they were done on time, what they found, and how many days lie
//! between those that found a fault. Carts stand by site and code, which is no ranking.

use crate::domain::codes::CartFault;
use crate::domain::duty::cart_check::CartCheck;
use crate::domain::month::Month;
use crate::domain::tally::Tally;
use crate::findings::comparisons::over_time::{BetweenChart, days_chart};
use crate::findings::estimate::Settings;
use crate::stats::proportion::wilson;
use crate::stats::{Interval, Level};
use std::collections::BTreeMap;

/// Minutes after it was due up to which a check is on time. A limit of this project: a check of a
/// round takes a while, and no source gives a number.
pub const ON_TIME_MINUTES: i64 = 60;

const MINUTES_IN_A_DAY: f64 = 24.0 * 60.0;

/// What the checks of carts say.
#[derive(Clone, Debug, PartialEq)]
pub struct CartChecks {
    /// Confidence level of the intervals.
    pub level: f64,
    /// Local days on which the first and the last check were due; `None` where a calendar knows none.
    pub due: Option<(LocalDay, LocalDay)>,
    /// Number of carts.
    pub carts: u64,
    /// What was checked on time less often than all others; `None` where nothing stands out so.
    pub late: Option<StandsOut>,
    /// All carts together.
    pub all: ChecksOfCarts,
    /// Every site by name, and after it each of its carts; a site with one cart has its cart alone,
    /// and one cart in all is not repeated.
    pub groups: Vec<(CartGroup, ChecksOfCarts)>,
    /// Days between checks that found a fault, all carts together.
    pub days_between: BetweenChart,
    /// Days from the last check with a fault to the last check; `None` without a fault.
    pub days_since: Option<f64>,
}

/// Which carts.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct CartGroup {
    /// The site.
    pub site: String,
    /// The code of the cart; `None` for all of the site.
    pub cart: Option<String>,
}

/// A day on the local calendar: its month, and its number in it.
pub type LocalDay = (Month, u8);

/// Carts whose share of checks on time has an interval wholly below that of each of the others: one
/// cart among the carts, or where none does so, a site among the sites. At most one can.
///
/// Stricter than a test of one difference: two Wilson intervals that do not meet leave Newcombe's
/// interval of the difference without 0.
#[derive(Clone, Debug, PartialEq)]
pub struct StandsOut {
    /// Which.
    pub group: CartGroup,
    /// Its share on time.
    pub share: ShareOfChecks,
}

/// The checks of some carts.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ChecksOfCarts {
    /// Checks that were due.
    pub due: u64,
    /// Done up to [`ON_TIME_MINUTES`] after they were due, or before.
    pub on_time: u64,
    /// Done later.
    pub late: u64,
    /// Not recorded as done.
    pub not_recorded: u64,
    /// Done, and recorded whether all was there and ready.
    pub judged: u64,
    /// Of these, complete.
    pub complete: u64,
    /// Done checks with any fault.
    pub with_fault: u64,
    /// Done checks with each fault.
    pub faults: BTreeMap<CartFault, u64>,
}

/// A share of checks with its Wilson interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShareOfChecks {
    /// Checks.
    pub tally: Tally,
    /// The interval.
    pub interval: Interval,
}

impl ChecksOfCarts {
    /// Checks that were done, on time or late.
    pub fn done(&self) -> u64 {
        self.on_time + self.late
    }

    /// On time, of those due.
    pub fn on_time_share(&self, level: f64) -> Option<ShareOfChecks> {
        share(self.on_time, self.due, level)
    }

    /// Complete, of those judged.
    pub fn complete_share(&self, level: f64) -> Option<ShareOfChecks> {
        share(self.complete, self.judged, level)
    }

    /// With any fault, of those done.
    pub fn fault_share(&self, level: f64) -> Option<ShareOfChecks> {
        share(self.with_fault, self.done(), level)
    }

    /// With one kind of fault, of those done. A check has each kind once or not at all.
    pub fn share_with(&self, fault: CartFault, level: f64) -> Option<ShareOfChecks> {
        let checks = self.faults.get(&fault).copied().unwrap_or(0);
        share(checks, self.done(), level)
    }

    fn add(&mut self, check: &CartCheck) {
        self.due += 1;
        let Some(checked) = check.checked else {
            self.not_recorded += 1;
            return;
        };
        if checked.saturating_sub(check.due) <= ON_TIME_MINUTES {
            self.on_time += 1;
        } else {
            self.late += 1;
        }
        self.judged += u64::from(check.is_complete.is_some());
        self.complete += u64::from(check.is_complete == Some(true));
        self.with_fault += u64::from(!check.faults.is_empty());
        for fault in &check.faults {
            *self.faults.entry(*fault).or_default() += 1;
        }
    }
}

fn share(events: u64, checks: u64, level: f64) -> Option<ShareOfChecks> {
    let tally = Tally::new(events, checks).ok().flatten()?;
    Some(ShareOfChecks {
        tally,
        interval: wilson(tally, Level::new(level)?),
    })
}

/// What the checks say; `None` without a check. `day_of` gives the day of a minute on the local
/// calendar; a fault of which it knows none is not charted.
///
/// A fault written down for a check that was not recorded as done is not counted: nobody looked.
pub fn cart_checks(
    checks: &[CartCheck],
    day_of: impl Fn(i64) -> Option<LocalDay>,
    settings: Settings,
) -> Option<CartChecks> {
    if checks.is_empty() {
        return None;
    }
    let mut all = ChecksOfCarts::default();
    let mut sites = Sites::new();
    for check in checks {
        all.add(check);
        let carts = sites.entry(&check.site).or_default();
        carts.entry(&check.cart).or_default().add(check);
    }
    let done = checks
        .iter()
        .filter_map(|check| Some((check.checked?, check)));
    let last = done.clone().map(|(minute, _)| minute).max();
    let with_fault = done.filter(|(_, check)| !check.faults.is_empty());
    let mut events: Vec<(i64, Month)> = with_fault
        .filter_map(|(minute, _)| Some((minute, day_of(minute)?.0)))
        .collect();
    events.sort_unstable();
    let pairs = events.windows(2);
    let minutes: Vec<u64> = pairs.map(|pair| pair[1].0.abs_diff(pair[0].0)).collect();
    let months: Vec<Month> = events.iter().skip(1).map(|(_, month)| *month).collect();
    let since = events.last().zip(last);
    let due = checks.iter().map(|check| check.due);
    let due = due.clone().min().zip(due.max());
    let level = settings.level.fraction();
    Some(CartChecks {
        level,
        due: due.and_then(|(first, last)| day_of(first).zip(day_of(last))),
        carts: sites.values().map(|carts| carts.len() as u64).sum(),
        late: late_cart(&sites, level).or_else(|| late_site(&sites, level)),
        groups: groups(&sites, checks),
        all,
        days_between: days_chart(&months, &minutes),
        days_since: since.map(|((event, _), last)| last.abs_diff(*event) as f64 / MINUTES_IN_A_DAY),
    })
}

/// The checks of the carts of every site.
type Sites<'a> = BTreeMap<&'a str, BTreeMap<&'a str, ChecksOfCarts>>;

fn late_cart(sites: &Sites<'_>, level: f64) -> Option<StandsOut> {
    let carts = sites.iter().flat_map(|(site, carts)| {
        carts.iter().filter_map(move |(cart, found)| {
            let group = CartGroup {
                site: (*site).to_owned(),
                cart: Some((*cart).to_owned()),
            };
            let share = found.on_time_share(level)?;
            Some(StandsOut { group, share })
        })
    });
    below_all_others(carts.collect())
}

fn late_site(sites: &Sites<'_>, level: f64) -> Option<StandsOut> {
    let sites = sites.iter().filter_map(|(site, carts)| {
        let group = CartGroup {
            site: (*site).to_owned(),
            cart: None,
        };
        let on_time = carts.values().map(|found| found.on_time).sum();
        let due = carts.values().map(|found| found.due).sum();
        let share = share(on_time, due, level)?;
        Some(StandsOut { group, share })
    });
    below_all_others(sites.collect())
}

/// The one whose interval lies wholly below that of each other one; `None` without another.
fn below_all_others(mut all: Vec<StandsOut>) -> Option<StandsOut> {
    all.sort_by(|first, second| {
        let high = |found: &StandsOut| found.share.interval.high;
        high(first).total_cmp(&high(second))
    });
    let (lowest, others) = all.split_first()?;
    let is_below = |other: &StandsOut| lowest.share.interval.high < other.share.interval.low;
    let stands_out = !others.is_empty() && others.iter().all(is_below);
    stands_out.then(|| lowest.clone())
}

fn groups(sites: &Sites<'_>, checks: &[CartCheck]) -> Vec<(CartGroup, ChecksOfCarts)> {
    let mut groups = Vec::new();
    if sites.len() == 1 && sites.values().all(|carts| carts.len() == 1) {
        return groups;
    }
    for (site, carts) in sites {
        // With one site, all its carts together are all carts.
        if carts.len() > 1 && sites.len() > 1 {
            let mut of_site = ChecksOfCarts::default();
            for check in checks.iter().filter(|check| check.site == *site) {
                of_site.add(check);
            }
            let group = CartGroup {
                site: (*site).to_owned(),
                cart: None,
            };
            groups.push((group, of_site));
        }
        groups.extend(carts.iter().map(|(cart, of_cart)| {
            let group = CartGroup {
                site: (*site).to_owned(),
                cart: Some((*cart).to_owned()),
            };
            (group, of_cart.clone())
        }));
    }
    groups
}

#[cfg(test)]
mod tests;
