//! The table `headlines`: the first page of a review, the month in view beside the months before.
//!
//! Knows the columns. Compares nothing itself: what can be said about the change stands in the
//! review.

use super::columns::{Column, batch, number, optional_text, optional_whole, text, whole};
use super::findings::{AS_UNIT, if_shown, month_text};
use super::table::{Table, TableError};
use crate::findings::finding::Finding;
use crate::findings::review::{Change, Headline, Review};

/// One row per headline, in the order of the page. A suppressed finding has no numbers, and where
/// either of the two is suppressed so is the difference, which would give it back.
///
/// # Errors
/// When a count does not fit INT64.
pub fn headlines_table(review: &Review) -> Result<Table, TableError> {
    let rows = || review.headlines.iter();
    let either = || rows().map(|row| row.month.as_ref().or(row.before.as_ref()));
    let mut columns = vec![
        text(
            "measure",
            "identifier of the measure",
            rows().map(|row| &row.measure),
        ),
        optional_text(
            "statistic",
            "share, median, p25, p75, p90 or rate; empty when nothing was counted",
            either().map(|finding| Some(finding?.statistic.code())),
        ),
        optional_text(
            "unit",
            "what estimates, limits and differences are counted in",
            either().map(|finding| Some(finding?.unit.code())),
        ),
        text(
            "month",
            "the month in view, YYYY-MM",
            rows().map(|_| month_text(Some(review.month))),
        ),
    ];
    columns.extend(side(review, "month", "the month in view", |row| {
        row.month.as_ref()
    })?);
    columns.extend(side(
        review,
        "before",
        "the months before, pooled",
        |row| row.before.as_ref(),
    )?);
    let difference = |of: fn([f64; 3]) -> f64| rows().map(move |row| difference(row).map(of));
    columns.extend([
        whole(
            "months_before",
            "how many months before the month in view are pooled",
            "months",
            rows().map(|_| review.months_before),
        )?,
        number(
            "difference",
            "month in view minus months before",
            AS_UNIT,
            difference(|[estimate, _, _]| estimate),
        ),
        number(
            "difference_low",
            "lower confidence limit of the difference",
            AS_UNIT,
            difference(|[_, low, _]| low),
        ),
        number(
            "difference_high",
            "upper confidence limit of the difference",
            AS_UNIT,
            difference(|[_, _, high]| high),
        ),
        text(
            "change",
            "difference, too_few_cases or not_compared",
            rows().map(change_code),
        ),
    ]);
    Ok(Table {
        name: "headlines",
        batch: batch(columns),
    })
}

/// Five columns about one of the two findings that a headline compares.
fn side(
    review: &Review,
    prefix: &str,
    about: &str,
    finding: fn(&Headline) -> Option<&Finding>,
) -> Result<[Column; 5], TableError> {
    let shown = || {
        review
            .headlines
            .iter()
            .map(move |row| finding(row).and_then(if_shown))
    };
    let name = |what: &str| format!("{prefix}_{what}");
    let meaning = |what: &str| format!("{about}: {what}");
    Ok([
        number(
            &name("estimate"),
            &meaning("estimate"),
            AS_UNIT,
            shown().map(|row| row?.estimate),
        ),
        number(
            &name("low"),
            &meaning("lower confidence limit"),
            AS_UNIT,
            shown().map(|row| row?.low),
        ),
        number(
            &name("high"),
            &meaning("upper confidence limit"),
            AS_UNIT,
            shown().map(|row| row?.high),
        ),
        optional_whole(
            &name("events"),
            &meaning(
                "cases or passes that meet the definition, cases that reached the end, or events",
            ),
            "count",
            shown().map(|row| Some(row?.events)),
        )?,
        optional_whole(
            &name("cases"),
            &meaning(
                "denominator: cases judged; for clustered_share, passes; for a rate, the events",
            ),
            "count",
            shown().map(|row| Some(row?.denominator())),
        )?,
    ])
}

/// Estimate and limits of the change; `None` when there is none to publish.
fn difference(row: &Headline) -> Option<[f64; 3]> {
    match row.change {
        _ if is_withheld(row) => None,
        Change::Difference {
            estimate,
            low,
            high,
        } => Some([estimate, low, high]),
        Change::TooFewCases { .. } | Change::NotCompared => None,
    }
}

fn change_code(row: &Headline) -> &'static str {
    match row.change {
        _ if is_withheld(row) => "not_compared",
        Change::Difference { .. } => "difference",
        Change::TooFewCases { .. } => "too_few_cases",
        Change::NotCompared => "not_compared",
    }
}

fn is_withheld(row: &Headline) -> bool {
    [&row.month, &row.before]
        .into_iter()
        .flatten()
        .any(|finding| finding.suppressed)
}

#[cfg(test)]
pub(super) mod tests;
