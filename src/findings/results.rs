//! A share split by what happened to a case, such as by the kind of adverse event.
//!
//! Such a split is unlike others. A count table has the cases of each result, and of them every one
//! met the definition, which says nothing. What is asked is how many of *all* judged cases had each
//! result, also where none had it. The sums over the results give the denominator, so tables of
//! several sites still add up row by row.

use crate::domain::counts::{Additive, CountTables, Key, ShareCount};
use crate::domain::harm::possible_results;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// The shares of the count tables, each with the cases that could have met it: those of a split by
/// results have all judged cases, and every possible result has one. Splits by results come last.
pub(super) fn shares(counts: &CountTables) -> Vec<(Cow<'_, Key>, ShareCount)> {
    let mut shares = Vec::with_capacity(counts.shares.len());
    let mut splits = BTreeMap::<Key, Split>::new();
    for (key, count) in &counts.shares {
        let Some(place) = Place::of(key) else {
            shares.push((Cow::Borrowed(key), *count));
            continue;
        };
        let key = Key {
            group: place.others.to_owned(),
            ..key.clone()
        };
        let split = splits.entry(key).or_insert_with(|| Split {
            results: place.possible,
            hits: BTreeMap::new(),
            all: ShareCount::default(),
        });
        split.all.add(count);
        *split.hits.entry(place.result.to_owned()).or_default() += count.hit;
    }
    for (key, split) in splits {
        for result in split.results {
            let group = if key.group.is_empty() {
                result.to_owned()
            } else {
                format!("{}|{result}", key.group)
            };
            let count = ShareCount {
                hit: split.hits.get(result).copied().unwrap_or(0),
                ..split.all
            };
            let key = Key {
                group,
                ..key.clone()
            };
            shares.push((Cow::Owned(key), count));
        }
    }
    shares
}

/// All groups that differ in their result only.
struct Split {
    results: Vec<&'static str>,
    hits: BTreeMap<String, u64>,
    all: ShareCount,
}

/// Where a key stands in a split by results.
struct Place<'a> {
    /// Values of the other dimensions, joined with `|`; empty without any.
    others: &'a str,
    result: &'a str,
    possible: Vec<&'static str>,
}

impl Place<'_> {
    /// `None` when the last dimension of the key is not one of results.
    fn of(key: &Key) -> Option<Place<'_>> {
        let (dimensions, last) = key.by.rsplit_once('+').unwrap_or(("", &key.by));
        let (others, result) = if dimensions.is_empty() {
            ("", key.group.as_str())
        } else {
            key.group.rsplit_once('|')?
        };
        let pairs = dimensions.split('+').zip(others.split('|'));
        Some(Place {
            others,
            result,
            possible: possible_results(last, pairs)?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tables(rows: &[(&str, &str, [u64; 3])]) -> CountTables {
        let shares = rows.iter().map(|(by, group, [eligible, hit, excluded])| {
            let key = Key {
                measure: "harm".into(),
                version: 1,
                by: (*by).into(),
                group: (*group).into(),
                month: None,
            };
            let count = ShareCount {
                eligible: *eligible,
                hit: *hit,
                excluded: *excluded,
            };
            (key, count)
        });
        CountTables {
            shares: shares.collect(),
            ..CountTables::default()
        }
    }

    fn numbers(counts: &CountTables) -> BTreeMap<String, [u64; 3]> {
        shares(counts)
            .into_iter()
            .map(|(key, count)| {
                (
                    key.group.clone(),
                    [count.eligible, count.hit, count.excluded],
                )
            })
            .collect()
    }

    #[test]
    fn every_judged_case_could_have_had_each_event() {
        let found = numbers(&tables(&[
            ("adverse_event", "bleeding", [3, 3, 0]),
            ("adverse_event", "none", [95, 0, 0]),
            ("adverse_event", "not_recorded", [0, 0, 7]),
            ("adverse_event", "perforation", [2, 2, 0]),
        ]));
        assert_eq!(found["perforation"], [100, 2, 7]);
        assert_eq!(found["bleeding"], [100, 3, 7]);
        assert_eq!(found["aspiration"], [100, 0, 7], "an event that nobody had");
        assert!(!found.contains_key("none") && !found.contains_key("not_recorded"));
    }

    #[test]
    fn each_grade_stands_under_its_own_scale() {
        let by = "adverse_scale+adverse_grade";
        let found = numbers(&tables(&[
            (by, "agree|grade_1", [2, 2, 0]),
            (by, "agree|not_recorded", [38, 0, 1]),
            (by, "asge_lexicon|mild", [1, 1, 0]),
            (by, "asge_lexicon|not_recorded", [9, 0, 0]),
            (by, "not_recorded|mild", [0, 0, 4]),
        ]));
        assert_eq!(found["agree|grade_1"], [40, 2, 1]);
        assert_eq!(found["agree|grade_5"], [40, 0, 1]);
        assert_eq!(found["asge_lexicon|mild"], [10, 1, 0]);
        assert_eq!(found.len(), 7 + 5, "{found:?}");
    }

    #[test]
    fn any_other_split_stays_as_it_is() {
        let found = numbers(&tables(&[
            ("all", "all", [10, 4, 0]),
            ("site", "North|South", [10, 4, 0]),
            ("device+object_type", "net|coin", [5, 4, 0]),
        ]));
        assert_eq!(found.len(), 3);
        assert_eq!(found["North|South"], [10, 4, 0]);
    }
}
