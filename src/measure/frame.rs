//! Typed records in Arrow → polars frames, column by column.

use crate::domain::fields::Field;
use arrow::array::{Array, Int64Array, RecordBatch, StringArray};
use polars::prelude::{
    Column, DataFrame, Int64Chunked, IntoColumn, NewChunkedArray, PlSmallStr, StringChunked,
};

/// A frame of all records, whose columns are those of the fields. No batch is no record.
pub(super) fn frame<F: Field>(records: &[RecordBatch]) -> DataFrame {
    let columns = F::ALL.iter().map(|field| column(*field, records)).collect();
    let height = records.iter().map(RecordBatch::num_rows).sum();
    DataFrame::new(height, columns).expect("fields have names of their own, and one length")
}

fn column<F: Field>(field: F, records: &[RecordBatch]) -> Column {
    let name = PlSmallStr::from_str(field.column());
    if field.kind().is_text() {
        let values = arrays::<StringArray, _>(field, records).flatten();
        StringChunked::from_iter_options(name, values).into_column()
    } else {
        let values = arrays::<Int64Array, _>(field, records).flatten();
        Int64Chunked::from_iter_options(name, values).into_column()
    }
}

/// The column of a field in every batch.
fn arrays<A: Array + 'static, F: Field>(
    field: F,
    records: &[RecordBatch],
) -> impl Iterator<Item = &A> {
    records.iter().map(move |batch| {
        let values = batch.column(field.index()).as_any();
        values
            .downcast_ref()
            .expect("records hold the columns of the fields, text or 64-bit whole numbers")
    })
}
