//! Some of the cases with all their passes, made ready to be counted by every measure: as tables for
//! queries, and the values by which rows are split as numbers, once for all measures.

use super::engine::Records;
use super::frame::{column, frame_of, height, texts};
use super::words::Words;
use crate::domain::fields::{CaseField, Field, PassField};
use crate::domain::side_by_side::side_by_side;
use arrow::array::RecordBatch;
use foldhash::quality::FixedState;
use hashbrown::HashMap;
use polars::prelude::{Column, DataFrame, DataType, Int64Chunked, IntoColumn, NewChunkedArray};
use std::collections::{BTreeMap, BTreeSet};
use std::num::NonZeroUsize;
use std::sync::{Arc, Mutex, OnceLock};

/// Looked up only, so its order reaches nothing.
type Numbers<'a> = HashMap<&'a str, u32, FixedState>;

/// Some of the cases with all their passes.
pub(super) struct Chunk<'a> {
    cases: &'a [RecordBatch],
    passes: &'a [RecordBatch],
    height: usize,
    /// With the place of a case in place of its text: what stands in most queries is only a key.
    by_place: Records,
    by_text: OnceLock<Records>,
    places: OnceLock<Numbers<'a>>,
    /// Below this are all numbers of cases and of passes without a case.
    numbers: usize,
    labels: BTreeMap<CaseField, Vec<u32>>,
    /// How many values each of these columns has had so far.
    values: BTreeMap<CaseField, usize>,
    /// Many measures are split by the same columns of their cases.
    cells: Mutex<BTreeMap<Vec<CaseField>, Arc<Vec<u64>>>>,
}

impl<'a> Chunk<'a> {
    /// Makes records ready. `named` are the columns that a query may look at, `None` for all; `words`
    /// the columns by which rows are split, with the values that were seen before.
    pub(super) fn new(
        cases: &'a [RecordBatch],
        passes: &'a [RecordBatch],
        named: Option<&BTreeSet<String>>,
        words: &mut BTreeMap<CaseField, Words>,
        threads: NonZeroUsize,
    ) -> Chunk<'a> {
        let mut chunk = Chunk {
            cases,
            passes,
            height: height(cases),
            by_place: Records::default(),
            by_text: OnceLock::new(),
            places: OnceLock::new(),
            numbers: height(cases),
            labels: label(cases, words, threads),
            values: BTreeMap::new(),
            cells: Mutex::new(BTreeMap::new()),
        };
        let counts = words.iter().map(|(field, words)| (*field, words.count()));
        chunk.values = counts.collect();
        let places = (0..chunk.height).map(|place| Some(whole(place)));
        let places = Int64Chunked::from_iter_options(CASE_ID.into(), places).into_column();
        chunk.by_place = Records {
            cases: numbered::<CaseField>(cases, named, places, threads),
            passes: {
                let numbers = chunk.numbers_of_passes();
                numbered::<PassField>(passes, named, numbers, threads)
            },
        };
        chunk
    }

    /// The number of the case of every pass: its place, or a number above all places.
    fn numbers_of_passes(&mut self) -> Column {
        let mut unknown = Numbers::default();
        let mut numbers = Vec::with_capacity(height(self.passes));
        for text in texts(PassField::CaseId, self.passes) {
            let number = text.map(|text| {
                let place = self.places().get(text).copied();
                place.unwrap_or_else(|| {
                    let next = self.height + unknown.len();
                    *unknown.entry(text).or_insert_with(|| number(next))
                })
            });
            numbers.push(number.map(i64::from));
        }
        self.numbers = self.height + unknown.len();
        Int64Chunked::from_iter_options(CASE_ID.into(), numbers.into_iter()).into_column()
    }

    fn places(&self) -> &Numbers<'a> {
        self.places.get_or_init(|| {
            let mut places = Numbers::with_capacity_and_hasher(self.height, FixedState::default());
            for (place, text) in texts(CaseField::CaseId, self.cases).enumerate() {
                if let Some(text) = text {
                    places.entry(text).or_insert_with(|| number(place));
                }
            }
            places
        })
    }

    /// How many cases these are.
    pub(super) fn height(&self) -> usize {
        self.height
    }

    /// The tables, with places of cases for their texts where the query takes them as keys only.
    pub(super) fn records(&self, takes_key: bool) -> &Records {
        if takes_key {
            &self.by_place
        } else {
            self.by_text
                .get_or_init(|| Records::new(self.cases, self.passes))
        }
    }

    /// The number of the case of every row: its place, or one of no case; `None` when the column
    /// cannot be read. The rows are those of a query over [`Chunk::records`].
    pub(super) fn numbers_of(&self, rows: &DataFrame, takes_key: bool) -> Option<Vec<u32>> {
        let column = rows.column(CASE_ID).ok()?;
        if takes_key {
            let places = column.i64().ok()?.iter();
            let missing = whole(self.numbers);
            return places
                .map(|place| u32::try_from(place.unwrap_or(missing)).ok())
                .collect();
        }
        let column = column.cast(&DataType::String).ok()?;
        let column = column.str().ok()?;
        let mut unknown: HashMap<Option<&str>, u32, FixedState> = HashMap::default();
        let numbers = column.iter().map(|text| {
            let place = text.and_then(|text| self.places().get(text));
            place.copied().unwrap_or_else(|| {
                let next = number(self.numbers + unknown.len());
                *unknown.entry(text).or_insert(next)
            })
        });
        Some(numbers.collect())
    }

    /// Of every case the number of its value, for a column by which rows are split.
    pub(super) fn labels(&self, field: CaseField) -> &[u32] {
        &self.labels[&field]
    }

    /// Of every case the number of its combination of values of some columns, with the first as the
    /// highest digit; worked out once for all measures.
    pub(super) fn cells(&self, fields: &[CaseField]) -> Arc<Vec<u64>> {
        let mut known = self.cells.lock().expect("no thread panics with the lock");
        if let Some(cells) = known.get(fields) {
            return cells.clone();
        }
        let mut cells = vec![0; self.height];
        for field in fields {
            let radix = self.values[field].max(1) as u64;
            add_digit(&mut cells, radix, &self.labels[field]);
        }
        let cells = Arc::new(cells);
        known.insert(fields.to_vec(), cells.clone());
        cells
    }

    /// The call of every case; `None` when the column was not asked for.
    pub(super) fn calls(&self) -> Option<&Int64Chunked> {
        let column = self.by_place.cases.column(CaseField::CalledAt.column());
        column.ok()?.i64().ok()
    }
}

