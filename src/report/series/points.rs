//! From findings and counts to the marks of a chart.

use crate::domain::counts::Key;
use crate::domain::measure::Definition;
use crate::domain::month::Month;
use crate::findings::finding::{Address, Finding, Statistic, Unit};
use crate::findings::review::Review;
use crate::report::chart::{CaseDot, DrawnMark, Line, MonthPoint};
use crate::report::{format, groups};

/// Above this many cases a chart shows no individual ones: they would be one gray smear.
const MOST_CASE_DOTS: u64 = 1_500;
/// Lines that a chart of groups has room for; the table behind it holds all.
const MOST_LINES: usize = 36;

/// One month of a chart.
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
            Some(finding) => format::short_whole(finding.denominator()),
            None => "0".to_owned(),
        },
        value: finding.and_then(format::shown_estimate),
        value_text: finding.map_or_else(String::new, format::estimate),
        limits: finding.map_or((None, None), format::shown_limits),
        quartiles: at(Statistic::P25).zip(at(Statistic::P75)),
        cases,
    }
}

fn case_dots(review: &Review, definition: &Definition, month: Month) -> Vec<CaseDot> {
    let key = Key::of_all(definition, Some(month));
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
    (1..=MOST_CASE_DOTS).contains(&count) && !review.findings.any_suppressed()
}

/// One line per group, and how many groups were left to the table.
pub(super) fn lines(
    review: &Review,
    definition: &Definition,
    by: &str,
    findings: &[&Finding],
) -> (Vec<Line>, usize) {
    let lines: Vec<_> = findings
        .iter()
        .take(MOST_LINES)
        .map(|finding| {
            let label = groups::group_label(by, &finding.group);
            line(review, definition, finding, label)
        })
        .collect();
    let left_out = findings.len() - lines.len();
    (lines, left_out)
}

/// Lines under the headings of the second dimension; and how many groups were left to the table.
pub(super) fn nested_lines(
    review: &Review,
    definition: &Definition,
    by: &str,
    findings: &[&Finding],
) -> (Vec<Line>, usize) {
    let (first, second) = by.split_once('+').unwrap_or((by, ""));
    let mut lines = Vec::new();
    let mut left_out = 0;
    let mut heading = None;
    for finding in findings {
        let (value, group) = finding
            .group
            .split_once('|')
            .unwrap_or((&finding.group, ""));
        if finding.cases < format::FEWEST_CASES_FOR_PERCENT || lines.len() + 2 > MOST_LINES {
            left_out += 1;
            continue;
        }
        if heading != Some(group) {
            lines.push(Line::Heading(groups::group_label(second, group)));
            heading = Some(group);
        }
        let label = groups::group_label(first, value);
        lines.push(line(review, definition, finding, label));
    }
    (lines, left_out)
}

fn line(review: &Review, definition: &Definition, finding: &Finding, label: String) -> Line {
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
    let counts = format::short_counts(finding);
    let value = format::shown_estimate(finding);
    let drawn = value.and(super::drawn_share(review, finding));
    Line::Group {
        label,
        value,
        limits: format::shown_limits(finding),
        quartiles: at(Statistic::P25).zip(at(Statistic::P75)),
        p90: at(Statistic::P90),
        drawn: drawn.map(|drawn| {
            let interval = drawn.interval;
            let limits = (interval.map(|of| of.low), interval.map(|of| of.high));
            DrawnMark {
                value: drawn.estimate,
                limits,
            }
        }),
        text: if format::is_empty(finding) {
            format::why_empty(finding)
        } else if finding.unit == Unit::Fraction && format::shown_estimate(finding).is_none() {
            counts
        } else if let Some(drawn) = drawn {
            let drawn = format::with_unit(finding.unit, finding.denominator(), drawn.estimate);
            format!("{} ({drawn}), {counts}", format::estimate(finding))
        } else {
            format!("{}, {counts}", format::estimate(finding))
        },
    }
}
