//! Count tables → the counts that are or could be published, one by one, and the tables in which
//! they stand, by dimensions.

use super::Place;
use super::Quantity;
use super::ShareRules;
use super::TableName;
use crate::domain::counts::{ALL, CountTables, Key, MinutesCount, PassesCount, ShareCount};
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// The month as a dimension among others.
const MONTH: &str = "month";

/// One row of a table: the numbers of its counts among all.
pub(super) struct Row {
    pub(super) numbers: BTreeMap<Quantity, usize>,
    /// The value of each dimension, in the order of the dimensions of the table.
    pub(super) values: Vec<String>,
}

/// One table of one measure.
pub(super) struct Table {
    pub(super) name: TableName,
    /// Dimensions with the month among them, in the order of the values.
    pub(super) dimensions: Vec<String>,
    pub(super) rows: Vec<Row>,
    /// A group does not tell the values of its dimensions apart, because one has a `|` in it.
    is_unreadable: bool,
    /// Nobody publishes it, but two tables that are published add up to it.
    is_implied: bool,
}

/// One count of one row.
pub(super) struct Count {
    pub(super) place: Place,
    pub(super) what: Quantity,
    /// How many.
    pub(super) size: u64,
    /// Whether outputs hold it. What they do not hold may follow from what they do.
    pub(super) is_published: bool,
    /// Whether it is to be protected where it is small.
    pub(super) is_sensitive: bool,
}

/// All tables of a run, without those that are withheld.
pub(super) struct Tables {
    pub(super) of_measures: BTreeMap<String, Vec<Table>>,
    /// Every count, in the order of its number.
    pub(super) counts: Vec<Count>,
}

impl Tables {
    /// Tables of several dimensions whose groups cannot be taken apart.
    pub(super) fn unreadable(&self) -> impl Iterator<Item = &TableName> {
        let all = self.of_measures.values().flatten();
        all.filter(|table| table.is_unreadable)
            .map(|table| &table.name)
    }

    /// Whether each case stands in one row of a table only. In a share per pass, a case with passes
    /// of two devices stands in both their rows.
    pub(super) fn has_whole_cases(&self, table: &Table) -> bool {
        let cases = |table: &Table| -> u64 {
            let numbers = table.rows.iter();
            numbers
                .filter_map(|row| row.numbers.get(&Quantity::Population))
                .map(|number| self.counts[*number].size)
                .sum()
        };
        let is_per_pass = |row: &Row| row.numbers.contains_key(&Quantity::Attempts);
        !table.rows.iter().any(is_per_pass)
            || self.published().any(|all| {
                all.name.measure == table.name.measure
                    && all.dimensions.is_empty()
                    && cases(all) == cases(table)
            })
    }

    /// The tables to withhold when the counts `numbers` cannot be dealt with one by one: of the
    /// splits by the most dimensions in which they stand, the one that holds most of them, for every
    /// measure that it holds one of.
    pub(super) fn deepest(&self, numbers: &BTreeSet<usize>) -> Vec<TableName> {
        let mut splits: BTreeMap<(usize, &str, bool), (usize, Vec<&Table>)> = BTreeMap::new();
        for table in self.published() {
            let rows = table.rows.iter();
            let held = rows
                .flat_map(|row| row.numbers.values())
                .filter(|number| numbers.contains(number))
                .count();
            if held > 0 {
                let name = &table.name;
                let split = (table.dimensions.len(), name.by.as_str(), name.is_monthly);
                let (of_split, tables) = splits.entry(split).or_default();
                *of_split += held;
                tables.push(table);
            }
        }
        let deepest = splits
            .iter()
            .max_by_key(|((depth, ..), (held, _))| (*depth, *held));
        deepest.map_or_else(Vec::new, |(_, (_, tables))| self.with_finer(tables))
    }

    /// Tables of several dimensions, or by months, in which most rows that are not empty hold a small
    /// count: the few others would be hidden for their sake. And tables of one dimension in which one row
    /// alone is not empty and holds one: the others would tell of which group the few cases are.
    pub(super) fn mostly_small(&self, rules: ShareRules) -> Vec<TableName> {
        let is_small = |number: &usize| {
            let count = &self.counts[*number];
            count.is_sensitive && rules.is_small(count.size)
        };
        let is_empty = |row: &&Row| row.numbers.values().all(|it| self.counts[*it].size == 0);
        let tables: Vec<&Table> = self
            .published()
            .filter(|table| {
                let rows = table.rows.iter().filter(|row| !is_empty(row));
                let small = rows
                    .clone()
                    .filter(|row| row.numbers.values().any(is_small));
                let (small, rows) = (small.count(), rows.count());
                match table.dimensions.len() {
                    0 | 1 if table.name.is_monthly => small * 2 > rows,
                    0 => false,
                    1 => rows == 1 && small == 1,
                    _ => small * 2 > rows,
                }
            })
            .collect();
        self.with_finer(&tables)
    }

