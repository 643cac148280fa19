//! Count tables read back, so that a run can start from counts that this tool, another site or
//! another engine made.
//!
//! Takes nothing on trust: columns, types and every row are checked. Rows with equal keys add up.
//! No message shows the content of a row, only where it stands.

mod columns;

use super::{EVENTS, MINUTES, PASSES, SHARES};
use crate::domain::counts::{
    Additive, CountTables, EventsCount, Key, MinutesCount, PassesCount, ShareCount,
};
use crate::export::parquet_file::{Batches, ParquetFileError};
use arrow::array::RecordBatch;
use arrow::datatypes::DataType;
use columns::{Columns, Row};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Count tables that cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum CountsError {
    /// A file cannot be read.
    #[error(transparent)]
    File(#[from] ParquetFileError),
    /// A column of the contract is missing.
    #[error("count table `{table}` has no column `{column}`")]
    MissingColumn {
        /// The table.
        table: &'static str,
        /// The column.
        column: &'static str,
    },
    /// A column has a type that the contract does not allow.
    #[error("column `{column}` of count table `{table}` has type {found} instead of {expected}")]
    ColumnType {
        /// The table.
        table: &'static str,
        /// The column.
        column: &'static str,
        /// Its type.
        found: DataType,
        /// The type in the contract.
        expected: DataType,
    },
    /// A row contradicts itself or the contract.
    #[error("row {row_number} of count table `{table}`: {problem}")]
    Row {
        /// The table.
        table: &'static str,
        /// The row, from 1.
        row_number: u64,
        /// What is wrong.
        problem: &'static str,
    },
}

/// Reads `shares.parquet`, `minutes.parquet`, `passes.parquet` and `events.parquet` in `directory`.
///
/// # Errors
/// When one of the four is missing, unreadable or against the contract.
pub fn read_counts(directory: &Path) -> Result<CountTables, CountsError> {
    Ok(CountTables {
        shares: read_file(directory, &SHARES_LAYOUT)?,
        minutes: read_file(directory, &MINUTES_LAYOUT)?,
        passes: read_file(directory, &PASSES_LAYOUT)?,
        events: read_file(directory, &EVENTS_LAYOUT)?,
    })
}

/// The four files that [`read_counts`] reads.
pub fn files_of(directory: &Path) -> [PathBuf; 4] {
    [SHARES, MINUTES, PASSES, EVENTS].map(|table| file_of(directory, table))
}

fn file_of(directory: &Path, table: &str) -> PathBuf {
    directory.join(format!("{table}.parquet"))
}

/// The counts in four batches, in the order of [`super::count_tables`].
///
/// # Errors
/// When a batch is against the contract.
pub fn counts_from_batches(
    [shares, minutes, passes, events]: [&RecordBatch; 4],
) -> Result<CountTables, CountsError> {
    let mut counts = CountTables::default();
    add_batch(&SHARES_LAYOUT, shares, 0, &mut counts.shares)?;
    add_batch(&MINUTES_LAYOUT, minutes, 0, &mut counts.minutes)?;
    add_batch(&PASSES_LAYOUT, passes, 0, &mut counts.passes)?;
    add_batch(&EVENTS_LAYOUT, events, 0, &mut counts.events)?;
    Ok(counts)
}

/// The columns of one table after those of the key, and what its rows mean.
struct Layout<C> {
    table: &'static str,
    /// Columns of whole numbers; a [`Row`] knows them by their place in this list.
    whole: &'static [&'static str],
    /// The column in hours; `None` when the table has none.
    hours: Option<&'static str>,
    /// Adds one row to the count of its key, or says what is wrong with it.
    add: fn(Row<'_>, &mut C) -> Result<(), &'static str>,
}

const SHARES_LAYOUT: Layout<ShareCount> = Layout {
    table: SHARES,
    whole: &["eligible", "hit", "excluded"],
    hours: None,
    add: |row, total| {
        let count = ShareCount {
            eligible: row.count(0)?,
            hit: row.count(1)?,
            excluded: row.count(2)?,
        };
        if count.hit > count.eligible {
            return Err("more cases in `hit` than in `eligible`");
        }
        total.add(&count);
        Ok(())
    },
};

const MINUTES_LAYOUT: Layout<MinutesCount> = Layout {
    table: MINUTES,
    whole: &["minutes", "reached", "cases"],
    hours: None,
    add: |row, total| {
        let cases = row.count(2)?;
        let count = match (row.number(0), row.number(1)) {
            (Some(minutes), Some(reached @ (0 | 1))) => MinutesCount {
                cases: BTreeMap::from([((minutes, reached == 1), cases)]),
                excluded: 0,
            },
            (None, None) => MinutesCount {
                cases: BTreeMap::new(),
                excluded: cases,
            },
            (Some(_), Some(_)) => return Err("`reached` is neither 0 nor 1"),
            _ => return Err("only one of `minutes` and `reached` is empty"),
        };
        total.add(&count);
        Ok(())
    },
};

const PASSES_LAYOUT: Layout<PassesCount> = Layout {
    table: PASSES,
    whole: &["events", "attempts", "cases"],
    hours: None,
    add: |row, total| {
        let (events, attempts, cases) = (row.count(0)?, row.count(1)?, row.count(2)?);
        if events > attempts {
            return Err("more passes in `events` than in `attempts`");
        }
        let count = if attempts == 0 {
            PassesCount {
                cases: BTreeMap::new(),
                excluded: cases,
            }
        } else {
            PassesCount {
                cases: BTreeMap::from([((events, attempts), cases)]),
                excluded: 0,
            }
        };
        total.add(&count);
        Ok(())
    },
};

const EVENTS_LAYOUT: Layout<EventsCount> = Layout {
    table: EVENTS,
    whole: &["events"],
    hours: Some("exposure"),
    add: |row, total| {
        total.add(&EventsCount {
            events: row.count(0)?,
            exposure_minutes: row.exposure_minutes()?,
        });
        Ok(())
    },
};

fn read_file<C: Additive>(
    directory: &Path,
    layout: &Layout<C>,
) -> Result<BTreeMap<Key, C>, CountsError> {
    let mut counts = BTreeMap::new();
    let mut rows_before = 0;
    for batch in Batches::of(&file_of(directory, layout.table))? {
        let batch = batch?;
        add_batch(layout, &batch, rows_before, &mut counts)?;
        rows_before += batch.num_rows() as u64;
    }
    Ok(counts)
}

fn add_batch<C: Additive>(
    layout: &Layout<C>,
    batch: &RecordBatch,
    rows_before: u64,
    counts: &mut BTreeMap<Key, C>,
) -> Result<(), CountsError> {
    let columns = Columns::new(layout, batch)?;
    for (index, row) in columns.rows().enumerate() {
        row.key()
            .and_then(|key| (layout.add)(row, counts.entry(key).or_default()))
            .map_err(|problem| CountsError::Row {
                table: layout.table,
                row_number: rows_before + index as u64 + 1,
                problem,
            })?;
    }
    Ok(())
}

#[cfg(test)]
mod tests;
