//! The words around a figure: its question, its axis, its marks, and what it shows.

use crate::domain::fields::{CaseField, Field};
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::month::Month;
use crate::findings::finding::{Finding, Statistic};
use crate::findings::review::Review;
use crate::report::{format, groups, words};

/// The question that a chart answers.
pub(super) fn title(definition: &Definition, words: &str) -> String {
    let question = match definition.kind {
        MeasureKind::Share | MeasureKind::ClusteredShare => "how often",
        MeasureKind::Minutes => "how long did it take",
        MeasureKind::Count => "how many came",
    };
    format!("{}: {question}, {words}?", definition.title)
}

/// What the axis of values counts.
pub(super) fn axis_label(definition: &Definition) -> String {
    match definition.kind {
        MeasureKind::Share => "percent of cases".to_owned(),
        MeasureKind::ClusteredShare => "percent of passes".to_owned(),
        MeasureKind::Minutes => "minutes".to_owned(),
        MeasureKind::Count => "per 30 days of one site".to_owned(),
    }
}

/// What the marks of a chart of months mean.
pub(super) fn month_caption(
    review: &Review,
    definition: &Definition,
    shows_cases: bool,
    has_reference: bool,
    methods: &str,
) -> String {
    let interval = format!("{} interval ({methods})", format::level(review.level));
    let marks = match definition.kind {
        MeasureKind::Minutes => format!(
            "Point: median of the month, with its {interval} as a line; gray bar: the middle \
             half of the cases."
        ),
        MeasureKind::Share | MeasureKind::ClusteredShare => format!(
            "Point: share of the month, with its {interval} as a line. Months with fewer than \
             {} cases show no point.",
            format::FEWEST_CASES_FOR_PERCENT
        ),
        MeasureKind::Count => {
            format!("Point: events per 30 days of one site, with the {interval} as a line.")
        }
    };
    let cases = shows_cases.then(|| {
        "Small dots: single cases, open when followed only until cancelled or transferred; +k at \
         the top counts cases beyond the axis."
            .to_owned()
    });
    let reference =
        has_reference.then(|| format!("Dashed line: {}, pooled.", words::before_words(review)));
    let n = match definition.kind {
        MeasureKind::ClusteredShare => "n: passes.",
        MeasureKind::Count => "n: events.",
        MeasureKind::Share | MeasureKind::Minutes => "n: cases.",
    };
    let left = left_before_the_end(review, definition);
    let pooled = pooled_words(review, definition);
    let in_view = "Diamond: the month in view.".to_owned();
    [
        Some(marks),
        cases,
        Some(in_view),
        reference,
        Some(n.to_owned()),
        pooled,
        left,
    ]
    .into_iter()
    .flatten()
    .collect::<Vec<_>>()
    .join(" ")
}

/// How many cases were not followed to the end of a time, and what the estimate takes for granted
/// about them; `None` when none was, or their number is withheld.
fn left_before_the_end(review: &Review, definition: &Definition) -> Option<String> {
    let finding = review
        .findings
        .overall(&definition.id, None, Statistic::Median)
        .filter(|finding| finding.censored > 0 && !finding.suppressed)?;
    Some(format!(
        "Of {}, {} cancelled or transferred before the end of this time. Their time until then \
         counts, and they are taken to have waited on like the others; where they left because the \
         wait was long, the real times are longer.",
        format::counted(finding.cases, "case in all months", "cases in all months"),
        format::counted(finding.censored, "was", "were"),
    ))
}

/// The months before and all months of a share in words; `None` for other measures and for records
/// of one month, which the chart itself shows.
fn pooled_words(review: &Review, definition: &Definition) -> Option<String> {
    let is_share = matches!(
        definition.kind,
        MeasureKind::Share | MeasureKind::ClusteredShare
    );
    if !is_share || review.first_month == review.last_month {
        return None;
    }
    let before = review
        .before
        .overall(&definition.id, None, Statistic::Share)
        .filter(|_| review.months_before > 1)
        .map(|finding| {
            format!(
                "{}: {}.",
                format::capitalized(&words::before_words(review)),
                words::finding_words(finding)
            )
        });
    let all = review
        .findings
        .overall(&definition.id, None, Statistic::Share)
        .map(|finding| format!("All months: {}.", words::finding_words(finding)));
    let sentences: Vec<_> = before.into_iter().chain(all).collect();
    (!sentences.is_empty()).then(|| sentences.join(" "))
}

/// What the marks of a chart of groups mean.
pub(super) fn group_caption(
    review: &Review,
    definition: &Definition,
    by: &str,
    shows_censored: bool,
    left_out: usize,
    methods: &str,
) -> String {
    let order = if by == CaseField::Site.column() {
        "Sites stand in the order of their names"
    } else {
        "Listed in a fixed order"
    };
    let interval = format!("{} interval ({methods})", format::level(review.level));
    let point = match definition.kind {
        MeasureKind::Minutes => "median",
        MeasureKind::Share => "share of cases",
        MeasureKind::ClusteredShare => "share of passes",
        MeasureKind::Count => "events per 30 days of one site",
    };
    let more = match definition.kind {
        MeasureKind::Minutes => {
            "; gray bar: the middle half of the cases; open diamond: nine of ten took no longer"
        }
        _ => "",
    };
    let censored = if shows_censored {
        " Censored: cancelled or transferred before the end; the time until then counts, as if they \
         would have waited on like the others."
    } else {
        ""
    };
    let rest = match left_out {
        0 => String::new(),
        _ => format!(
            " {} in the table only: fewer than {} cases, or no room here.",
            format::counted(left_out as u64, "group stands", "groups stand"),
            format::FEWEST_CASES_FOR_PERCENT,
        ),
    };
    format!(
        "{}. Point: {point}, with the {interval} as a line{more}. {order}, \
         which is no ranking.{censored}{rest}",
        super::whole_period(review)
    )
}

/// What a second mark on a line of devices means.
pub(super) const DRAWN: &str = "Open diamond, and the number in brackets: the share drawn toward \
    those of the other devices used for the same object type, the more the fewer cases it rests \
    on, with its interval as a gray line below (beta-binomial; too narrow where few devices were \
    used). It shows how much of a raw share may be chance, and takes out nothing else.";

/// What a chart of months shows, in words.
pub(super) fn month_alternative(
    definition: &Definition,
    month: Month,
    finding: Option<&Finding>,
) -> String {
    let now = finding.map_or_else(|| format::NO_CASES.to_owned(), words::finding_words);
    format!(
        "{} month by month. {}: {now}. The table below holds every month.",
        definition.title,
        format::month_name(month)
    )
}

/// What a chart of groups shows, in words: the first groups in full, the others by number.
pub(super) fn group_alternative(
    review: &Review,
    definition: &Definition,
    by_words: &str,
    by: &str,
    findings: &[&Finding],
) -> String {
    let mut groups: Vec<_> = findings
        .iter()
        .take(6)
        .map(|finding| {
            format!(
                "{} {}",
                groups::group_label(by, &finding.group),
                format::estimate_with_counts(finding)
            )
        })
        .collect();
    if findings.len() > groups.len() {
        groups.push(format!(
            "{} more in the table below",
            findings.len() - groups.len()
        ));
    }
    format!(
        "{} {by_words}, {}: {}.",
        definition.title,
        super::whole_period(review),
        groups.join("; ")
    )
}
