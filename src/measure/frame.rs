//! Typed records in Arrow → polars frames, column by column.

use crate::domain::fields::Field;
use crate::records::{texts, wholes};
use arrow::array::RecordBatch;
use arrow::compute::interleave_record_batch;
use polars::prelude::{
    Column, DataFrame, Int64Chunked, IntoColumn, NewChunkedArray, PlSmallStr, StringChunked,
};

/// A frame of all records, whose columns are those of the fields, as far as the records have them. No
/// batch is no record of every column.
pub(super) fn frame<F: Field>(records: &[RecordBatch]) -> DataFrame {
    let columns = fields_of(records).map(|field: F| column(field, records));
    frame_of(height(records), columns.collect())
}

/// The fields of which every record has a column.
pub(super) fn fields_of<F: Field>(records: &[RecordBatch]) -> impl Iterator<Item = F> {
    let is_there = |field: &F| {
        let mut records = records.iter();
        records.all(|batch| batch.column_by_name(field.column()).is_some())
    };
    F::ALL.iter().copied().filter(is_there)
}

/// A frame of these columns.
pub(super) fn frame_of(height: usize, columns: Vec<Column>) -> DataFrame {
    DataFrame::new(height, columns).expect("fields have names of their own, and one length")
}

/// How many records these are.
pub(super) fn height(records: &[RecordBatch]) -> usize {
    records.iter().map(RecordBatch::num_rows).sum()
}

/// The column of a field over all records.
pub(super) fn column<F: Field>(field: F, records: &[RecordBatch]) -> Column {
    let name = PlSmallStr::from_str(field.column());
    if field.kind().is_text() {
        StringChunked::from_iter_options(name, texts(field, records)).into_column()
    } else {
        Int64Chunked::from_iter_options(name, wholes(field, records)).into_column()
    }
}

/// The columns of these fields at some places, counted over all records.
pub(super) fn columns_at<F: Field>(
    fields: &[F],
    records: &[RecordBatch],
    places: &[usize],
) -> Vec<Column> {
    if fields.is_empty() || places.is_empty() {
        return fields.iter().map(|field| column(*field, &[])).collect();
    }
    let mut starts = Vec::with_capacity(records.len());
    let mut asked = Vec::with_capacity(records.len());
    let mut start = 0;
    for batch in records {
        starts.push(start);
        start += batch.num_rows();
        let schema = batch.schema();
        let columns = fields.iter().map(|field| schema.index_of(field.column()));
        let columns: Result<Vec<_>, _> = columns.collect();
        let batch = columns.and_then(|columns| batch.project(&columns));
        asked.push(batch.expect("records hold the columns that are asked for"));
    }
    let row_at = |place: &usize| {
        let batch = starts.partition_point(|start| start <= place) - 1;
        (batch, place - starts[batch])
    };
    let rows: Vec<_> = places.iter().map(row_at).collect();
    let asked: Vec<_> = asked.iter().collect();
    let taken = interleave_record_batch(&asked, &rows).expect("rows of batches of one schema");
    let taken = [taken];
    fields.iter().map(|field| column(*field, &taken)).collect()
}
