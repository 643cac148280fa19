//! The rows of a measure → its counts by every grouping, in one pass over the rows for each.
//!
//! Counts what [`super::count_query`] says in SQL, which the second engine of the tests runs. One
//! query for each grouping took most of the time of a review: hundreds of plans for a few hundred rows.

use super::groupings::Grouping;
use crate::domain::codes::NOT_RECORDED;
use crate::domain::counts::{
    ALL, Additive, CountTables, Key, MinutesCount, PassesCount, ShareCount,
};
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::month::Month;
use foldhash::quality::FixedState;
use hashbrown::HashMap;
use polars::prelude::{DataFrame, DataType};
use std::collections::BTreeMap;

/// Numbers by key. Listed only into sorted maps, so its order reaches nothing.
type Numbers<K, V> = HashMap<K, V, FixedState>;

/// The rows of one measure, column by column.
pub(super) struct MeasureRows<'a> {
    frame: &'a DataFrame,
    eligible: Vec<Option<i64>>,
    /// What is counted of each row.
    judged: Judged,
    /// Columns by which rows were split already, each with its values.
    columns: BTreeMap<String, Labels>,
}

/// The whole-number columns of a kind of measure beside `eligible`.
enum Judged {
    Share {
        hits: Vec<Option<i64>>,
    },
    Minutes {
        minutes: Vec<Option<i64>>,
        reached: Vec<Option<i64>>,
    },
    ClusteredShare {
        hits: Vec<Option<i64>>,
    },
    Count,
}

/// A column of text as numbers of its different values.
struct Labels {
    number_of_row: Vec<usize>,
    values: Vec<Option<String>>,
}

/// The group of every row under one grouping.
struct Groups {
    number_of_row: Vec<usize>,
    /// Of each group its key; `None` for rows without a month where months are counted apart.
    keys: Vec<Option<Key>>,
}

impl<'a> MeasureRows<'a> {
    /// The rows of a measure whose contract was checked; `None` when a column that is counted is none
    /// of whole numbers.
    pub(super) fn new(frame: &'a DataFrame, kind: MeasureKind) -> Option<MeasureRows<'a>> {
        let column = |name| whole_numbers(frame, name);
        Some(MeasureRows {
            eligible: column("eligible")?,
            judged: match kind {
                MeasureKind::Share => Judged::Share {
                    hits: column("hit")?,
                },
                MeasureKind::Minutes => Judged::Minutes {
                    minutes: column("minutes")?,
                    reached: column("reached")?,
                },
                MeasureKind::ClusteredShare => Judged::ClusteredShare {
                    hits: column("hit")?,
                },
                MeasureKind::Count => Judged::Count,
            },
            columns: BTreeMap::new(),
            frame,
        })
    }

    /// Adds the counts of one grouping, whose columns the measure selects; `None` when a column is of
    /// another type than the contract says.
    pub(super) fn count(
        &mut self,
        measure: &Definition,
        grouping: &Grouping,
        tables: &mut CountTables,
    ) -> Option<()> {
        let groups = self.groups(measure, grouping)?;
        if matches!(self.judged, Judged::ClusteredShare { .. }) {
            self.read_labels("case_id")?;
        }
        let is_eligible = |row: usize| self.eligible[row] == Some(1);
        match &self.judged {
            Judged::Share { hits } => {
                let mut counts = vec![ShareCount::default(); groups.keys.len()];
                for (row, group) in groups.number_of_row.iter().enumerate() {
                    let count = &mut counts[*group];
                    if is_eligible(row) {
                        count.eligible += 1;
                        count.hit += u64::from(hits[row] == Some(1));
                    } else {
                        count.excluded += 1;
                    }
                }
                for (key, count) in groups.named(counts) {
                    tables.shares.entry(key).or_default().add(&count);
                }
            }
            Judged::Count => {
                let mut counts = vec![0; groups.keys.len()];
                for (row, group) in groups.number_of_row.iter().enumerate() {
                    counts[*group] += u64::from(is_eligible(row));
                }
                for (key, events) in groups.named(counts) {
                    tables.events.entry(key).or_default().events += events;
                }
            }
            Judged::Minutes { minutes, reached } => {
                let mut counts = vec![MinutesCount::default(); groups.keys.len()];
                let mut cases = Numbers::default();
                for (row, group) in groups.number_of_row.iter().enumerate() {
                    match minutes[row].filter(|_| is_eligible(row)) {
                        Some(minutes) => {
                            let length = (*group, minutes, reached[row] == Some(1));
                            *cases.entry(length).or_insert(0) += 1;
                        }
                        None => counts[*group].excluded += 1,
                    }
                }
                for ((group, minutes, reached), count) in cases {
                    counts[group].cases.insert((minutes, reached), count);
                }
                for (key, count) in groups.named(counts) {
                    tables.minutes.entry(key).or_default().add(&count);
                }
            }
            Judged::ClusteredShare { hits } => {
                let cases = &self.columns["case_id"];
                let mut per_case: Numbers<_, (u64, u64)> = Numbers::default();
                for (row, group) in groups.number_of_row.iter().enumerate() {
                    let of_case = (*group, cases.number_of_row[row]);
                    let (events, attempts) = per_case.entry(of_case).or_default();
                    if is_eligible(row) {
                        *events += u64::from(hits[row] == Some(1));
                        *attempts += 1;
                    }
                }
                let mut counts = vec![PassesCount::default(); groups.keys.len()];
                for ((group, _), (events, attempts)) in per_case {
                    if attempts == 0 {
                        counts[group].excluded += 1;
                    } else {
                        *counts[group].cases.entry((events, attempts)).or_default() += 1;
                    }
                }
                for (key, count) in groups.named(counts) {
                    tables.passes.entry(key).or_default().add(&count);
                }
            }
        }
        Some(())
    }

    fn groups(&mut self, measure: &Definition, grouping: &Grouping) -> Option<Groups> {
        let columns: Vec<_> = grouping.columns().collect();
        for column in &columns {
            self.read_labels(column)?;
        }
        let columns: Vec<_> = columns
            .iter()
            .map(|column| &self.columns[*column])
            .collect();
        let height = self.frame.height();
        let mut groups = Groups {
            number_of_row: Vec::with_capacity(height),
            keys: Vec::new(),
        };
        let combinations = columns.iter().try_fold(1_usize, |product, labels| {
            product.checked_mul(labels.values.len())
        })?;
        let mut numbers = GroupNumbers::new(combinations, height);
        for row in 0..height {
            // Values of the columns as the digits of one number.
            let combined = columns.iter().fold(0, |sum, labels| {
                sum * labels.values.len() + labels.number_of_row[row]
            });
            let next = groups.keys.len();
            let number = numbers.of(combined, next);
            if number == next {
                let values: Vec<_> = columns
                    .iter()
                    .map(|labels| labels.values[labels.number_of_row[row]].clone())
                    .collect();
                groups.keys.push(key(measure, grouping, &values));
            }
            groups.number_of_row.push(number);
        }
        // Shares and events of nothing are zeros, not nothing.
        let is_sum = matches!(measure.kind, MeasureKind::Share | MeasureKind::Count);
        if height == 0 && columns.is_empty() && is_sum {
            groups.keys.push(key(measure, grouping, &[]));
        }
        Some(groups)
    }

    /// Reads the values of a column of text, once.
    fn read_labels(&mut self, column: &str) -> Option<()> {
        if !self.columns.contains_key(column) {
            let labels = Labels::of(self.frame, column)?;
            self.columns.insert(column.to_string(), labels);
        }
        Some(())
    }
}

/// The number of the group of each combination of values.
enum GroupNumbers {
    /// By place: as quick as can be, where most combinations can be expected to occur.
    Listed(Vec<usize>),
    Hashed(Numbers<usize, usize>),
}

impl GroupNumbers {
    fn new(combinations: usize, rows: usize) -> GroupNumbers {
        if combinations <= rows {
            GroupNumbers::Listed(vec![usize::MAX; combinations])
        } else {
            GroupNumbers::Hashed(Numbers::default())
        }
    }

