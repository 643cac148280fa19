//! The table `demand_comparisons`: the part after hours beside that of the clock, the trend, and how
//! much months vary.

use super::{level_column, places, site_code, site_column};
use crate::export::columns::{batch, number, text, whole};
use crate::export::table::{Table, TableError};
use crate::findings::staffing::demand::{Demand, SiteDemand};

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
