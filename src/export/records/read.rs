//! Typed records read back from Parquet part by part, so that a run can start from records that this
//! tool wrote, or that lie elsewhere in the same form. Of their columns only those that somebody asks
//! for are read.
//!
//! Takes little on trust: columns, types, codes, months and what every case must have are checked, and
//! that no case stands twice as far as memory allows. No message shows the content of a row.

mod checked;
mod passes;

use super::PASSES_IN_ORDER;
use crate::domain::codes::{Shift, Weekday};
use crate::domain::exposure::{Exposure, ExposureCell, WeekHour};
use crate::domain::fields::{CaseField, Field, PassField};
use crate::domain::month::Month;
use crate::export::parquet_file::{Batches, ParquetFileError};
use arrow::array::{Array, Int64Array, RecordBatch, StringArray};
use arrow::datatypes::DataType;
use checked::{Repeats, Rows, wholes};
use passes::Passes;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Records that cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum RecordsError {
    /// A file cannot be read.
    #[error(transparent)]
    File(#[from] ParquetFileError),
    /// A column that is asked for is missing.
    #[error("table `{table}` has no column `{column}`")]
    MissingColumn {
        /// The table.
        table: &'static str,
        /// The column.
        column: &'static str,
    },
    /// A column has another type than that of the records.
    #[error("column `{column}` of table `{table}` has type {found} instead of {expected}")]
    ColumnType {
        /// The table.
        table: &'static str,
        /// The column.
        column: &'static str,
        /// Its type.
        found: DataType,
        /// What it should be.
        expected: DataType,
    },
    /// A row is against the contract.
    #[error("row {row_number} of table `{table}`: {problem}")]
    Row {
        /// The table.
        table: &'static str,
        /// The row, from 1.
        row_number: u64,
        /// What is wrong.
        problem: String,
    },
    /// A pass belongs to no case.
    #[error(
        "table `passes` holds passes of no case, or in another order than their cases though the file says otherwise"
    )]
    PassesWithoutCase,
}

/// Cases, and the records of all their passes where there are any.
pub type Part = (RecordBatch, Option<RecordBatch>);

/// Cases and passes of a directory, read part by part.
pub struct RecordsReader {
    cases: Rows<CaseField>,
    passes: Passes,
    repeats: Repeats,
}

impl RecordsReader {
    /// Opens `cases.parquet` and `passes.parquet`, of whose columns those `named` are read; with `None`
    /// all are. Passes that follow their cases are read along with them; others are held in memory.
    ///
    /// # Errors
    /// When a file cannot be read, or lacks a column.
    pub fn open(
        directory: &Path,
        named: Option<&BTreeSet<String>>,
    ) -> Result<RecordsReader, RecordsError> {
        let always = [
            CaseField::CaseId,
            CaseField::Presentation,
            CaseField::CalledAt,
            CaseField::Month,
        ];
        Ok(RecordsReader {
            cases: Rows::open(&file(directory, "cases"), "cases", named, &always)?,
            passes: Passes::open(Rows::open(
                &file(directory, "passes"),
                "passes",
                named,
                &[PassField::CaseId],
            )?)?,
            repeats: Repeats::default(),
        })
    }

    /// The next part; `None` when all cases are read.
    ///
    /// # Errors
    /// When a row is against the contract, or a file damaged.
    pub fn next_part(&mut self) -> Result<Option<Part>, RecordsError> {
        let first_row = self.cases.rows_read();
        let Some(cases) = self.cases.next()? else {
            self.passes.end()?;
            return Ok(None);
        };
        let numbers = texts(&cases, CaseField::CaseId);
        if let Some(row) = self.repeats.first_in(numbers) {
            return Err(RecordsError::Row {
                table: "cases",
                row_number: first_row + row + 1,
                problem: "a case of this number stands above".to_owned(),
            });
        }
        let passes = self.passes.of(numbers)?;
        Ok(Some((cases, passes)))
    }
}

/// The files that a run from records reads.
pub fn files_of(directory: &Path) -> [PathBuf; 4] {
    ["cases", "passes", "observed", "observed_hours"].map(|table| file(directory, table))
}

fn file(directory: &Path, table: &str) -> PathBuf {
    directory.join(format!("{table}.parquet"))
}

/// A column of text that was read.
fn texts<F: Field>(batch: &RecordBatch, field: F) -> &StringArray {
    let column = batch.column_by_name(field.column());
    let column = column.and_then(|column| column.as_any().downcast_ref());
    column.expect("the column is always read, as text")
}

/// The observed time beside the records.
///
/// # Errors
/// When a file cannot be read, or holds something else.
pub fn read_observed(directory: &Path) -> Result<Exposure, RecordsError> {
    let mut exposure = Exposure::new();
    each_row(
        "observed",
        directory,
        &["site", "month", "shift"],
        &["minutes"],
        |texts, numbers| {
            let shift = Shift::ALL.iter().find(|shift| shift.code() == texts[2])?;
            let cell = ExposureCell {
                site: texts[0].to_owned(),
                month: texts[1].parse().ok()?,
                shift: *shift,
            };
            let minutes = exposure.by_shift.entry(cell).or_insert(0);
            *minutes = minutes.checked_add(numbers[0].try_into().ok()?)?;
            Some(())
        },
    )?;
    each_row(
        "observed_hours",
        directory,
        &["site", "month", "weekday"],
        &["hour", "minutes"],
        |texts, numbers| {
            let weekday = Weekday::ALL.iter().find(|day| day.code() == texts[2])?;
            let hour = WeekHour {
                month: texts[1].parse::<Month>().ok()?,
                weekday: *weekday,
                hour: u8::try_from(numbers[0]).ok().filter(|hour| *hour < 24)?,
            };
            // The same at every site, so told once for each.
            let minutes = u64::try_from(numbers[1]).ok()?;
            let known = exposure.by_hour.entry(hour).or_insert(minutes);
            (*known == minutes).then_some(())
        },
    )?;
    Ok(exposure)
}

/// Offers every row of a small table, as its texts and numbers.
fn each_row(
    table: &'static str,
    directory: &Path,
    text_columns: &[&'static str],
    whole_columns: &[&'static str],
    mut offer: impl FnMut(&[&str], &[i64]) -> Option<()>,
) -> Result<(), RecordsError> {
    let path = file(directory, table);
    let mut rows_before = 0;
    for batch in Batches::of(&path)? {
        let batch = batch?;
        let texts = text_columns
            .iter()
            .map(|column| checked::texts(table, column, &batch));
        let texts: Vec<StringArray> = texts.collect::<Result<_, _>>()?;
        let numbers = whole_columns
            .iter()
            .map(|column| wholes(table, column, &batch));
        let numbers: Vec<Int64Array> = numbers.collect::<Result<_, _>>()?;
        for row in 0..batch.num_rows() {
            let has_null = texts.iter().any(|column| column.is_null(row))
                || numbers.iter().any(|column| column.is_null(row));
            let of_row: Vec<_> = texts.iter().map(|column| column.value(row)).collect();
            let numbers: Vec<_> = numbers.iter().map(|column| column.value(row)).collect();
            if has_null || offer(&of_row, &numbers).is_none() {
                return Err(RecordsError::Row {
                    table,
                    row_number: rows_before + row as u64 + 1,
                    problem: "it is no observed time".to_owned(),
                });
            }
        }
        rows_before += batch.num_rows() as u64;
    }
    Ok(())
}

#[cfg(test)]
mod tests;
