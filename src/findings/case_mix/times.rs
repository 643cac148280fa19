//! Minutes of each group: quartiles as the findings have them, and how far the means lie apart.

use super::{Groups, Quartiles, Time, largest};
use crate::domain::codes::NOT_RECORDED;
use crate::domain::counts::{ALL, CountTables, Key, MinutesCount};
use crate::domain::measure::Definition;
use crate::findings::finding::{Address, Finding, Findings, Statistic};
use crate::stats::balance::mean_difference;
use crate::stats::quantile::Distribution;

/// `None` when the measure was not counted by group.
pub(super) fn time(
    counts: &CountTables,
    findings: &Findings,
    definition: &Definition,
    by: Groups,
    groups: &[(String, u64)],
) -> Option<Time> {
    let all = quartiles(findings, &definition.id, ALL, ALL)?;
    let of_groups: Vec<_> = groups
        .iter()
        .map(|(group, _)| quartiles(findings, &definition.id, by.code(), group))
        .collect();
    if of_groups.iter().all(Option::is_none) {
        return None;
    }
    let distributions: Vec<_> = groups
        .iter()
        .map(|(group, _)| {
            let key = Key {
                by: by.code().to_owned(),
                group: group.clone(),
                ..Key::of_all(definition, None)
            };
            counts.minutes.get(&key).and_then(followed_to_the_end)
        })
        .collect();
    let largest = largest(groups, |a, b| {
        mean_difference(distributions[a].as_ref()?, distributions[b].as_ref()?)
    });
    // Were one group left out, the largest difference of the others would look like that of all.
    let is_known = distributions
        .iter()
        .zip(groups)
        .all(|(known, (group, _))| known.is_some() || group == NOT_RECORDED);
    Some(Time {
        measure: definition.id.clone(),
        all,
        groups: of_groups
            .into_iter()
            .map(Option::unwrap_or_default)
            .collect(),
        largest: largest.filter(|_| is_known),
    })
}

/// The minutes of all cases; `None` where one was followed in part only.
fn followed_to_the_end(count: &MinutesCount) -> Option<Distribution> {
    let is_whole = count
        .cases
        .iter()
        .all(|((_, reached), cases)| *reached || *cases == 0);
    let minutes = count.cases.iter();
    is_whole.then(|| Distribution::new(minutes.map(|((minutes, _), cases)| (*minutes, *cases))))
}

/// `None` when nothing was counted there.
fn quartiles(findings: &Findings, measure: &str, by: &str, group: &str) -> Option<Quartiles> {
    let at = |statistic| {
        findings.at(Address {
            measure,
            by,
            group,
            month: None,
            statistic,
        })
    };
    let median = at(Statistic::Median)?;
    if median.suppressed {
        return Some(Quartiles::default());
    }
    let estimate = |finding: Option<&Finding>| finding?.estimate;
    Some(Quartiles {
        cases: median.cases,
        excluded: median.excluded,
        median: median.estimate,
        p25: estimate(at(Statistic::P25)),
        p75: estimate(at(Statistic::P75)),
    })
}
