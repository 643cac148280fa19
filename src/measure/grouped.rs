//! The rows of a measure → its counts by every grouping.
//!
//! Counts what [`super::count_query`] says in SQL, which the second engine of the tests runs. Rows are
//! added to the cells of a few bases, chunk by chunk; the groups of every grouping are added up from
//! these once, at the end.

use super::alike::Spread;
use super::bases::{Base, SplitColumn, bases};
use super::cells::{Cells, Detail, Details, EXCLUDED};
use super::chunk::{Chunk, add_digit};
use super::groupings::Grouping;
use super::judged::{Flag, Judged, all};
use super::words::Words;
use crate::domain::codes::NOT_RECORDED;
use crate::domain::counts::{
    ALL, Additive, CountTables, EventsCount, Key, MinutesCount, PassesCount, ShareCount,
};
use crate::domain::fields::CaseField;
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::month::Month;
use polars::prelude::{DataFrame, DataType};
use std::collections::{BTreeMap, BTreeSet};

/// The values of columns of cases, by which rows are split.
pub(super) type WordsOfCases = BTreeMap<CaseField, Words>;

/// The rows of a measure, of some cases.
pub(super) struct Rows {
    /// The number of the case of each row.
    pub(super) cases: Vec<u32>,
    /// What each is worth.
    pub(super) judged: Judged,
    /// The columns of [`Sums::columns`].
    pub(super) columns: Vec<Vec<u32>>,
}

impl Rows {
    /// Rows whose cases are numbers of kinds, given to every case: `of_cases` holds the kind of each, and
    /// `numbers` the number of each kind.
    pub(super) fn spread(&self, of_cases: &[u32], numbers: &[u32], count: usize) -> Rows {
        let Spread { cases, rows } = Spread::new(of_cases, numbers, &self.cases, count);
        let column = |column: &Vec<u32>| rows.iter().map(|row| column[*row as usize]).collect();
        Rows {
            cases,
            judged: self.judged.of_rows(&rows),
            columns: self.columns.iter().map(column).collect(),
        }
    }

    /// Adds rows of the same measure.
    pub(super) fn append(&mut self, mut rows: Rows) {
        self.cases.append(&mut rows.cases);
        self.judged.append(rows.judged);
        for (column, of_rows) in self.columns.iter_mut().zip(&mut rows.columns) {
            column.append(of_rows);
        }
    }
}

/// What the rows of one measure came to so far.
pub(super) struct Sums {
    kind: MeasureKind,
    /// The values of the columns of the rows themselves.
    words: BTreeMap<String, Words>,
    bases: Vec<(Base, Cells)>,
}

impl Sums {
    /// Nothing yet, of a measure with these groupings that hands on these columns of its cases.
    pub(super) fn new(
        kind: MeasureKind,
        groupings: &[Grouping],
        handed_on: &BTreeSet<CaseField>,
    ) -> Sums {
        use crate::domain::fields::Field as _;
        let bases = bases(kind, groupings, |name| {
            let mut fields = handed_on.iter();
            match fields.find(|field| field.column() == name) {
                Some(field) => SplitColumn::OfCase(*field),
                None => SplitColumn::OfRow(name.to_owned()),
            }
        });
        let of_rows = bases.iter().flat_map(|base| &base.columns);
        let words = of_rows
            .filter_map(|column| match column {
                SplitColumn::OfRow(name) => Some((name.clone(), Words::default())),
                SplitColumn::OfCase(_) => None,
            })
            .collect();
        let details = match kind {
            MeasureKind::Share | MeasureKind::Count => Details::Flags,
            MeasureKind::Minutes => Details::Minutes,
            MeasureKind::ClusteredShare => Details::Passes,
        };
        let bases = bases.into_iter().map(|base| {
            let cells = Cells::new(base.columns.len(), details);
            (base, cells)
        });
        Sums {
            kind,
            words,
            bases: bases.collect(),
        }
    }

    /// The groupings that are counted.
    pub(super) fn groupings(&self) -> impl Iterator<Item = &Grouping> {
        let groupings = self.bases.iter().flat_map(|(base, _)| &base.groupings);
        groupings.map(|(grouping, _)| grouping)
    }

