//! The table `demand_prediction`: what the next three months may bring.

use super::{level_column, places, site_code, site_column};
use crate::domain::month::Month;
use crate::export::columns::{batch, number, optional_whole, text, whole};
use crate::export::table::{Table, TableError};
use crate::findings::staffing::demand::{Demand, Prediction, SiteDemand};

/// The calls of one stretch ahead.
struct AheadRow<'a> {
    site: &'a str,
    first: Month,
    last: Month,
    low: u64,
    high: u64,
    place: &'a Prediction,
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
