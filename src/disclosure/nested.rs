//! Counts of different measures that lie within each other by definition: from the rows of
//! `crate::domain::nested_counts` to pairs of counts in the tables of a run.
//!
//! Knows no number.

use super::Quantity;
use super::cells::{Table, Tables};
use crate::domain::nested_counts::{CasesCounted, NestedCount, Relation};
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// All that the definitions say, also what follows from several rows and from single measures.
pub(super) struct Nesting {
    counts: Vec<(String, Quantity)>,
    place_of: BTreeMap<(String, Quantity), usize>,
    /// For each count those within which it lies, the same cases under another name among them.
    is_within: Vec<Vec<bool>>,
    wholes: Vec<Vec<usize>>,
}

/// Two counts of one group, by their numbers in `Tables::counts`.
pub(super) struct Pair {
    pub(super) part: usize,
    pub(super) whole: usize,
    /// What lies between are cases that one of the two measures could not judge.
    pub(super) is_unjudged: bool,
}

impl Nesting {
    /// What follows from `relations`.
    pub(super) fn new(relations: &[NestedCount]) -> Nesting {
        let mut nesting = Nesting {
            counts: Vec::new(),
            place_of: BTreeMap::new(),
            is_within: Vec::new(),
            wholes: Vec::new(),
        };
        let mut next: Vec<BTreeSet<usize>> = Vec::new();
        let mut add = |part: usize, whole: usize| {
            next.resize_with(next.len().max(part.max(whole) + 1), BTreeSet::new);
            next[part].insert(whole);
        };
        for relation in relations {
            let [part, whole] = [relation.part, relation.whole]
                .map(|(measure, cases)| nesting.place(measure, quantity(cases)));
            add(part, whole);
            if relation.relation == Relation::Same {
                add(whole, part);
            }
            for (measure, _) in [relation.part, relation.whole] {
                for (part, whole) in [
                    (Quantity::Hit, Quantity::Eligible),
                    (Quantity::Miss, Quantity::Eligible),
                    (Quantity::Eligible, Quantity::Population),
                    (Quantity::Excluded, Quantity::Population),
                ] {
                    add(nesting.place(measure, part), nesting.place(measure, whole));
                }
            }
        }
        for part in 0..nesting.counts.len() {
            let mut is_whole = vec![false; nesting.counts.len()];
            let mut open = vec![part];
            while let Some(count) = open.pop() {
                for whole in &next[count] {
                    if !std::mem::replace(&mut is_whole[*whole], true) {
                        open.push(*whole);
                    }
                }
            }
            let wholes = is_whole.iter().enumerate();
            let wholes = wholes.filter(|(whole, is_whole)| **is_whole && *whole != part);
            nesting
                .wholes
                .push(wholes.map(|(whole, _)| whole).collect());
            nesting.is_within.push(is_whole);
        }
        nesting
    }

    fn place(&mut self, measure: &str, quantity: Quantity) -> usize {
        let count = (measure.to_owned(), quantity);
        *self.place_of.entry(count.clone()).or_insert_with(|| {
            self.counts.push(count);
            self.counts.len() - 1
        })
    }

    /// Every two counts of a group of which one lies within the other and no third between them.
    pub(super) fn pairs(&self, tables: &Tables) -> Vec<Pair> {
        let mut splits: BTreeMap<Vec<&str>, Vec<&Table>> = BTreeMap::new();
        for table in tables.of_measures.values().flatten() {
            if tables.has_whole_cases(table) {
                let mut dimensions: Vec<&str> =
                    table.dimensions.iter().map(String::as_str).collect();
                dimensions.sort_unstable();
                splits.entry(dimensions).or_default().push(table);
            }
        }
        let mut pairs = Vec::new();
        for (dimensions, tables) in &splits {
            self.add_pairs(dimensions, tables, &mut pairs);
        }
        pairs
    }

