//! Counts of different measures that are one and the same: the cases of one are the eligible cases,
//! the hits or the population of another. Who knows one knows the other.
//!
//! Told by the numbers alone: two counts are the same where they agree in every row of every split
//! that both have. Two that agree by chance are hidden together, which hides no less.

use super::Quantity;
use super::cells::Tables;
use crate::domain::counts::ALL;
use std::collections::BTreeMap;

/// One count of one measure over all its tables: by table and group, its number and its size.
type Counts<'a> = BTreeMap<(&'a str, bool), BTreeMap<&'a [String], (usize, u64)>>;

/// Pairs of numbers of counts that are one and the same.
pub(super) fn linked(tables: &Tables) -> Vec<(usize, usize)> {
    let mut by_total: BTreeMap<u64, Vec<Counts<'_>>> = BTreeMap::new();
    for of_measure in tables.of_measures.values() {
        let mut by_quantity: BTreeMap<Quantity, Counts<'_>> = BTreeMap::new();
        for table in of_measure {
            for row in &table.rows {
                for (what, number) in &row.numbers {
                    by_quantity
                        .entry(*what)
                        .or_default()
                        .entry((&table.name.by, table.name.is_monthly))
                        .or_default()
                        .insert(&row.values, (*number, tables.counts[*number].size));
                }
            }
        }
        for counts in by_quantity.into_values() {
            let of_all = counts.get(&(ALL, false));
            let total = of_all.map_or_else(|| counts.values().map(total).max().unwrap_or(0), total);
            if total > 0 {
                by_total.entry(total).or_default().push(counts);
            }
        }
    }
    let mut pairs = Vec::new();
    for alike in by_total.values() {
        for (place, one) in alike.iter().enumerate() {
            for other in alike[..place].iter().filter(|other| is_same(one, other)) {
                for (table, rows) in one {
                    let Some(known) = other.get(table) else {
                        continue;
                    };
                    for (values, (number, _)) in rows {
                        pairs.extend(known.get(values).map(|(other, _)| (*number, *other)));
                    }
                }
            }
        }
    }
    pairs
}

fn total(rows: &BTreeMap<&[String], (usize, u64)>) -> u64 {
    rows.values().map(|(_, count)| count).sum()
}

/// Whether all rows of all tables that both have agree; a row that is absent is zero.
fn is_same(one: &Counts<'_>, other: &Counts<'_>) -> bool {
    let common: Vec<_> = one
        .keys()
        .filter(|table| other.contains_key(table))
        .collect();
    let counts = |rows: &BTreeMap<&[String], (usize, u64)>| -> Vec<(Vec<String>, u64)> {
        rows.iter()
            .filter(|(_, (_, count))| *count > 0)
            .map(|(values, (_, count))| (values.to_vec(), *count))
            .collect()
    };
    !common.is_empty()
        && common
            .into_iter()
            .all(|table| counts(&one[table]) == counts(&other[table]))
}
