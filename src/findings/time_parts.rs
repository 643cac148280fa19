//! Where the time from call to scope in went: the minutes of each part as a share of those of all
//! parts, over the same cases, from the count tables of the parts alone.
//!
//! Knows which measures are the parts. That the parts of a case add up is their definitions' doing.

use super::estimate::{Settings, blank};
use super::finding::{Finding, Method, Statistic, Unit};
use crate::domain::counts::{CountTables, Key, MinutesCount};
use crate::domain::measure::MeasureKind;

/// The parts, in their order. They judge the same cases, and their minutes add up to those from call
/// to scope in, case by case.
pub const PARTS: [&str; 4] = [
    "wait_for_team",
    "wait_for_cart",
    "wait_for_airway",
    "wait_for_scope",
];

/// The share of each part, for every group and month in which all parts were counted over equally
/// many cases; elsewhere nothing.
///
/// No limits: they would need the parts of each single case side by side, and a count table holds
/// each part by itself.
pub(super) fn time_shares(counts: &CountTables, settings: Settings) -> Vec<Finding> {
    let of_first = counts
        .minutes
        .keys()
        .filter(|key| key.measure == PARTS[0])
        .filter_map(|key| shares_of_group(counts, key, settings));
    of_first.flatten().collect()
}

/// The shares of the group of `key`, which is that of one part; `None` where a part is missing or
/// the parts are not those of the same cases.
fn shares_of_group(
    counts: &CountTables,
    key: &Key,
    settings: Settings,
) -> Option<[Finding; PARTS.len()]> {
    let keys = PARTS.map(|part| Key {
        measure: part.to_owned(),
        ..key.clone()
    });
    let mut minutes = [0; PARTS.len()];
    let mut cases = [0; PARTS.len()];
    let mut excluded = [0; PARTS.len()];
    for (place, key) in keys.iter().enumerate() {
        let count = counts.minutes.get(key)?;
        minutes[place] = sum_of_minutes(count)?;
        cases[place] = count.cases.values().sum::<u64>();
        excluded[place] = count.excluded;
    }
    let is_same = |numbers: [u64; PARTS.len()]| numbers.iter().all(|number| *number == numbers[0]);
    if !is_same(cases) || !is_same(excluded) {
        return None;
    }
    let all: u128 = minutes.iter().sum();
    let mut place = 0;
    Some(keys.map(|key| {
        let part = minutes[place];
        place += 1;
        Finding {
            estimate: (all > 0).then(|| part as f64 / all as f64),
            events: cases[0],
            cases: cases[0],
            excluded: excluded[0],
            ..blank(
                &key,
                MeasureKind::Minutes,
                Statistic::TimeShare,
                Method::RatioOfSums,
                Unit::Fraction,
                settings,
            )
        }
    }))
}

/// The minutes of all cases together; `None` when one is below zero or was not followed to the end,
/// which no part allows.
fn sum_of_minutes(count: &MinutesCount) -> Option<u128> {
    let terms = count.cases.iter().map(|((value, reached), cases)| {
        let value = u64::try_from(*value).ok().filter(|_| *reached)?;
        Some(u128::from(value) * u128::from(*cases))
    });
    terms.sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::counts::ALL;
    use std::collections::BTreeMap;

    fn key(measure: &str) -> Key {
        Key {
            measure: measure.to_owned(),
            version: 1,
            by: ALL.to_owned(),
            group: ALL.to_owned(),
            month: None,
        }
    }

    /// The count tables of the parts, each as (minutes, cases).
    fn tables(parts: [&[(i64, u64)]; 4]) -> CountTables {
        let mut counts = CountTables::default();
        for (part, lengths) in PARTS.iter().zip(parts) {
            let cases = lengths
                .iter()
                .map(|(value, cases)| ((*value, true), *cases));
            let count = MinutesCount {
                cases: cases.collect(),
                excluded: 2,
            };
            counts.minutes.insert(key(part), count);
        }
        counts
    }

    fn shares(counts: &CountTables) -> BTreeMap<String, Option<f64>> {
        let found = time_shares(counts, Settings::default());
        let pairs = found
            .into_iter()
            .map(|finding| (finding.measure, finding.estimate));
        pairs.collect()
    }

    /// Three cases of 36, 50 and 14 minutes from call to scope in, parted by hand:
    /// 10 + 10 + 10 + 6, 20 + 30 + 0 + 0 and 10 + 0 + 0 + 4.
    #[test]
    fn each_part_is_a_share_of_the_minutes_of_all_cases_together() {
        let counts = tables([
            &[(10, 2), (20, 1)],
            &[(0, 1), (10, 1), (30, 1)],
            &[(0, 2), (10, 1)],
            &[(0, 1), (4, 1), (6, 1)],
        ]);
        let found = shares(&counts);
        let expected = [
            ("wait_for_team", 0.4),
            ("wait_for_cart", 0.4),
            ("wait_for_airway", 0.1),
            ("wait_for_scope", 0.1),
        ];
        assert_eq!(found.len(), 4);
        for (part, share) in expected {
            assert_eq!(found[part], Some(share), "{part}");
        }
        let all = time_shares(&counts, Settings::default());
        for finding in all {
            assert_eq!((finding.cases, finding.excluded), (3, 2));
            assert_eq!((finding.low, finding.high), (None, None));
            assert_eq!(finding.statistic, Statistic::TimeShare);
        }
    }

    #[test]
    fn no_time_at_all_has_no_shares_and_no_cases_have_none() {
        let none_at_all = shares(&tables([&[(0, 3)], &[(0, 3)], &[(0, 3)], &[(0, 3)]]));
        assert!(none_at_all.len() == 4 && none_at_all.values().all(Option::is_none));
        let without_cases = shares(&tables([&[], &[], &[], &[]]));
        assert!(without_cases.len() == 4 && without_cases.values().all(Option::is_none));
    }

    #[test]
    fn parts_of_different_cases_are_not_added_up() {
        let of_two = tables([&[(5, 3)], &[(5, 3)], &[(5, 3)], &[(5, 2)]]);
        assert!(shares(&of_two).is_empty());
        let mut without_one = tables([&[(5, 3)], &[(5, 3)], &[(5, 3)], &[(5, 3)]]);
        assert_eq!(shares(&without_one)["wait_for_cart"], Some(0.25));
        without_one.minutes.remove(&key("wait_for_airway"));
        assert!(shares(&without_one).is_empty());
        let below_zero = tables([&[(5, 3)], &[(-5, 3)], &[(5, 3)], &[(5, 3)]]);
        assert!(shares(&below_zero).is_empty());
    }
}
