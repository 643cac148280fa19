//! How many calls come and when: rates, the part after hours, the week, whether calls vary by more
//! than chance, their trend, and what the next three months may bring.
//!
//! Everything comes from the count tables, so that merged counts of several sites give it too. Knows
//! no call, no page, and ranks no site.

mod ahead;
mod rates;
mod series;
mod shifts;
#[cfg(test)]
pub(crate) mod tests;
mod week;

pub use ahead::{NextMonth, Prediction};
pub use rates::{CallRate, Evenness, Per, RateMethod};
pub use shifts::{AfterHours, ByShift};
pub use week::{DAY_KIND_BLOCK_HOURS, Days, Week, WeekRow, first_hours};

pub use crate::stats::dispersion::Dispersion;
pub use crate::stats::rate::RateRatio;
pub use crate::stats::rate_trend::RateTrend;

use super::super::calls_by_hour::CALLS;
use super::super::estimate::Settings;
use crate::domain::counts::{ALL, Additive, CountTables, EventsCount, SITE};
use crate::domain::measure::Definition;
use crate::domain::month::Month;
use crate::stats::Level;
use crate::stats::rate::Exposed;
use crate::stats::rate_trend::rate_trend;
use series::{Calls, Served};
use std::collections::BTreeMap;
use std::iter;

/// Fewest months from which it is said whether calls vary by more than chance, and with which trend.
pub const FEWEST_MONTHS: usize = 12;

/// Below this chance, calls count as varying by more than events that come at random do.
pub const CHANCE_OF_UNEVEN: f64 = 0.05;

/// The calls of a period.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand {
    /// First month of the period.
    pub first: Month,
    /// Last month of the period.
    pub last: Month,
    /// Confidence level of all intervals, in 0 to 1.
    pub level: f64,
    /// All sites together. Rates are per site.
    pub all: SiteDemand,
    /// Every site by name; none where there is only one.
    pub sites: Vec<SiteDemand>,
    /// Calls by the hour of the week, all sites together; `None` when no call has its hour.
    pub week: Option<Week>,
    /// Calls of which the site is not recorded; they count among those of all sites.
    pub without_site: u64,
}

/// The calls of one site, or of all.
#[derive(Clone, Debug, PartialEq)]
pub struct SiteDemand {
    /// Its name; `None` for all sites together.
    pub site: Option<String>,
    /// Every month in service, oldest first, each with limits by counting alone.
    pub months: Vec<(Month, CallRate)>,
    /// Months at the start of the period that are left out: the site was not yet in service.
    pub months_before: usize,
    /// Months at the end of the period that are left out: the site was no longer in service.
    pub months_after: usize,
    /// Calls per 30 days of one site; `None` when no time was observed.
    pub rate: Option<CallRate>,
    /// Calls by shift; `None` when they were not counted by shift.
    pub by_shift: Option<ByShift>,
    /// Whether months differ by more than chance.
    pub evenness: Evenness,
    /// The rate of a year over that of the year before, on one straight line; `None` with fewer than
    /// 12 months, or when the calls allow no line.
    pub trend: Option<RateTrend>,
    /// What the next three months may bring; `None` when the site is no longer in service or no time
    /// was observed.
    pub prediction: Option<Prediction>,
}

impl SiteDemand {
    /// The trend, where its interval leaves out that there is none.
    pub fn clear_trend(&self) -> Option<RateTrend> {
        self.trend
            .filter(|trend| trend.low > 1.0 || trend.high < 1.0)
    }
}

