//! Compares count tables key by key, so that a failing test names the counts that differ instead of
//! printing two whole tables.

use scopetally::domain::counts::{CountTables, Key};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Debug;

/// One line per key whose counts differ or that only one side has.
pub(crate) fn differences(left: &CountTables, right: &CountTables) -> Vec<String> {
    let mut lines = Vec::new();
    compare(&left.shares, &right.shares, &mut lines);
    compare(&left.minutes, &right.minutes, &mut lines);
    compare(&left.passes, &right.passes, &mut lines);
    compare(&left.events, &right.events, &mut lines);
    lines
}

fn compare<C: Debug + PartialEq>(
    left: &BTreeMap<Key, C>,
    right: &BTreeMap<Key, C>,
    lines: &mut Vec<String>,
) {
    let keys: BTreeSet<_> = left.keys().chain(right.keys()).collect();
    for key in keys {
        let (left, right) = (left.get(key), right.get(key));
        if left != right {
            let month = key
                .month
                .map_or("all".to_string(), |month| month.to_string());
            lines.push(format!(
                "{} by {}, group {}, month {month}:\n    {left:?}\n    {right:?}",
                key.measure, key.by, key.group
            ));
        }
    }
}
