//! The rows of one table of records, with the columns that are asked for, each of its type and within
//! its codes.

use super::RecordsError;
use crate::domain::fields::{Field, Kind};
use crate::domain::month::Month;
use crate::export::parquet_file::{self, Batches};
use crate::export::records::ROWS_AT_ONCE;
use crate::records::{arrow_field, data_type};
use arrow::array::{Array, ArrayRef, AsArray, Int64Array, RecordBatch, StringArray};
use arrow::compute::cast;
use arrow::datatypes::{DataType, Int64Type, Schema, SchemaRef};
use foldhash::quality::FixedState;
use hashbrown::HashSet;
use parquet::arrow::ProjectionMask;
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;
use xxhash_rust::xxh3::xxh3_64;

/// The rows of one table.
pub(super) struct Rows<F> {
    table: &'static str,
    batches: Batches,
    columns: Vec<Column<F>>,
    schema: SchemaRef,
    read: u64,
    /// What the file says of itself.
    notes: BTreeSet<String>,
}

struct Column<F> {
    field: F,
    is_required: bool,
    /// Of a coded field. Looked up only, so its order reaches nothing.
    codes: Option<HashSet<&'static str, FixedState>>,
}

impl<F: Field> Rows<F> {
    /// Opens a table, of whose columns those `named` are read, or all; and those `required` in any case,
    /// which have a value in every row.
    pub(super) fn open(
        path: &Path,
        table: &'static str,
        named: Option<&BTreeSet<String>>,
        required: &[F],
    ) -> Result<Rows<F>, RecordsError> {
        let builder = parquet_file::open(path)?;
        let is_wanted = |field: &F| {
            required.contains(field) || named.is_none_or(|named| named.contains(field.column()))
        };
        let fields: Vec<F> = F::ALL.iter().copied().filter(is_wanted).collect();
        let mut places = Vec::new();
        for field in &fields {
            let found = builder.schema().index_of(field.column());
            places.push(found.map_err(|_| RecordsError::MissingColumn {
                table,
                column: field.column(),
            })?);
        }
        let notes = builder.metadata().file_metadata().key_value_metadata();
        let notes = notes
            .into_iter()
            .flatten()
            .map(|note| note.key.clone())
            .collect();
        let mask = ProjectionMask::roots(builder.parquet_schema(), places);
        let batches = builder.with_projection(mask).with_batch_size(ROWS_AT_ONCE);
        let batches = Batches::new(path, batches)?;
        let of_type = fields.iter().map(|field| arrow_field(*field));
        Ok(Rows {
            table,
            batches,
            schema: Arc::new(Schema::new(of_type.collect::<Vec<_>>())),
            columns: fields
                .into_iter()
                .map(|field| Column {
                    field,
                    is_required: required.contains(&field),
                    codes: match field.kind() {
                        Kind::Code(list) => Some(list.words.iter().map(|word| word.code).collect()),
                        _ => None,
                    },
                })
                .collect(),
            read: 0,
            notes,
        })
    }

    pub(super) fn rows_read(&self) -> u64 {
        self.read
    }

    /// Whether the file bears this note.
    pub(super) fn notes(&self, key: &str) -> bool {
        self.notes.contains(key)
    }

    /// The next rows; `None` at the end.
    pub(super) fn next(&mut self) -> Result<Option<RecordBatch>, RecordsError> {
        let Some(batch) = self.batches.next().transpose()? else {
            return Ok(None);
        };
        let columns = self.columns.iter().map(|column| {
            let name = column.field.column();
            let array = typed(self.table, name, &batch, &data_type(column.field))?;
            match column.first_fault(&array) {
                None => Ok(array),
                Some((row, problem)) => Err(RecordsError::Row {
                    table: self.table,
                    row_number: self.read + row as u64 + 1,
                    problem: format!("`{name}` {problem}"),
                }),
            }
        });
        let columns: Vec<ArrayRef> = columns.collect::<Result<_, _>>()?;
        self.read += batch.num_rows() as u64;
        let batch = RecordBatch::try_new(self.schema.clone(), columns);
        Ok(Some(batch.expect(
            "columns of the types of the schema, of one length",
        )))
    }
}

