//! Tables whose dimensions go around in a circle, as months of sites, months of shifts, and shifts of
//! sites do.
//!
//! Numbers that meet all sums of such tables need not be those of any cases: where every case by day
//! is at Alder, every case at Alder is in May, and no case in May is by day, there is no case by day.
//! So a hidden count in a circle can be known better than its sums say. Without circles, numbers that meet the sums of their tables are always those of
//! some cases (Vorob'ev 1962; Beeri, Fagin, Maier and Yannakakis 1983; both from memory), and bounds by
//! sums are all that can be known.

use super::TableName;
use super::cells::{Table, Tables};
use std::collections::{BTreeMap, BTreeSet};

/// The tables of one split to withhold so that a circle in which a count is hidden is none any more:
/// of the splits in such circles, the one with the fewest rows left. None where no circle holds one.
pub(super) fn to_open(tables: &Tables, is_hidden: impl Fn(usize) -> bool) -> Vec<TableName> {
    let mut splits: BTreeMap<(&str, bool), (usize, Vec<&Table>)> = BTreeMap::new();
    for of_measure in tables.of_measures.values() {
        let circle = circle(of_measure.iter().filter(|table| !table.is_implied));
        let told = |table: &Table| {
            let rows = table.rows.iter();
            rows.filter(|row| !row.numbers.values().any(|number| is_hidden(*number)))
                .count()
        };
        if circle.iter().all(|table| told(table) == table.rows.len()) {
            continue;
        }
        for table in circle {
            let split = (table.name.by.as_str(), table.name.is_monthly);
            let (of_split, tables) = splits.entry(split).or_default();
            *of_split += told(table);
            tables.push(table);
        }
    }
    let least = splits.values().min_by_key(|(told, _)| *told);
    least.map_or_else(Vec::new, |(_, found)| tables.with_finer(found))
}

/// The tables that are left when, again and again, dimensions of one table alone and tables within
/// others are taken away (Graham 1979; Yu and Ozsoyoglu 1979; both from memory). None are left where
/// there is no circle.
fn circle<'a>(tables: impl Iterator<Item = &'a Table>) -> Vec<&'a Table> {
    let dimensions = |table: &'a Table| table.dimensions.iter().map(String::as_str).collect();
    let mut left: Vec<(&Table, BTreeSet<&str>)> =
        tables.map(|table| (table, dimensions(table))).collect();
    loop {
        let before = left.clone();
        let is_shared = |dimension: &str| {
            let holding = before.iter().filter(|(_, it)| it.contains(dimension));
            holding.count() > 1
        };
        for (_, dimensions) in &mut left {
            dimensions.retain(|dimension| is_shared(dimension));
        }
        let all = left.clone();
        let mut place = 0;
        left.retain(|(_, dimensions)| {
            let mut others = all.iter().enumerate().filter(|(other, _)| *other != place);
            let is_within = others.any(|(other, (_, it))| {
                dimensions.is_subset(it) && (dimensions != it || other < place)
            });
            place += 1;
            !is_within && !dimensions.is_empty()
        });
        if left.len() == before.len() && left.iter().zip(&before).all(|(one, two)| one.1 == two.1) {
            return left.into_iter().map(|(table, _)| table).collect();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(dimensions: &[&str]) -> Table {
        Table {
            name: TableName {
                measure: "calls".into(),
                by: dimensions.join("+"),
                is_monthly: false,
            },
            dimensions: dimensions.iter().map(|it| (*it).to_owned()).collect(),
            rows: Vec::new(),
            is_unreadable: false,
            is_implied: false,
        }
    }

    fn in_circle(splits: &[&[&str]]) -> Vec<String> {
        let tables: Vec<Table> = splits.iter().map(|it| table(it)).collect();
        let circle = circle(tables.iter());
        circle.iter().map(|table| table.name.by.clone()).collect()
    }

    #[test]
    fn three_tables_of_three_dimensions_are_a_circle() {
        let splits: [&[&str]; 5] = [
            &[],
            &["site"],
            &["month", "site"],
            &["month", "shift"],
            &["shift", "site"],
        ];
        let circle = ["month+site", "month+shift", "shift+site"];
        assert_eq!(in_circle(&splits), circle);
        // A table that only hangs on is none of it, and one of all three closes it.
        let hanging: [&[&str]; 2] = [&["sex", "site"], &["weekday", "hour"]];
        assert_eq!(in_circle(&[&splits[..], &hanging].concat()), circle);
        let closing: [&[&str]; 1] = [&["month", "shift", "site"]];
        assert!(in_circle(&[&splits[..], &closing].concat()).is_empty());
    }

    #[test]
    fn a_star_and_a_chain_are_no_circle_and_a_ring_of_four_is() {
        let star: [&[&str]; 3] = [&["sex", "site"], &["month", "site"], &["shift", "site"]];
        assert!(in_circle(&star).is_empty());
        let chain: [&[&str]; 3] = [&["a", "b"], &["b", "c"], &["c", "d"]];
        assert!(in_circle(&chain).is_empty());
        let ring: [&[&str]; 1] = [&["d", "a"]];
        assert_eq!(in_circle(&[&chain[..], &ring].concat()).len(), 4);
        assert!(in_circle(&[&["a", "b"], &["a", "b"]]).is_empty());
    }
}
