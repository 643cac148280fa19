//! The calls of staffing by the engine inside the program against those that `SQLite` gives for the
//! same file, over generated records. Knows no measure.

use crate::generated;
use crate::records::Records;
use arrow::array::{Array, Int64Array, RecordBatch};
use rusqlite::Row;
use scopetally::domain::duty::call::Call;
use scopetally::domain::fields::{CaseField, Field};
use scopetally::measure::duty_calls;
use std::sync::Arc;

const SQL: &str = include_str!("../../sql/staffing/calls.sql");

/// What every accepted record with clock times has, and generated records sometimes lack.
const ALWAYS: [&str; 6] = [
    "called_minute",
    "month",
    "weekday",
    "hour",
    "shift",
    "presentation",
];

/// A call as the text of its columns, in the order of the query.
fn of_program(call: &Call) -> String {
    let minute = |minute: Option<i64>| minute.map_or_else(String::new, |minute| minute.to_string());
    [
        call.site.clone(),
        call.month.to_string(),
        call.weekday.code().to_owned(),
        call.hour.to_string(),
        call.shift.code().to_owned(),
        call.presentation.code().to_owned(),
        call.called.to_string(),
        minute(call.team),
        minute(call.scope_in),
        minute(call.scope_out),
        minute(call.ended),
        minute(call.released),
        minute(call.deadline),
    ]
    .join("|")
}

fn of_sqlite(row: &Row<'_>) -> String {
    use rusqlite::types::Value;
    let cell = |place: usize| match row.get(place).unwrap() {
        Value::Null => String::new(),
        Value::Integer(number) => number.to_string(),
        Value::Text(text) => text,
        other => panic!("column {place} is of type {}", other.data_type()),
    };
    (0..13).map(cell).collect::<Vec<_>>().join("|")
}

/// Generated records, in which two of three teams were free again an hour after the call.
fn records() -> Records {
    let Records { cases, passes } = generated::records();
    let called = cases.column_by_name("called_minute").unwrap();
    let called = called.as_any().downcast_ref::<Int64Array>().unwrap();
    let released = called.iter().enumerate().map(|(row, called)| {
        let called = called.filter(|_| row % 3 != 0)?;
        Some(called + 60)
    });
    let mut columns = cases.columns().to_vec();
    columns[CaseField::ReleasedAt.index()] = Arc::new(released.collect::<Int64Array>());
    let cases = RecordBatch::try_new(cases.schema(), columns).unwrap();
    Records { cases, passes }
}

#[test]
fn both_engines_give_the_same_calls() {
    let records = records();
    let cases = &records.cases;
    let has_all = |row: &usize| {
        ALWAYS.iter().all(|column| {
            let column = cases.column_by_name(column).unwrap();
            !column.is_null(*row)
        })
    };
    let rows: Vec<_> = (0..cases.num_rows()).filter(has_all).collect();
    let kept: Vec<_> = rows.iter().map(|row| cases.slice(*row, 1)).collect();
    let calls = duty_calls(&kept).unwrap();
    let mut found: Vec<_> = calls.iter().map(of_program).collect();
    assert!(found.len() > 500, "{}", found.len());

    let database = records.to_sqlite();
    let complete = ALWAYS.map(|column| format!("{column} is not null"));
    let sql = format!("{SQL}where {}", complete.join(" and "));
    let mut statement = database.prepare(&sql).unwrap();
    let mut rows = statement.query([]).unwrap();
    let mut expected = Vec::new();
    while let Some(row) = rows.next().unwrap() {
        expected.push(of_sqlite(row));
    }
    expected.sort();
    found.sort();
    assert_eq!(found, expected);
    // Else equal texts could be those of empty columns.
    for place in 7..13 {
        let texts = found.iter().map(|call| call.split('|').nth(place).unwrap());
        let empty = texts.filter(|text| text.is_empty()).count();
        assert!(
            empty > 0 && empty < found.len(),
            "column {place}: {empty} of {} empty",
            found.len()
        );
    }
}

#[test]
fn the_query_below_its_header_is_sql_that_every_engine_runs() {
    let below: String = SQL
        .lines()
        .skip_while(|line| line.starts_with("--"))
        .map(|line| format!("{line}\n"))
        .collect();
    let faults = crate::sql_rules::faults_of_sql(&below);
    assert!(faults.is_empty(), "{faults:?}");
}