    /// The pairs of one split.
    fn add_pairs(&self, dimensions: &[&str], tables: &[&Table], pairs: &mut Vec<Pair>) {
        let mut known: BTreeMap<usize, Vec<Numbers<'_>>> = BTreeMap::new();
        for table in tables {
            for (quantity, numbers) in numbers(dimensions, table) {
                let count = (table.name.measure.clone(), quantity);
                if let Some(place) = self.place_of.get(&count) {
                    known.entry(*place).or_default().push(numbers);
                }
            }
        }
        for (part, of_part) in &known {
            let wholes = self.wholes[*part].iter().copied();
            let wholes: Vec<usize> = wholes
                .filter(|whole| known.contains_key(whole) && !self.is_within[*whole][*part])
                .collect();
            for whole in &wholes {
                let is_between =
                    |it: &usize| self.is_within[*it][*whole] && !self.is_within[*whole][*it];
                if wholes.iter().any(is_between) || self.is_of_one_measure(*part, *whole) {
                    continue;
                }
                let is_unjudged = self.is_unjudged(*part, *whole);
                for (one, other) in of_part
                    .iter()
                    .flat_map(|one| known[whole].iter().map(move |other| (one, other)))
                {
                    let groups = one.iter();
                    pairs.extend(groups.filter_map(|(group, part)| {
                        other.get(group).map(|whole| Pair {
                            part: *part,
                            whole: *whole,
                            is_unjudged,
                        })
                    }));
                }
            }
        }
    }

    /// A count and its other names.
    fn same(&self, count: usize) -> impl Iterator<Item = usize> {
        let others = self.wholes[count].iter().copied();
        others
            .filter(move |other| self.is_within[*other][count])
            .chain([count])
    }

    /// Whether one measure has both, so that the sums of its rows tell as much.
    fn is_of_one_measure(&self, part: usize, whole: usize) -> bool {
        let mut parts = self.same(part);
        parts.any(|one| {
            let mut wholes = self.same(whole);
            wholes.any(|other| self.counts[one].0 == self.counts[other].0)
        })
    }

    /// Whether what lies between are cases that a measure could not judge: what is left of such
    /// cases, and what is left of the cases of a measure without its judged ones.
    fn is_unjudged(&self, part: usize, whole: usize) -> bool {
        let is_excluded = |count: usize| self.counts[count].1 == Quantity::Excluded;
        let is_judged = |count: usize| {
            let (measure, quantity) = &self.counts[count];
            let population = (measure.clone(), Quantity::Population);
            let population = self.place_of.get(&population);
            *quantity == Quantity::Eligible
                && population.is_some_and(|all| whole == *all || self.is_within[whole][*all])
        };
        self.same(whole).any(is_excluded) || self.same(part).any(is_judged)
    }
}

/// The number of one count in every group of a table.
type Numbers<'a> = BTreeMap<Vec<&'a str>, usize>;

/// The counts of cases in a table, by groups whose values stand in the order of `dimensions`.
fn numbers<'a>(dimensions: &[&str], table: &'a Table) -> BTreeMap<Quantity, Numbers<'a>> {
    let places: Vec<usize> = dimensions
        .iter()
        .filter_map(|name| table.dimensions.iter().position(|known| known == name))
        .collect();
    let mut numbers: BTreeMap<Quantity, Numbers<'_>> = BTreeMap::new();
    for row in &table.rows {
        let group: Vec<&str> = places.iter().map(|it| row.values[*it].as_str()).collect();
        let is_per_pass = row.numbers.contains_key(&Quantity::Attempts);
        for (quantity, number) in &row.numbers {
            if !(is_per_pass && quantity.is_of_passes()) {
                let of_quantity = numbers.entry(*quantity).or_default();
                of_quantity.insert(group.clone(), *number);
            }
        }
    }
    numbers
}

/// In the words of this module.
fn quantity(cases: CasesCounted) -> Quantity {
    match cases {
        CasesCounted::Population => Quantity::Population,
        CasesCounted::Eligible => Quantity::Eligible,
        CasesCounted::Excluded => Quantity::Excluded,
        CasesCounted::Hit => Quantity::Hit,
        CasesCounted::Miss => Quantity::Miss,
    }
}
