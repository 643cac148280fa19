//! The table `months`: a row for each month and group, a column for each measure, for who plots or
//! models series.
//!
//! Knows which groups have a row. The same numbers stand with their intervals in the table `findings`.

use super::columns::{Column, batch, made_by, number, optional_whole, text};
use super::table::{Table, TableError};
use crate::domain::counts::{ALL, SITE};
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::month::Month;
use crate::findings::finding::{Address, Finding, Method, Statistic, Unit};
use crate::findings::list_order::place;
use crate::findings::review::Review;
use std::collections::BTreeSet;

/// What months are split by here. Few measures are counted month by month by anything else.
const BY: [&str; 3] = [ALL, SITE, "shift"];

/// Where a row stands.
struct Row<'a> {
    by: &'static str,
    group: &'a str,
    month: Month,
}

/// One row for each month of all cases, then of each site and of each shift, in the order of lists and
/// of time. A month without a case of the population has no number, nor has one whose numbers are
/// withheld.
///
/// # Errors
/// When a count does not fit INT64.
pub fn months_table(review: &Review) -> Result<Table, TableError> {
    let rows = rows(review);
    let mut columns = vec![
        text("by", "all, site or shift", rows.iter().map(|row| row.by)),
        text(
            "group",
            "the group, or all",
            rows.iter().map(|row| row.group),
        ),
        text(
            "month",
            "YYYY-MM, the month of the call",
            rows.iter().map(|row| row.month.to_string()),
        ),
    ];
    for definition in &review.definitions {
        columns.extend(columns_of(review, definition, &rows)?);
    }
    Ok(Table {
        name: "months",
        batch: batch(columns),
    })
}

fn rows(review: &Review) -> Vec<Row<'_>> {
    let months = || review.first_month.through(review.last_month);
    let mut rows = Vec::new();
    for by in BY {
        let monthly = review.findings.iter();
        let monthly = monthly.filter(|finding| finding.by == by && finding.month.is_some());
        let names = monthly.map(|finding| finding.group.as_str());
        let names: BTreeSet<_> = names.map(|name| (place(by, name), name)).collect();
        for (_, group) in names {
            rows.extend(months().map(|month| Row { by, group, month }));
        }
    }
    rows
}

/// The number of a measure, then its counts.
fn columns_of(
    review: &Review,
    definition: &Definition,
    rows: &[Row<'_>],
) -> Result<Vec<Column>, TableError> {
    let id = &definition.id;
    let (statistic, words) = match definition.kind {
        MeasureKind::Share | MeasureKind::ClusteredShare => (Statistic::Share, "share"),
        MeasureKind::Minutes => (Statistic::Median, "median"),
        MeasureKind::Count => (Statistic::Rate, "rate"),
    };
    let found: Vec<Option<&Finding>> = rows
        .iter()
        .map(|row| {
            let finding = review.findings.at(Address {
                measure: id,
                by: row.by,
                group: row.group,
                month: Some(row.month),
                statistic,
            });
            finding.filter(|finding| !finding.suppressed)
        })
        .collect();
    let unit = statistic.unit();
    let meaning = format!(
        "{words} of {id}, {}: {} Judged: {}. {}: {}.",
        definition.title,
        definition.question,
        definition.eligible,
        if definition.kind == MeasureKind::Minutes {
            "From when to when"
        } else {
            "Counted"
        },
        definition.hit
    );
    let estimates = found.iter().map(|finding| (*finding)?.estimate);
    let mut columns = vec![made_by(
        number(id, &meaning, unit.code(), estimates),
        &methods(&found),
    )];
    let mut count = |suffix: &str, meaning: &str, unit: &str, of: fn(&Finding) -> u64| {
        let counts = found.iter().map(|finding| finding.map(of));
        columns.push(optional_whole(
            &format!("{id}_{suffix}"),
            meaning,
            unit,
            counts,
        )?);
        Ok::<_, TableError>(())
    };
    match definition.kind {
        MeasureKind::Share => {
            count("events", "cases that meet it", "cases", |found| {
                found.events
            })?;
            count("cases", "cases judged", "cases", Finding::denominator)?;
        }
        MeasureKind::ClusteredShare => {
            count("events", "passes that meet it", "passes", |found| {
                found.events
            })?;
            count("passes", "passes judged", "passes", Finding::denominator)?;
        }
        MeasureKind::Minutes => {
            count("cases", "cases judged", "cases", Finding::denominator)?;
            count(
                "censored",
                "of these, followed only until they were cancelled or transferred",
                "cases",
                |found| found.censored,
            )?;
        }
        MeasureKind::Count => {
            count("events", "events of the month", "events", |found| {
                found.events
            })?;
        }
    }
    Ok(columns)
}

/// How the numbers of a column were made. The method of a share is that of its interval, which stands
/// elsewhere.
fn methods(found: &[Option<&Finding>]) -> String {
    let methods: BTreeSet<Method> = found.iter().flatten().map(|found| found.method).collect();
    let is_minutes = found
        .iter()
        .flatten()
        .any(|found| found.unit == Unit::Minutes);
    if is_minutes {
        let codes: Vec<_> = methods.into_iter().map(Method::code).collect();
        return codes.join(" or ");
    }
    "events divided by what was observed; limits in the table findings".to_owned()
}

#[cfg(test)]
mod tests;
