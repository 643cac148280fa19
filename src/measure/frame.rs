//! Typed records in Arrow → polars frames, column by column.

use arrow::array::{Array, Int64Array, RecordBatch, StringArray};
use polars::prelude::{
    Column, DataFrame, Int64Chunked, IntoColumn, NewChunkedArray, PlSmallStr, StringChunked,
};

/// A frame with the columns of `records`, which are text or 64-bit whole numbers.
pub(super) fn frame(records: &RecordBatch) -> DataFrame {
    let schema = records.schema();
    let columns = schema
        .fields()
        .iter()
        .zip(records.columns())
        .map(|(field, values)| column(field.name(), values.as_ref()))
        .collect();
    DataFrame::new(records.num_rows(), columns)
        .expect("columns of a record batch have names of their own and one length")
}

fn column(name: &str, values: &dyn Array) -> Column {
    let name = PlSmallStr::from_str(name);
    let values_any = values.as_any();
    if let Some(values) = values_any.downcast_ref::<Int64Array>() {
        Int64Chunked::from_iter_options(name, values.iter()).into_column()
    } else {
        let values = values_any
            .downcast_ref::<StringArray>()
            .expect("records hold text and 64-bit whole numbers only");
        StringChunked::from_iter_options(name, values.iter()).into_column()
    }
}
