//! From findings and counts to the marks of a chart.

use crate::domain::counts::{ALL, Key};
use crate::domain::measure::Definition;
use crate::domain::month::Month;
use crate::findings::finding::{Address, Finding, Statistic, Unit};
use crate::findings::review::Review;
use crate::report::chart::{CaseDot, Line, MonthPoint};
use crate::report::{format, groups};

/// Above this many cases a chart shows no individual ones: they would be one gray smear.
const MOST_CASE_DOTS: u64 = 1_500;
/// Lines that a chart of groups has room for; the table behind it holds all.
const MOST_LINES: usize = 36;

pub(super) fn month_point(
    review: &Review,
    definition: &Definition,
    month: Month,
    finding: Option<&Finding>,
    shows_cases: bool,
) -> MonthPoint {
    let at = |statistic| {
        review
            .findings
            .overall(&definition.id, Some(month), statistic)
            .and_then(format::shown_estimate)
    };
    let cases = if shows_cases {
        case_dots(review, definition, month)
    } else {
        Vec::new()
    };
    MonthPoint {
        month,
        n: match finding {
            Some(finding) if finding.suppressed => format::NOTHING.to_owned(),
            Some(finding) => format::short_whole(format::denominator(finding)),
            None => "0".to_owned(),
        },
        value: finding.and_then(format::shown_estimate),
        value_text: finding.map_or_else(String::new, format::estimate),
        limits: finding.map_or((None, None), format::shown_limits),
        quartiles: at(Statistic::P25).zip(at(Statistic::P75)),
        cases,
    }
}

pub(super) fn case_dots(review: &Review, definition: &Definition, month: Month) -> Vec<CaseDot> {
    let key = Key {
        measure: definition.id.clone(),
        version: definition.version,
        by: ALL.to_owned(),
        group: ALL.to_owned(),
        month: Some(month),
    };
    let counts = review.counts.minutes.get(&key);
    counts.map_or_else(Vec::new, |counts| {
        counts
            .cases
            .iter()
            .map(|(&(minutes, reached), &count)| CaseDot {
                minutes,
                reached,
                count,
            })
            .collect()
    })
}

/// Individual cases are shown when they are few, and never beside withheld numbers.
pub(super) fn shows_cases(review: &Review, definition: &Definition, months: &[Month]) -> bool {
    let count: u64 = months
        .iter()
        .flat_map(|&month| case_dots(review, definition, month))
        .map(|dot| dot.count)
        .sum();
    (1..=MOST_CASE_DOTS).contains(&count)
        && !review.findings.iter().any(|finding| finding.suppressed)
}

pub(super) fn lines(
    review: &Review,
    definition: &Definition,
    by: &str,
    findings: &[&Finding],
) -> Vec<Line> {
    findings
        .iter()
        .take(MOST_LINES)
        .map(|finding| {
            line(
                review,
                definition,
                finding,
                groups::group_label(by, &finding.group),
            )
        })
        .collect()
}

/// Lines under the headings of the second dimension, so that groups that can be compared at all
/// stand together; and how many groups were left to the table.
pub(super) fn nested_lines(
    review: &Review,
    definition: &Definition,
    by: &str,
    findings: &[&Finding],
) -> (Vec<Line>, u64) {
    let (first, second) = by.split_once('+').unwrap_or((by, ""));
    let mut lines = Vec::new();
    let mut left_out = 0;
    for heading in groups::in_list_order(review, &definition.id, second, Statistic::Share) {
        let mut below = Vec::new();
        for finding in findings {
            let Some((value, group)) = finding.group.split_once('|') else {
                continue;
            };
            if group != heading.group {
                continue;
            }
            let room = lines.len() + below.len() + 1 < MOST_LINES;
            if room && finding.cases >= format::FEWEST_CASES_FOR_PERCENT {
                let label = groups::group_label(first, value);
                below.push(line(review, definition, finding, label));
            } else {
                left_out += 1;
            }
        }
        if !below.is_empty() {
            lines.push(Line::Heading(groups::group_label(second, &heading.group)));
            lines.append(&mut below);
        }
    }
    (lines, left_out)
}

pub(super) fn line(
    review: &Review,
    definition: &Definition,
    finding: &Finding,
    label: String,
) -> Line {
    let at = |statistic| {
        review
            .findings
            .at(Address {
                measure: &definition.id,
                by: &finding.by,
                group: &finding.group,
                month: finding.month,
                statistic,
            })
            .and_then(format::shown_estimate)
    };
    let counts = format::counts(finding);
    Line::Group {
        label,
        value: format::shown_estimate(finding),
        limits: format::shown_limits(finding),
        quartiles: at(Statistic::P25).zip(at(Statistic::P75)),
        p90: at(Statistic::P90),
        text: if finding.unit == Unit::Fraction && format::shown_estimate(finding).is_none() {
            counts
        } else {
            format!("{}, {counts}", format::estimate(finding))
        },
    }
}
