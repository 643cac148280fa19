//! The demand for one item at one site: its cases month by month, and the stock that covers the days
//! until it is filled up again.

use crate::domain::duty::cart_item::CartItem;
use crate::domain::duty::item_counts::{ItemCounts, ItemInMonth, ItemUse};
use crate::domain::month::Month;
use crate::stats::par::{negative_binomial_par_level, predictive_par_level};
use std::collections::BTreeMap;

/// Variance over mean of monthly cases above which uses come in bursts. As for calls, a limit of
/// this project.
pub const BURSTS_FROM: f64 = 1.5;

/// Months below which nothing is said of bursts.
pub const FEWEST_MONTHS: usize = 12;

/// Cases below which nothing is said of bursts: of few, two in one month are chance.
pub const FEWEST_CASES: u64 = 10;

/// How a stock was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ParMethod {
    /// Uses that come at random, at a rate known as well as the records tell it: quantile of the
    /// predictive negative binomial distribution.
    Predictive,
    /// Uses that come in bursts: quantile of the negative binomial distribution with the variance
    /// of the months, where that asks for more.
    Bursts,
}

impl ParMethod {
    /// The word in tables.
    pub const fn code(self) -> &'static str {
        match self {
            ParMethod::Predictive => "predictive_negative_binomial",
            ParMethod::Bursts => "negative_binomial_of_months",
        }
    }
}

/// Cases that used an item, beside the days of each month.
pub(super) struct MonthlyUse {
    /// All months together.
    pub(super) used: ItemUse,
    /// Cases and days of each month observed.
    months: Vec<(u64, f64)>,
}

/// How many pieces use alone asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ParByUse {
    /// Pieces.
    pub pieces: u64,
    /// How that was found.
    pub method: ParMethod,
    /// Variance over mean of the monthly cases; `None` with too few months or cases.
    pub dispersion: Option<f64>,
}

impl MonthlyUse {
    /// Uses in the months observed.
    pub(super) fn of(
        items: &ItemCounts,
        item: CartItem,
        site: &str,
        days: &BTreeMap<Month, f64>,
    ) -> MonthlyUse {
        let mut used = ItemUse::default();
        let mut months = Vec::new();
        for (month, days) in days {
            let key = ItemInMonth {
                item,
                site: site.to_owned(),
                month: *month,
            };
            let of_month = items.uses.get(&key).copied().unwrap_or_default();
            used.add(of_month);
            months.push((of_month.cases, *days));
        }
        MonthlyUse { used, months }
    }

    /// The stock that covers the cases of `lead` days with the service level.
    pub(super) fn par(&self, days: f64, lead: f64, service_level: f64) -> Option<ParByUse> {
        let predictive = predictive_par_level(self.used.cases, days, lead, service_level)?;
        let dispersion = self.dispersion(days);
        let mean = self.used.cases as f64 / days * lead;
        // As strong over these days as over a month, the cautious end: a month may be uneven because
        // its weeks are.
        let bursts = dispersion
            .filter(|dispersion| *dispersion > BURSTS_FROM)
            .and_then(|dispersion| {
                negative_binomial_par_level(mean, mean * dispersion, service_level)
            });
        let (pieces, method) = match bursts {
            Some(pieces) if pieces > predictive => (pieces, ParMethod::Bursts),
            _ => (predictive, ParMethod::Predictive),
        };
        Some(ParByUse {
            pieces,
            method,
            dispersion,
        })
    }

    /// Variance over mean of the monthly cases, months weighing by their days: Pearson's chi-square
    /// over its degrees of freedom. `None` with too few months or cases.
    fn dispersion(&self, days: f64) -> Option<f64> {
        let months = self.months.iter().filter(|(_, days)| *days > 0.0);
        let count = months.clone().count();
        if count < FEWEST_MONTHS || self.used.cases < FEWEST_CASES {
            return None;
        }
        let per_day = self.used.cases as f64 / days;
        let chi_square: f64 = months
            .map(|(cases, days)| {
                let expected = per_day * days;
                (*cases as f64 - expected).powi(2) / expected
            })
            .sum();
        Some(chi_square / (count - 1) as f64)
    }
}
