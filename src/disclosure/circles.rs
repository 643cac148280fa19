//! Splits whose dimensions go around in a circle, as months of sites, months of shifts, and shifts of
//! sites do.
//!
//! Numbers that meet all sums of such splits need not be those of any cases: where every case by day
//! is at Alder, every case at Alder is in May, and no case in May is by day, there is no case by day.
//! So a hidden count in a circle can be known better than its sums say. Without circles, numbers of
//! one measure that meet the sums of its tables are always those of some cases (Vorob'ev 1962; Beeri,
//! Fagin, Maier and Yannakakis 1983; both from memory).
//!
//! Splits count as published where any measure is split so, since most measures are of the same cases.

use super::TableName;
use super::cells::{Table, Tables};
use std::collections::{BTreeMap, BTreeSet};

/// The dimensions of a split, the month among them.
type Dimensions<'a> = BTreeSet<&'a str>;

/// The tables to withhold so that a circle in which a count is hidden is none any more: those of the
/// split in it with the fewest rows of which every count is told. None where no circle holds a hidden
/// count.
pub(super) fn to_open(tables: &Tables, is_hidden: impl Fn(usize) -> bool) -> Vec<TableName> {
    let mut splits: BTreeMap<Dimensions<'_>, Vec<&Table>> = BTreeMap::new();
    for table in tables.published() {
        let dimensions = table.dimensions.iter().map(String::as_str).collect();
        splits.entry(dimensions).or_default().push(table);
    }
    let rows = |split: &Dimensions<'_>| {
        let rows = splits[split].iter().flat_map(|table| &table.rows);
        let (hidden, told): (Vec<_>, Vec<_>) =
            rows.partition(|row| row.numbers.values().any(|number| is_hidden(*number)));
        (hidden.len(), told.len())
    };
    let circles = circles(splits.keys().cloned().collect());
    let mut open = circles.iter().filter(|circle| {
        let mut splits = circle.iter();
        splits.any(|split| rows(split).0 > 0)
    });
    let least = open
        .next()
        .and_then(|circle| circle.iter().min_by_key(|split| rows(split).1));
    least.map_or_else(Vec::new, |split| tables.with_finer(&splits[split]))
}

/// The splits that are left when, again and again, dimensions of one split alone and splits within
/// others are taken away (Graham 1979; Yu and Ozsoyoglu 1979; both from memory), those together that
/// have such dimensions in common. None are left where there is no circle.
fn circles(mut splits: Vec<Dimensions<'_>>) -> Vec<Vec<Dimensions<'_>>> {
    // Of two with the same dimensions left, the first stays, and the one of fewer stands for both.
    splits.sort_by_key(BTreeSet::len);
    let mut left: Vec<(Dimensions<'_>, Dimensions<'_>)> = splits
        .into_iter()
        .map(|split| (split.clone(), split))
        .collect();
    loop {
        let before = left.clone();
        for (_, dimensions) in &mut left {
            dimensions.retain(|dimension| {
                let holding = before.iter().filter(|(_, it)| it.contains(dimension));
                holding.count() > 1
            });
        }
        let shrunk = left.clone();
        let is_within_another = |place: usize| {
            let dimensions = &shrunk[place].1;
            let mut others = shrunk
                .iter()
                .enumerate()
                .filter(|(other, _)| *other != place);
            others.any(|(other, (_, it))| {
                dimensions.is_subset(it) && (dimensions != it || other < place)
            })
        };
        let places = 0..left.len();
        let kept =
            places.filter(|place| !shrunk[*place].1.is_empty() && !is_within_another(*place));
        left = kept.map(|place| shrunk[place].clone()).collect();
        if left == before {
            return connected(left);
        }
    }
}

/// Splits by the dimensions that are left of them, those together that have some in common.
fn connected<'a>(left: Vec<(Dimensions<'a>, Dimensions<'a>)>) -> Vec<Vec<Dimensions<'a>>> {
    let mut parts: Vec<(Vec<Dimensions<'a>>, Dimensions<'a>)> = Vec::new();
    for (split, dimensions) in left {
        let (mut joined, apart): (Vec<_>, Vec<_>) = parts
            .into_iter()
            .partition(|(_, it)| !it.is_disjoint(&dimensions));
        joined.push((vec![split], dimensions));
        parts = apart;
        parts.push((
            joined
                .iter()
                .flat_map(|(splits, _)| splits.clone())
                .collect(),
            joined
                .into_iter()
                .flat_map(|(_, dimensions)| dimensions)
                .collect(),
        ));
    }
    parts.into_iter().map(|(splits, _)| splits).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(splits: &[&str]) -> Vec<Vec<String>> {
        let splits = splits.iter().map(|split| split.split('+').collect());
        let name = |split: &Dimensions<'_>| split.iter().copied().collect::<Vec<_>>().join("+");
        let found = circles(splits.collect());
        found
            .iter()
            .map(|circle| circle.iter().map(name).collect())
            .collect()
    }

    #[test]
    fn three_splits_by_three_dimensions_are_a_circle() {
        let splits = ["site", "month+site", "month+shift", "shift+site"];
        let circle = [["month+site", "month+shift", "shift+site"]];
        assert_eq!(found(&splits), circle);
        // A split that only hangs on is none of it, and one of all three closes it.
        assert_eq!(
            found(&[&splits[..], &["sex+site", "hour+weekday"]].concat()),
            circle
        );
        assert!(found(&[&splits[..], &["month+shift+site"]].concat()).is_empty());
    }

    #[test]
    fn a_star_and_a_chain_are_no_circle_and_a_ring_of_four_is() {
        assert!(found(&["sex+site", "month+site", "shift+site"]).is_empty());
        let chain = ["a+b", "b+c", "c+d"];
        assert!(found(&chain).is_empty());
        assert_eq!(
            found(&[&chain[..], &["a+d"]].concat()),
            [["a+b", "b+c", "c+d", "a+d"]]
        );
    }

    #[test]
    fn circles_without_a_dimension_in_common_are_told_apart() {
        let found = found(&["a+b", "p+q", "b+c", "q+r", "a+c", "p+r"]);
        assert_eq!(found, [["a+b", "b+c", "a+c"], ["p+q", "q+r", "p+r"]]);
    }

    #[test]
    fn of_two_splits_in_the_same_place_the_one_by_fewer_dimensions_stands_for_both() {
        let found = found(&["a+b+x", "b+c", "a+c", "a+b"]);
        assert_eq!(found, [["b+c", "a+c", "a+b"]]);
    }
}
