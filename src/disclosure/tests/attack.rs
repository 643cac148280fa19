//! An attack on what is published, written apart from the code that protects it: the attacker
//! knows no sums between tables, but that every published count is the number of records of a kind.
//! Unknown are the numbers of records of each kind, by all dimensions at once and by what became of
//! them in every measure; each published count is an equation about these.

mod worlds;

use super::super::Protected;
use super::super::Quantity;
use super::super::ShareRules;
use super::super::hide::MOST_CELLS;
use super::super::protected;
use crate::domain::counts::{CountTables, EventsCount, Key, ShareCount};
use crate::domain::month::Month;
use crate::domain::nested_counts::{CasesCounted, NestedCount, Relation};
use crate::stats::linear_region::LinearRegion;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use worlds::{closed_by_another_measure, world};

/// What became of a record in a measure.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Status {
    NotOfThePopulation,
    Excluded,
    Missed,
    Hit,
}

/// What records have in common: the value of every dimension and the status in every measure.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Atom {
    values: Vec<usize>,
    statuses: Vec<Status>,
}

/// Invented records and how they are counted.
struct World {
    dimensions: Vec<&'static str>,
    /// Sets of dimensions that are split by; the last dimension may be the month.
    splits: Vec<Vec<usize>>,
    /// Measures by what they count of a record.
    measures: Vec<&'static str>,
    /// Counts that lie within each other because of which kinds there are.
    nested: Vec<NestedCount>,
    /// Every kind that could occur, with how often it does.
    atoms: BTreeMap<Atom, u64>,
}

impl World {
    /// The row of a record in a split.
    fn key(&self, measure: &str, split: &[usize], atom: &Atom) -> Key {
        let of = |is_month: bool| {
            split
                .iter()
                .copied()
                .filter(move |dimension| (self.dimensions[*dimension] == "month") == is_month)
        };
        let names: Vec<&str> = of(false).map(|it| self.dimensions[it]).collect();
        let values: Vec<String> = of(false)
            .map(|it| format!("v{}", atom.values[it]))
            .collect();
        let or_all = |text: String| if text.is_empty() { "all".into() } else { text };
        Key {
            measure: measure.into(),
            version: 1,
            by: or_all(names.join("+")),
            group: or_all(values.join("|")),
            month: of(true)
                .next()
                .map(|it| Month::new(2025, u8::try_from(atom.values[it] + 1).unwrap()).unwrap()),
        }
    }

    /// Every count of every record: where it is counted, and as what.
    fn counted(&self, atom: &Atom) -> Vec<(Key, Quantity)> {
        let mut found = Vec::new();
        for (measure, status) in self.measures.iter().zip(&atom.statuses) {
            let is_events = measure.starts_with("events");
            let quantities: &[Quantity] = match status {
                Status::NotOfThePopulation => &[],
                Status::Excluded if is_events => &[],
                Status::Excluded => &[Quantity::Excluded],
                _ if is_events => &[Quantity::Hit],
                Status::Missed => &[Quantity::Eligible, Quantity::Miss],
                Status::Hit => &[Quantity::Eligible, Quantity::Hit],
            };
            for split in &self.splits {
                let key = self.key(measure, split, atom);
                found.extend(quantities.iter().map(|what| (key.clone(), *what)));
            }
        }
        found
    }

    fn tables(&self) -> CountTables {
        let mut tables = CountTables::default();
        for (atom, count) in self.atoms.iter().filter(|(_, count)| **count > 0) {
            for (key, what) in self.counted(atom) {
                if key.measure.starts_with("events") {
                    tables.events.entry(key).or_default().events += count;
                    continue;
                }
                let row = tables.shares.entry(key).or_default();
                match what {
                    Quantity::Eligible => row.eligible += count,
                    Quantity::Hit => row.hit += count,
                    Quantity::Excluded => row.excluded += count,
                    _ => {}
                }
            }
        }
        tables
    }
}

/// A small count that the attack narrows down too far: lowest and highest possible value.
#[derive(Debug)]
pub(super) struct Leak {
    /// For what is left of a count, the key of the whole.
    _what: (Key, Quantity),
    _range: (f64, f64),
}

