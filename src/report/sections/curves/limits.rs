//! The latest times that guidelines allow, for the panel of an urgency. Only where the times of the
//! curve and of the windows count from the same moment.

use crate::domain::fields::{CaseField, Field};
use crate::findings::finding::Statistic;
use crate::findings::review::Review;
use crate::report::format;
use crate::report::sections::window::SCOPED_WITHIN_WINDOW;
use std::collections::{BTreeMap, BTreeSet};

/// From when a measure counts; `None` for any other measure.
pub(super) fn clock(measure: &str) -> Option<CaseField> {
    match measure {
        "call_to_scope" => Some(CaseField::CalledAt),
        "arrival_to_scope" => Some(CaseField::ArrivedAt),
        _ => None,
    }
}

/// Whether windows are counted from another moment than the measure.
pub(super) fn are_counted_elsewhere(review: &Review, measure: &str) -> bool {
    clock(measure).is_none_or(|field| field.label() != review.window_start)
}

/// The limits of one urgency in minutes, shortest first, each with its words: `6 hours, adults`. Of
/// windows in force that fitted a case; of all in force where counts do not tell.
pub(super) fn of_group(review: &Review, measure: &str, urgency: &str) -> Vec<(i64, String)> {
    if are_counted_elsewhere(review, measure) {
        return Vec::new();
    }
    let by = CaseField::WindowId.column();
    let mut fitted = review
        .findings
        .by_group(SCOPED_WITHIN_WINDOW, by, Statistic::Share)
        .filter(|finding| finding.cases > 0)
        .map(|finding| finding.group.as_str())
        .collect::<BTreeSet<_>>();
    if fitted.is_empty() {
        fitted = review.windows.iter().map(|row| row.id.as_str()).collect();
    }
    let mut populations: BTreeMap<i64, BTreeSet<&str>> = BTreeMap::new();
    for window in &review.windows {
        let is_wanted = window.choice.is_in_force()
            && window.urgency.code() == urgency
            && fitted.contains(window.id.as_str());
        if let Some(length) = window.length.filter(|_| is_wanted) {
            let population = window.applies_to.split(';').next().unwrap_or_default();
            let others = populations.entry(length.minutes).or_default();
            others.insert(population);
        }
    }
    let is_one = populations.len() == 1;
    populations
        .into_iter()
        .map(|(minutes, populations)| {
            let words = format::window_length(minutes);
            let population: Vec<_> = populations.into_iter().collect();
            let words = match population[..] {
                [only] if !is_one => format!("{words}, {only}"),
                _ => words,
            };
            (minutes, words)
        })
        .collect()
}
