//! Runs measures on polars and gathers the count tables.

use super::counter::Counter;
use super::frame::frame;
use super::judged::check_columns;
use crate::domain::counts::CountTables;
use crate::domain::exposure::Exposure;
use crate::domain::fields::{CaseField, PassField};
use crate::domain::measure::{Definition, MeasureKind};
use arrow::array::RecordBatch;
use polars::prelude::{DataFrame, IntoLazy, LazyFrame, PolarsResult};
use polars::sql::SQLContext;
use std::num::NonZeroUsize;

/// Why a measure could not be counted.
#[derive(Clone, Debug, thiserror::Error)]
pub enum EngineError {
    /// The query does not fit the records: a misspelt column, a function that is not portable.
    #[error("measure `{measure}` does not run: {reason}")]
    Query {
        /// Identifier of the measure.
        measure: String,
        /// What the SQL engine said of the query, planned on empty tables.
        reason: String,
    },
    /// The query lacks a column of its contract.
    #[error("measure `{measure}` selects no column `{column}`, which a {} needs", kind.code())]
    MissingColumn {
        /// Identifier of the measure.
        measure: String,
        /// The column.
        column: &'static str,
        /// Kind of the measure.
        kind: MeasureKind,
    },
    /// A column of the contract holds what it must not.
    #[error("measure `{measure}`: `{column}` must be {expected} in every row")]
    Contract {
        /// Identifier of the measure.
        measure: String,
        /// The column.
        column: &'static str,
        /// What it must be.
        expected: &'static str,
    },
    /// A case stands in more than one row, so it would count more than once.
    #[error("measure `{measure}` selects a case more than once; only a clustered_share may")]
    RepeatedCase {
        /// Identifier of the measure.
        measure: String,
    },
    /// The engine failed on the data. Its own words may quote a cell, so they are not shown.
    #[error(
        "measure `{measure}` failed on the records; look for a cast or a function that not every value allows"
    )]
    Data {
        /// Identifier of the measure.
        measure: String,
    },
}

/// Counts every measure over the records, by every grouping of its kind whose dimensions it selects.
///
/// # Errors
/// When a measure does not run, or breaks the contract of its kind.
pub fn count(
    cases: &[RecordBatch],
    passes: &[RecordBatch],
    exposure: &Exposure,
    measures: &[Definition],
) -> Result<CountTables, EngineError> {
    let mut counter = Counter::new(measures, &[], NonZeroUsize::MIN);
    counter.add_all(cases, passes);
    let (tables, _) = counter.finish().tables(exposure, None)?;
    Ok(tables)
}

/// The tables that a measure selects from.
#[derive(Default)]
pub(super) struct Records {
    pub(super) cases: DataFrame,
    pub(super) passes: DataFrame,
}

impl Records {
    pub(super) fn new(cases: &[RecordBatch], passes: &[RecordBatch]) -> Records {
        Records {
            cases: frame::<CaseField>(cases),
            passes: frame::<PassField>(passes),
        }
    }

    /// The rows of a measure, with the columns of its kind.
    pub(super) fn rows_of(&self, measure: &Definition) -> Result<DataFrame, EngineError> {
        let rows = self.select(&measure.sql).map_err(|_| fault(measure))?;
        check_columns(measure, |column| rows.column(column).is_ok())?;
        Ok(rows)
    }

    /// The rows of a query.
    pub(super) fn select(&self, sql: &str) -> PolarsResult<DataFrame> {
        self.query(sql)?.collect()
    }

    /// A query that is planned and not run. Frames share their columns, so a clone copies no value.
    pub(super) fn query(&self, sql: &str) -> PolarsResult<LazyFrame> {
        let mut context = SQLContext::new();
        context.register("cases", self.cases.clone().lazy());
        context.register("passes", self.passes.clone().lazy());
        context.execute(sql)
    }
}

/// Why a measure failed, asked of tables without a row: what the engine says of them cannot quote a
/// cell.
pub(super) fn fault(measure: &Definition) -> EngineError {
    let id = measure.id.clone();
    match Records::new(&[], &[]).select(&measure.sql) {
        Ok(_) => EngineError::Data { measure: id },
        Err(error) => {
            let reason = error.to_string();
            EngineError::Query {
                measure: id,
                reason: reason.lines().next().unwrap_or_default().to_string(),
            }
        }
    }
}

#[cfg(test)]
pub(super) mod tests;
