//! How the judged cases of a measure are spread over the values of one dimension.

use crate::domain::codes::NOT_RECORDED;
use crate::domain::fields::dimension_label;
use crate::findings::finding::Statistic;
use crate::findings::review::Review;
use crate::report::content::{Block, Table};
use crate::report::{format, groups, series};

/// A table with the judged cases of each value and their part of all with a value; `None` when no
/// case has one. What counts as met stands in a last column under the heading `met`, if one is given.
pub(super) fn table(
    review: &Review,
    measure: &str,
    by: &str,
    caption: &str,
    met: Option<&str>,
) -> Option<Block> {
    review.definition(measure)?;
    let findings: Vec<_> = groups::in_list_order(review, measure, by, Statistic::Share)
        .into_iter()
        .filter(|finding| finding.group != NOT_RECORDED)
        .collect();
    let total: u64 = findings.iter().map(|finding| finding.cases).sum();
    if total == 0 {
        return None;
    }
    let is_withheld = findings.iter().any(|finding| finding.suppressed);
    let mut table = Table::new(
        format!("{caption}, {}", series::whole_period(review)),
        &["", "Cases"],
    );
    table.columns[0] = format::capitalized(dimension_label(by));
    table.columns.extend(met.map(str::to_owned));
    for finding in findings {
        let mut row = vec![
            groups::group_label(by, &finding.group).into(),
            if is_withheld {
                format::unless_withheld(finding, finding.cases).into()
            } else {
                format::part(finding.cases, total).into()
            },
        ];
        if met.is_some() {
            row.push(if is_withheld {
                format::unless_withheld(finding, finding.events).into()
            } else {
                format::part(finding.events, finding.cases).into()
            });
        }
        table.push(row);
    }
    Some(Block::Table(table))
}
