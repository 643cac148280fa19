//! The tables `demand_rates`, `demand_comparisons` and `demand_prediction`: how many calls come, when,
//! and how many may come next.
//!
//! Knows the columns. The site `all` is all of them together.

use crate::domain::month::Month;
use crate::export::columns::{Column, batch, number, optional_whole, text, whole};
use crate::export::table::{Table, TableError};
use crate::findings::staffing::demand::{
    CallRate, DAY_KIND_BLOCK_HOURS, Demand, SiteDemand, WeekRow, first_hours,
};

/// The word for all sites together and for every group.
const ALL: &str = "all";

/// One rate.
struct RateRow<'a> {
    site: &'a str,
    split: &'static str,
    group: String,
    rate: CallRate,
}

/// One row for each rate: of a site, a shift, a month, a block of the week.
///
/// # Errors
/// When a count does not fit INT64.
pub fn demand_rates_table(demand: &Demand) -> Result<Table, TableError> {
    let rows = rate_rows(demand);
    Ok(Table {
        name: "demand_rates",
        batch: batch(vec![
            site_column(rows.iter().map(|row| row.site)),
            text(
                "split",
                "all, shift, month, weekday_block or day_kind_block",
                rows.iter().map(|row| row.split),
            ),
            text(
                "group",
                "the shift, the month as YYYY-MM, or the days and the hours of the block joined with |",
                rows.iter().map(|row| &row.group),
            ),
            whole(
                "events",
                "calls",
                "calls",
                rows.iter().map(|row| row.rate.events),
            )?,
            number(
                "hours",
                "observed time, summed over sites",
                "hours",
                rows.iter()
                    .map(|row| Some(row.rate.exposure_minutes as f64 / 60.0)),
            ),
            number(
                "rate",
                "calls over observed time, in the unit of the column unit",
                "",
                rows.iter().map(|row| Some(row.rate.rate)),
            ),
            number(
                "low",
                "lower limit",
                "",
                rows.iter().map(|row| Some(row.rate.low)),
            ),
            number(
                "high",
                "upper limit",
                "",
                rows.iter().map(|row| Some(row.rate.high)),
            ),
            text(
                "unit",
                "per 30 site-days or per 100 site-hours",
                rows.iter().map(|row| row.rate.per.code()),
            ),
            level_column(demand, rows.len()),
            text(
                "method",
                "garwood, or garwood_of_effective_count where months differ by more than chance",
                rows.iter().map(|row| row.rate.method().code()),
            ),
            number(
                "overdispersion",
                "variance over what chance gives that the limits allow for, at least 1",
                "",
                rows.iter().map(|row| Some(row.rate.index)),
            ),
        ]),
    })
}

fn rate_rows(demand: &Demand) -> Vec<RateRow<'_>> {
    let mut rows = Vec::new();
    for place in places(demand) {
        let site = site_code(place);
        let mut add = |split, group: &str, rate: Option<CallRate>| {
            rows.extend(rate.map(|rate| RateRow {
                site,
                split,
                group: group.to_owned(),
                rate,
            }));
        };
        add("all", ALL, place.rate);
        if let Some(shifts) = &place.by_shift {
            add("shift", "in_hours", shifts.in_hours);
            add("shift", "after_hours", shifts.after_hours);
        }
        for (month, rate) in &place.months {
            add("month", &month.to_string(), Some(*rate));
        }
    }
    let Some(week) = &demand.week else {
        return rows;
    };
    let mut add_week = |split, week_rows: &[WeekRow], hours: u8| {
        for row in week_rows {
            for (first, rate) in first_hours(hours).zip(&row.blocks) {
                rows.extend(rate.map(|rate| RateRow {
                    site: ALL,
                    split,
                    group: format!("{}|{first}-{}", row.days.code(), first + hours),
                    rate,
                }));
            }
        }
    };
    if week.has_single_days() {
        add_week("weekday_block", &week.rows, week.block_hours);
    }
    add_week("day_kind_block", &week.day_kinds, DAY_KIND_BLOCK_HOURS);
    rows
}

