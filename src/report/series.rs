//! From findings to figures: a measure by month, and a measure by group.

use super::chart::{CaseDot, Chart, Line, MonthPoint, Plot, Reference};
use super::content::{Cell, Figure, Table};
use super::format;
use super::groups;
use crate::domain::counts::{ALL, Key};
use crate::domain::fields::dimension_label;
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::month::Month;
use crate::findings::finding::{Address, Finding, Statistic, Unit};
use crate::findings::review::Review;

/// Above this many cases a chart shows no individual ones: they would be one gray smear.
const MOST_CASE_DOTS: u64 = 1_500;
/// Lines that a chart of groups has room for; the table behind it holds all.
const MOST_LINES: usize = 36;

/// The number that stands for a measure where one has to.
pub fn main_statistic(kind: MeasureKind) -> Statistic {
    match kind {
        MeasureKind::Share | MeasureKind::ClusteredShare => Statistic::Share,
        MeasureKind::Minutes => Statistic::Median,
        MeasureKind::Count => Statistic::Rate,
    }
}

/// A measure month by month; `None` when no month shown has a case.
pub fn by_month(review: &Review, definition: &Definition) -> Option<Figure> {
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
    let shows_cases = shows_cases(review, definition, &months);
    let points: Vec<_> = months
        .iter()
        .zip(&found)
        .map(|(&month, finding)| month_point(review, definition, month, *finding, shows_cases))
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
    let caption = month_caption(review, definition, shows_cases, reference.is_some());
    let alternative = month_alternative(definition, review.month, found.last().copied().flatten());
    Some(Figure {
        stem: format!("{}_by_month", definition.id),
        chart: Chart {
            title: title(definition, "month by month"),
            axis_label: axis_label(definition),
            unit: unit(definition.kind),
            plot: Plot::Months {
                points,
                in_view: review.month,
                reference,
            },
        },
        caption,
        alternative,
        table: month_table(review, definition, &months),
    })
}

/// A measure group by group over the whole period; `None` when no group has a case.
pub fn by_group(review: &Review, definition: &Definition, by: &str) -> Option<Figure> {
    let statistic = main_statistic(definition.kind);
    let findings = groups::in_list_order(review, &definition.id, by, statistic);
    if !findings.iter().any(|finding| !format::is_empty(finding)) {
        return None;
    }
    let (first, second) = by.split_once('+').unwrap_or((by, ""));
    let words = if second.is_empty() {
        format!("by {}", dimension_label(first))
    } else {
        format!(
            "by {} and {}",
            dimension_label(second),
            dimension_label(first)
        )
    };
    let (lines, left_out) = if second.is_empty() {
        (lines(review, definition, by, &findings), 0)
    } else {
        nested_lines(review, definition, by, &findings)
    };
    let mut caption = group_caption(review, definition);
    if left_out > 0 {
        caption.push_str(&format!(
            " {} with fewer than {} cases, or beyond the room of the chart, stand in the table only.",
            format::counted(left_out, "combination", "combinations"),
            format::FEWEST_CASES_FOR_PERCENT,
        ));
    }
    Some(Figure {
        stem: format!("{}_by_{}", definition.id, by.replace('+', "_and_")),
        chart: Chart {
            title: title(definition, &words),
            axis_label: axis_label(definition),
            unit: unit(definition.kind),
            plot: Plot::Rows(lines),
        },
        caption,
        alternative: format!(
            "{} {words}, {}: {}.",
            definition.title,
            period(review),
            findings
                .iter()
                .take(6)
                .map(|finding| format!(
                    "{} {} ({})",
                    groups::group_label(by, &finding.group),
                    format::estimate(finding),
                    format::counts(finding)
                ))
                .collect::<Vec<_>>()
                .join("; ")
        ),
        table: group_table(review, definition, by, &findings),
    })
}

/// `January 2025 to September 2026`.
pub fn period(review: &Review) -> String {
    format!(
        "{} to {}",
        format::month_name(review.first_month),
        format::month_name(review.last_month)
    )
}

/// Cells of one finding in every table: counts, estimate, interval.
pub fn finding_cells(finding: &Finding) -> [Cell; 3] {
    [
        format::counts(finding).into(),
        format::estimate(finding).into(),
        format::interval(finding).into(),
    ]
}

