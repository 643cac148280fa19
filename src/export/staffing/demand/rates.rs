//! The table `demand_rates`: every rate with its calls, its hours and its limits.

use super::{ALL, level_column, places, site_code, site_column};
use crate::export::columns::{batch, number, text, whole};
use crate::export::table::{Table, TableError};
use crate::findings::staffing::demand::{
    CallRate, DAY_KIND_BLOCK_HOURS, Demand, WeekRow, first_hours,
};

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