    /// The columns that are read from the rows themselves.
    pub(super) fn columns_of_rows(&self) -> impl Iterator<Item = &str> {
        self.words.keys().map(String::as_str)
    }

    /// The columns by which rows are split that are of the rows themselves, in the order of their names:
    /// the number of the value of each row; `None` when a column is of another type than the contract says.
    pub(super) fn columns(&mut self, frame: &DataFrame) -> Option<Vec<Vec<u32>>> {
        let columns = self.words.iter_mut().map(|(name, words)| {
            let column = frame.column(name).ok()?.cast(&DataType::String).ok()?;
            Some(words.numbers_of(column.str().ok()?.iter()))
        });
        columns.collect()
    }

    /// Adds the rows of a chunk; `None` when there are more cells than can be told apart.
    pub(super) fn add(&mut self, chunk: &Chunk<'_>, rows: &Rows) -> Option<()> {
        let names = self.words.keys().map(String::as_str);
        let of_rows: BTreeMap<&str, &[u32]> =
            names.zip(rows.columns.iter().map(Vec::as_slice)).collect();
        let order = in_order_of_cases(self.kind, &rows.cases);
        for (base, cells) in &mut self.bases {
            let values = |column: &SplitColumn| match column {
                SplitColumn::OfCase(field) => chunk.words(*field).count(),
                SplitColumn::OfRow(name) => self.words[name].count(),
            };
            cells.make_room(&base.columns.iter().map(values).collect::<Vec<_>>())?;
            // Columns of cases stand before those of rows.
            let fields: Vec<_> = base
                .columns
                .iter()
                .filter_map(|column| match column {
                    SplitColumn::OfCase(field) => Some(*field),
                    SplitColumn::OfRow(_) => None,
                })
                .collect();
            let mut cells_of_rows = if fields.is_empty() {
                vec![0; rows.cases.len()]
            } else {
                let of_cases = chunk.cells(&fields);
                let cases = rows.cases.iter();
                all(cases.map(|number| of_cases.get(*number as usize).copied()))?
            };
            for column in &base.columns {
                if let SplitColumn::OfRow(name) = column {
                    let radix = self.words[name].count().max(1) as u64;
                    add_digit(&mut cells_of_rows, radix, of_rows[name.as_str()]);
                }
            }
            match &rows.judged {
                Judged::Minutes(lengths) => {
                    for (cell, length) in cells_of_rows.iter().zip(lengths) {
                        let detail = length.map_or(EXCLUDED, |(minutes, is_reached)| {
                            (minutes, u64::from(is_reached))
                        });
                        cells.add(*cell, detail, 1);
                    }
                }
                Judged::Flags(flags) => match &order {
                    Some(order) => add_passes(cells, order, &rows.cases, &cells_of_rows, flags),
                    None => {
                        for (cell, flag) in cells_of_rows.iter().zip(flags) {
                            cells.add(*cell, (0, *flag as u64), 1);
                        }
                    }
                },
            }
        }
        Some(())
    }

    /// The counts by every grouping.
    pub(super) fn tables(&self, measure: &Definition, of_cases: &WordsOfCases) -> CountTables {
        let mut tables = CountTables::default();
        for (base, cells) in &self.bases {
            let words: Vec<&Words> = base
                .columns
                .iter()
                .map(|column| match column {
                    SplitColumn::OfCase(field) => &of_cases[field],
                    SplitColumn::OfRow(name) => &self.words[name],
                })
                .collect();
            for (grouping, positions) in &base.groupings {
                let mut groups: BTreeMap<Vec<u64>, Group> = BTreeMap::new();
                let mut digits = Vec::new();
                let mut wanted = Vec::new();
                cells.each(|cell, detail, count| {
                    cells.digits(cell, &mut digits);
                    wanted.clear();
                    wanted.extend(positions.iter().map(|position| digits[*position]));
                    match groups.get_mut(&wanted) {
                        Some(group) => group.push((detail, count)),
                        None => drop(groups.insert(wanted.clone(), vec![(detail, count)])),
                    }
                });
                // Shares and events of nothing are zeros, not nothing.
                if positions.is_empty() && cells.details() == Details::Flags {
                    groups.entry(Vec::new()).or_default();
                }
                for (digits, group) in groups {
                    let values = digits.iter().zip(positions).map(|(digit, position)| {
                        let number = usize::try_from(*digit).expect("a place among the values");
                        words[*position].value(number).map(String::from)
                    });
                    if let Some(key) = key(measure, grouping, &values.collect::<Vec<_>>()) {
                        insert(&mut tables, self.kind, key, group);
                    }
                }
            }
        }
        tables
    }
}

