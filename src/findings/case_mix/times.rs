//! Minutes of each group: quartiles as the findings have them, and how far the means lie apart.

use super::{Groups, Quartiles, Time, largest};
use crate::domain::codes::NOT_RECORDED;
use crate::domain::counts::{ALL, CountTables, Key, MinutesCount};
use crate::domain::measure::Definition;
use crate::findings::finding::{Address, Finding, Findings, Statistic};
use crate::stats::balance::mean_difference;
use crate::stats::quantile::Distribution;

/// How far a measure of time was counted.
pub(super) enum Counted {
    /// By group.
    ByGroup(Time),
    /// Over all cases, but not every case by group.
    NotByGroup,
    /// It has no case.
    Nothing,
}

/// The measure in each group, as far as it was counted.
pub(super) fn time(
    counts: &CountTables,
    findings: &Findings,
    definition: &Definition,
    by: Groups,
    groups: &[(String, u64)],
) -> Counted {
    let Some(all) = quartiles(findings, &definition.id, ALL, ALL) else {
        return Counted::Nothing;
    };
    let of_groups: Vec<_> = groups
        .iter()
        .map(|(group, _)| quartiles(findings, &definition.id, by.code(), group))
        .collect();
    let counted: Vec<Option<&MinutesCount>> = groups
        .iter()
        .map(|(group, _)| {
            counts.minutes.get(&Key {
                by: by.code().to_owned(),
                group: group.clone(),
                ..Key::of_all(definition, None)
            })
        })
        .collect();
    let of_all = counts.minutes.get(&Key::of_all(definition, None));
    if counted.iter().copied().map(population).sum::<u64>() != population(of_all) {
        return Counted::NotByGroup;
    }
    if of_groups.iter().all(Option::is_none) {
        return Counted::Nothing;
    }
    let distributions: Vec<_> = counted
        .iter()
        .map(|count| count.and_then(followed_to_the_end))
        .collect();
    let largest = largest(groups, |a, b| {
        mean_difference(distributions[a].as_ref()?, distributions[b].as_ref()?)
    });
    // Were one group left out, the largest difference of the others would look like that of all.
    let is_known = distributions
        .iter()
        .zip(groups)
        .all(|(known, (group, _))| known.is_some() || group == NOT_RECORDED);
    Counted::ByGroup(Time {
        measure: definition.id.clone(),
        all,
        groups: of_groups
            .into_iter()
            .map(Option::unwrap_or_default)
            .collect(),
        largest: largest.filter(|_| is_known),
    })
}

/// Cases, judged or not.
fn population(count: Option<&MinutesCount>) -> u64 {
    count.map_or(0, |count| {
        count.cases.values().sum::<u64>() + count.excluded
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