/// Makes these the last digits of numbers.
pub(super) fn add_digit(numbers: &mut [u64], radix: u64, digits: &[u32]) {
    for (number, digit) in numbers.iter_mut().zip(digits) {
        *number = *number * radix + u64::from(*digit);
    }
}

const CASE_ID: &str = "case_id";

fn number(place: usize) -> u32 {
    u32::try_from(place).expect("fewer than 4 billion cases at once")
}

fn whole(place: usize) -> i64 {
    i64::try_from(place).expect("fewer cases than a 64-bit number tells")
}

/// Records with numbers in place of the texts of cases, and without columns that nobody names.
fn numbered<F: Field>(
    records: &[RecordBatch],
    named: Option<&BTreeSet<String>>,
    numbers: Column,
    threads: NonZeroUsize,
) -> DataFrame {
    let is_wanted = |field: &F| {
        field.column() != CASE_ID && named.is_none_or(|named| named.contains(field.column()))
    };
    let fields: Vec<_> = F::ALL.iter().copied().filter(is_wanted).collect();
    let mut columns = side_by_side(&fields, threads, |field| {
        if field.kind().is_text() {
            Words::default().spelt_out(*field, records)
        } else {
            column(*field, records)
        }
    });
    columns.push(numbers);
    frame_of(height(records), columns)
}

/// The numbers of the values of each column by which rows are split.
fn label(
    cases: &[RecordBatch],
    words: &mut BTreeMap<CaseField, Words>,
    threads: NonZeroUsize,
) -> BTreeMap<CaseField, Vec<u32>> {
    let columns: Vec<_> = words
        .iter_mut()
        .map(|(field, words)| (*field, Mutex::new(words)))
        .collect();
    let labels = side_by_side(&columns, threads, |(field, words)| {
        let mut words = words.lock().expect("each column is taken once");
        words.numbers_of_column(*field, cases)
    });
    let fields = columns.iter().map(|(field, _)| *field);
    fields.zip(labels).collect()
}