    /// Every row that outputs may hold.
    pub(super) fn published_rows(&self) -> impl Iterator<Item = (&Table, &Row)> {
        self.published()
            .flat_map(|table| table.rows.iter().map(move |row| (table, row)))
    }

    /// The tables that outputs may hold.
    pub(super) fn published(&self) -> impl Iterator<Item = &Table> {
        let all = self.of_measures.values().flatten();
        all.filter(|table| !table.is_implied)
    }

    /// Tables, and those of the same measures that would give them away by adding up.
    pub(super) fn with_finer(&self, tables: &[&Table]) -> Vec<TableName> {
        self.published()
            .filter(|table| {
                tables.iter().any(|coarse| {
                    coarse.name.measure == table.name.measure && coarse.is_within(table)
                })
            })
            .map(|table| table.name.clone())
            .collect()
    }
}

impl Table {
    /// Whether every dimension of this table is one of `finer`, so that rows of `finer` add up to
    /// rows of this one.
    pub(super) fn is_within(&self, finer: &Table) -> bool {
        let mut dimensions = self.dimensions.iter();
        dimensions.all(|dimension| finer.dimensions.contains(dimension))
    }

    fn common(&self, other: &Table) -> Vec<String> {
        let dimensions = self.dimensions.iter();
        dimensions
            .filter(|dimension| other.dimensions.contains(dimension))
            .cloned()
            .collect()
    }

    /// The table of some of the dimensions of this one.
    fn added_up(&self, dimensions: Vec<String>, counts: &mut Vec<Count>) -> Table {
        let names: Vec<&str> = dimensions.iter().map(String::as_str).collect();
        let is_month = |name: &&str| *name == MONTH;
        let without_month: Vec<&str> = names.iter().copied().filter(|it| !is_month(it)).collect();
        let mut table = Table {
            name: TableName {
                measure: self.name.measure.clone(),
                by: if without_month.is_empty() {
                    ALL.to_owned()
                } else {
                    without_month.join("+")
                },
                is_monthly: names.iter().any(is_month),
            },
            rows: Vec::new(),
            is_unreadable: false,
            is_implied: true,
            dimensions,
        };
        let mut rows: BTreeMap<Vec<String>, BTreeMap<Quantity, u64>> = BTreeMap::new();
        for row in &self.rows {
            let values = self.dimensions.iter().zip(&row.values);
            let values = values.filter(|(dimension, _)| table.dimensions.contains(dimension));
            let values = values.map(|(_, value)| value.clone()).collect();
            let sums = rows.entry(values).or_default();
            let is_per_pass = row.numbers.contains_key(&Quantity::Attempts);
            for (what, number) in &row.numbers {
                // Passes add up over any dimension, their cases do not.
                if !is_per_pass || what.is_of_passes() {
                    *sums.entry(*what).or_default() += counts[*number].size;
                }
            }
        }
        for (values, sums) in rows {
            let place = Place {
                measure: table.name.measure.clone(),
                by: table.name.by.clone(),
                group: values.join("|"),
                month: None,
            };
            let mut numbers = BTreeMap::new();
            for (what, count) in sums {
                numbers.insert(what, counts.len());
                counts.push(Count {
                    place: place.clone(),
                    what,
                    size: count,
                    is_published: false,
                    is_sensitive: false,
                });
            }
            table.rows.push(Row { numbers, values });
        }
        table
    }
}

/// Whether a table has these dimensions and no others.
fn has_all(table: &Table, dimensions: &[String]) -> bool {
    table.dimensions.len() == dimensions.len()
        && dimensions.iter().all(|it| table.dimensions.contains(it))
}

