//! Counts of the whole period by two dimensions, read from the count tables.

use crate::domain::codes::NOT_RECORDED;
use crate::domain::counts::{Key, ShareCount};
use crate::domain::measure::Definition;
use crate::domain::tally::Tally;
use crate::findings::list_order::place;
use std::collections::BTreeMap;

/// Events among cases of one side of a comparison, which may have no case.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counted {
    /// Cases with the event.
    pub events: u64,
    /// Cases.
    pub cases: u64,
}

impl Counted {
    /// The same as a tally; `None` without cases.
    pub fn tally(self) -> Option<Tally> {
        Tally::new(self.events.min(self.cases), self.cases).ok()?
    }

    pub(super) fn misses(self) -> u64 {
        self.cases.saturating_sub(self.events)
    }

    pub(super) fn add(&mut self, other: Counted) {
        self.events = self.events.saturating_add(other.events);
        self.cases = self.cases.saturating_add(other.cases);
    }
}

impl From<&ShareCount> for Counted {
    fn from(count: &ShareCount) -> Counted {
        Counted {
            events: count.hit,
            cases: count.eligible,
        }
    }
}

/// The count of one value of each of two dimensions.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cell<'a, C> {
    pub(super) first: &'a str,
    pub(super) second: &'a str,
    pub(super) count: &'a C,
}

/// The groups of a measure by `by`, over the whole period; none when it was not counted so.
pub(super) fn groups<'a, C>(
    table: &'a BTreeMap<Key, C>,
    definition: &Definition,
    by: &str,
) -> impl Iterator<Item = (&'a str, &'a C)> {
    let start = Key {
        measure: definition.id.clone(),
        version: definition.version,
        by: by.to_owned(),
        group: String::new(),
        month: None,
    };
    let (measure, version, by) = (start.measure.clone(), start.version, start.by.clone());
    table
        .range(start..)
        .take_while(move |(key, _)| {
            key.measure == measure && key.version == version && key.by == by
        })
        .filter(|(key, _)| key.month.is_none())
        .map(|(key, count)| (key.group.as_str(), count))
}

/// The cells of a measure by `first+second`, in list order of the second dimension and within it of
/// the first.
pub(super) fn cells<'a, C>(
    table: &'a BTreeMap<Key, C>,
    definition: &Definition,
    first: &str,
    second: &str,
) -> Vec<Cell<'a, C>> {
    let mut cells: Vec<Cell<'a, C>> = groups(table, definition, &format!("{first}+{second}"))
        .filter_map(|(group, count)| {
            let (first, second) = group.split_once('|')?;
            Some(Cell {
                first,
                second,
                count,
            })
        })
        .collect();
    cells.sort_by(|a, b| {
        let key = |cell: &Cell<'a, C>| (place(second, cell.second), place(first, cell.first));
        (key(a), a.second, a.first).cmp(&(key(b), b.second, b.first))
    });
    cells
}

/// Whether a value was recorded.
pub(super) fn is_recorded(value: &str) -> bool {
    value != NOT_RECORDED
}

/// The different values, in the order in which they first come up.
pub(super) fn distinct<'a>(values: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let mut found = Vec::new();
    for value in values {
        if !found.contains(&value) {
            found.push(value);
        }
    }
    found
}
