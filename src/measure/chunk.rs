//! Some of the cases with all their passes, made ready to be counted by every measure: as tables for
//! queries, and the values by which rows are split as numbers, once for all measures.

mod told_apart;

use super::alike::{Kinds, Trait};
use super::engine::Records;
use super::frame::{column, columns_at, fields_of, frame_of, height};
use super::grouped::WordsOfCases;
use super::judged::all;
use super::words::Words;
use crate::domain::fields::{CaseField, Field, PassField};
use crate::domain::side_by_side::side_by_side;
use crate::records::{CASE_ID, texts, wholes};
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
    words: &'a WordsOfCases,
    height: usize,
    places: OnceLock<Numbers<'a>>,
    /// Of every pass the number of its case: its place, or a number above all places.
    of_passes: Vec<Option<u32>>,
    /// Below this are all numbers of cases and of passes without a case.
    numbers: usize,
    labels: BTreeMap<CaseField, Vec<u32>>,
    /// The numbers of cases, and those of the cases of passes, in place of their texts.
    numbers_as_columns: OnceLock<(Column, Column)>,
    columns_of_cases: Columns<CaseField>,
    columns_of_passes: Columns<PassField>,
    calls: OnceLock<Vec<Option<i64>>>,
    /// The passes of each case as a number, and how many numbers there are; `None` where passes are of no
    /// case.
    passes_of_cases: OnceLock<Option<(Vec<u32>, u64)>>,
    /// Many measures are split by the same columns of their cases.
    cells: OnceEach<CaseField, Arc<Vec<u64>>>,
    /// And many look at the same ones.
    kinds: OnceEach<Trait, Option<Arc<Kinds>>>,
}

/// What is worked out once for each list of columns, by the measure that asks first. Who asks for
/// another list need not wait for it.
struct OnceEach<K, V>(Mutex<BTreeMap<Vec<K>, Arc<OnceLock<V>>>>);

impl<K: Ord + Clone, V: Clone> OnceEach<K, V> {
    fn new() -> OnceEach<K, V> {
        OnceEach(Mutex::new(BTreeMap::new()))
    }

    fn get(&self, columns: &[K], work_out: impl FnOnce() -> V) -> V {
        let mut known = self.0.lock().expect("no thread panics with the lock");
        let value = known.entry(columns.to_vec()).or_default().clone();
        drop(known);
        value.get_or_init(work_out).clone()
    }
}

/// Columns for queries, each made when the first query asks for it.
type Columns<F> = BTreeMap<F, OnceLock<Column>>;

/// The columns that a query may look at.
#[derive(Clone, Debug)]
pub(super) struct Named(pub(super) Option<BTreeSet<String>>);

impl Named {
    fn has(&self, column: &str) -> bool {
        self.0.as_ref().is_none_or(|named| named.contains(column))
    }
}

