//! The columns of a count table as typed arrays, and one row of them.
//!
//! Engines differ in how they type what the contract calls text and INT64; any type of text and
//! any type of whole number is taken. Knows nothing of what the numbers of a row mean.

use super::super::whole_minutes;
use super::{CountsError, Layout};
use crate::domain::counts::{ALL, Key};
use crate::domain::month::Month;
use arrow::array::{Array, ArrayRef, AsArray, Float64Array, Int64Array, RecordBatch, StringArray};
use arrow::compute::{CastOptions, cast_with_options};
use arrow::datatypes::{DataType, Float64Type, Int64Type};

/// The columns of one batch.
pub(super) struct Columns {
    row_count: usize,
    measure: StringArray,
    version: Int64Array,
    by: StringArray,
    group: StringArray,
    month: StringArray,
    whole: Vec<Int64Array>,
    hours: Option<Float64Array>,
}

/// One row. What is wrong with it is said without its content.
#[derive(Clone, Copy)]
pub(super) struct Row<'a> {
    columns: &'a Columns,
    index: usize,
}

impl Columns {
    /// Finds and types the columns; columns that the contract does not name are ignored.
    pub(super) fn new<C>(layout: &Layout<C>, batch: &RecordBatch) -> Result<Columns, CountsError> {
        let table = layout.table;
        let text = |name| {
            column(table, batch, name, &DataType::Utf8)
                .map(|array| array.as_string::<i32>().clone())
        };
        let whole = |name| {
            column(table, batch, name, &DataType::Int64)
                .map(|array| array.as_primitive::<Int64Type>().clone())
        };
        let hours = |name| {
            column(table, batch, name, &DataType::Float64)
                .map(|array| array.as_primitive::<Float64Type>().clone())
        };
        Ok(Columns {
            row_count: batch.num_rows(),
            measure: text("measure")?,
            version: whole("version")?,
            by: text("by")?,
            group: text("group")?,
            month: text("month")?,
            whole: layout
                .whole
                .iter()
                .map(|name| whole(*name))
                .collect::<Result<_, _>>()?,
            hours: layout.hours.map(hours).transpose()?,
        })
    }

    /// The rows in order.
    pub(super) fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        (0..self.row_count).map(|index| Row {
            columns: self,
            index,
        })
    }
}

impl Row<'_> {
    /// What the row counts.
    pub(super) fn key(self) -> Result<Key, &'static str> {
        let columns = self.columns;
        let month = match self.text(&columns.month)? {
            ALL => None,
            text => Some(
                text.parse::<Month>()
                    .map_err(|_| "`month` is neither YYYY-MM nor `all`")?,
            ),
        };
        let version = valid(&columns.version, self.index)
            .then(|| columns.version.value(self.index))
            .and_then(|version| u32::try_from(version).ok())
            .ok_or("`version` is not a whole number of 0 to 4294967295")?;
        Ok(Key {
            measure: self.text(&columns.measure)?.to_owned(),
            version,
            by: self.text(&columns.by)?.to_owned(),
            group: self.text(&columns.group)?.to_owned(),
            month,
        })
    }

    /// The whole number in the column at `place` of the layout; `None` when the cell is empty.
    pub(super) fn number(self, place: usize) -> Option<i64> {
        let column = &self.columns.whole[place];
        valid(column, self.index).then(|| column.value(self.index))
    }

    /// The count in the column at `place` of the layout.
    pub(super) fn count(self, place: usize) -> Result<u64, &'static str> {
        self.number(place)
            .ok_or("a count is empty")
            .and_then(|count| u64::try_from(count).map_err(|_| "a count is negative"))
    }

    /// The observed time of the row.
    pub(super) fn exposure_minutes(self) -> Result<u64, &'static str> {
        self.columns
            .hours
            .as_ref()
            .filter(|column| valid(*column, self.index))
            .and_then(|column| whole_minutes(column.value(self.index)))
            .ok_or("`exposure` is not a whole number of minutes in hours")
    }

    fn text(self, column: &StringArray) -> Result<&str, &'static str> {
        valid(column, self.index)
            .then(|| column.value(self.index))
            .filter(|text| !text.is_empty())
            .ok_or("`measure`, `by`, `group` or `month` is empty")
    }
}

fn valid(column: &dyn Array, index: usize) -> bool {
    column.is_valid(index)
}

/// The column `name` as `expected`, from any type that says the same without loss.
fn column(
    table: &'static str,
    batch: &RecordBatch,
    name: &'static str,
    expected: &DataType,
) -> Result<ArrayRef, CountsError> {
    let array = batch
        .column_by_name(name)
        .ok_or(CountsError::MissingColumn {
            table,
            column: name,
        })?;
    let wrong_type = || CountsError::ColumnType {
        table,
        column: name,
        found: array.data_type().clone(),
        expected: expected.clone(),
    };
    let is_same_kind = match expected {
        DataType::Utf8 => is_text(array.data_type()),
        DataType::Int64 => array.data_type().is_integer(),
        other => array.data_type() == other,
    };
    if !is_same_kind {
        return Err(wrong_type());
    }
    // Not `safe`: a number that does not fit is an error here, where `safe` would make it a null.
    let options = CastOptions {
        safe: false,
        ..CastOptions::default()
    };
    cast_with_options(array, expected, &options).map_err(|_| wrong_type())
}

fn is_text(data_type: &DataType) -> bool {
    match data_type {
        DataType::Utf8 | DataType::LargeUtf8 | DataType::Utf8View => true,
        DataType::Dictionary(_, values) => is_text(values),
        _ => false,
    }
}
