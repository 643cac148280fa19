//! The table behind a figure.

use super::main_statistic;
use crate::domain::counts::{ALL, Key};
use crate::domain::fields::dimension_label;
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::month::Month;
use crate::findings::finding::{Address, Finding, Statistic};
use crate::findings::review::Review;
use crate::report::content::{Cell, Table};
use crate::report::{format, groups, words};

/// Cells of one finding in every table: counts, estimate, interval.
fn finding_cells(finding: &Finding) -> [Cell; 3] {
    let counts = if format::is_empty(finding) {
        format::NOTHING.to_owned()
    } else {
        format::counts(finding)
    };
    [
        counts.into(),
        format::estimate(finding).into(),
        format::interval(finding).into(),
    ]
}

/// The column headings of [`finding_cells`].
fn finding_columns(review: &Review, kind: MeasureKind) -> [String; 3] {
    let (counts, estimate) = match kind {
        MeasureKind::Share | MeasureKind::ClusteredShare => ("Counts", "Share"),
        MeasureKind::Minutes => ("Cases", "Median"),
        MeasureKind::Count => ("Events", "Per 30 site-days"),
    };
    [
        counts.to_owned(),
        estimate.to_owned(),
        format!("{} interval", format::level(review.level)),
    ]
}

/// Every month of a chart.
pub(super) fn month_table(review: &Review, definition: &Definition, months: &[Month]) -> Table {
    let mut table = value_table(review, definition, "Month", "by month");
    for &month in months {
        let address = Address {
            measure: &definition.id,
            by: ALL,
            group: ALL,
            month: Some(month),
            statistic: main_statistic(definition.kind),
        };
        table.push(value_row(
            review,
            definition,
            format::month_name(month),
            address,
        ));
    }
    table
}

/// Every group of a chart, and those that the chart had no room for.
pub(super) fn group_table(
    review: &Review,
    definition: &Definition,
    by: &str,
    findings: &[&Finding],
) -> Table {
    let names: Vec<_> = by.split('+').map(dimension_label).collect();
    let words = format!(
        "by {}, {}",
        names.join(" and "),
        super::whole_period(review)
    );
    let mut table = value_table(
        review,
        definition,
        &format::capitalized(&names.join(", ")),
        &words,
    );
    for finding in findings {
        let address = Address {
            measure: &definition.id,
            by: &finding.by,
            group: &finding.group,
            month: finding.month,
            statistic: finding.statistic,
        };
        let label = groups::group_label(by, &finding.group);
        table.push(value_row(review, definition, label, address));
    }
    table
}

fn value_table(review: &Review, definition: &Definition, first: &str, words: &str) -> Table {
    let mut table = Table::new(format!("{} {words}", definition.title), &[first]);
    table
        .columns
        .extend(finding_columns(review, definition.kind));
    table.columns.extend(
        match definition.kind {
            MeasureKind::Minutes => &[
                "Lower quartile",
                "Upper quartile",
                "Nine of ten within",
                "Not judged",
                "Method",
            ][..],
            MeasureKind::Count => &["Observed days", "Method"],
            MeasureKind::Share | MeasureKind::ClusteredShare => &["Not judged", "Method"],
        }
        .iter()
        .map(|&name| name.to_owned()),
    );
    table
}

/// One row of a table of values; a row without finding says that there were no cases.
fn value_row(
    review: &Review,
    definition: &Definition,
    label: String,
    address: Address<'_>,
) -> Vec<Cell> {
    let mut row = vec![Cell::from(label)];
    let Some(finding) = review.findings.at(address) else {
        row.push(format::NO_CASES.into());
        return row;
    };
    row.extend(finding_cells(finding));
    let other = |statistic| {
        review.findings.at(Address {
            statistic,
            ..address
        })
    };
    match definition.kind {
        MeasureKind::Minutes => {
            for statistic in [Statistic::P25, Statistic::P75, Statistic::P90] {
                row.push(quantile_cell(other(statistic)));
            }
            row.push(format::unless_withheld(finding, finding.excluded).into());
        }
        MeasureKind::Count => row.push(observed_days(review, definition, address).into()),
        MeasureKind::Share | MeasureKind::ClusteredShare => {
            row.push(format::unless_withheld(finding, finding.excluded).into());
        }
    }
    row.push(words::method_name(finding.method).into());
    row
}

/// An estimate with its counts and interval below, or why there is none.
pub(in crate::report) fn value_cell(finding: Option<&Finding>) -> Cell {
    let Some(finding) = finding else {
        return format::NO_CASES.into();
    };
    if format::is_empty(finding) {
        return format::why_empty(finding).into();
    }
    if format::shown_estimate(finding).is_none() && finding.estimate.is_some() {
        return format::counts(finding).into();
    }
    Cell {
        text: format::estimate_in_text(finding),
        details: vec![format!(
            "{}; {}",
            format::counts(finding),
            format::interval(finding)
        )],
    }
}

/// A quantile with its interval below.
pub(in crate::report) fn quantile_cell(finding: Option<&Finding>) -> Cell {
    match finding {
        Some(finding) if finding.suppressed => format::estimate(finding).into(),
        Some(finding) if !format::is_empty(finding) => Cell {
            text: format::estimate(finding),
            details: vec![format::interval(finding)],
        },
        _ => format::NOTHING.into(),
    }
}

fn observed_days(review: &Review, definition: &Definition, address: Address<'_>) -> String {
    let key = Key {
        measure: definition.id.clone(),
        version: definition.version,
        by: address.by.to_owned(),
        group: address.group.to_owned(),
        month: address.month,
    };
    review.counts.events.get(&key).map_or_else(
        || format::NOTHING.to_owned(),
        |events| format::days(events.exposure_minutes),
    )
}
