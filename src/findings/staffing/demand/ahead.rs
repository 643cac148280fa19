//! What the next three months may bring, when calls go on as they came.

use super::series::Served;
use super::{Additive, CHANCE_OF_UNEVEN, EventsCount, FEWEST_MONTHS, Level, Month, SiteDemand};
use crate::stats::prediction::{PredictedCount, predict_uneven_count};
use std::collections::BTreeMap;

/// Months ahead.
const MONTHS_AHEAD: i32 = 3;

/// With a clear trend over so many months, only the last 12 tell of the next ones.
const MONTHS_FOR_RECENT: usize = 24;

/// The number of calls in the three months after the period.
#[derive(Clone, Debug, PartialEq)]
pub struct Prediction {
    /// Each month by itself.
    pub months: Vec<NextMonth>,
    /// All three together: not the sum of the limits of each.
    pub low: u64,
    /// Upper limit.
    pub high: u64,
    /// Days of the three months.
    pub days: u32,
    /// Sites that are expected to serve.
    pub sites: u64,
    /// First month behind the prediction.
    pub base_first: Month,
    /// Last month behind it.
    pub base_last: Month,
    /// Calls and observed time of these months.
    pub base: EventsCount,
    /// Whether earlier months are left out because the rate has a trend.
    pub is_recent: bool,
    /// Whether the rate has a trend that the prediction does not follow.
    pub has_trend: bool,
    /// The index of dispersion that the limits allow for, at least 1.
    pub index: f64,
    /// Calls in the same three months of the year before; `None` when not all were observed.
    pub year_before: Option<u64>,
}

impl Prediction {
    /// The word for the method in tables.
    pub fn method_code(&self) -> &'static str {
        if self.index > 1.0 {
            "quasi_poisson_negative_binomial"
        } else {
            "jeffreys_negative_binomial"
        }
    }
}

/// One of the next months.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NextMonth {
    /// The month.
    pub month: Month,
    /// Lower limit of its calls.
    pub low: u64,
    /// Upper limit of its calls.
    pub high: u64,
}

/// The prediction for a site or for all; `None` when it no longer serves or was not observed.
pub(super) fn prediction(
    demand: &SiteDemand,
    served: &Served,
    sites: &BTreeMap<String, Served>,
    last: Month,
    level: Level,
) -> Option<Prediction> {
    if demand.months_after > 0 {
        return None;
    }
    let mut base = match (&demand.site, sites.len()) {
        (None, 2..) => months_of_all(served, sites)?,
        _ => served.months.clone(),
    };
    let trend = demand.clear_trend();
    let is_recent = trend.is_some() && base.len() >= MONTHS_FOR_RECENT;
    let mut index = demand.evenness.index();
    if let Some(trend) = trend.filter(|_| is_recent) {
        base.drain(..base.len().saturating_sub(FEWEST_MONTHS));
        index = if trend.p_of_index < CHANCE_OF_UNEVEN {
            trend.index.max(1.0)
        } else {
            1.0
        };
    }
    let total = EventsCount::sum(base.iter().map(|(_, count)| count));
    let ((base_first, _), (base_last, in_last)) = (*base.first()?, *base.last()?);
    let serving = serving_at_once(base_last, in_last);
    let next: Vec<Month> = last.plus(1).through(last.plus(MONTHS_AHEAD)).collect();
    let limits = |days: u32| -> Option<PredictedCount> {
        let minutes = u64::from(days) * 24 * 60 * serving;
        let exposure = total.exposure_minutes as f64;
        predict_uneven_count(total.events, exposure, minutes as f64, index, level)
    };
    let months = next
        .iter()
        .map(|month| {
            let limits = limits(u32::from(month.days()))?;
            Some(NextMonth {
                month: *month,
                low: limits.low,
                high: limits.high,
            })
        })
        .collect::<Option<Vec<_>>>()?;
    let days = next.iter().map(|month| u32::from(month.days())).sum();
    let together = limits(days)?;
    Some(Prediction {
        months,
        low: together.low,
        high: together.high,
        days,
        sites: serving,
        base_first,
        base_last,
        base: total,
        is_recent,
        has_trend: trend.is_some(),
        index,
        year_before: year_before(served, &next),
    })
}

/// The months in which every site served that serves now, without the calls of sites that no longer
/// do; `None` when no site serves now.
fn months_of_all(
    served: &Served,
    sites: &BTreeMap<String, Served>,
) -> Option<Vec<(Month, EventsCount)>> {
    let (ended, serving): (Vec<_>, Vec<_>) = sites.values().partition(|site| site.after > 0);
    let start = serving
        .iter()
        .filter_map(|site| site.months.first())
        .map(|(month, _)| *month)
        .max()?;
    let mut months = served.months.clone();
    months.retain(|(month, _)| *month >= start);
    for (month, count) in ended.iter().flat_map(|site| &site.months) {
        if let Some((_, all)) = months.iter_mut().find(|(other, _)| other == month) {
            all.events = all.events.saturating_sub(count.events);
            all.exposure_minutes = all.exposure_minutes.saturating_sub(count.exposure_minutes);
        }
    }
    Some(months)
}

/// How many sites served at once in a month, by its observed time; a clock change is no site.
fn serving_at_once(month: Month, count: EventsCount) -> u64 {
    let minutes = u64::from(month.days()) * 24 * 60;
    ((count.exposure_minutes + minutes / 2) / minutes).max(1)
}

fn year_before(served: &Served, next: &[Month]) -> Option<u64> {
    let calls = |month: Month| served.in_month(month).map(|count| count.events);
    next.iter().map(|month| calls(month.plus(-12))).sum()
}
