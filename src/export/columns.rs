//! The columns that every table here is made of: typed, named and described.
//!
//! Four types are enough: text, INT64, FLOAT64 and Boolean. Knows no table.

use super::table::TableError;
use arrow::array::{ArrayRef, BooleanArray, Float64Array, Int64Array, RecordBatch, StringArray};
use arrow::datatypes::{DataType, Field, Schema};
use std::sync::Arc;

/// One column: what it is called and means, and its values.
pub(super) type Column = (Field, ArrayRef);

/// Puts columns of one length together.
pub(super) fn batch(columns: Vec<Column>) -> RecordBatch {
    let (fields, arrays): (Vec<Field>, Vec<ArrayRef>) = columns.into_iter().unzip();
    RecordBatch::try_new(Arc::new(Schema::new(fields)), arrays)
        .expect("every column was made from the same rows")
}

/// Text without nulls.
pub(super) fn text<S: AsRef<str>>(
    name: &str,
    meaning: &str,
    values: impl Iterator<Item = S>,
) -> Column {
    let array = StringArray::from_iter_values(values);
    let field = Field::new(name, DataType::Utf8, false);
    (described(field, meaning, ""), Arc::new(array))
}

/// Text with nulls.
pub(super) fn optional_text<S: AsRef<str>>(
    name: &str,
    meaning: &str,
    values: impl Iterator<Item = Option<S>>,
) -> Column {
    let array: StringArray = values.collect();
    let field = Field::new(name, DataType::Utf8, true);
    (described(field, meaning, ""), Arc::new(array))
}

/// Whole numbers without nulls.
pub(super) fn whole<N: TryInto<i64>>(
    name: &str,
    meaning: &str,
    unit: &str,
    values: impl Iterator<Item = N>,
) -> Result<Column, TableError> {
    let (field, array) = optional_whole(name, meaning, unit, values.map(Some))?;
    Ok((field.with_nullable(false), array))
}

/// Whole numbers with nulls.
pub(super) fn optional_whole<N: TryInto<i64>>(
    name: &str,
    meaning: &str,
    unit: &str,
    values: impl Iterator<Item = Option<N>>,
) -> Result<Column, TableError> {
    let array: Int64Array = values
        .map(|value| value.map(N::try_into).transpose())
        .collect::<Result<_, _>>()
        .map_err(|_| TableError::TooLarge {
            column: name.to_owned(),
        })?;
    let field = Field::new(name, DataType::Int64, true);
    Ok((described(field, meaning, unit), Arc::new(array)))
}

/// Numbers with nulls.
pub(super) fn number(
    name: &str,
    meaning: &str,
    unit: &str,
    values: impl Iterator<Item = Option<f64>>,
) -> Column {
    let array: Float64Array = values.collect();
    let field = Field::new(name, DataType::Float64, true);
    (described(field, meaning, unit), Arc::new(array))
}

/// Yes or no, without nulls.
pub(super) fn flag(name: &str, meaning: &str, values: impl Iterator<Item = bool>) -> Column {
    let array: BooleanArray = values.map(Some).collect();
    let field = Field::new(name, DataType::Boolean, false);
    (described(field, meaning, ""), Arc::new(array))
}

/// The column, with how its numbers were made.
pub(super) fn made_by((field, values): Column, method: &str) -> Column {
    let metadata = field.metadata().clone().with("method", method);
    (field.with_metadata(metadata), values)
}

/// A file that is read without this tool still says what its columns mean.
fn described(field: Field, meaning: &str, unit: &str) -> Field {
    if unit.is_empty() {
        field.with_metadata([("meaning", meaning)])
    } else {
        field.with_metadata([("meaning", meaning), ("unit", unit)])
    }
}