/// The column headings of [`finding_cells`].
pub fn finding_columns(review: &Review, kind: MeasureKind) -> [String; 3] {
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

fn title(definition: &Definition, words: &str) -> String {
    let question = match definition.kind {
        MeasureKind::Share | MeasureKind::ClusteredShare => "how often",
        MeasureKind::Minutes => "how long did it take",
        MeasureKind::Count => "how many came",
    };
    format!("{}: {question}, {words}?", definition.title)
}

fn axis_label(definition: &Definition) -> String {
    match definition.kind {
        MeasureKind::Share => "percent of cases".to_owned(),
        MeasureKind::ClusteredShare => "percent of passes".to_owned(),
        MeasureKind::Minutes => "minutes".to_owned(),
        MeasureKind::Count => "per 30 days of one site".to_owned(),
    }
}

fn unit(kind: MeasureKind) -> Unit {
    match kind {
        MeasureKind::Share | MeasureKind::ClusteredShare => Unit::Fraction,
        MeasureKind::Minutes => Unit::Minutes,
        MeasureKind::Count => Unit::Per30SiteDays,
    }
}

fn month_point(
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

fn case_dots(review: &Review, definition: &Definition, month: Month) -> Vec<CaseDot> {
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
fn shows_cases(review: &Review, definition: &Definition, months: &[Month]) -> bool {
    let count: u64 = months
        .iter()
        .flat_map(|&month| case_dots(review, definition, month))
        .map(|dot| dot.count)
        .sum();
    (1..=MOST_CASE_DOTS).contains(&count)
        && !review.findings.iter().any(|finding| finding.suppressed)
}

fn lines(review: &Review, definition: &Definition, by: &str, findings: &[&Finding]) -> Vec<Line> {
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
fn nested_lines(
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
    let counts = format::counts(finding);
    Line::Group {
        label,
        value: format::shown_estimate(finding),
        limits: format::shown_limits(finding),
        quartiles: at(Statistic::P25).zip(at(Statistic::P75)),
        p90: at(Statistic::P90),
        text: match format::shown_estimate(finding) {
            Some(_) => format!("{}, {counts}", format::estimate(finding)),
            None if finding.unit == Unit::Fraction => counts,
            None => format!("{}, {counts}", format::estimate(finding)),
        },
    }
}

fn month_caption(
    review: &Review,
    definition: &Definition,
    shows_cases: bool,
    has_reference: bool,
) -> String {
    let level = format::level(review.level);
    let mut caption = match definition.kind {
        MeasureKind::Minutes => format!(
            "Point: median of the month, with its {level} interval as a line; gray bar: the middle half of the cases."
        ),
        MeasureKind::Share | MeasureKind::ClusteredShare => format!(
            "Point: share of the month, with its {level} interval as a line. Months with fewer than {} cases show no point.",
            format::FEWEST_CASES_FOR_PERCENT
        ),
        MeasureKind::Count => {
            format!("Point: events per 30 days of one site, with the {level} interval as a line.")
        }
    };
    if shows_cases {
        caption.push_str(
            " Small dots are single cases, open ones followed only until cancelled or transferred; \
             +k at the top counts cases beyond the axis.",
        );
    }
    caption.push_str(" Diamond: the month in view.");
    if has_reference {
        caption.push_str(&format!(
            " Dashed line: the {} before, pooled.",
            format::counted(u64::from(review.months_before), "month", "months")
        ));
    }
    caption.push_str(match definition.kind {
        MeasureKind::ClusteredShare => " n: passes.",
        MeasureKind::Count => " n: events.",
        MeasureKind::Share | MeasureKind::Minutes => " n: cases.",
    });
    caption
}

fn group_caption(review: &Review, definition: &Definition) -> String {
    let level = format::level(review.level);
    let marks = match definition.kind {
        MeasureKind::Minutes => format!(
            "point: median with its {level} interval as a line; gray bar: the middle half of the cases; open diamond: nine of ten took no longer"
        ),
        MeasureKind::Share => {
            format!("point: share of cases with its {level} interval as a line")
        }
        MeasureKind::ClusteredShare => {
            format!("point: share of passes with its {level} interval as a line")
        }
        MeasureKind::Count => {
            format!("point: events per 30 days of one site with the {level} interval as a line")
        }
    };
    format!(
        "{}; {marks}. Listed in a fixed order, which is no ranking.",
        period(review)
    )
}

fn month_alternative(definition: &Definition, month: Month, finding: Option<&Finding>) -> String {
    let now = finding.map_or_else(
        || "no cases".to_owned(),
        |finding| {
            format!(
                "{} ({}), interval {}",
                format::estimate(finding),
                format::counts(finding),
                format::interval(finding)
            )
        },
    );
    format!(
        "{} month by month. {}: {now}. The table below holds every month.",
        definition.title,
        format::month_name(month)
    )
}

fn month_table(review: &Review, definition: &Definition, months: &[Month]) -> Table {
    let mut table = value_table(review, definition, "Month", "by month");
    for &month in months {
        let address = Address {
            measure: &definition.id,
            by: ALL,
            group: ALL,
            month: Some(month),
            statistic: main_statistic(definition.kind),
        };
        table.push(value_row(
            review,
            definition,
            format::month_name(month),
            address,
        ));
    }
    table
}

fn group_table(review: &Review, definition: &Definition, by: &str, findings: &[&Finding]) -> Table {
    let names: Vec<_> = by.split('+').map(dimension_label).collect();
    let words = format!("by {}, {}", names.join(" and "), period(review));
    let mut table = value_table(review, definition, &capitalized(&names.join(", ")), &words);
    for finding in findings {
        let address = Address {
            measure: &definition.id,
            by: &finding.by,
            group: &finding.group,
            month: finding.month,
            statistic: finding.statistic,
        };
        let label = groups::group_label(by, &finding.group);
        table.push(value_row(review, definition, label, address));
    }
    table
}

fn value_table(review: &Review, definition: &Definition, first: &str, words: &str) -> Table {
    let mut table = Table::new(format!("{} {words}", definition.title), &[first]);
    table
        .columns
        .extend(finding_columns(review, definition.kind));
    table.columns.extend(
        match definition.kind {
            MeasureKind::Minutes => {
                &["Middle half", "Nine of ten within", "Not judged", "Method"][..]
            }
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
    review: &Review,
    definition: &Definition,
    label: String,
    address: Address<'_>,
) -> Vec<Cell> {
    let mut row = vec![Cell::from(label)];
    let Some(finding) = review.findings.at(address) else {
        row.push("no cases".into());
        return row;
    };
    row.extend(finding_cells(finding));
    let other = |statistic| {
        review.findings.at(Address {
            statistic,
            ..address
        })
    };
    match definition.kind {
        MeasureKind::Minutes => {
            row.push(middle_half(other(Statistic::P25), other(Statistic::P75)).into());
            row.push(
                other(Statistic::P90)
                    .map_or_else(|| format::NOTHING.to_owned(), format::estimate)
                    .into(),
            );
            row.push(excluded(finding).into());
        }
        MeasureKind::Count => row.push(observed_days(review, definition, address).into()),
        MeasureKind::Share | MeasureKind::ClusteredShare => row.push(excluded(finding).into()),
    }
    row.push(super::words::method_name(finding.method).into());
    row
}

/// `40 to 95 min` from the two quartiles.
pub fn middle_half(p25: Option<&Finding>, p75: Option<&Finding>) -> String {
    match p25.zip(p75) {
        Some((p25, p75)) if !format::is_empty(p25) => {
            format!("{} to {}", format::estimate(p25), format::estimate(p75))
        }
        _ => format::NOTHING.to_owned(),
    }
}

/// Cases that could not be judged, unless the group is withheld.
pub fn excluded(finding: &Finding) -> String {
    if finding.suppressed {
        "withheld".to_owned()
    } else {
        format::whole(finding.excluded)
    }
}

fn observed_days(review: &Review, definition: &Definition, address: Address<'_>) -> String {
    let key = Key {
        measure: definition.id.clone(),
        version: definition.version,
        by: address.by.to_owned(),
        group: address.group.to_owned(),
        month: address.month,
    };
    review.counts.events.get(&key).map_or_else(
        || format::NOTHING.to_owned(),
        |events| format::days(events.exposure_minutes),
    )
}

/// The text with its first letter raised.
pub fn capitalized(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