/// Every hidden small count that what is published gives away.
fn leaks(world: &World, protected: &Protected, rules: ShareRules) -> Vec<Leak> {
    let threshold = rules.threshold;
    let atoms: Vec<&Atom> = world.atoms.keys().collect();
    let mut kinds: BTreeMap<(Key, Quantity), Vec<usize>> = BTreeMap::new();
    for (place, atom) in atoms.iter().enumerate() {
        for counted in world.counted(atom) {
            kinds.entry(counted).or_default().push(place);
        }
    }
    let count = |places: &[usize]| -> u64 { places.iter().map(|it| world.atoms[atoms[*it]]).sum() };
    let mut equations = Vec::new();
    let mut seen = BTreeSet::new();
    let mut unknowns = atoms.len();
    let mut targets = Vec::new();
    for ((key, what), places) in &kinds {
        let count = count(places);
        let terms = places.iter().map(|place| (*place, 1.0));
        if protected.shows(&key.into(), *what) {
            assert!(
                count == 0 || count >= threshold || !rules.protects(*what),
                "a small count is published"
            );
            // The same kind of records counted in two places is one equation.
            if seen.insert(places.clone()) {
                equations.push((terms.collect(), count as f64));
            }
        } else if !protected.withholds(&key.into())
            && rules.protects(*what)
            && rules.is_small(count)
        {
            let terms = terms.chain([(unknowns, -1.0)]);
            equations.push((terms.collect(), 0.0));
            targets.push((unknowns, key, *what));
            unknowns += 1;
        }
    }
    for relation in &world.nested {
        for (key, what, rest) in rests(relation, &kinds, protected, rules) {
            if !rules.is_small(count(&rest)) {
                continue;
            }
            let terms = rest.iter().map(|place| (*place, 1.0));
            equations.push((terms.chain([(unknowns, -1.0)]).collect(), 0.0));
            targets.push((unknowns, key, what));
            unknowns += 1;
        }
    }
    if targets.is_empty() {
        return Vec::new();
    }
    let mut region = LinearRegion::new(unknowns, equations).expect("the records are one point");
    let mut leaks = Vec::new();
    for (target, key, what) in targets {
        let low = region.lowest(target).expect("a lower bound");
        let low = (low - 1e-6).ceil().max(0.0);
        let enough = (low + threshold as f64 - 1.0).max(threshold as f64);
        let high = region
            .highest(target, enough + 0.5)
            .expect("an upper bound");
        if (high + 1e-6).floor() < enough {
            leaks.push(Leak {
                _what: (key.clone(), what),
                _range: (low, high),
            });
        }
    }
    leaks
}

/// What is left of each whole without its part, as kinds of records.
fn rests<'a>(
    relation: &NestedCount,
    kinds: &'a BTreeMap<(Key, Quantity), Vec<usize>>,
    protected: &Protected,
    rules: ShareRules,
) -> Vec<(&'a Key, Quantity, Vec<usize>)> {
    let quantity = |cases| match cases {
        CasesCounted::Population => Quantity::Population,
        CasesCounted::Eligible => Quantity::Eligible,
        CasesCounted::Excluded => Quantity::Excluded,
        CasesCounted::Hit => Quantity::Hit,
        CasesCounted::Miss => Quantity::Miss,
    };
    let [part, whole] = [relation.part.1, relation.whole.1].map(quantity);
    // In these worlds what is not judged by the one is of the population of both.
    let is_unjudged = part == Quantity::Eligible || whole == Quantity::Excluded;
    if relation.relation == Relation::Same || (rules.tells_unjudged && is_unjudged) {
        return Vec::new();
    }
    let mut rests = Vec::new();
    for ((key, what), places) in kinds {
        let mut of_part = key.clone();
        relation.part.0.clone_into(&mut of_part.measure);
        let is_withheld = [key, &of_part]
            .iter()
            .any(|key| protected.withholds(&(*key).into()));
        if key.measure == relation.whole.0 && *what == whole && !is_withheld {
            let parts = kinds.get(&(of_part, part)).map_or(&[][..], Vec::as_slice);
            let rest = places.iter().filter(|place| !parts.contains(place));
            rests.push((key, *what, rest.copied().collect()));
        }
    }
    rests
}

