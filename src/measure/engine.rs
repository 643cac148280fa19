//! Runs measures on polars and gathers the count tables.

use super::compose::{CountQuery, count_query};
use super::exposure::add_exposure;
use super::frame::frame;
use super::groupings::{Grouping, groupings};
use super::sequence::{InOrder, event_sequence};
use crate::domain::codes::NOT_RECORDED;
use crate::domain::counts::{ALL, CountTables, Key};
use crate::domain::exposure::Exposure;
use crate::domain::fields::{CaseField, PassField};
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::month::Month;
use crate::domain::sequence::EventSequence;
use arrow::array::RecordBatch;
use polars::prelude::{Column, DataFrame, DataType, IntoLazy, LazyFrame, PolarsResult};
use polars::sql::SQLContext;
use std::collections::BTreeMap;

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
    count_in_order(cases, passes, exposure, measures, &none).map(|(tables, _)| tables)
}

/// [`count`], and the events of some shares in the order of the calls.
///
/// # Errors
/// As [`count`].
pub fn count_in_order(
    cases: &[RecordBatch],
    passes: &[RecordBatch],
    exposure: &Exposure,
    measures: &[Definition],
    in_order: &InOrder<'_>,
) -> Result<(CountTables, BTreeMap<String, EventSequence>), EngineError> {
    let records = Records {
        cases: frame::<CaseField>(cases),
        passes: frame::<PassField>(passes),
    };
    let empty_records = Records {
        cases: records.cases.clear(),
        passes: records.passes.clear(),
    };
    let groupings = groupings();
    let mut tables = CountTables::default();
    let mut sequences = BTreeMap::new();
    for measure in measures {
        // Planned on empty tables first: whatever the engine says then cannot quote a cell.
        empty_records.select(&measure.sql).map_err(|error| {
            let reason = error.to_string();
            EngineError::Query {
                measure: measure.id.clone(),
                reason: reason.lines().next().unwrap_or_default().to_string(),
            }
        })?;
        let data_error = || EngineError::Data {
            measure: measure.id.clone(),
        };
        let rows = records.select(&measure.sql).map_err(|_| data_error())?;
        check_contract(measure, &rows)?;
        if in_order.names(measure) {
            let sequence = event_sequence(&rows, &records.cases, in_order.last_month);
            sequences.insert(measure.id.clone(), sequence.ok_or_else(data_error)?);
        }
        let mut context = SQLContext::new();
        context.register("measure_rows", rows.clone().lazy());
        for grouping in &groupings {
            let is_selected = |column: &str| rows.column(column).is_ok();
            if grouping.kind != measure.kind || !grouping.columns().all(is_selected) {
                continue;
            }
            let query = count_query("measure_rows", grouping);
            let counted = context
                .execute(&query.sql)
                .and_then(LazyFrame::collect)
                .map_err(|_| data_error())?;
            let counted = Counted::read(&query, &counted).ok_or_else(data_error)?;
            counted.add_to(&mut tables, measure, grouping);
            if measure.kind == MeasureKind::Count {
                add_exposure(&mut tables, measure, grouping, exposure);
            }
        }
    }
    Ok((tables, sequences))
}

/// The tables that a measure selects from.
struct Records {
    cases: DataFrame,
    passes: DataFrame,
}

