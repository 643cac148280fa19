//! Invented records to attack: which shapes they have goes around with their number.

use super::Atom;
use super::Status;
use super::World;
use crate::domain::nested_counts::{CasesCounted, NestedCount, Relation};
use std::collections::BTreeMap;

/// Numbers that look random and are the same in every run (Knuth's linear congruence, from memory).
struct Draws(u64);

impl Draws {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % limit
    }
}

/// All values of dimensions of these sizes.
fn combinations(sizes: &[usize]) -> Vec<Vec<usize>> {
    sizes.iter().fold(vec![Vec::new()], |known, size| {
        let longer = known
            .iter()
            .flat_map(|values| (0..*size).map(move |value| [values.as_slice(), &[value]].concat()));
        longer.collect()
    })
}

/// An invented world with small and large counts; which shape it has goes around.
pub(super) fn world(number: u64) -> World {
    let mut draws = Draws(number.wrapping_mul(7919) + 17);
    let mut size =
        |least: u64, most: u64| usize::try_from(least + draws.below(most - least + 1)).unwrap();
    let (dimensions, sizes, splits): (Vec<_>, Vec<usize>, Vec<Vec<usize>>) = match number % 4 {
        // Months of sites.
        0 | 1 => (
            vec!["site", "month"],
            vec![size(2, 4), size(2, 4)],
            vec![vec![], vec![0], vec![1], vec![0, 1]],
        ),
        // Two dimensions and a third apart.
        2 => (
            vec!["device", "object_type", "shift"],
            vec![size(2, 3), size(2, 3), 2],
            vec![vec![], vec![0], vec![1], vec![2], vec![0, 1]],
        ),
        // A table of two dimensions without one of its sides, and three that cross.
        _ => (
            vec!["weekday", "hour", "month"],
            vec![size(2, 3), 2, 2],
            vec![vec![], vec![0, 1], vec![0, 2], vec![1, 2], vec![2]],
        ),
    };
    let every = [Status::Excluded, Status::Missed, Status::Hit];
    let (measures, statuses): (Vec<_>, Vec<Vec<Status>>) = match number % 5 {
        0 => (
            vec!["a"],
            every.iter().map(|status| vec![*status]).collect(),
        ),
        // The second measure is about the hits of the first.
        1 => (
            vec!["a", "b"],
            vec![
                vec![Status::Excluded, Status::NotOfThePopulation],
                vec![Status::Missed, Status::NotOfThePopulation],
                vec![Status::Hit, Status::Missed],
                vec![Status::Hit, Status::Hit],
            ],
        ),
        // Hits of the first are hits of the second, as with rebleeding within days.
        2 => (
            vec!["a", "b"],
            vec![
                vec![Status::Excluded, Status::Excluded],
                vec![Status::Missed, Status::Missed],
                vec![Status::Missed, Status::Hit],
                vec![Status::Hit, Status::Hit],
            ],
        ),
        // Two of the same cases, of which the second judges fewer, and its hits are hits of the first.
        3 => (
            vec!["a", "b"],
            vec![
                vec![Status::Excluded, Status::Excluded],
                vec![Status::Missed, Status::Excluded],
                vec![Status::Hit, Status::Excluded],
                vec![Status::Missed, Status::Missed],
                vec![Status::Hit, Status::Missed],
                vec![Status::Hit, Status::Hit],
            ],
        ),
        // Two about the same cases, who are counted as events too.
        _ => {
            let both = every
                .iter()
                .flat_map(|one| every.map(|other| [*one, other]));
            let counted = both.map(|[one, other]| vec![one, other, Status::Hit]);
            (vec!["a", "b", "events"], counted.collect())
        }
    };
    let scale = [3, 8, 30, 120][usize::try_from(draws.below(4)).unwrap()];
    let mut atoms = BTreeMap::new();
    for values in combinations(&sizes) {
        for statuses in &statuses {
            let is_empty = draws.below(5) == 0;
            let count = if is_empty { 0 } else { draws.below(scale) };
            let atom = Atom {
                values: values.clone(),
                statuses: statuses.clone(),
            };
            atoms.insert(atom, count);
        }
    }
    World {
        dimensions,
        splits,
        measures,
        nested: nested(number % 5),
        atoms,
    }
}

/// Months, sites and shifts, all crossed by two, of two measures of the same cases. All cases are hits
/// of the second, which says where each site was open; of the first, 5 hits are in one month.
pub(super) fn closed_by_another_measure() -> World {
    let of_place = [
        ([0, 0, 0], 15, 200),
        ([0, 0, 1], 5, 200),
        ([1, 0, 2], 12, 200),
        ([0, 1, 0], 60, 200),
        ([0, 1, 1], 60, 200),
        ([1, 1, 2], 60, 200),
    ];
    let mut atoms = BTreeMap::new();
    for values in combinations(&[2, 2, 3]) {
        let found = of_place.iter().find(|(place, ..)| place[..] == values[..]);
        let (hit, missed) = found.map_or((0, 0), |(_, hit, missed)| (*hit, *missed));
        for (status, count) in [(Status::Hit, hit), (Status::Missed, missed)] {
            let atom = Atom {
                values: values.clone(),
                statuses: vec![status, Status::Hit],
            };
            atoms.insert(atom, count);
        }
    }
    World {
        dimensions: vec!["site", "shift", "month"],
        splits: vec![
            vec![],
            vec![0],
            vec![1],
            vec![2],
            vec![0, 1],
            vec![0, 2],
            vec![1, 2],
        ],
        measures: vec!["a", "b"],
        nested: Vec::new(),
        atoms,
    }
}

/// What lies within what in worlds of a shape.
fn nested(shape: u64) -> Vec<NestedCount> {
    use CasesCounted::{Eligible, Excluded, Hit, Miss, Population};
    let within = |part, whole| (part, Relation::Within, whole);
    let same = |part, whole| (part, Relation::Same, whole);
    let relations = match shape {
        1 => vec![same(("b", Population), ("a", Hit))],
        2 => vec![
            within(("a", Hit), ("b", Hit)),
            within(("b", Miss), ("a", Miss)),
            same(("a", Eligible), ("b", Eligible)),
            same(("a", Excluded), ("b", Excluded)),
            same(("a", Population), ("b", Population)),
        ],
        3 => vec![
            within(("b", Eligible), ("a", Eligible)),
            within(("b", Hit), ("a", Hit)),
            within(("a", Excluded), ("b", Excluded)),
            same(("a", Population), ("b", Population)),
        ],
        _ => Vec::new(),
    };
    let relations = relations.into_iter();
    relations
        .map(|(part, relation, whole)| NestedCount {
            part,
            relation,
            whole,
        })
        .collect()
}
