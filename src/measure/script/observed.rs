//! Observed time → SQL that gives it for every group of a split, as [`super::super::exposure`] does
//! in the program. Knows nothing of events.

use super::{joined, split_row};
use crate::domain::codes::NOT_RECORDED;
use crate::domain::counts::ALL;
use crate::domain::fields::code_list;
use crate::measure::exposure::HOUR_OF_WEEK;
use crate::measure::groupings::Grouping;

/// A query that gives `split_by`, `each_month`, `split_group`, `split_month` and `minutes` of one split;
/// `None` for a split whose groups nobody can list.
pub(super) fn observed_groups(grouping: &Grouping, text: &str) -> Option<String> {
    let month = if grouping.is_monthly {
        "month"
    } else {
        "'all'"
    };
    let split = split_row(grouping);
    if grouping.dimensions == HOUR_OF_WEEK {
        let group = joined(&["weekday".to_owned(), format!("cast(hour as {text})")]);
        return Some(format!(
            "select {split}, {group} as split_group, {month} as split_month, minutes \
             from observed_hours"
        ));
    }
    let mut values = Vec::new();
    let mut lists = Vec::new();
    for dimension in &grouping.dimensions {
        if matches!(dimension.as_str(), "site" | "shift") {
            values.push(format!("observed.{dimension}"));
            continue;
        }
        let codes = code_list(dimension)?.words.iter().map(|word| word.code);
        let rows: Vec<_> = codes
            .chain([NOT_RECORDED])
            .map(|code| format!("select '{code}' as {dimension}"))
            .collect();
        lists.push(format!(
            "\n    cross join ({}) as {dimension}_list",
            rows.join(" union all ")
        ));
        values.push(format!("{dimension}_list.{dimension}"));
    }
    let group = if values.is_empty() {
        format!("'{ALL}'")
    } else {
        joined(&values)
    };
    Some(format!(
        "select {split}, {group} as split_group, {month} as split_month, minutes from observed{}",
        lists.concat()
    ))
}