impl Records {
    /// The rows of a measure. Frames share their columns, so a clone copies no value.
    fn select(&self, sql: &str) -> PolarsResult<DataFrame> {
        let mut context = SQLContext::new();
        context.register("cases", self.cases.clone().lazy());
        context.register("passes", self.passes.clone().lazy());
        context.execute(sql)?.collect()
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

/// The values of a whole-number column of any width; `None` when it is of another type.
pub(super) fn whole_numbers(frame: &DataFrame, column: &str) -> Option<Vec<Option<i64>>> {
    let column = frame.column(column).ok()?;
    // A column of nothing but nulls has no type of its own.
    if !(column.dtype().is_integer() || *column.dtype() == DataType::Null) {
        return None;
    }
    let column = column.cast(&DataType::Int64).ok()?;
    Some(column.i64().ok()?.iter().collect())
}

pub(super) fn texts(frame: &DataFrame, column: &str) -> Option<Vec<Option<String>>> {
    let column = frame.column(column).ok()?.cast(&DataType::String).ok()?;
    Some(
        column
            .str()
            .ok()?
            .iter()
            .map(|text| text.map(String::from))
            .collect(),
    )
}

/// The result of a count query, row by row.
struct Counted {
    rows: Vec<CountedRow>,
}

struct CountedRow {
    /// Values of the dimensions, month last.
    dimensions: Vec<Option<String>>,
    /// Values of the count columns. A sum over no row is null.
    counts: Vec<Option<i64>>,
}

impl Counted {
    fn read(query: &CountQuery, frame: &DataFrame) -> Option<Counted> {
        let dimensions: Vec<_> = query
            .dimensions
            .iter()
            .map(|column| texts(frame, column))
            .collect::<Option<_>>()?;
        let counts: Vec<_> = query
            .counts
            .iter()
            .map(|column| whole_numbers(frame, column))
            .collect::<Option<_>>()?;
        let rows = (0..frame.height())
            .map(|row| CountedRow {
                dimensions: dimensions
                    .iter()
                    .map(|column| column[row].clone())
                    .collect(),
                counts: counts.iter().map(|column| column[row]).collect(),
            })
            .collect();
        Some(Counted { rows })
    }

    fn add_to(&self, tables: &mut CountTables, measure: &Definition, grouping: &Grouping) {
        for row in &self.rows {
            let Some(key) = key(measure, grouping, &row.dimensions) else {
                continue;
            };
            let count = |place: usize| -> u64 {
                row.counts[place]
                    .and_then(|count| u64::try_from(count).ok())
                    .unwrap_or(0)
            };
            match measure.kind {
                MeasureKind::Share => {
                    let share = tables.shares.entry(key).or_default();
                    share.eligible += count(0);
                    share.hit += count(1);
                    share.excluded += count(2);
                }
                MeasureKind::Minutes => {
                    let minutes = tables.minutes.entry(key).or_default();
                    match row.counts[0] {
                        None => minutes.excluded += count(2),
                        Some(value) => {
                            *minutes.cases.entry((value, count(1) == 1)).or_default() += count(2);
                        }
                    }
                }
                MeasureKind::ClusteredShare => {
                    let passes = tables.passes.entry(key).or_default();
                    match count(1) {
                        0 => passes.excluded += count(2),
                        attempts => {
                            *passes.cases.entry((count(0), attempts)).or_default() += count(2);
                        }
                    }
                }
                MeasureKind::Count => tables.events.entry(key).or_default().events += count(0),
            }
        }
    }
}

/// The key of one row of counts; `dimensions` holds their values and then, if monthly, the month.
/// `None` for a row without a month where months are counted apart: under a key without a month it
/// would be added to all months together, where it stands already.
pub(super) fn key(
    measure: &Definition,
    grouping: &Grouping,
    dimensions: &[Option<String>],
) -> Option<Key> {
    let value = |value: &Option<String>| value.clone().unwrap_or_else(|| NOT_RECORDED.into());
    let month = if grouping.is_monthly {
        Some(dimensions.last()?.as_ref()?.parse::<Month>().ok()?)
    } else {
        None
    };
    let group: Vec<_> = dimensions[..grouping.dimensions.len()]
        .iter()
        .map(value)
        .collect();
    Some(Key {
        measure: measure.id.clone(),
        version: measure.version,
        by: grouping.by(),
        group: if group.is_empty() {
            ALL.into()
        } else {
            group.join("|")
        },
        month,
    })
}

#[cfg(test)]
mod tests;