/// Small counts hidden and nothing else, which is what most tools do.
fn small_ones_only(counts: &CountTables, threshold: u64) -> Protected {
    let mut hidden = BTreeSet::new();
    let mut hide = |key: &Key, what, count: u64| {
        if (1..threshold).contains(&count) {
            hidden.insert((key.into(), what));
        }
    };
    for (key, row) in &counts.shares {
        hide(key, Quantity::Eligible, row.eligible);
        hide(key, Quantity::Hit, row.hit);
        hide(key, Quantity::Miss, row.eligible - row.hit);
        hide(key, Quantity::Excluded, row.excluded);
    }
    for (key, EventsCount { events, .. }) in &counts.events {
        hide(key, Quantity::Hit, *events);
    }
    Protected {
        hidden,
        ..Protected::default()
    }
}

fn protect_world(world: &World, rules: ShareRules) -> Protected {
    protected(&world.tables(), rules, &world.nested, MOST_CELLS)
}

const WORLDS: u64 = 240;

/// In 4 of the 750 among them whose tables go around in a circle, more than sums gave a count away
/// before such circles were opened; in 240 worlds there is none.
const MANY_WORLDS: u64 = 3000;

#[test]
fn no_small_count_can_be_recovered_from_what_is_published() {
    for number in 0..MANY_WORLDS {
        let world = world(number);
        let threshold = if number % 5 == 0 { 5 } else { 11 };
        let rules = ShareRules {
            threshold,
            tells_unjudged: number % 7 == 0,
        };
        let protected = protect_world(&world, rules);
        let leaks = leaks(&world, &protected, rules);
        assert!(leaks.is_empty(), "world {number}: {leaks:?}");
    }
}

#[test]
fn a_circle_is_opened_in_measures_that_hide_nothing_as_well() {
    let world = closed_by_another_measure();
    let protected = protect_world(&world, ShareRules::default());
    let leaks = leaks(&world, &protected, ShareRules::default());
    assert!(leaks.is_empty(), "{leaks:?}");
    let of_measure = |measure: &str| -> Vec<(String, bool)> {
        let withheld = protected
            .withheld()
            .filter(|table| table.measure == measure);
        withheld
            .map(|table| (table.by.clone(), table.is_monthly))
            .collect()
    };
    assert_eq!(of_measure("a").len(), 1);
    assert_eq!(of_measure("a"), of_measure("b"));
}

#[test]
fn no_small_count_can_be_recovered_where_too_many_hang_together() {
    let mut withheld = 0;
    for number in 0..WORLDS / 4 {
        let world = world(number);
        let rules = ShareRules::default();
        let few_at_a_time = protected(&world.tables(), rules, &world.nested, 24);
        withheld += few_at_a_time.withheld().count();
        let leaks = leaks(&world, &few_at_a_time, ShareRules::default());
        assert!(leaks.is_empty(), "world {number}: {leaks:?}");
    }
    assert!(withheld > 0);
}

#[test]
fn the_attack_finds_small_counts_where_only_these_are_hidden() {
    let mut with_small = 0;
    let mut found = 0;
    for number in 0..WORLDS {
        let world = world(number);
        let protected = small_ones_only(&world.tables(), 11);
        with_small += usize::from(protected.hidden().next().is_some());
        found += usize::from(!leaks(&world, &protected, ShareRules::default()).is_empty());
    }
    assert!(found * 10 > with_small * 8, "{found} of {with_small}");
}

#[test]
fn the_attack_finds_what_is_left_of_nested_counts_where_nobody_looks_at_them() {
    let mut found = 0;
    for number in 0..WORLDS {
        let world = world(number);
        let rules = ShareRules::default();
        let protected = protected(&world.tables(), rules, &[], MOST_CELLS);
        found += usize::from(!leaks(&world, &protected, rules).is_empty());
    }
    // In most worlds the small counts of the two measures hide what lies between as well.
    assert!(found >= 10, "{found} of {WORLDS}");
}

#[test]
fn something_is_left_to_publish() {
    let mut published = 0;
    let mut all = 0;
    for number in 0..WORLDS {
        let world = world(number);
        let tables = world.tables();
        let protected = protect_world(&world, ShareRules::default());
        for (key, row) in &tables.shares {
            let is_safe = |count: u64| count == 0 || count >= 11;
            let ShareCount {
                eligible,
                hit,
                excluded,
            } = *row;
            if [eligible, hit, eligible - hit, excluded]
                .into_iter()
                .all(is_safe)
            {
                all += 1;
                published += usize::from(protected.shows_row(&key.into()));
            }
        }
    }
    assert!(
        published * 4 > all,
        "{published} of {all} rows without a small count"
    );
}