impl<'a> Chunk<'a> {
    /// Makes records ready. `labels` are the numbers of the values of cases, from [`label`], and
    /// `words` the values.
    pub(super) fn new(
        cases: &'a [RecordBatch],
        passes: &'a [RecordBatch],
        words: &'a WordsOfCases,
        labels: BTreeMap<CaseField, Vec<u32>>,
    ) -> Chunk<'a> {
        let mut chunk = Chunk {
            cases,
            passes,
            words,
            height: height(cases),
            places: OnceLock::new(),
            of_passes: Vec::new(),
            numbers: height(cases),
            labels,
            numbers_as_columns: OnceLock::new(),
            columns_of_cases: columns(cases),
            columns_of_passes: columns(passes),
            calls: OnceLock::new(),
            passes_of_cases: OnceLock::new(),
            cells: OnceEach::new(),
            kinds: OnceEach::new(),
        };
        chunk.number_passes();
        chunk
    }

    fn number_passes(&mut self) {
        let mut unknown = Numbers::default();
        let mut of_passes = Vec::with_capacity(height(self.passes));
        for text in texts(PassField::CaseId, self.passes) {
            of_passes.push(text.map(|text| {
                let place = self.places().get(text).copied();
                place.unwrap_or_else(|| {
                    let next = self.height + unknown.len();
                    *unknown.entry(text).or_insert_with(|| number(next))
                })
            }));
        }
        self.numbers = self.height + unknown.len();
        self.of_passes = of_passes;
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

    /// The tables of these columns, with places of cases for their texts where the query takes them as
    /// keys only.
    pub(super) fn records(&self, named: &Named, takes_key: bool) -> Records {
        let is_asked = |column: &str| named.has(column) && !(takes_key && column == CASE_ID);
        let mut of_cases = Vec::new();
        for (field, made) in &self.columns_of_cases {
            if is_asked(field.column()) {
                of_cases.push(made.get_or_init(|| self.column_of_cases(*field)).clone());
            }
        }
        let mut of_passes = Vec::new();
        for (field, made) in &self.columns_of_passes {
            if is_asked(field.column()) {
                of_passes.push(made.get_or_init(|| column(*field, self.passes)).clone());
            }
        }
        if takes_key {
            let (own, of_passes_own) = self.numbers_as_columns.get_or_init(|| {
                let places = (0..self.height).map(|place| Some(number(place)));
                let of_passes = self.of_passes.iter().copied();
                (numbers_of_cases(places), numbers_of_cases(of_passes))
            });
            of_cases.push(own.clone());
            of_passes.push(of_passes_own.clone());
        }
        Records {
            cases: frame_of(self.height, of_cases),
            passes: frame_of(self.of_passes.len(), of_passes),
        }
    }

    fn column_of_cases(&self, field: CaseField) -> Column {
        match self.labels.get(&field) {
            Some(labels) if field.kind().is_text() => self.words[&field].spelt_out(field, labels),
            _ => column(field, self.cases),
        }
    }

    /// The cases by kind, alike in all of these; `None` when they are of too many kinds.
    pub(super) fn kinds(&self, traits: &[Trait]) -> Option<Arc<Kinds>> {
        self.kinds
            .get(traits, || self.told_apart(traits).map(Arc::new))
    }

    /// The tables of these columns with one case of each of some kinds: the places of the cases, rising,
    /// with the number of the kind of each.
    pub(super) fn records_of(&self, kinds: &[(u32, u32)], named: &Named) -> Records {
        let number_of = |place: u32| {
            let at = kinds.binary_search_by_key(&place, |(place, _)| *place);
            at.ok().map(|at| kinds[at].1)
        };
        let passes = self.of_passes.iter().enumerate();
        let (rows, numbers_of_passes): (Vec<usize>, Vec<u32>) = passes
            .filter_map(|(row, place)| Some((row, number_of((*place)?)?)))
            .unzip();
        let places: Vec<_> = kinds.iter().map(|(place, _)| *place as usize).collect();
        let mut of_cases = columns_at(&asked(&self.columns_of_cases, named), self.cases, &places);
        let mut of_passes = columns_at(&asked(&self.columns_of_passes, named), self.passes, &rows);
        of_cases.push(numbers_of_cases(
            kinds.iter().map(|(_, number)| Some(*number)),
        ));
        of_passes.push(numbers_of_cases(numbers_of_passes.into_iter().map(Some)));
        Records {
            cases: frame_of(places.len(), of_cases),
            passes: frame_of(rows.len(), of_passes),
        }
    }

    /// The values that a column by which rows are split has had so far.
    pub(super) fn words(&self, field: CaseField) -> &Words {
        &self.words[&field]
    }

    fn values(&self, field: CaseField) -> u64 {
        self.words[&field].count().max(1) as u64
    }

    /// The number of the case of every row: its place, or one of no case; `None` when the column
    /// cannot be read. The rows are those of a query over [`Chunk::records`].
    pub(super) fn numbers_of(&self, rows: &DataFrame, takes_key: bool) -> Option<Vec<u32>> {
        let column = rows.column(CASE_ID).ok()?;
        if takes_key {
            let places = column.i64().ok()?.iter();
            let missing = i64::from(number(self.numbers));
            return all(places.map(|place| u32::try_from(place.unwrap_or(missing)).ok()));
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
        self.cells.get(fields, || {
            let mut cells = vec![0; self.height];
            for field in fields {
                add_digit(&mut cells, self.values(*field), &self.labels[field]);
            }
            Arc::new(cells)
        })
    }

    /// The call of every case.
    pub(super) fn calls(&self) -> &[Option<i64>] {
        let calls = || wholes(CaseField::CalledAt, self.cases).collect();
        self.calls.get_or_init(calls)
    }
}

/// Makes these the last digits of numbers.
pub(super) fn add_digit(numbers: &mut [u64], radix: u64, digits: &[u32]) {
    for (number, digit) in numbers.iter_mut().zip(digits) {
        *number = *number * radix + u64::from(*digit);
    }
}

fn number(place: usize) -> u32 {
    u32::try_from(place).expect("fewer than 4 billion cases at once")
}

/// The columns that the records have.
fn columns<F: Field>(records: &[RecordBatch]) -> Columns<F> {
    let fields = fields_of(records);
    fields.map(|field| (field, OnceLock::new())).collect()
}

/// Those columns that a query may look at, without that of the case.
fn asked<F: Field>(columns: &Columns<F>, named: &Named) -> Vec<F> {
    let fields = columns.keys().copied();
    let is_asked = |field: &F| field.column() != CASE_ID && named.has(field.column());
    fields.filter(is_asked).collect()
}

/// The column of numbers of cases.
fn numbers_of_cases(numbers: impl ExactSizeIterator<Item = Option<u32>>) -> Column {
    let numbers = numbers.map(|number| number.map(i64::from));
    Int64Chunked::from_iter_options(CASE_ID.into(), numbers).into_column()
}

/// The numbers of the values of columns of cases.
pub(super) fn label(
    cases: &[RecordBatch],
    words: &mut WordsOfCases,
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
