//! Which counts of different measures lie within each other by definition: found from generated
//! records and held to `sql/nested_counts.csv`.
//!
//! Knows no measure: a set of cases lies within another where it does so in all records, which are
//! so many and so odd that nothing but the definitions can be the reason.

use crate::generated;
use crate::records::{Records, Row};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rusqlite::Connection;
use rusqlite::types::Value;
use scopetally::domain::measure::{Definition, MeasureKind};
use scopetally::domain::nested_counts::{CasesCounted, nested_counts};
use scopetally::measure::{built_in, groupings};
use std::collections::BTreeMap;

const TABLE: &str = include_str!("../../sql/nested_counts.csv");

/// Each seed gives new records. With fewer, sets lie within each other by chance.
const SEEDS: u64 = 12;

/// A smaller set lies within many others by chance.
const FEWEST_CASES: usize = 60;

/// A count of a measure, in the order of the measures' names.
type Count = (String, CasesCounted);

/// A set of cases, one bit for each.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Cases(Vec<u64>);

impl Cases {
    fn insert(&mut self, case: usize) {
        if self.0.len() <= case / 64 {
            self.0.resize(case / 64 + 1, 0);
        }
        self.0[case / 64] |= 1 << (case % 64);
    }

    fn len(&self) -> usize {
        self.0.iter().map(|bits| bits.count_ones() as usize).sum()
    }

    fn is_within(&self, other: &Cases) -> bool {
        self.0.iter().enumerate().all(|(place, bits)| {
            let known = other.0.get(place).copied().unwrap_or_default();
            bits & !known == 0
        })
    }
}

/// The sets of cases behind all counts.
#[derive(Default)]
struct Counted {
    cases: BTreeMap<Count, Cases>,
    /// The value of each dimension in each case.
    values: BTreeMap<(String, usize), Value>,
}

impl Counted {
    fn add(&mut self, database: &Connection, measure: &Definition, first: usize) {
        let mut statement = database.prepare(&measure.sql).unwrap();
        let columns: Vec<String> = statement.column_names().map(String::from).collect();
        let column = |name: &str| columns.iter().position(|known| *known == name);
        let case_id = column("case_id").unwrap();
        let eligible = column("eligible").unwrap();
        let hit = column("hit").or(column("reached"));
        let is_per_pass = measure.kind == MeasureKind::ClusteredShare;
        let dimensions: Vec<_> = groupings()
            .iter()
            .flat_map(|grouping| grouping.dimensions.clone())
            // The device of a pass is not that of the case.
            .filter(|name| !is_per_pass || name != "device")
            .filter_map(|name| column(&name).map(|place| (name, place)))
            .collect();
        let mut judged: BTreeMap<usize, (bool, bool)> = BTreeMap::new();
        let mut rows = statement.query([]).unwrap();
        while let Some(row) = rows.next().unwrap() {
            let name: String = row.get(case_id).unwrap();
            let case = first
                + name
                    .strip_prefix("case ")
                    .unwrap()
                    .parse::<usize>()
                    .unwrap();
            let is_one = |place| row.get::<_, Option<i64>>(place).unwrap() == Some(1);
            let known = judged.entry(case).or_default();
            known.0 |= is_one(eligible);
            known.1 |= hit.is_none_or(is_one);
            for (name, place) in dimensions.iter().filter(|_| first <= 2500) {
                let value: Value = row.get(*place).unwrap();
                let known = self.values.entry((name.clone(), case));
                let known = known.or_insert_with(|| value.clone());
                assert_eq!(*known, value, "{name} of {}", measure.id);
            }
        }
        for (case, (is_eligible, is_hit)) in judged {
            let results = match (measure.kind, is_eligible) {
                (MeasureKind::Count, _) => vec![CasesCounted::Hit],
                (_, false) => vec![CasesCounted::Population, CasesCounted::Excluded],
                (MeasureKind::ClusteredShare, true) => {
                    vec![CasesCounted::Population, CasesCounted::Eligible]
                }
                (_, true) => vec![
                    CasesCounted::Population,
                    CasesCounted::Eligible,
                    if is_hit {
                        CasesCounted::Hit
                    } else {
                        CasesCounted::Miss
                    },
                ],
            };
            for result in results {
                let count = (measure.id.clone(), result);
                self.cases.entry(count).or_default().insert(case);
            }
        }
    }