/// One number that compares.
struct ComparisonRow<'a> {
    site: &'a str,
    statistic: &'static str,
    estimate: Option<f64>,
    low: Option<f64>,
    high: Option<f64>,
    p: Option<f64>,
    events: u64,
    calls: u64,
    method: &'static str,
}

/// The part after hours, its ratio, the trend and the variance of months, site by site.
///
/// # Errors
/// When a count does not fit INT64.
pub fn demand_comparisons_table(demand: &Demand) -> Result<Table, TableError> {
    let rows: Vec<_> = places(demand).flat_map(comparison_rows).collect();
    Ok(Table {
        name: "demand_comparisons",
        batch: batch(vec![
            site_column(rows.iter().map(|row| row.site)),
            text(
                "statistic",
                "after_hours_share_of_calls, after_hours_share_of_clock, after_hours_rate_ratio, \
                 rate_ratio_per_year or variance_of_months",
                rows.iter().map(|row| row.statistic),
            ),
            number(
                "estimate",
                "fraction, ratio, or variance over what chance gives",
                "",
                rows.iter().map(|row| row.estimate),
            ),
            number(
                "low",
                "lower limit; empty where there is none",
                "",
                rows.iter().map(|row| row.low),
            ),
            number(
                "high",
                "upper limit; empty where there is none",
                "",
                rows.iter()
                    .map(|row| row.high.filter(|high| high.is_finite())),
            ),
            level_column(demand, rows.len()),
            number(
                "p",
                "chance of as much when there is nothing to find; empty where no test was made",
                "",
                rows.iter().map(|row| row.p),
            ),
            whole(
                "events",
                "calls after hours, or all calls where the statistic has no part of them",
                "calls",
                rows.iter().map(|row| row.events),
            )?,
            whole(
                "calls",
                "calls that were looked at",
                "calls",
                rows.iter().map(|row| row.calls),
            )?,
            text(
                "method",
                "how the number was made",
                rows.iter().map(|row| row.method),
            ),
        ]),
    })
}

fn comparison_rows(place: &SiteDemand) -> Vec<ComparisonRow<'_>> {
    let site = site_code(place);
    let all = place.rate.map_or(0, |rate| rate.events);
    let mut rows = Vec::new();
    let row = |statistic, method| ComparisonRow {
        site,
        statistic,
        estimate: None,
        low: None,
        high: None,
        p: None,
        events: all,
        calls: all,
        method,
    };
    if let Some(after) = place.by_shift.and_then(|shifts| shifts.after) {
        let of_shifts = |statistic, method| ComparisonRow {
            events: after.events,
            calls: after.calls,
            ..row(statistic, method)
        };
        rows.extend([
            ComparisonRow {
                estimate: Some(after.share),
                low: Some(after.interval.low),
                high: Some(after.interval.high),
                ..of_shifts("after_hours_share_of_calls", after.method.code())
            },
            ComparisonRow {
                estimate: Some(after.clock_share),
                ..of_shifts("after_hours_share_of_clock", "calendar")
            },
            ComparisonRow {
                estimate: after.ratio.estimate.filter(|ratio| ratio.is_finite()),
                low: Some(after.ratio.low),
                high: Some(after.ratio.high),
                p: Some(after.ratio.p),
                ..of_shifts("after_hours_rate_ratio", "conditional_exact")
            },
        ]);
    }
    rows.extend(place.trend.map(|trend| ComparisonRow {
        estimate: Some(trend.ratio),
        low: Some(trend.low),
        high: Some(trend.high),
        ..row("rate_ratio_per_year", "log_linear_quasi_poisson")
    }));
    rows.extend(place.evenness.dispersion().map(|found| ComparisonRow {
        estimate: Some(found.index),
        p: Some(found.p),
        ..row("variance_of_months", "pearson_chi_square")
    }));
    rows
}

/// The calls of one stretch ahead.
struct AheadRow<'a> {
    site: &'a str,
    first: Month,
    last: Month,
    low: u64,
    high: u64,
    place: &'a crate::findings::staffing::demand::Prediction,
}