/// The counts of one group, of which several may have one detail.
type Group = Vec<(Detail, u64)>;

/// The rows of passes in the order of their cases; `None` of other kinds.
fn in_order_of_cases(kind: MeasureKind, numbers: &[u32]) -> Option<Vec<usize>> {
    (kind == MeasureKind::ClusteredShare).then(|| {
        let mut order: Vec<usize> = (0..numbers.len()).collect();
        if !numbers.is_sorted() {
            order.sort_by_key(|row| numbers[*row]);
        }
        order
    })
}

/// Adds the hits and the judged passes of every case in each cell in which it has rows.
fn add_passes(
    cells: &mut Cells,
    order: &[usize],
    numbers: &[u32],
    of_rows: &[u64],
    flags: &[Flag],
) {
    let mut of_case: Vec<(u64, Detail)> = Vec::new();
    for rows in order.chunk_by(|first, next| numbers[*first] == numbers[*next]) {
        of_case.clear();
        for row in rows {
            let cell = of_rows[*row];
            let place = of_case.iter().position(|(known, _)| *known == cell);
            let place = place.unwrap_or_else(|| {
                of_case.push((cell, (0, 0)));
                of_case.len() - 1
            });
            let (_, (hits, judged)) = &mut of_case[place];
            *hits += i64::from(flags[*row] == Flag::Hit);
            *judged += u64::from(flags[*row] != Flag::Excluded);
        }
        for (cell, passes) in &of_case {
            let detail = if passes.1 == 0 { EXCLUDED } else { *passes };
            cells.add(*cell, detail, 1);
        }
    }
}

/// Writes the counts of a group down. Two groups may bear one name, such as "not recorded" and a site
/// that is called so.
fn insert(tables: &mut CountTables, kind: MeasureKind, key: Key, mut group: Group) {
    let of = |flag: Flag| -> u64 {
        let of_flag = group.iter().filter(|((_, known), _)| *known == flag as u64);
        of_flag.map(|(_, count)| count).sum()
    };
    match kind {
        MeasureKind::Share => {
            let (eligible, hit) = (of(Flag::Eligible), of(Flag::Hit));
            let count = ShareCount {
                eligible: eligible + hit,
                hit,
                excluded: of(Flag::Excluded),
            };
            tables.shares.entry(key).or_default().add(&count);
        }
        MeasureKind::Count => {
            let count = EventsCount {
                events: of(Flag::Eligible),
                exposure_minutes: 0,
            };
            tables.events.entry(key).or_default().add(&count);
        }
        MeasureKind::Minutes => {
            let (cases, excluded) = sorted(&mut group, |(minutes, is_reached)| {
                (minutes, is_reached == 1)
            });
            let count = MinutesCount { cases, excluded };
            tables.minutes.entry(key).or_default().add(&count);
        }
        MeasureKind::ClusteredShare => {
            let (cases, excluded) =
                sorted(&mut group, |(hits, judged)| (hits.unsigned_abs(), judged));
            let count = PassesCount { cases, excluded };
            tables.passes.entry(key).or_default().add(&count);
        }
    }
}

/// The counts by detail, and those of what could not be judged.
fn sorted<D: Ord>(group: &mut Group, name: impl Fn(Detail) -> D) -> (BTreeMap<D, u64>, u64) {
    group.sort_unstable();
    let details = group.chunk_by(|first, next| first.0 == next.0);
    let sums = details.map(|same| (same[0].0, same.iter().map(|(_, count)| count).sum()));
    let (excluded, judged): (Vec<_>, Vec<(Detail, u64)>) =
        sums.partition(|(detail, _)| *detail == EXCLUDED);
    let judged = judged
        .into_iter()
        .map(|(detail, count)| (name(detail), count));
    let excluded = excluded.iter().map(|(_, count)| count).sum();
    (judged.collect(), excluded)
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
