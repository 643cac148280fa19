//! Runs measures on polars and gathers the count tables.

use super::exposure::add_exposure;
use super::frame::frame;
use super::grouped::{MeasureRows, whole_numbers};
use super::groupings::{Grouping, groupings};
use super::sequence::{InOrder, event_sequence};
use crate::domain::counts::CountTables;
use crate::domain::exposure::Exposure;
use crate::domain::fields::{CaseField, PassField};
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::sequence::EventSequence;
use crate::domain::side_by_side::side_by_side;
use arrow::array::RecordBatch;
use polars::prelude::{Column, DataFrame, IntoLazy, PolarsResult};
use polars::sql::SQLContext;
use std::collections::BTreeMap;
use std::num::NonZeroUsize;

/// Why a measure could not be counted.
#[derive(Debug, thiserror::Error)]
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

/// Cases beyond which measures are counted one after another: the query engine then has enough to do on
/// all threads with one, and only the rows of one are held.
const MANY_CASES: usize = 1_000_000;

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
    let none = InOrder::default();
    let counted = count_in_order(cases, passes, exposure, measures, &none, NonZeroUsize::MIN);
    counted.map(|(tables, _)| tables)
}

/// [`count`], and the events of some shares in the order of the calls. Measures are counted side by
/// side on `threads`.
///
/// # Errors
/// As [`count`].
pub fn count_in_order(
    cases: &[RecordBatch],
    passes: &[RecordBatch],
    exposure: &Exposure,
    measures: &[Definition],
    in_order: &InOrder<'_>,
    threads: NonZeroUsize,
) -> Result<(CountTables, BTreeMap<String, EventSequence>), EngineError> {
    let records = Records::new(cases, passes);
    let groupings = groupings();
    let threads = if records.cases.height() > MANY_CASES {
        NonZeroUsize::MIN
    } else {
        threads
    };
    let counted = side_by_side(measures, threads, |measure| {
        count_measure(measure, &records, &groupings, exposure, in_order)
    });
    let mut tables = Vec::with_capacity(measures.len());
    let mut sequences = BTreeMap::new();
    for (measure, counted) in measures.iter().zip(counted) {
        let (of_measure, sequence) = counted?;
        tables.push(of_measure);
        sequences.extend(sequence.map(|sequence| (measure.id.clone(), sequence)));
    }
    Ok((tables.into_iter().collect(), sequences))
}

/// The tables of one measure, and its events in order where they are asked for.
fn count_measure(
    measure: &Definition,
    records: &Records,
    groupings: &[Grouping],
    exposure: &Exposure,
    in_order: &InOrder<'_>,
) -> Result<(CountTables, Option<EventSequence>), EngineError> {
    let rows = records.rows_of(measure)?;
    let data_error = || EngineError::Data {
        measure: measure.id.clone(),
    };
    let sequence = if in_order.names(measure) {
        let sequence = event_sequence(&rows, &records.cases, in_order.last_month);
        Some(sequence.ok_or_else(data_error)?)
    } else {
        None
    };
    let mut tables = CountTables::default();
    let mut measure_rows = MeasureRows::new(&rows, measure.kind).ok_or_else(data_error)?;
    for grouping in groupings {
        let is_selected = |column: &str| rows.column(column).is_ok();
        if grouping.kind != measure.kind || !grouping.columns().all(is_selected) {
            continue;
        }
        measure_rows
            .count(measure, grouping, &mut tables)
            .ok_or_else(data_error)?;
        if measure.kind == MeasureKind::Count {
            add_exposure(&mut tables, measure, grouping, exposure);
        }
    }
    Ok((tables, sequence))
}

/// The tables that a measure selects from.
pub(super) struct Records {
    pub(super) cases: DataFrame,
    passes: DataFrame,
}

impl Records {
    pub(super) fn new(cases: &[RecordBatch], passes: &[RecordBatch]) -> Records {
        Records {
            cases: frame::<CaseField>(cases),
            passes: frame::<PassField>(passes),
        }
    }

    /// The rows of a measure, which keep the contract of its kind.
    pub(super) fn rows_of(&self, measure: &Definition) -> Result<DataFrame, EngineError> {
        let rows = self.select(&measure.sql).map_err(|_| self.fault(measure))?;
        check_contract(measure, &rows)?;
        Ok(rows)
    }

    /// The rows of a measure. Frames share their columns, so a clone copies no value.
    pub(super) fn select(&self, sql: &str) -> PolarsResult<DataFrame> {
        let mut context = SQLContext::new();
        context.register("cases", self.cases.clone().lazy());
        context.register("passes", self.passes.clone().lazy());
        context.execute(sql)?.collect()
    }

    /// Why a measure failed, asked of tables without a row: what the engine says of them cannot quote
    /// a cell.
    fn fault(&self, measure: &Definition) -> EngineError {
        let id = measure.id.clone();
        let empty = Records {
            cases: self.cases.clear(),
            passes: self.passes.clear(),
        };
        match empty.select(&measure.sql) {
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
}

fn check_contract(measure: &Definition, rows: &DataFrame) -> Result<(), EngineError> {
    const FLAG: &str = "0 or 1";
    const WHOLE: &str = "a whole number";
    let columns: &[(&'static str, &'static str)] = match measure.kind {
        MeasureKind::Share | MeasureKind::ClusteredShare => &[("eligible", FLAG), ("hit", FLAG)],
        MeasureKind::Minutes => &[("eligible", FLAG), ("minutes", WHOLE), ("reached", FLAG)],
        MeasureKind::Count => &[("eligible", FLAG)],
    };
    for column in ["case_id"]
        .into_iter()
        .chain(columns.iter().map(|(column, _)| *column))
    {
        rows.column(column)
            .map_err(|_| EngineError::MissingColumn {
                measure: measure.id.clone(),
                column,
                kind: measure.kind,
            })?;
    }
    let different = rows.column("case_id").and_then(Column::n_unique);
    if measure.kind != MeasureKind::ClusteredShare && !different.is_ok_and(|n| n == rows.height()) {
        return Err(EngineError::RepeatedCase {
            measure: measure.id.clone(),
        });
    }
    let eligible = whole_numbers(rows, "eligible");
    for (column, expected) in columns {
        let broken = || EngineError::Contract {
            measure: measure.id.clone(),
            column,
            expected,
        };
        let values = whole_numbers(rows, column).ok_or_else(broken)?;
        let eligible = eligible.as_ref().ok_or_else(broken)?;
        let is_kept =
            values
                .iter()
                .zip(eligible)
                .all(|(value, eligible)| match (*expected, value) {
                    (FLAG, Some(value)) => (0..=1).contains(value),
                    (_, None) => *column != "eligible" && *eligible == Some(0),
                    (_, Some(_)) => true,
                });
        if !is_kept {
            return Err(broken());
        }
    }
    Ok(())
}

#[cfg(test)]
pub(super) mod tests;
