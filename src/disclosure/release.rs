//! Which tables are made for others. Every table more is one more from which a small count could be
//! worked out, so that the fewer there are, the more of each can be told.
//!
//! Knows the dimensions of tables and no count.

use super::TableName;
use crate::domain::counts::{ALL, CountTables, Key, SITE};
use std::collections::BTreeMap;

/// The split by two dimensions that is made for others whatever the case mix is by.
const DEVICE_BY_OBJECT: &str = "device+object_type";

/// The dimensions by which the whole period is split: who, where, what for, with what, and what came
/// of it. What is only of use to the service itself, such as why a case could not be judged, is not
/// among them.
const DIMENSIONS: [&str; 18] = [
    ALL,
    SITE,
    "shift",
    "presentation",
    "urgency",
    "age_group",
    "sex",
    "setting",
    "object_type",
    "device",
    "adverse_event",
    "bleed_finding",
    "treatment",
    "forrest",
    "rockall",
    "glasgow_blatchford",
    "oakland",
    "aims65",
];

/// Whether a table is among those for others: months for all cases together; the whole period by one
/// of these dimensions, by device and object type, and, for the case mix, by `mix_by` and one
/// dimension more.
pub fn is_released(table: &TableName, mix_by: &str) -> bool {
    if table.is_monthly {
        return table.by == ALL;
    }
    let dimensions: Vec<&str> = table.by.split('+').collect();
    match dimensions.as_slice() {
        [only] => DIMENSIONS.contains(only),
        [first, second] => table.by == DEVICE_BY_OBJECT || *first == mix_by || *second == mix_by,
        _ => false,
    }
}

/// The tables for others.
pub fn released(counts: &CountTables, mix_by: &str) -> CountTables {
    only(counts, |key| is_released(&TableName::from(key), mix_by))
}

/// The rows that are wanted.
pub(super) fn only(counts: &CountTables, is_wanted: impl Fn(&Key) -> bool) -> CountTables {
    CountTables {
        shares: rows(&counts.shares, &is_wanted),
        minutes: rows(&counts.minutes, &is_wanted),
        passes: rows(&counts.passes, &is_wanted),
        events: rows(&counts.events, &is_wanted),
    }
}

fn rows<C: Clone>(table: &BTreeMap<Key, C>, is_wanted: impl Fn(&Key) -> bool) -> BTreeMap<Key, C> {
    let wanted = table.iter().filter(|(key, _)| is_wanted(key));
    wanted
        .map(|(key, count)| (key.clone(), count.clone()))
        .collect()
}