/// The calls of the months from `first` to `last`, which are those of the count tables. `None` when
/// calls were not counted.
pub fn demand(
    counts: &CountTables,
    definitions: &[Definition],
    first: Month,
    last: Month,
    settings: Settings,
) -> Option<Demand> {
    let definition = definitions.iter().find(|measure| measure.id == CALLS)?;
    let calls = Calls {
        counts,
        definition,
        first,
        last,
    };
    let served = calls.sites();
    let all = calls.all(&served);
    if all.months.is_empty() {
        return None;
    }
    let without_site: u64 = if served.is_empty() {
        0
    } else {
        let of_all: u64 = all.months.iter().map(|(_, count)| count.events).sum();
        let sites = served.values().flat_map(|site| &site.months);
        of_all.saturating_sub(sites.map(|(_, count)| count.events).sum())
    };
    let maker = Maker {
        calls: &calls,
        served: &served,
        settings,
    };
    let of_all = maker.demand_of(None, &all);
    let sites = if served.len() > 1 {
        let sites = served.iter();
        sites
            .map(|(name, served)| maker.demand_of(Some(name), served))
            .collect()
    } else {
        Vec::new()
    };
    Some(Demand {
        first,
        last,
        level: settings.level.fraction(),
        week: week::week(&calls, &all, of_all.evenness.index(), settings.level),
        all: of_all,
        sites,
        without_site,
    })
}

/// What every site's demand is made from.
struct Maker<'a> {
    calls: &'a Calls<'a>,
    served: &'a BTreeMap<String, Served>,
    settings: Settings,
}

impl Maker<'_> {
    /// The demand of a site, or of all.
    fn demand_of(&self, site: Option<&str>, served: &Served) -> SiteDemand {
        let level = self.settings.level;
        let expected = self.expected(site, served);
        let evenness = rates::evenness(&expected);
        let by_shift = shifts::by_shift(
            self.calls,
            site,
            served,
            self.served,
            evenness.index(),
            self.settings,
        );
        let mut demand = SiteDemand {
            site: site.map(str::to_owned),
            months: served
                .months
                .iter()
                .filter_map(|(month, count)| {
                    let rate = CallRate::new(*count, Per::ThirtyDays, 1.0, level)?;
                    Some((*month, rate))
                })
                .collect(),
            months_before: served.before,
            months_after: served.after,
            rate: CallRate::new(served.total(), Per::ThirtyDays, evenness.index(), level),
            by_shift,
            evenness,
            trend: yearly_trend(&served.months, &expected, level),
            prediction: None,
        };
        demand.prediction = ahead::prediction(&demand, served, self.served, self.calls.last, level);
        demand
    }

    /// Calls of each month beside what it expects: its observed time, or of all sites the sum of what
    /// each expects in the time that it served, so that a site that starts late does not look like
    /// more calls.
    fn expected(&self, site: Option<&str>, served: &Served) -> Vec<Exposed> {
        let minutes = |count: &EventsCount| count.exposure_minutes as f64;
        let of_sites = |month: Month| -> f64 {
            let sites = self.served.values().map(|site| {
                let total = site.total();
                let in_month = site.in_month(month);
                total.events as f64 / minutes(&total) * in_month.map_or(0.0, minutes)
            });
            sites.sum()
        };
        let expected = served.months.iter().map(|(month, _)| of_sites(*month));
        let expected: Vec<f64> = match site {
            None if self.served.len() > 1 => expected.collect(),
            _ => Vec::new(),
        };
        let is_usable = !expected.is_empty() && expected.iter().all(|calls| *calls > 0.0);
        let expected = expected.into_iter().map(Some).chain(iter::repeat(None));
        let months = served.months.iter().zip(expected);
        months
            .map(|((_, count), expected)| Exposed {
                events: count.events,
                exposure: expected
                    .filter(|_| is_usable)
                    .unwrap_or_else(|| minutes(count)),
            })
            .collect()
    }
}

/// The log-linear trend per year.
fn yearly_trend(
    months: &[(Month, EventsCount)],
    expected: &[Exposed],
    level: Level,
) -> Option<RateTrend> {
    let (first, _) = months.first()?;
    if months.len() < FEWEST_MONTHS {
        return None;
    }
    let years = |month: &Month| f64::from(month.since(*first)) / 12.0;
    let counts: Vec<_> = months
        .iter()
        .zip(expected)
        .map(|((month, _), count)| (years(month), *count))
        .collect();
    rate_trend(&counts, level)
}
