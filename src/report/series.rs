//! From findings to figures: a measure by month, and a measure by group.

pub(super) mod between;
mod captions;
mod followed;
mod points;
mod tables;

pub(super) use followed::followed;
pub(super) use tables::{pooled_table, quantile_cell, value_cell};

use super::chart::{Chart, Plot, Reference};
use super::content::Figure;
use super::{format, groups, words};
use crate::domain::fields::dimension_label;
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::month::Month;
use crate::findings::comparisons::drawn::DrawnShare;
use crate::findings::finding::{Finding, Statistic, Unit};
use crate::findings::review::Review;
use std::collections::BTreeMap;

/// The number that stands for a measure where one has to.
pub(super) fn main_statistic(kind: MeasureKind) -> Statistic {
    match kind {
        MeasureKind::Share | MeasureKind::ClusteredShare => Statistic::Share,
        MeasureKind::Minutes => Statistic::Median,
        MeasureKind::Count => Statistic::Rate,
    }
}

/// A measure month by month; `None` when no month shown has a case.
pub(super) fn by_month(review: &Review, definition: &Definition) -> Option<Figure> {
    let months: Vec<Month> = groups::months_shown(review).collect();
    let statistic = main_statistic(definition.kind);
    let found: Vec<_> = months
        .iter()
        .map(|&month| {
            review
                .findings
                .overall(&definition.id, Some(month), statistic)
        })
        .collect();
    if !found
        .iter()
        .flatten()
        .any(|finding| !format::is_empty(finding))
    {
        return None;
    }
    let shows_cases = points::shows_cases(review, definition, &months);
    let points: Vec<_> = months
        .iter()
        .zip(&found)
        .map(|(&month, finding)| {
            points::month_point(review, definition, month, *finding, shows_cases)
        })
        .collect();
    let reference = review
        .headlines
        .iter()
        .find(|headline| headline.measure == definition.id)
        .and_then(|headline| headline.before.as_ref())
        .and_then(|before| {
            Some(Reference {
                value: format::shown_estimate(before)?,
                label: format!("before {}", format::estimate(before)),
            })
        });
    let methods = words::method_names(found.iter().copied().flatten());
    let caption = captions::month_caption(
        review,
        definition,
        shows_cases,
        reference.is_some(),
        &methods,
    );
    let alternative =
        captions::month_alternative(definition, review.month, found.last().copied().flatten());
    Some(Figure {
        stem: format!("{}_by_month", definition.id),
        chart: Chart {
            title: captions::title(definition, "month by month"),
            axis_label: captions::axis_label(definition),
            unit: Some(unit(definition.kind)),
            plot: Plot::Months {
                points,
                in_view: review.month,
                reference,
            },
        },
        caption,
        alternative,
        table: tables::month_table(review, definition, &months),
    })
}

/// Whether every month shown has too few cases to say anything on its own, so that the months stand
/// better together. Never so with one month alone, or for counts of events, where few are news too.
pub(super) fn is_small(review: &Review, definition: &Definition) -> bool {
    if review.first_month == review.last_month || definition.kind == MeasureKind::Count {
        return false;
    }
    let statistic = main_statistic(definition.kind);
    groups::months_shown(review).all(|month| {
        review
            .findings
            .overall(&definition.id, Some(month), statistic)
            .is_none_or(|finding| {
                !finding.suppressed && finding.cases < format::FEWEST_CASES_FOR_PERCENT
            })
    })
}

/// Cases of the months shown that could not be judged; 0 when their number is withheld.
pub(super) fn not_judged(review: &Review, definition: &Definition) -> u64 {
    let statistic = main_statistic(definition.kind);
    groups::months_shown(review)
        .filter_map(|month| {
            review
                .findings
                .overall(&definition.id, Some(month), statistic)
        })
        .filter(|finding| !finding.suppressed)
        .map(|finding| finding.excluded)
        .sum()
}

