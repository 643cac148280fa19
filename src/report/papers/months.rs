//! The measures of the first page month by month, for a paper or its supplement.

use crate::findings::review::Review;
use crate::report::content::{Cell, Table};
use crate::report::{format, series};

/// A row for each month of the records, all cases together.
pub(super) fn table(review: &Review) -> Table {
    let measures: Vec<_> = review
        .headlines
        .iter()
        .filter_map(|headline| review.definition(&headline.measure))
        .collect();
    // Months of sites and shifts are not among tables to be passed on.
    let elsewhere = match review.shared {
        Some(_) => "every measure",
        None => "every measure, each site and each shift",
    };
    let mut columns = vec!["Month"];
    columns.extend(measures.iter().map(|definition| definition.title.as_str()));
    let mut table = Table::new(
        format!(
            "Main findings by month of the call, {}, all cases, each with its numerator and denominator; \
             medians are of all cases judged, by Kaplan-Meier where some were not followed to the end; \
             intervals stand in tables/findings.csv, {elsewhere} in tables/months.csv. Rates are per 30 days \
             of one site. Months are described, not tested.",
            series::period(review)
        ),
        &columns,
    );
    // Where every month is withheld there is no table of them either.
    let is_withheld = review.shared.is_some() && !has_months(review);
    if measures.is_empty() || is_withheld {
        return table;
    }
    // Of counts to be passed on, a finding that is not there was withheld.
    let nothing = match review.shared {
        Some(_) => format::WITHHELD,
        None => format::NO_CASES,
    };
    for month in review.first_month.through(review.last_month) {
        let mut row: Vec<Cell> = vec![month.to_string().into()];
        row.extend(measures.iter().map(|definition| {
            let statistic = series::main_statistic(definition.kind);
            let found = review
                .findings
                .overall(&definition.id, Some(month), statistic);
            Cell::from(found.map_or_else(|| nothing.to_owned(), super::number_with_counts))
        }));
        table.push(row);
    }
    table
}

/// Whether there is a finding of a month.
pub(super) fn has_months(review: &Review) -> bool {
    let mut findings = review.findings.iter();
    findings.any(|finding| finding.month.is_some())
}
