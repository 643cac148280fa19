//! One record at a time, and typed Arrow columns of many. The only file of ingest that knows Arrow.

use super::cell::Value;
use crate::domain::fields::{Field, Kind};
use arrow::array::{ArrayRef, Int64Builder, RecordBatch, StringBuilder};
use arrow::datatypes::{DataType, Field as ArrowField, Schema};
use std::marker::PhantomData;
use std::sync::Arc;

/// The values of one case or pass, one per field.
pub(super) struct Record<F> {
    values: Vec<Value>,
    fields: PhantomData<F>,
}

impl<F: Field> Record<F> {
    /// A record of which nothing is known.
    pub(super) fn empty() -> Record<F> {
        Record {
            values: vec![Value::Missing; F::ALL.len()],
            fields: PhantomData,
        }
    }

    pub(super) fn set(&mut self, field: F, value: Value) {
        self.values[field.index()] = value;
    }

    pub(super) fn has(&self, field: F) -> bool {
        self.values[field.index()] != Value::Missing
    }

    pub(super) fn text(&self, field: F) -> Option<&str> {
        self.values[field.index()].text()
    }

    pub(super) fn whole(&self, field: F) -> Option<i64> {
        self.values[field.index()].whole()
    }
}

/// Records gathered column by column.
pub(super) struct Columns<F> {
    builders: Vec<Builder>,
    fields: PhantomData<F>,
}

enum Builder {
    Text(StringBuilder),
    Whole(Int64Builder),
}

impl<F: Field> Columns<F> {
    pub(super) fn new() -> Columns<F> {
        let builders = F::ALL
            .iter()
            .map(|field| match data_type(field.kind()) {
                DataType::Int64 => Builder::Whole(Int64Builder::new()),
                _ => Builder::Text(StringBuilder::new()),
            })
            .collect();
        Columns {
            builders,
            fields: PhantomData,
        }
    }

    pub(super) fn push(&mut self, record: &Record<F>) {
        for (builder, value) in self.builders.iter_mut().zip(&record.values) {
            match builder {
                Builder::Text(builder) => builder.append_option(value.text()),
                Builder::Whole(builder) => builder.append_option(value.whole()),
            }
        }
    }

    pub(super) fn finish(self) -> RecordBatch {
        let schema = Schema::new(
            F::ALL
                .iter()
                .map(|field| ArrowField::new(field.column(), data_type(field.kind()), true))
                .collect::<Vec<_>>(),
        );
        let columns: Vec<ArrayRef> = self
            .builders
            .into_iter()
            .map(|builder| match builder {
                Builder::Text(mut builder) => Arc::new(builder.finish()) as ArrayRef,
                Builder::Whole(mut builder) => Arc::new(builder.finish()) as ArrayRef,
            })
            .collect();
        RecordBatch::try_new(Arc::new(schema), columns)
            .expect("every column was given one value per record, of its own type")
    }
}

fn data_type(kind: Kind) -> DataType {
    match kind {
        Kind::Text | Kind::Code(_) | Kind::Month => DataType::Utf8,
        Kind::Minute | Kind::Whole { .. } | Kind::Age { .. } => DataType::Int64,
    }
}
