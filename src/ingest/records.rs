//! One record at a time, and typed Arrow columns of many. The only file of ingest that knows Arrow.

use super::cell::Value;
use crate::domain::fields::{CaseField, Field};
use crate::domain::month::Month;
use arrow::array::{
    Array, ArrayRef, BooleanArray, Int64Builder, RecordBatch, StringArray, StringBuilder,
};
use arrow::compute::filter_record_batch;
use arrow::datatypes::{DataType, Field as ArrowField, Schema, SchemaRef};
use std::collections::BTreeMap;
use std::marker::PhantomData;
use std::sync::Arc;

/// The values of one case or pass, one per field, borrowed from its row and from the mapping.
pub(super) struct Record<'a, F> {
    values: Vec<Value<'a>>,
    fields: PhantomData<F>,
}

impl<'a, F: Field> Record<'a, F> {
    /// A record of which nothing is known.
    pub(super) fn empty() -> Record<'a, F> {
        Record {
            values: vec![Value::Missing; F::ALL.len()],
            fields: PhantomData,
        }
    }

    pub(super) fn set(&mut self, field: F, value: Value<'a>) {
        self.values[field.index()] = value;
    }

    pub(super) fn value(&self, field: F) -> Value<'a> {
        self.values[field.index()]
    }

    pub(super) fn has(&self, field: F) -> bool {
        self.value(field) != Value::Missing
    }

    pub(super) fn text(&self, field: F) -> Option<&'a str> {
        self.value(field).text()
    }

    pub(super) fn whole(&self, field: F) -> Option<i64> {
        self.value(field).whole()
    }
}

/// Room that columns begin with: rows of a block of a mebibyte, and bytes of a code.
const RECORDS_OF_A_BLOCK: usize = 4096;
const TEXT_BYTES: usize = 8;

/// Records gathered column by column.
pub(super) struct Columns<F> {
    builders: Vec<Builder>,
    length: usize,
    /// The last month, written out: rows of one month stand together.
    month: Option<(Month, String)>,
    fields: PhantomData<F>,
}

enum Builder {
    Text(StringBuilder),
    Whole(Int64Builder),
}

impl<F: Field> Columns<F> {
    /// Empty columns with room for the records of a block.
    pub(super) fn new() -> Columns<F> {
        let builders = F::ALL
            .iter()
            .map(|field| {
                if field.kind().is_text() {
                    let text_bytes = RECORDS_OF_A_BLOCK * TEXT_BYTES;
                    Builder::Text(StringBuilder::with_capacity(RECORDS_OF_A_BLOCK, text_bytes))
                } else {
                    Builder::Whole(Int64Builder::with_capacity(RECORDS_OF_A_BLOCK))
                }
            })
            .collect();
        Columns {
            builders,
            length: 0,
            month: None,
            fields: PhantomData,
        }
    }

    /// How many records were gathered.
    pub(super) fn length(&self) -> usize {
        self.length
    }

    pub(super) fn push(&mut self, record: &Record<'_, F>) {
        self.length += 1;
        for (builder, value) in self.builders.iter_mut().zip(&record.values) {
            match (builder, value) {
                (Builder::Text(builder), Value::Month(month)) => {
                    if self.month.as_ref().is_none_or(|(last, _)| last != month) {
                        self.month = Some((*month, month.to_string()));
                    }
                    builder.append_option(self.month.as_ref().map(|(_, text)| text));
                }
                (Builder::Text(builder), value) => builder.append_option(value.text()),
                (Builder::Whole(builder), value) => builder.append_option(value.whole()),
            }
        }
    }

    pub(super) fn finish(self) -> RecordBatch {
        let columns: Vec<ArrayRef> = self
            .builders
            .into_iter()
            .map(|builder| match builder {
                Builder::Text(mut builder) => Arc::new(builder.finish()) as ArrayRef,
                Builder::Whole(mut builder) => Arc::new(builder.finish()) as ArrayRef,
            })
            .collect();
        RecordBatch::try_new(schema::<F>(), columns)
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
pub(super) fn kept(batch: &RecordBatch, is_kept: &[bool]) -> RecordBatch {
    filter_record_batch(batch, &BooleanArray::from(is_kept.to_vec()))
        .expect("one verdict per record")
}

/// Records of cases by what reports list: months, sites, and how many have each field.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Tallies {
    pub(super) months: BTreeMap<Month, u64>,
    pub(super) sites: BTreeMap<String, u64>,
    /// In the order of the fields.
    pub(super) filled: Vec<u64>,
}

impl Tallies {
    /// The tallies of a batch of cases.
    pub(super) fn of(batch: &RecordBatch) -> Tallies {
        let mut tallies = Tallies {
            filled: filled(batch).collect(),
            ..Tallies::default()
        };
        for month in texts(batch, CaseField::Month) {
            if let Ok(month) = month.parse() {
                *tallies.months.entry(month).or_default() += 1;
            }
        }
        for site in texts(batch, CaseField::Site) {
            match tallies.sites.get_mut(site) {
                Some(count) => *count += 1,
                None => drop(tallies.sites.insert(site.to_string(), 1)),
            }
        }
        tallies
    }

    /// Adds those of another batch.
    pub(super) fn add(&mut self, other: &Tallies) {
        for (month, count) in &other.months {
            *self.months.entry(*month).or_default() += count;
        }
        for (site, count) in &other.sites {
            *self.sites.entry(site.clone()).or_default() += count;
        }
        self.filled.resize(other.filled.len(), 0);
        for (sum, count) in self.filled.iter_mut().zip(&other.filled) {
            *sum += count;
        }
    }
}

/// In how many records each field has a value.
pub(super) fn filled(batch: &RecordBatch) -> impl Iterator<Item = u64> {
    batch
        .columns()
        .iter()
        .map(|column| (column.len() - column.null_count()) as u64)
}

fn texts(batch: &RecordBatch, field: CaseField) -> impl Iterator<Item = &str> {
    let column = batch.column(field.index()).as_any();
    let column: &StringArray = column.downcast_ref().expect("a column of text");
    column.iter().flatten()
}
