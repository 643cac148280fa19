//! One record at a time, and typed Arrow columns of many. The only file of ingest that knows Arrow.

use super::cell::{Value, WholeWord};
use crate::domain::fields::{CaseField, Field, PassField};
use crate::domain::month::Month;
use arrow::array::{
    ArrayBuilder, ArrayRef, BooleanArray, Int64Builder, RecordBatch, StringBuilder, new_null_array,
};
use arrow::compute::filter_record_batch;
use arrow::datatypes::{DataType, Field as ArrowField, Schema, SchemaRef};
use std::marker::PhantomData;
use std::sync::Arc;

/// Which fields of a record have a value, one bit each in the order of the fields.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct FilledFields(u128);

// A field more than bits would be lost without a word.
const _: () = assert!(CaseField::ALL.len() <= 128 && PassField::ALL.len() <= 128);

impl FilledFields {
    /// No field.
    pub(super) const NONE: FilledFields = FilledFields(0);

    /// These and the field at that place.
    pub(super) const fn with(self, place: usize) -> FilledFields {
        FilledFields(self.0 | 1 << place)
    }

    /// These without the others.
    pub(super) const fn without(self, others: FilledFields) -> FilledFields {
        FilledFields(self.0 & !others.0)
    }

    /// Their places among all fields, rising.
    pub(super) fn places(self) -> impl Iterator<Item = usize> {
        let mut rest = self.0;
        std::iter::from_fn(move || {
            let place = rest.trailing_zeros() as usize;
            (rest != 0).then(|| {
                rest &= rest - 1;
                place
            })
        })
    }
}

/// The values of one case or pass, one per field, borrowed from its row and from the mapping.
pub(super) struct Record<'a, F> {
    values: Vec<Value<'a>>,
    filled: FilledFields,
    fields: PhantomData<F>,
}

impl<'a, F: Field> Record<'a, F> {
    /// A record of which nothing is known.
    pub(super) fn empty() -> Record<'a, F> {
        Record {
            values: vec![Value::Missing; F::ALL.len()],
            filled: FilledFields::default(),
            fields: PhantomData,
        }
    }

    pub(super) fn set(&mut self, field: F, value: Value<'a>) {
        let bit = 1 << field.index();
        if value == Value::Missing {
            self.filled.0 &= !bit;
        } else {
            self.filled.0 |= bit;
        }
        self.values[field.index()] = value;
    }

    /// Sets a field by what `read` writes. When that fails the field is missing.
    pub(super) fn set_by<E>(
        &mut self,
        field: F,
        read: impl FnOnce(&mut Value<'a>) -> Result<(), E>,
    ) -> Result<(), E> {
        let value = &mut self.values[field.index()];
        let result = read(value);
        if result.is_err() {
            *value = Value::Missing;
        }
        let bit = 1 << field.index();
        self.filled.0 = match value {
            Value::Missing => self.filled.0 & !bit,
            _ => self.filled.0 | bit,
        };
        result
    }

    /// Which fields have a value.
    pub(super) fn filled(&self) -> FilledFields {
        self.filled
    }

    /// The fields that have a value, in order, with their values.
    pub(super) fn values(&self) -> impl Iterator<Item = (F, &Value<'a>)> {
        let places = self.filled.places();
        places.map(|place| (F::ALL[place], &self.values[place]))
    }

    pub(super) fn value(&self, field: F) -> Value<'a> {
        self.values[field.index()]
    }

    pub(super) fn has(&self, field: F) -> bool {
        self.filled.0 >> field.index() & 1 == 1
    }

    pub(super) fn text(&self, field: F) -> Option<&'a str> {
        self.values[field.index()].text()
    }

    pub(super) fn whole(&self, field: F) -> Option<i64> {
        self.values[field.index()].whole()
    }
}

/// Room that columns begin with: rows of a block of a mebibyte, and bytes of a code.
const RECORDS_OF_A_BLOCK: usize = 4096;
const TEXT_BYTES: usize = 8;

/// Records gathered column by column. A column is made with its first value: an export has values for
/// half of the fields at most.
pub(super) struct Columns<F> {
    builders: Vec<Option<Builder>>,
    rows: usize,
    /// The last month, written out: rows of one month stand together.
    month: Option<(Month, String)>,
    fields: PhantomData<F>,
}

enum Builder {
    Text(StringBuilder),
    Whole(Int64Builder),
}

impl Builder {
    fn new(is_text: bool) -> Builder {
        if is_text {
            let text_bytes = RECORDS_OF_A_BLOCK * TEXT_BYTES;
            Builder::Text(StringBuilder::with_capacity(RECORDS_OF_A_BLOCK, text_bytes))
        } else {
            Builder::Whole(Int64Builder::with_capacity(RECORDS_OF_A_BLOCK))
        }
    }

    /// Appends nulls up to that many rows.
    fn fill_up(&mut self, rows: usize) {
        match self {
            Builder::Text(builder) => builder.append_nulls(rows - builder.len()),
            Builder::Whole(builder) => builder.append_nulls(rows - builder.len()),
        }
    }
}

impl<F: Field> Columns<F> {
    /// No record.
    pub(super) fn new() -> Columns<F> {
        Columns {
            builders: F::ALL.iter().map(|_| None).collect(),
            rows: 0,
            month: None,
            fields: PhantomData,
        }
    }

    pub(super) fn push(&mut self, record: &Record<'_, F>) {
        for (field, value) in record.values() {
            let builder = &mut self.builders[field.index()];
            let builder = builder.get_or_insert_with(|| Builder::new(field.kind().is_text()));
            builder.fill_up(self.rows);
            match (builder, value) {
                (Builder::Text(builder), Value::Month(WholeWord(month))) => {
                    if self.month.as_ref().is_none_or(|(last, _)| last != month) {
                        self.month = Some((*month, month.to_string()));
                    }
                    builder.append_option(self.month.as_ref().map(|(_, text)| text));
                }
                (Builder::Text(builder), value) => builder.append_option(value.text()),
                (Builder::Whole(builder), value) => builder.append_option(value.whole()),
            }
        }
        self.rows += 1;
    }

    pub(super) fn finish(self) -> RecordBatch {
        let schema = schema::<F>();
        let columns = self.builders.into_iter().zip(schema.fields());
        let columns: Vec<ArrayRef> = columns
            .map(|(builder, field)| match builder {
                None => new_null_array(field.data_type(), self.rows),
                Some(mut builder) => {
                    builder.fill_up(self.rows);
                    match builder {
                        Builder::Text(mut builder) => Arc::new(builder.finish()) as ArrayRef,
                        Builder::Whole(mut builder) => Arc::new(builder.finish()) as ArrayRef,
                    }
                }
            })
            .collect();
        RecordBatch::try_new(schema, columns)
            .expect("every column was given one value per record, of its own type")
    }
}

/// The columns of the typed records.
fn schema<F: Field>() -> SchemaRef {
    let fields = F::ALL.iter().map(|field| {
        let data_type = if field.kind().is_text() {
            DataType::Utf8
        } else {
            DataType::Int64
        };
        ArrowField::new(field.column(), data_type, true)
    });
    Arc::new(Schema::new(fields.collect::<Vec<_>>()))
}

/// The records that are kept, by their places.
pub(super) fn filtered(batch: &RecordBatch, is_kept: &[bool]) -> RecordBatch {
    filter_record_batch(batch, &BooleanArray::from(is_kept.to_vec()))
        .expect("one verdict per record")
}
