//! Which groups and months a page lists, in which order and under which words.

use crate::domain::codes::NOT_RECORDED;
use crate::domain::fields::{CaseField, Field, value_label};
use crate::domain::month::Month;
use crate::findings::finding::{Finding, Statistic};
use crate::findings::list_order::place;
use crate::findings::review::Review;
use std::collections::BTreeSet;

/// Months that a chart has room for.
const MONTHS_SHOWN: i32 = 24;

/// The months of charts and monthly tables: up to 24 that end with the month in view.
pub(super) fn months_shown(review: &Review) -> impl Iterator<Item = Month> {
    let first = review
        .month
        .plus(1 - MONTHS_SHOWN)
        .max(review.first_month.min(review.month));
    first.through(review.month)
}

/// The words for a group: `retrieval net, food without bone`.
pub(super) fn group_label(by: &str, group: &str) -> String {
    let labels: Vec<_> = values(by, group)
        .map(|(dimension, value)| value_label(dimension, value))
        .collect();
    labels.join(", ")
}

/// Findings of the whole period, one per group: coded values in the order of their list, others by
/// name, `not_recorded` last. Never in the order of the estimates, which would be a ranking. With
/// two dimensions the second leads, so that groups that can be compared at all stand together.
pub(super) fn in_list_order<'a>(
    review: &'a Review,
    measure: &'a str,
    by: &'a str,
    statistic: Statistic,
) -> Vec<&'a Finding> {
    let mut findings: Vec<_> = review.findings.by_group(measure, by, statistic).collect();
    findings.sort_by_cached_key(|finding| {
        values(by, &finding.group)
            .map(|(dimension, value)| (place(dimension, value), value.to_owned()))
            .rev()
            .collect::<Vec<_>>()
    });
    findings
}

/// Names of the sites that appear in any finding.
pub(super) fn sites(review: &Review) -> BTreeSet<&str> {
    review
        .definitions
        .iter()
        .flat_map(|definition| {
            let findings = &review.findings;
            findings.group_names(&definition.id, CaseField::Site.column())
        })
        .filter(|&site| site != NOT_RECORDED)
        .collect()
}

/// Dimension and value pairs of a group. A single dimension is never split: a site may have any name.
fn values<'a>(by: &'a str, group: &'a str) -> impl DoubleEndedIterator<Item = (&'a str, &'a str)> {
    let parts = by.split('+').count();
    let pairs: Vec<_> = by.split('+').zip(group.splitn(parts, '|')).collect();
    pairs.into_iter()
}
