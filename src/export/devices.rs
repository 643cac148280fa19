//! The table `devices`: each device for each object type with the share as it is, the share drawn
//! toward those of the other devices and the difference to the other devices, side by side.
//!
//! Knows the columns. Compares nothing itself. The same numbers stand one below another in the tables
//! `findings` and `comparisons`.

use super::columns::{Column, batch, made_by, number, optional_text, optional_whole, text};
use super::table::{Table, TableError};
use crate::findings::comparisons::device_rows::{Beside, DeviceRow, device_rows};
use crate::findings::comparisons::devices::{NotPooled, PooledComparison};
use crate::findings::comparisons::method::ComparisonMethod;
use crate::findings::comparisons::{Counted, Interval};
use crate::findings::finding::Finding;
use crate::findings::review::Review;

type Row<'a> = (&'static str, DeviceRow<'a>);

/// One row for each device and object type, and one for each device over all object types; the order
/// is that of lists and no ranking.
///
/// # Errors
/// When a count does not fit INT64.
pub fn devices_table(review: &Review) -> Result<Table, TableError> {
    let rows = device_rows(review);
    let mut columns = Vec::from(address_columns(&rows));
    columns.extend(raw_columns(&rows)?);
    columns.extend(drawn_columns(&rows));
    columns.extend(difference_columns(&rows)?);
    columns.extend(over_type_columns(&rows));
    columns.push(number(
        "level",
        "confidence level of all limits; together_low and together_high hold at it for all devices at \
         once",
        "fraction",
        rows.iter().map(|(_, row)| Some(row.raw.level)),
    ));
    Ok(Table {
        name: "devices",
        batch: batch(columns),
    })
}

