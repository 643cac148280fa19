//! A table to publish and the three formats that it is published in: CSV for people and
//! spreadsheets, Parquet and Arrow for programs.
//!
//! Knows nothing of what a table is about, and opens no file: a table becomes bytes here, and
//! [`super::directory`] writes them.

use arrow::array::{
    Array, AsArray, BooleanArray, Float64Array, Int64Array, RecordBatch, StringArray,
};
use arrow::datatypes::{DataType, Float64Type, Int64Type};
use arrow::error::ArrowError;
use arrow::ipc::writer::FileWriter;
use parquet::arrow::ArrowWriter;
use parquet::basic::Compression;
use parquet::errors::ParquetError;
use parquet::file::properties::{WriterProperties, WriterPropertiesBuilder};
use rust_xlsxwriter::XlsxError;
use std::io::Write;

/// A table with the name that its files bear.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// File name without extension.
    pub name: &'static str,
    /// The rows.
    pub batch: RecordBatch,
}

/// A format of a table's file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// RFC 4180 with `\n` at line ends; see [`write_csv`].
    Csv,
    /// Parquet, Snappy.
    Parquet,
    /// Arrow IPC file.
    Arrow,
}

/// A table that cannot be made or written.
#[derive(Debug, thiserror::Error)]
pub enum TableError {
    /// Tables hold whole numbers as INT64.
    #[error("a number in column `{column}` does not fit a 64-bit whole number")]
    TooLarge {
        /// The column.
        column: String,
    },
    /// A column of a type that no table of this tool has.
    #[error("column `{column}` has type {data_type}, which CSV files here do not hold")]
    ColumnType {
        /// The column.
        column: String,
        /// Its type.
        data_type: DataType,
    },
    /// The CSV writer failed.
    #[error("cannot write CSV")]
    Csv(#[from] csv::Error),
    /// The Parquet writer failed.
    #[error("cannot write Parquet")]
    Parquet(#[from] ParquetError),
    /// The Arrow writer failed.
    #[error("cannot write Arrow")]
    Arrow(#[from] ArrowError),
    /// The writer of workbooks failed.
    #[error("cannot write a workbook")]
    Workbook(#[from] XlsxError),
    /// Temporary files cannot be made, so no workbook either.
    #[error("cannot write temporary files, which a workbook needs")]
    TemporaryFile(#[source] std::io::Error),
}

impl Format {
    /// Every format.
    pub const ALL: [Format; 3] = [Format::Csv, Format::Parquet, Format::Arrow];

    /// Extension of the file name.
    pub const fn extension(self) -> &'static str {
        match self {
            Format::Csv => "csv",
            Format::Parquet => "parquet",
            Format::Arrow => "arrow",
        }
    }
}

impl Table {
    /// Name of the table's file, without directory.
    pub fn file_name(&self, format: Format) -> String {
        format!("{}.{}", self.name, format.extension())
    }

    /// Content of the table's file. The same table gives the same bytes.
    ///
    /// # Errors
    /// When a column has a type that the format does not hold.
    pub fn encode(&self, format: Format) -> Result<Vec<u8>, TableError> {
        let mut bytes = Vec::new();
        match format {
            Format::Csv => write_csv(&self.batch, &mut bytes)?,
            Format::Parquet => write_parquet(&self.batch, &mut bytes)?,
            Format::Arrow => write_arrow(&self.batch, &mut bytes)?,
        }
        Ok(bytes)
    }
}

/// Writes RFC 4180 with a header and `\n` at line ends. A null is an empty cell. Numbers have the
/// fewest digits that read back as the same number. A text that a spreadsheet would take for a
/// formula gets an apostrophe in front.
///
/// # Errors
/// When a column is neither text, INT64, FLOAT64 nor Boolean, or the writer fails.
pub fn write_csv<W: Write>(batch: &RecordBatch, writer: W) -> Result<(), TableError> {
    let mut csv = csv::WriterBuilder::new()
        .terminator(csv::Terminator::Any(b'\n'))
        .from_writer(writer);
    let schema = batch.schema();
    csv.write_record(schema.fields().iter().map(|field| field.name()))?;
    let columns = Cells::of_all(batch)?;
    let mut number = Vec::new();
    for row in 0..batch.num_rows() {
        for column in &columns {
            csv.write_field(column.cell(row, &mut number))?;
        }
        csv.write_record(None::<&[u8]>)?;
    }
    csv.flush().map_err(csv::Error::from)?;
    Ok(())
}

/// The values of a column, of a type that CSV files and sheets here hold.
pub(super) enum Cells<'a> {
    Text(&'a StringArray),
    Whole(&'a Int64Array),
    Number(&'a Float64Array),
    Flag(&'a BooleanArray),
}

/// One value that is not null.
pub(super) enum Value<'a> {
    Text(&'a str),
    Whole(i64),
    Number(f64),
    Flag(bool),
}

impl<'a> Cells<'a> {
    /// Every column of `batch`.
    ///
    /// # Errors
    /// When one is neither text, INT64, FLOAT64 nor Boolean.
    pub(super) fn of_all(batch: &'a RecordBatch) -> Result<Vec<Cells<'a>>, TableError> {
        let schema = batch.schema_ref();
        let named = schema.fields().iter().zip(batch.columns());
        named
            .map(|(field, column)| {
                Cells::of(column).ok_or_else(|| TableError::ColumnType {
                    column: field.name().clone(),
                    data_type: field.data_type().clone(),
                })
            })
            .collect()
    }

    /// The value of a row; `None` for a null.
    pub(super) fn value(&self, row: usize) -> Option<Value<'a>> {
        match *self {
            Cells::Text(texts) => texts.is_valid(row).then(|| Value::Text(texts.value(row))),
            Cells::Whole(numbers) => numbers
                .is_valid(row)
                .then(|| Value::Whole(numbers.value(row))),
            Cells::Number(numbers) => numbers
                .is_valid(row)
                .then(|| Value::Number(numbers.value(row))),
            Cells::Flag(flags) => flags.is_valid(row).then(|| Value::Flag(flags.value(row))),
        }
    }

    /// `None` when the column is of a type that CSV files here do not hold.
    fn of(column: &'a dyn Array) -> Option<Cells<'a>> {
        Some(match column.data_type() {
            DataType::Utf8 => Cells::Text(column.as_string()),
            DataType::Int64 => Cells::Whole(column.as_primitive::<Int64Type>()),
            DataType::Float64 => Cells::Number(column.as_primitive::<Float64Type>()),
            DataType::Boolean => Cells::Flag(column.as_boolean()),
            _ => return None,
        })
    }

    /// The text of a cell, which stands in `space` where it is made: tables have millions of them.
    fn cell<'s>(&'s self, row: usize, space: &'s mut Vec<u8>) -> &'s [u8] {
        space.clear();
        let written = match self {
            Cells::Text(texts) if texts.is_valid(row) => {
                let text = texts.value(row);
                if !is_formula(text) {
                    return text.as_bytes();
                }
                write!(space, "'{text}")
            }
            Cells::Whole(numbers) if numbers.is_valid(row) => {
                write!(space, "{}", numbers.value(row))
            }
            Cells::Number(numbers) if numbers.is_valid(row) => {
                write!(space, "{}", numbers.value(row))
            }
            Cells::Flag(flags) if flags.is_valid(row) => write!(space, "{}", flags.value(row)),
            _ => Ok(()),
        };
        written.expect("writing to a vector cannot fail");
        space
    }
}

/// Spreadsheets run a cell that begins with one of these, even when it came as text.
pub(super) fn is_formula(text: &str) -> bool {
    text.starts_with(['=', '+', '-', '@', '\t', '\r'])
}

/// Writes Parquet with Snappy pages. Nothing in the file depends on when or where it was written.
///
/// # Errors
/// When the writer fails.
pub fn write_parquet<W: Write + Send>(batch: &RecordBatch, writer: W) -> Result<(), TableError> {
    let mut parquet = ArrowWriter::try_new(writer, batch.schema(), Some(properties().build()))?;
    parquet.write(batch)?;
    parquet.close()?;
    Ok(())
}

/// How Parquet files are written here.
pub(super) fn properties() -> WriterPropertiesBuilder {
    WriterProperties::builder()
        .set_compression(Compression::SNAPPY)
        .set_created_by(concat!("scopetally version ", env!("CARGO_PKG_VERSION")).to_owned())
}

/// Writes an Arrow IPC file with one batch.
///
/// # Errors
/// When the writer fails.
pub fn write_arrow<W: Write>(batch: &RecordBatch, writer: W) -> Result<(), TableError> {
    let mut arrow = FileWriter::try_new(writer, &batch.schema())?;
    arrow.write(batch)?;
    arrow.finish()?;
    Ok(())
}

#[cfg(test)]
mod tests;