    /// The lines of the table.
    fn lines(&self) -> Vec<String> {
        let mut alike: Vec<(Vec<&Count>, &Cases)> = Vec::new();
        for (count, cases) in &self.cases {
            match alike.iter_mut().find(|(_, known)| *known == cases) {
                Some((counts, _)) => counts.push(count),
                None => alike.push((vec![count], cases)),
            }
        }
        let mut lines = Vec::new();
        let mut add = |part: &Count, relation: &str, whole: &Count| {
            let (part, count) = (&part.0, part.1.code());
            lines.push(format!(
                "{part},{count},{relation},{},{}",
                whole.0,
                whole.1.code()
            ));
        };
        for (counts, _) in &alike {
            // The first count of each other measure; those of one measure follow by themselves.
            for (place, count) in counts.iter().enumerate().skip(1) {
                if counts[..place].iter().all(|known| known.0 != count.0) {
                    add(count, "same", counts[0]);
                }
            }
        }
        let is_within: Vec<Vec<bool>> = alike
            .iter()
            .map(|(_, part)| {
                let wholes = alike.iter();
                wholes
                    .map(|(_, whole)| part != whole && part.is_within(whole))
                    .collect()
            })
            .collect();
        for (part, wholes) in is_within.iter().enumerate() {
            for whole in (0..alike.len()).filter(|whole| wholes[*whole]) {
                let is_direct = !(0..alike.len()).any(|it| wholes[it] && is_within[it][whole]);
                let (parts, wholes) = (&alike[part].0, &alike[whole].0);
                let is_of_one_measure = parts
                    .iter()
                    .any(|one| wholes.iter().any(|other| one.0 == other.0));
                if is_direct && !is_of_one_measure {
                    add(parts[0], "within", wholes[0]);
                }
            }
        }
        lines.sort_unstable();
        lines
    }
}

/// A case as ingest would let it through, where the columns of windows fit each other and windows
/// count from arrival, as they do unless a mapping says otherwise.
fn as_read(case: Row, rng: &mut ChaCha8Rng) -> Option<Row> {
    // Rare combinations of blanks are what tells most definitions apart.
    let is_sparse = rng.random_bool(0.5);
    let mut case: Row = case
        .into_iter()
        .filter(|(column, _)| {
            ALWAYS.contains(&column.as_str()) || !is_sparse || rng.random_bool(0.5)
        })
        .collect();
    if ALWAYS.iter().any(|column| !case.contains_key(*column)) {
        return None;
    }
    let minutes = |column: &str| case.get(column).map(|cell| cell.parse::<i64>().unwrap());
    let has_window = case.contains_key("window_id");
    if !has_window || minutes("window_minutes") <= minutes("preferred_minutes") {
        case.remove("preferred_minutes");
    }
    if !has_window {
        case.remove("window_minutes");
    }
    let is_on_ward = case.get("setting").is_some_and(|setting| setting == "ward");
    match case.get("arrived_minute").filter(|_| !is_on_ward).cloned() {
        Some(arrived) => case.insert("window_start_minute".into(), arrived),
        None => case.remove("window_start_minute"),
    };
    Some(case)
}

/// Passes of which some lack the same cells throughout their case.
fn with_blanks(mut passes: Vec<Row>, rng: &mut ChaCha8Rng) -> Vec<Row> {
    for of_case in passes.chunk_by_mut(|one, other| one["case_id"] == other["case_id"]) {
        for column in ["pass_number", "device", "result", "malfunction"] {
            if rng.random_bool(0.2) {
                for pass in of_case.iter_mut() {
                    pass.remove(column);
                }
            }
        }
    }
    passes
}

/// Columns without which ingest accepts no case, and the month, which follows from the call.
const ALWAYS: [&str; 5] = [
    "case_id",
    "presentation",
    "called_minute",
    "month",
    "urgency",
];

fn counted(seeds: u64) -> Counted {
    let mut counted = Counted::default();
    for seed in 1..=seeds {
        let (cases, passes) = generated::rows(seed);
        let first = usize::try_from(seed).unwrap() * cases.len();
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        let cases = cases.into_iter().filter_map(|case| as_read(case, &mut rng));
        let cases: Vec<Row> = cases.collect();
        let passes = with_blanks(passes, &mut rng);
        let database = Records::new(&cases, &passes).to_sqlite();
        for measure in built_in() {
            counted.add(&database, &measure, first);
        }
    }
    counted
}

#[test]
fn counts_that_lie_within_each_other_stand_in_the_table() {
    let seeds = std::env::var("SCOPETALLY_SEEDS").map_or(SEEDS, |text| text.parse().unwrap());
    let counted = counted(seeds);
    for (count, cases) in &counted.cases {
        let size = cases.len();
        assert!(size >= FEWEST_CASES, "{count:?}: {size} cases");
    }
    let found = counted.lines();
    let known: Vec<&str> = TABLE.lines().skip(1).collect();
    let to_add = found.iter().filter(|line| !known.contains(&line.as_str()));
    let to_remove = known
        .iter()
        .filter(|line| !found.iter().any(|it| it == *line));
    let changes: Vec<String> = to_add
        .map(|line| format!("add    {line}"))
        .chain(to_remove.map(|line| format!("remove {line}")))
        .collect();
    assert!(changes.is_empty(), "{}", changes.join("\n"));
    assert_eq!(nested_counts().len(), known.len());
}