/// What each of the next three months, and all of them together, may bring, site by site. Empty where
/// nothing can be predicted.
///
/// # Errors
/// When a count does not fit INT64.
pub fn demand_prediction_table(demand: &Demand) -> Result<Table, TableError> {
    let rows: Vec<_> = places(demand).flat_map(ahead_rows).collect();
    let days = |row: &AheadRow<'_>| -> u64 {
        let months = row.first.through(row.last);
        months.map(|month| u64::from(month.days())).sum()
    };
    Ok(Table {
        name: "demand_prediction",
        batch: batch(vec![
            site_column(rows.iter().map(|row| row.site)),
            text(
                "first_month",
                "first month ahead, YYYY-MM",
                rows.iter().map(|row| row.first.to_string()),
            ),
            text(
                "last_month",
                "last month ahead; the limits of several months are not the sum of those of each",
                rows.iter().map(|row| row.last.to_string()),
            ),
            whole(
                "days",
                "days of these months",
                "days",
                rows.iter().map(days),
            )?,
            whole(
                "sites",
                "sites that are expected to serve",
                "sites",
                rows.iter().map(|row| row.place.sites),
            )?,
            whole(
                "low",
                "lower limit of the calls",
                "calls",
                rows.iter().map(|row| row.low),
            )?,
            whole(
                "high",
                "upper limit of the calls",
                "calls",
                rows.iter().map(|row| row.high),
            )?,
            level_column(demand, rows.len()),
            text(
                "method",
                "jeffreys_negative_binomial, or quasi_poisson_negative_binomial where months differ by \
                 more than chance",
                rows.iter().map(|row| row.place.method_code()),
            ),
            number(
                "overdispersion",
                "variance over what chance gives that the limits allow for, at least 1",
                "",
                rows.iter().map(|row| Some(row.place.index)),
            ),
            text(
                "base_first_month",
                "first month behind the prediction",
                rows.iter().map(|row| row.place.base_first.to_string()),
            ),
            text(
                "base_last_month",
                "last month behind the prediction",
                rows.iter().map(|row| row.place.base_last.to_string()),
            ),
            whole(
                "base_events",
                "calls behind the prediction",
                "calls",
                rows.iter().map(|row| row.place.base.events),
            )?,
            number(
                "base_hours",
                "observed time behind the prediction, summed over sites",
                "hours",
                rows.iter()
                    .map(|row| Some(row.place.base.exposure_minutes as f64 / 60.0)),
            ),
            optional_whole(
                "year_before",
                "calls in all three months of the year before; empty where not all were observed, and \
                 for single months",
                "calls",
                rows.iter()
                    .map(|row| row.place.year_before.filter(|_| row.first != row.last)),
            )?,
        ]),
    })
}

fn ahead_rows(place: &SiteDemand) -> Vec<AheadRow<'_>> {
    let Some(ahead) = &place.prediction else {
        return Vec::new();
    };
    let site = site_code(place);
    let mut rows: Vec<_> = ahead
        .months
        .iter()
        .map(|next| AheadRow {
            site,
            first: next.month,
            last: next.month,
            low: next.low,
            high: next.high,
            place: ahead,
        })
        .collect();
    if let (Some(first), Some(last)) = (ahead.months.first(), ahead.months.last()) {
        rows.push(AheadRow {
            site,
            first: first.month,
            last: last.month,
            low: ahead.low,
            high: ahead.high,
            place: ahead,
        });
    }
    rows
}

fn places(demand: &Demand) -> impl Iterator<Item = &SiteDemand> {
    [&demand.all].into_iter().chain(&demand.sites)
}

fn site_code(place: &SiteDemand) -> &str {
    place.site.as_deref().unwrap_or(ALL)
}

fn site_column<'a>(sites: impl Iterator<Item = &'a str>) -> Column {
    text("site", "the site, or all", sites)
}

fn level_column(demand: &Demand, rows: usize) -> Column {
    number(
        "level",
        "confidence level of the limits",
        "fraction",
        (0..rows).map(|_| Some(demand.level)),
    )
}

#[cfg(test)]
mod tests;
