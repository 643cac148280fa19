//! Which findings may leave the service, given what may be published of the count tables behind
//! them.
//!
//! Hides no count itself and changes no number: what is withheld is marked, and every output looks
//! at the mark. A share, a rate and their limits tell their counts to whoever turns them around, so
//! a finding is published only where all its counts are.

use super::finding::{Finding, Findings, Statistic};
use super::time_parts::PARTS;
use crate::disclosure::{Place, Protected, Quantity};
use crate::domain::counts::ALL;
use crate::domain::harm::possible_results;
use crate::domain::measure::MeasureKind;

/// The findings with those marked that must be withheld.
pub fn publishable(findings: &Findings, protected: &Protected) -> Findings {
    let marked = findings.iter().map(|finding| Finding {
        suppressed: finding.suppressed || !is_publishable(finding, protected),
        ..finding.clone()
    });
    Findings::new(marked.collect())
}

/// Whether every count that `finding` tells, or that follows from it alone, may be published.
pub fn is_publishable(finding: &Finding, protected: &Protected) -> bool {
    let place = Place {
        measure: finding.measure.clone(),
        by: finding.by.clone(),
        group: finding.group.clone(),
        month: finding.month,
    };
    // Whatever the tables say, no small number leaves.
    let no_small = counts_told(finding)
        .into_iter()
        .all(|count| !protected.is_small(count));
    no_small
        && match finding.statistic {
            // Each part is a mean of the same cases; one without the others does not exist.
            Statistic::TimeShare => PARTS.iter().all(|part| {
                protected.shows_row(&Place {
                    measure: (*part).to_owned(),
                    ..place.clone()
                })
            }),
            _ if protected.withholds(&place) => false,
            _ => protected.shows_row(&place) && shows_all_results(&place, protected),
        }
}

/// The counts that an output prints of a finding, and their differences.
fn counts_told(finding: &Finding) -> Vec<u64> {
    let denominator = match finding.kind {
        MeasureKind::Count => finding.events,
        MeasureKind::Share | MeasureKind::Minutes | MeasureKind::ClusteredShare => {
            finding.denominator()
        }
    };
    vec![
        finding.events,
        finding.cases,
        denominator,
        denominator.saturating_sub(finding.events),
        finding.excluded,
        finding.censored,
    ]
}

/// In a split by what became of cases, a finding tells all cases that could have had its result: the
/// sum over all results. True for every other split.
fn shows_all_results(place: &Place, protected: &Protected) -> bool {
    let (dimensions, last) = place.by.rsplit_once('+').unwrap_or(("", &place.by));
    let others = if dimensions.is_empty() {
        ""
    } else {
        place
            .group
            .rsplit_once('|')
            .map_or("", |(others, _)| others)
    };
    let pairs = dimensions.split('+').zip(others.split('|'));
    if possible_results(last, pairs).is_none() {
        return true;
    }
    if dimensions.is_empty() {
        let all = Place {
            by: ALL.to_owned(),
            group: ALL.to_owned(),
            ..place.clone()
        };
        return protected.shows(&all, Quantity::Eligible)
            && protected.shows(&all, Quantity::Excluded);
    }
    // No table holds these sums, so nothing says that they may be told beside hidden parts.
    let start = format!("{others}|");
    !protected.hidden().any(|(hidden, _)| {
        hidden.measure == place.measure
            && hidden.by == place.by
            && hidden.month == place.month
            && hidden.group.starts_with(&start)
    })
}

#[cfg(test)]
mod tests;