/// A measure group by group over the whole period; `None` when no group has a case.
pub(super) fn by_group(review: &Review, definition: &Definition, by: &str) -> Option<Figure> {
    let statistic = main_statistic(definition.kind);
    let findings = groups::in_list_order(review, &definition.id, by, statistic);
    if !findings.iter().any(|finding| !format::is_empty(finding)) {
        return None;
    }
    let (first, second) = by.split_once('+').unwrap_or((by, ""));
    let by_words = if second.is_empty() {
        format!("by {}", dimension_label(first))
    } else {
        format!(
            "by {} and {}",
            dimension_label(second),
            dimension_label(first)
        )
    };
    let (lines, left_out) = if second.is_empty() {
        points::lines(review, definition, by, &findings)
    } else {
        points::nested_lines(review, definition, by, &findings)
    };
    let methods = words::method_names(findings.iter().copied());
    let shows_censored = findings
        .iter()
        .any(|finding| finding.censored > 0 && !finding.suppressed);
    let mut caption =
        captions::group_caption(review, definition, by, shows_censored, left_out, &methods);
    if findings
        .iter()
        .any(|finding| drawn_share(review, finding).is_some())
    {
        caption.push(' ');
        caption.push_str(captions::DRAWN);
    }
    Some(Figure {
        stem: format!("{}_by_{}", definition.id, by.replace('+', "_and_")),
        chart: Chart {
            title: captions::title(definition, &by_words),
            axis_label: captions::axis_label(definition),
            unit: Some(unit(definition.kind)),
            plot: Plot::Rows(lines),
        },
        caption,
        alternative: captions::group_alternative(review, definition, &by_words, by, &findings),
        table: tables::group_table(review, definition, by, &findings),
    })
}

/// The share drawn toward those of the other groups that stands beside a finding of the whole
/// period; `None` when there is none or the finding may not be seen.
fn drawn_share<'a>(review: &'a Review, finding: &Finding) -> Option<&'a DrawnShare> {
    if finding.suppressed || finding.month.is_some() {
        return None;
    }
    review
        .comparisons
        .drawn_share(&finding.measure, &finding.by, &finding.group)
}

/// `January 2025 to September 2026`, or the one month; behind it the sites that were not observed in all
/// of it.
pub(super) fn period(review: &Review) -> String {
    let of_sites = months_of_sites(review);
    format!("{}{of_sites}", months_of_records(review))
}

/// The months of the records, and nothing else.
pub(super) fn months_of_records(review: &Review) -> String {
    format::months(review.first_month, review.last_month)
}

/// ` (of Cedar January 2025 to June 2026)`, of the sites that were not observed in all months.
fn months_of_sites(review: &Review) -> String {
    let whole = (review.first_month, review.last_month);
    let mut fewer = BTreeMap::<_, Vec<&str>>::new();
    for of in &review.months_of_sites {
        if (of.first, of.last) != whole || of.has_gaps {
            let sites = fewer.entry((of.first, of.last, of.has_gaps));
            sites.or_default().push(&of.site);
        }
    }
    let count: usize = fewer.values().map(Vec::len).sum();
    match count {
        0 => String::new(),
        1..=SITES_NAMED => {
            let parts = fewer.iter().map(|((first, last, has_gaps), sites)| {
                let gaps = if *has_gaps { " with gaps" } else { "" };
                let (sites, months) = (sites.join(" and "), format::months(*first, *last));
                format!("of {sites} {months}{gaps}")
            });
            format!(" ({})", parts.collect::<Vec<_>>().join(", "))
        }
        _ => format!(" (of {count} sites fewer months)"),
    }
}

/// Sites with months of their own that a caption has room for.
const SITES_NAMED: usize = 3;

/// [`period`] for numbers over all months: it says so when months after the month in view are among
/// them.
pub(super) fn whole_period(review: &Review) -> String {
    if review.last_month > review.month {
        format!(
            "{} (with the months after {})",
            period(review),
            format::month_name(review.month)
        )
    } else {
        period(review)
    }
}

pub(super) fn unit(kind: MeasureKind) -> Unit {
    main_statistic(kind).unit()
}
