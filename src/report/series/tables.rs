//! The table behind a figure.

use super::main_statistic;
use crate::domain::counts::{ALL, Key};
use crate::domain::fields::dimension_label;
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::month::Month;
use crate::findings::finding::{Address, Finding, Findings, Statistic};
use crate::findings::review::Review;
use crate::report::content::{Cell, Table};
use crate::report::{comparison_words, format, groups, words};

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
        let exposure = observed_days(review, definition, address, &[Some(month)]);
        table.push(value_row(
            &review.findings,
            definition,
            format::month_name(month).into(),
            address,
            exposure,
        ));
    }
    for row in pooled_rows(review, definition) {
        table.push(row);
    }
    table
}

/// All months together in place of months with too few cases each to say anything.
pub(in crate::report) fn pooled_table(review: &Review, definition: &Definition) -> Table {
    let words = format!(
        "in all months together: no month shown has {} cases",
        format::FEWEST_CASES_FOR_PERCENT
    );
    let mut table = value_table(review, definition, "Months", &words);
    // The months before are among them, and no more than a few cases.
    for row in pooled_rows(review, definition).into_iter().rev().take(1) {
        table.push(row);
    }
    table
}

/// The months before the month in view, and all months, each pooled; a row that would repeat the one
/// month that it holds is left out.
fn pooled_rows(review: &Review, definition: &Definition) -> Vec<Vec<Cell>> {
    let address = Address {
        measure: &definition.id,
        by: ALL,
        group: ALL,
        month: None,
        statistic: main_statistic(definition.kind),
    };
    let mut rows = Vec::new();
    if review.months_before > 1 && review.before.at(address).is_some() {
        let months: Vec<_> = review
            .month
            .plus(-i32::try_from(review.months_before).unwrap_or(0))
            .through(review.month.plus(-1))
            .map(Some)
            .collect();
        rows.push(value_row(
            &review.before,
            definition,
            format::capitalized(&words::before_words(review)).into(),
            address,
            observed_days(review, definition, address, &months),
        ));
    }
    if review.first_month != review.last_month {
        let label = Cell {
            text: "All months".to_owned(),
            details: vec![super::whole_period(review)],
        };
        let exposure = observed_days(review, definition, address, &[None]);
        rows.push(value_row(
            &review.findings,
            definition,
            label,
            address,
            exposure,
        ));
    }
    rows
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
    let value_columns = table.columns.len();
    let is_drawn = findings
        .iter()
        .any(|finding| super::drawn_share(review, finding).is_some());
    if is_drawn {
        let interval = format!("{} interval of it", format::level(review.level));
        table
            .columns
            .extend(["Drawn to the others".to_owned(), interval]);
    }
    for finding in findings {
        let address = Address {
            measure: &definition.id,
            by: &finding.by,
            group: &finding.group,
            month: finding.month,
            statistic: finding.statistic,
        };
        let label = groups::group_label(by, &finding.group);
        let exposure = observed_days(review, definition, address, &[finding.month]);
        let mut row = value_row(
            &review.findings,
            definition,
            label.into(),
            address,
            exposure,
        );
        if is_drawn {
            row.resize(value_columns, format::NOTHING.into());
            row.extend(drawn_cells(review, finding));
        }
        table.push(row);
    }
    table
}

/// The share drawn toward those of the other groups, and its interval.
fn drawn_cells(review: &Review, finding: &Finding) -> [Cell; 2] {
    let Some(drawn) = super::drawn_share(review, finding) else {
        return [format::NOTHING.into(), format::NOTHING.into()];
    };
    let percent = |share| format::with_unit(finding.unit, finding.denominator(), share);
    let interval = drawn.interval.map_or_else(
        || format::NOTHING.to_owned(),
        |interval| comparison_words::percents(finding.denominator(), interval),
    );
    [percent(drawn.estimate).into(), interval.into()]
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
    findings: &Findings,
    definition: &Definition,
    label: Cell,
    address: Address<'_>,
    observed_days: String,
) -> Vec<Cell> {
    let mut row = vec![label];
    let Some(finding) = findings.at(address) else {
        row.push(format::NO_CASES.into());
        return row;
    };
    row.extend(finding_cells(finding));
    let other = |statistic| {
        findings.at(Address {
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
        MeasureKind::Count => row.push(observed_days.into()),
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

/// Days observed in these months, or in the whole period (`None`); a dash where none is known.
fn observed_days(
    review: &Review,
    definition: &Definition,
    address: Address<'_>,
    months: &[Option<Month>],
) -> String {
    let minutes = months.iter().filter_map(|&month| {
        let key = Key {
            measure: definition.id.clone(),
            version: definition.version,
            by: address.by.to_owned(),
            group: address.group.to_owned(),
            month,
        };
        let events = review.counts.events.get(&key)?;
        Some(events.exposure_minutes)
    });
    let total = minutes.reduce(u64::saturating_add);
    total.map_or_else(|| format::NOTHING.to_owned(), format::days)
}