/// The tables of `counts` but for those that are `withheld`.
pub(super) fn tables(
    counts: &CountTables,
    withheld: &BTreeSet<TableName>,
    rules: ShareRules,
) -> Tables {
    let mut tables = Tables {
        of_measures: BTreeMap::new(),
        counts: Vec::new(),
    };
    let shares = counts.shares.iter().map(|(key, row)| (key, of_share(*row)));
    let minutes = counts.minutes.iter();
    let minutes = minutes.map(|(key, row)| (key, of_minutes(row)));
    let passes = counts.passes.iter().map(|(key, row)| (key, of_passes(row)));
    let events = counts.events.iter();
    let events = events.map(|(key, row)| (key, vec![(Quantity::Hit, row.events)]));
    for (key, row) in shares.chain(minutes).chain(passes).chain(events) {
        if !withheld.contains(&TableName::from(key)) {
            tables.add(key, row, rules);
        }
    }
    tables.add_implied();
    tables
}

impl Tables {
    fn add(&mut self, key: &Key, row: Vec<(Quantity, u64)>, rules: ShareRules) {
        let name = TableName::from(key);
        let mut dimensions: Vec<String> = if key.by == ALL {
            Vec::new()
        } else {
            key.by.split('+').map(String::from).collect()
        };
        let mut values: Vec<String> = match dimensions.len() {
            0 => Vec::new(),
            1 => vec![key.group.clone()],
            _ => key.group.split('|').map(String::from).collect(),
        };
        let is_unreadable = values.len() != dimensions.len();
        if let Some(month) = key.month {
            dimensions.push(MONTH.to_owned());
            values.push(month.to_string());
        }
        let mut numbers = BTreeMap::new();
        for (what, count) in row {
            numbers.insert(what, self.counts.len());
            self.counts.push(Count {
                place: Place::from(key),
                what,
                size: count,
                is_published: what.is_published(),
                is_sensitive: rules.protects(what),
            });
        }
        // Counts of two versions of a measure never mix.
        let measure = format!("{} {}", key.measure, key.version);
        let of_measure = self.of_measures.entry(measure).or_default();
        // Keys come in order, so that the table of the last row is mostly the table of this one.
        let known = of_measure.iter().rposition(|table| table.name == name);
        let place = known.unwrap_or_else(|| {
            of_measure.push(Table {
                name,
                dimensions,
                rows: Vec::new(),
                is_unreadable: false,
                is_implied: false,
            });
            of_measure.len() - 1
        });
        of_measure[place].rows.push(Row { numbers, values });
        of_measure[place].is_unreadable |= is_unreadable;
    }

    /// Two tables that have dimensions in common add up to one table of these, published or not. It
    /// is added for every pair, so that what the two say about each other stands in the sums.
    fn add_implied(&mut self) {
        for of_measure in self.of_measures.values_mut() {
            let mut place = 0;
            while place < of_measure.len() {
                for other in 0..place {
                    let common = of_measure[place].common(&of_measure[other]);
                    if !of_measure.iter().any(|table| has_all(table, &common)) {
                        let implied = of_measure[place].added_up(common, &mut self.counts);
                        of_measure.push(implied);
                    }
                }
                place += 1;
            }
        }
    }
}

fn of_share(row: ShareCount) -> Vec<(Quantity, u64)> {
    let hit = row.hit.min(row.eligible);
    vec![
        (
            Quantity::Population,
            row.eligible.saturating_add(row.excluded),
        ),
        (Quantity::Eligible, row.eligible),
        (Quantity::Excluded, row.excluded),
        (Quantity::Hit, hit),
        (Quantity::Miss, row.eligible - hit),
    ]
}

fn of_minutes(row: &MinutesCount) -> Vec<(Quantity, u64)> {
    let of = |end: bool| -> u64 {
        let cases = row.cases.iter().filter(|((_, reached), _)| *reached == end);
        cases.map(|(_, cases)| cases).sum()
    };
    of_share(ShareCount {
        eligible: of(true) + of(false),
        hit: of(true),
        excluded: row.excluded,
    })
}

fn of_passes(row: &PassesCount) -> Vec<(Quantity, u64)> {
    let cases: u64 = row.cases.values().sum();
    let (hits, attempts) = row.passes();
    vec![
        (Quantity::Population, cases + row.excluded),
        (Quantity::Eligible, cases),
        (Quantity::Excluded, row.excluded),
        (Quantity::Hit, hits),
        (Quantity::Miss, attempts.saturating_sub(hits)),
        (Quantity::Attempts, attempts),
    ]
}