fn address_columns(rows: &[Row<'_>]) -> [Column; 3] {
    [
        text(
            "measure",
            "first_device_success, of cases, or device_success, of passes",
            rows.iter().map(|(measure, _)| measure),
        ),
        text(
            "device",
            "the device; for cases the one that was used first",
            rows.iter().map(|(_, row)| row.device),
        ),
        text(
            "object_type",
            "the object type, or all",
            rows.iter().map(|(_, row)| row.object_type),
        ),
    ]
}

fn raw_columns(rows: &[Row<'_>]) -> Result<[Column; 6], TableError> {
    let shown = || {
        rows.iter()
            .map(|(_, row)| (!row.raw.suppressed).then_some(row.raw))
    };
    let limit = |of: fn(&Finding) -> Option<f64>| shown().map(move |raw| of(raw?));
    let method = "as column `raw_method` says";
    Ok([
        optional_whole(
            "events",
            "successes",
            "cases, or passes for device_success",
            shown().map(|raw| Some(raw?.events)),
        )?,
        optional_whole(
            "cases",
            "cases judged, or passes for device_success",
            "cases, or passes for device_success",
            shown().map(|raw| Some(raw?.denominator())),
        )?,
        made_by(
            number(
                "raw",
                "share of successes as it is, with nothing taken out",
                "fraction",
                limit(|raw| raw.estimate),
            ),
            method,
        ),
        made_by(
            number(
                "raw_low",
                "lower limit of raw",
                "fraction",
                limit(|raw| raw.low),
            ),
            method,
        ),
        made_by(
            number(
                "raw_high",
                "upper limit of raw",
                "fraction",
                limit(|raw| raw.high),
            ),
            method,
        ),
        text(
            "raw_method",
            "how the limits of raw were computed",
            rows.iter().map(|(_, row)| row.raw.method.code()),
        ),
    ])
}

fn drawn_columns(rows: &[Row<'_>]) -> [Column; 4] {
    let method = "as column `drawn_method` says";
    let drawn = || rows.iter().map(|(_, row)| row.drawn);
    [
        made_by(
            number(
                "drawn",
                "the share drawn toward those of the other devices used for the object type, the more the \
                 fewer cases it has; empty over all object types, and where fewer than five cases or only \
                 one device is known",
                "fraction",
                drawn().map(|drawn| Some(drawn?.estimate)),
            ),
            method,
        ),
        made_by(
            number(
                "drawn_low",
                "lower limit of drawn",
                "fraction",
                drawn().map(|drawn| Some(drawn?.interval?.low)),
            ),
            method,
        ),
        made_by(
            number(
                "drawn_high",
                "upper limit of drawn",
                "fraction",
                drawn().map(|drawn| Some(drawn?.interval?.high)),
            ),
            method,
        ),
        optional_text(
            "drawn_method",
            "how drawn and its limits were computed",
            drawn().map(|drawn| Some(drawn?.method.code())),
        ),
    ]
}

fn difference_columns(rows: &[Row<'_>]) -> Result<[Column; 8], TableError> {
    let method = "as column `difference_method` says";
    let side = |place: usize, of: fn(Counted) -> u64| {
        rows.iter()
            .map(move |(_, row)| Some(of(row.beside?.compared()[place])))
    };
    let limit = |of: fn(Interval) -> f64| {
        rows.iter()
            .map(move |(_, row)| Some(of(row.beside?.difference()?.1?)))
    };
    Ok([
        optional_whole(
            "compared_events",
            "successes of the device in what is compared: the object type, or all object types for which \
             another device was used too",
            "cases",
            side(0, |counted| counted.events),
        )?,
        optional_whole(
            "compared_cases",
            "cases of the device in what is compared",
            "cases",
            side(0, |counted| counted.cases),
        )?,
        optional_whole(
            "others_events",
            "successes of all other devices together in what is compared",
            "cases",
            side(1, |counted| counted.events),
        )?,
        optional_whole(
            "others_cases",
            "cases of all other devices together in what is compared",
            "cases",
            side(1, |counted| counted.cases),
        )?,
        made_by(
            number(
                "difference",
                "share of the device minus share of the others; within one object type as it is, with \
                 object_type all adjusted for the object type",
                "fraction",
                rows.iter()
                    .map(|(_, row)| Some(row.beside?.difference()?.0)),
            ),
            method,
        ),
        made_by(
            number(
                "difference_low",
                "lower limit of difference",
                "fraction",
                limit(|interval| interval.low),
            ),
            method,
        ),
        made_by(
            number(
                "difference_high",
                "upper limit of difference",
                "fraction",
                limit(|interval| interval.high),
            ),
            method,
        ),
        optional_text(
            "difference_method",
            "how difference and its limits were computed; empty where there is none",
            rows.iter().map(|(_, row)| {
                let beside = row.beside?;
                beside.difference()?;
                Some(match beside {
                    Beside::OfOneType { .. } => ComparisonMethod::Newcombe.code(),
                    Beside::OverTypes { .. } => ComparisonMethod::MantelHaenszelDifference.code(),
                })
            }),
        ),
    ])
}

/// Numbers that only stand in rows over all object types.
fn over_type_columns(rows: &[Row<'_>]) -> Vec<Column> {
    let pooled = |of: fn(PooledComparison) -> Option<f64>| {
        rows.iter().map(move |(_, row)| of(pooled_of(row)?.ok()?))
    };
    let together = "mantel_haenszel_sato at a level widened by Bonferroni";
    let odds = "as column `odds_ratio_method` says";
    let test =
        "the test of odds_ratio_method; cochran_mantel_haenszel beside the Mantel-Haenszel one";
    let numbers = [
        (
            "together_low",
            "lower limit of difference that holds for all devices at once",
            "fraction",
            together,
            pooled(|found| Some(found.difference.family_interval?.low)),
        ),
        (
            "together_high",
            "upper limit of difference that holds for all devices at once",
            "fraction",
            together,
            pooled(|found| Some(found.difference.family_interval?.high)),
        ),
        (
            "odds_ratio",
            "odds of the device over odds of the others, adjusted for the object type; it may be infinite",
            "ratio",
            odds,
            pooled(|found| Some(found.odds_ratio?.estimate)),
        ),
        (
            "odds_ratio_low",
            "lower limit of odds_ratio",
            "ratio",
            odds,
            pooled(|found| Some(found.odds_ratio?.interval?.low)),
        ),
        (
            "odds_ratio_high",
            "upper limit of odds_ratio",
            "ratio",
            odds,
            pooled(|found| Some(found.odds_ratio?.interval?.high)),
        ),
        (
            "p",
            "p-value of no difference in any object type",
            "probability",
            test,
            pooled(|found| found.p),
        ),
        (
            "adjusted_p",
            "p adjusted for all devices that were used first",
            "probability",
            "holm",
            pooled(|found| found.adjusted_p),
        ),
    ];
    let mut columns: Vec<_> = numbers
        .into_iter()
        .map(|(name, meaning, unit, method, values)| {
            made_by(number(name, meaning, unit, values), method)
        })
        .collect();
    columns.push(made_by(
        number(
            "homogeneity_p",
            "p-value of the test of one odds ratio for all object types",
            "probability",
            rows.iter().map(|(_, row)| match row.beside? {
                Beside::OverTypes { homogeneity, .. } => Some(homogeneity?.p),
                Beside::OfOneType { .. } => None,
            }),
        ),
        ComparisonMethod::BreslowDayTarone.code(),
    ));
    columns.push(optional_text(
        "odds_ratio_method",
        "how odds_ratio, its limits and p were computed",
        rows.iter().map(|(_, row)| {
            let found = pooled_of(row)?.ok()?;
            found.odds_ratio?;
            Some(found.odds_ratio_method.code())
        }),
    ));
    columns.push(optional_text(
        "why_none",
        "why there is no number over all object types: nothing_in_common, too_few_cases, \
         object_types_disagree or directions_differ",
        rows.iter().map(|(_, row)| {
            Some(match pooled_of(row)?.err()? {
                NotPooled::NothingInCommon => "nothing_in_common",
                NotPooled::TooFewCases { .. } => "too_few_cases",
                NotPooled::NotHomogeneous => "object_types_disagree",
                NotPooled::DirectionsDiffer => "directions_differ",
            })
        }),
    ));
    columns
}

fn pooled_of(row: &DeviceRow<'_>) -> Option<Result<PooledComparison, NotPooled>> {
    match row.beside? {
        Beside::OverTypes { pooled, .. } => Some(pooled),
        Beside::OfOneType { .. } => None,
    }
}

#[cfg(test)]
mod tests;
