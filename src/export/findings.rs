//! The table `findings`: every published number with its denominator, interval and method.
//!
//! Knows the columns of the contract. Does not decide what is suppressed; it only keeps back the
//! numbers of a finding that is.

use super::columns::{Column, batch, flag, number, optional_whole, text};
use super::table::{Table, TableError};
use crate::domain::counts::ALL;
use crate::domain::month::Month;
use crate::findings::finding::{Finding, Findings};
use std::collections::BTreeMap;

/// Unit of numbers that differ in unit from row to row.
pub(super) const AS_UNIT: &str = "as column `unit` says";

/// One row per finding, in the order of `findings`. A suppressed finding has no estimate, no
/// limits and no counts; how it would have been computed still stands.
///
/// # Errors
/// When a count does not fit INT64.
pub fn findings_table(findings: &Findings) -> Result<Table, TableError> {
    let mut columns = Vec::from(address_columns(findings));
    columns.extend(estimate_columns(findings));
    columns.extend(count_columns(findings)?);
    let rows = || findings.iter();
    columns.extend([
        flag(
            "suppressed",
            "whether the numbers are withheld because the group is small",
            rows().map(|row| row.suppressed),
        ),
        text(
            "unit",
            "what estimate and limits are counted in",
            rows().map(|row| row.unit.code()),
        ),
    ]);
    Ok(Table {
        name: "findings",
        batch: batch(columns),
    })
}

fn address_columns(findings: &Findings) -> [Column; 6] {
    let rows = || findings.iter();
    [
        text(
            "measure",
            "identifier of the measure",
            rows().map(|row| &row.measure),
        ),
        text(
            "kind",
            "share, minutes, clustered_share or count",
            rows().map(|row| row.kind.code()),
        ),
        text(
            "by",
            "names of the dimensions joined with +, or all",
            rows().map(|row| &row.by),
        ),
        text(
            "group",
            "values of the dimensions joined with |, or all",
            rows().map(|row| &row.group),
        ),
        month_column(rows().map(|row| row.month)),
        text(
            "statistic",
            "share, median, p25, p75, p90, rate or time_share",
            rows().map(|row| row.statistic.code()),
        ),
    ]
}

fn estimate_columns(findings: &Findings) -> [Column; 5] {
    let rows = || findings.iter();
    let shown = |of: fn(&Finding) -> Option<f64>| rows().map(move |row| of(if_shown(row)?));
    [
        number(
            "estimate",
            "the number; empty when it cannot be estimated",
            AS_UNIT,
            shown(|row| row.estimate),
        ),
        number(
            "low",
            "lower confidence limit; empty when the sample cannot give one",
            AS_UNIT,
            shown(|row| row.low),
        ),
        number(
            "high",
            "upper confidence limit; empty when the sample cannot give one",
            AS_UNIT,
            shown(|row| row.high),
        ),
        number(
            "level",
            "confidence level of the limits",
            "fraction",
            rows().map(|row| Some(row.level)),
        ),
        text(
            "method",
            "how estimate and limits were computed",
            rows().map(|row| row.method.code()),
        ),
    ]
}

fn count_columns(findings: &Findings) -> Result<[Column; 4], TableError> {
    let rows = || findings.iter();
    let shown = |of: fn(&Finding) -> u64| rows().map(move |row| if_shown(row).map(of));
    Ok([
        optional_whole(
            "events",
            "cases or passes that meet the definition, cases that reached the end, or events",
            "",
            shown(|row| row.events),
        )?,
        optional_whole(
            "cases",
            "denominator: cases judged; for clustered_share, passes; for a rate, the events",
            "",
            shown(Finding::denominator),
        )?,
        optional_whole(
            "excluded",
            "cases of the population that could not be judged",
            "cases",
            shown(|row| row.excluded),
        )?,
        optional_whole(
            "censored",
            "cases followed only until they were cancelled or transferred",
            "cases",
            shown(|row| row.censored),
        )?,
    ])
}

/// The finding whose numbers may be seen; `None` when it is suppressed.
pub(super) fn if_shown(finding: &Finding) -> Option<&Finding> {
    (!finding.suppressed).then_some(finding)
}

/// The column of months: `YYYY-MM`, or `all`. Each month is put into words once.
pub(super) fn month_column(months: impl Iterator<Item = Option<Month>> + Clone) -> Column {
    let mut words = BTreeMap::new();
    for month in months.clone() {
        words.entry(month).or_insert_with(|| month_text(month));
    }
    text(
        "month",
        "YYYY-MM, or all for the whole period",
        months.map(|month| &words[&month]),
    )
}

/// The word for a month in every table: `YYYY-MM`, or `all`.
pub(super) fn month_text(month: Option<Month>) -> String {
    month.map_or_else(|| ALL.to_owned(), |month| month.to_string())
}

#[cfg(test)]
pub(super) mod tests;
