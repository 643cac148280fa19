//! Harm by kind and by grade: how many of all judged cases had each.

use super::harm::ADVERSE_EVENT;
use crate::domain::codes::AdverseScale;
use crate::domain::fields::value_label;
use crate::findings::finding::{Finding, Statistic};
use crate::findings::review::Review;
use crate::report::content::{Block, Table};
use crate::report::{format, groups, series, words};

pub(super) const GRADED_HARM: &str = "graded_harm";

/// Each kind of event in all judged cases, and what no event cannot rule out; nothing when no case
/// could be judged.
pub(super) fn by_kind(review: &Review) -> Vec<Block> {
    let findings = judged(groups::in_list_order(
        review,
        ADVERSE_EVENT,
        "adverse_event",
        Statistic::Share,
    ));
    let label = |finding: &Finding| value_label("adverse_event", &finding.group).to_owned();
    let caption = format!("Events by kind, {}", series::whole_period(review));
    blocks(review, caption, "Worst event of the case", &findings, label)
}

/// Each grade under its own scale, likewise.
pub(super) fn by_grade(review: &Review) -> Vec<Block> {
    let by = "adverse_scale+adverse_grade";
    let findings = judged(groups::in_list_order(
        review,
        GRADED_HARM,
        by,
        Statistic::Share,
    ));
    let label = |finding: &Finding| {
        let (_, grade) = finding.group.split_once('|').unwrap_or_default();
        value_label("adverse_grade", grade).to_owned()
    };
    AdverseScale::ALL
        .iter()
        .flat_map(|scale| {
            let is_of_scale = |finding: &&&Finding| {
                let parts = finding.group.split_once('|');
                parts.is_some_and(|(known, _)| known == scale.code())
            };
            let findings: Vec<_> = findings.iter().filter(is_of_scale).copied().collect();
            let caption = format!(
                "Grades under {}, {}",
                scale.label(),
                series::whole_period(review)
            );
            blocks(review, caption, "Worst grade of the case", &findings, label)
        })
        .collect()
}

fn judged(findings: Vec<&Finding>) -> Vec<&Finding> {
    let is_judged = |finding: &&Finding| !format::is_empty(finding);
    findings.into_iter().filter(is_judged).collect()
}

fn blocks(
    review: &Review,
    caption: String,
    heading: &str,
    findings: &[&Finding],
    label: impl Fn(&Finding) -> String,
) -> Vec<Block> {
    let Some(first) = findings.first() else {
        return Vec::new();
    };
    let share = format!(
        "Of all judged cases ({} interval)",
        format::level(review.level)
    );
    let mut table = Table::new(caption, &[heading, &share]);
    for finding in findings {
        table.push(vec![
            label(finding).into(),
            series::value_cell(Some(finding)),
        ]);
    }
    let without: Vec<_> = findings
        .iter()
        .filter(|finding| finding.events == 0 && !finding.suppressed)
        .map(|finding| label(finding))
        .collect();
    let mut blocks = vec![Block::Table(table)];
    let zero = findings.iter().find(|finding| finding.events == 0);
    let high = zero.and_then(|finding| format::shown_limits(finding).1);
    if let Some((names, high)) = words::listed(&without).zip(high) {
        blocks.push(Block::Text(format!(
            "Not recorded in any of {}: {names}. So few cases cannot rule out up to {} in 100 of each \
             ({} interval, {}).",
            format::counted(first.cases, "case", "cases"),
            in_hundred(first, high),
            format::level(first.level),
            words::method_name(first.method),
        )));
    }
    blocks
}

/// An upper limit as cases in 100; one that would read as zero is said otherwise.
pub(super) fn in_hundred(finding: &Finding, high: f64) -> String {
    let text = format::with_unit(finding.unit, finding.cases, high);
    match text.trim_end_matches('%') {
        "0.0" => "0.05".to_owned(),
        number => number.to_owned(),
    }
}