impl<F: Field> Column<F> {
    /// The first row that is against the contract, and what is wrong with it.
    fn first_fault(&self, array: &ArrayRef) -> Option<(usize, &'static str)> {
        if self.is_required && array.null_count() > 0 {
            let row = (0..array.len()).find(|row| array.is_null(*row))?;
            return Some((row, "is empty, which it never is"));
        }
        let texts = || array.as_string::<i32>().iter().enumerate();
        let first = |is_known: &dyn Fn(&str) -> bool| {
            // Rows of one month, and often of one code, stand together.
            let mut last = None;
            let mut faulty = texts().filter(|(_, text)| match text {
                None => false,
                text if *text == last => false,
                Some(text) => {
                    last = Some(*text);
                    !is_known(text)
                }
            });
            faulty.next().map(|(row, _)| row)
        };
        match (self.field.kind(), &self.codes) {
            (_, Some(codes)) => {
                let row = first(&|text| codes.contains(text))?;
                Some((row, "holds none of its codes"))
            }
            (Kind::Month, None) => {
                let row = first(&|text| text.parse::<Month>().is_ok())?;
                Some((row, "is no month such as 2026-09"))
            }
            _ => None,
        }
    }
}

/// A column in the type of the records, whatever of its kind it was written as.
fn typed(
    table: &'static str,
    column: &'static str,
    batch: &RecordBatch,
    wanted: &DataType,
) -> Result<ArrayRef, RecordsError> {
    let array = batch
        .column_by_name(column)
        .ok_or(RecordsError::MissingColumn { table, column })?;
    let found = array.data_type();
    let is_text = |kind: &DataType| {
        matches!(
            kind,
            DataType::Utf8 | DataType::LargeUtf8 | DataType::Utf8View
        )
    };
    let is_of_kind = match found {
        DataType::Null => true,
        DataType::Dictionary(_, values) => is_text(values) && *wanted == DataType::Utf8,
        found if *wanted == DataType::Utf8 => is_text(found),
        found => found.is_integer() && *found != DataType::UInt64,
    };
    let wrong = || RecordsError::ColumnType {
        table,
        column,
        found: found.clone(),
        expected: wanted.clone(),
    };
    if !is_of_kind {
        return Err(wrong());
    }
    cast(array, wanted).map_err(|_| wrong())
}

/// A column of text of a small table.
pub(super) fn texts(
    table: &'static str,
    column: &'static str,
    batch: &RecordBatch,
) -> Result<StringArray, RecordsError> {
    let array = typed(table, column, batch, &DataType::Utf8)?;
    Ok(array.as_string().clone())
}

/// A column of whole numbers of a small table.
pub(super) fn wholes(
    table: &'static str,
    column: &'static str,
    batch: &RecordBatch,
) -> Result<Int64Array, RecordsError> {
    let array = typed(table, column, batch, &DataType::Int64)?;
    Ok(array.as_primitive::<Int64Type>().clone())
}

/// Numbers of cases that are remembered; 16 bytes each at most.
const MOST_REMEMBERED: usize = 1 << 24;

/// Whether a number of a case stands twice: told for the first 16 million and every later one that
/// repeats one of them or the one before it.
#[derive(Default)]
pub(super) struct Repeats {
    /// Looked up only, so its order reaches nothing.
    seen: HashSet<u64, FixedState>,
    last: Option<u64>,
}

impl Repeats {
    /// The row of the first number that stands above.
    pub(super) fn first_in(&mut self, numbers: &StringArray) -> Option<u64> {
        (0..)
            .zip(numbers.iter().flatten())
            .find_map(|(row, number)| {
                let hash = xxh3_64(number.as_bytes());
                let is_repeat = self.last == Some(hash)
                    || if self.seen.len() < MOST_REMEMBERED {
                        !self.seen.insert(hash)
                    } else {
                        self.seen.contains(&hash)
                    };
                self.last = Some(hash);
                is_repeat.then_some(row)
            })
    }
}