    /// The number of a combination, which is `next` when it comes for the first time.
    fn of(&mut self, combined: usize, next: usize) -> usize {
        let number = match self {
            GroupNumbers::Listed(numbers) => &mut numbers[combined],
            GroupNumbers::Hashed(numbers) => numbers.entry(combined).or_insert(usize::MAX),
        };
        if *number == usize::MAX {
            *number = next;
        }
        *number
    }
}

impl Labels {
    fn of(frame: &DataFrame, column: &str) -> Option<Labels> {
        let column = frame.column(column).ok()?.cast(&DataType::String).ok()?;
        let texts = column.str().ok()?;
        let mut numbers: Numbers<Option<&str>, usize> = Numbers::default();
        let mut values = Vec::new();
        let number_of_row = texts
            .iter()
            .map(|text| {
                *numbers.entry(text).or_insert_with(|| {
                    values.push(text.map(String::from));
                    values.len() - 1
                })
            })
            .collect();
        Some(Labels {
            number_of_row,
            values,
        })
    }
}

impl Groups {
    fn named<C>(self, counts: Vec<C>) -> impl Iterator<Item = (Key, C)> {
        let named = self.keys.into_iter().zip(counts);
        named.filter_map(|(key, count)| Some((key?, count)))
    }
}

/// The values of a whole-number column of any width; `None` when it is of another type.
pub(super) fn whole_numbers(frame: &DataFrame, column: &str) -> Option<Vec<Option<i64>>> {
    let column = frame.column(column).ok()?;
    // A column of nothing but nulls has no type of its own.
    if !(column.dtype().is_integer() || *column.dtype() == DataType::Null) {
        return None;
    }
    let column = column.cast(&DataType::Int64).ok()?;
    Some(column.i64().ok()?.iter().collect())
}

/// The values of a column of text; `None` when it is of another type.
pub(super) fn texts(frame: &DataFrame, column: &str) -> Option<Vec<Option<String>>> {
    let column = frame.column(column).ok()?.cast(&DataType::String).ok()?;
    let texts = column.str().ok()?;
    Some(texts.iter().map(|text| text.map(String::from)).collect())
}

/// The key of one row of counts; `dimensions` holds their values and then, if monthly, the month.
/// `None` for a row without a month where months are counted apart: under a key without a month it
/// would be added to all months together, where it stands already.
pub(super) fn key(
    measure: &Definition,
    grouping: &Grouping,
    dimensions: &[Option<String>],
) -> Option<Key> {
    let value = |value: &Option<String>| value.clone().unwrap_or_else(|| NOT_RECORDED.into());
    let month = if grouping.is_monthly {
        Some(dimensions.last()?.as_ref()?.parse::<Month>().ok()?)
    } else {
        None
    };
    let group: Vec<_> = dimensions[..grouping.dimensions.len()]
        .iter()
        .map(value)
        .collect();
    Some(Key {
        measure: measure.id.clone(),
        version: measure.version,
        by: grouping.by(),
        group: if group.is_empty() {
            ALL.into()
        } else {
            group.join("|")
        },
        month,
    })
}
