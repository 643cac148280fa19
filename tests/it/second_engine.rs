//! The count tables of polars against those of a second engine, `SQLite`, so that a measure means
//! the same wherever it runs. `SQLite` runs the file and the grouping around it as one statement.
//!
//! Knows the contract of a measure and nothing of what any measure means. Observed time is not SQL
//! and stays out.

use crate::records::Records;
use crate::tables::differences;
use crate::{generated, hand_counts};
use rusqlite::types::Value;
use rusqlite::{Connection, Row};
use scopetally::domain::codes::NOT_RECORDED;
use scopetally::domain::counts::{ALL, CountTables, Key};
use scopetally::domain::exposure::Exposure;
use scopetally::domain::fields::{CaseField, Field, Kind, PassField};
use scopetally::domain::measure::{Definition, MeasureKind};
use scopetally::measure::{Grouping, built_in, count, count_query, groupings};

/// The count tables without observed time, counted by the second engine.
pub(crate) fn count_on_sqlite(database: &Connection, measures: &[Definition]) -> CountTables {
    let mut tables = CountTables::default();
    for measure in measures {
        let statement = database.prepare(&measure.sql).unwrap();
        let selected: Vec<_> = statement.column_names().map(String::from).collect();
        for grouping in groupings() {
            let is_selected = |column: &str| selected.iter().any(|known| known == column);
            if grouping.kind == measure.kind && grouping.columns().all(is_selected) {
                add_grouping(&mut tables, database, measure, &grouping);
            }
        }
    }
    tables
}

fn add_grouping(
    tables: &mut CountTables,
    database: &Connection,
    measure: &Definition,
    grouping: &Grouping,
) {
    let query = count_query(&format!("({}) as measure_rows", measure.sql), grouping);
    let mut statement = database.prepare(&query.sql).unwrap();
    let mut rows = statement.query([]).unwrap();
    while let Some(row) = rows.next().unwrap() {
        let Some(key) = key(measure, grouping, row) else {
            continue;
        };
        let number = |column: &str| -> Option<u64> {
            let value: Option<i64> = row.get(column).unwrap();
            value.map(|value| value.try_into().unwrap())
        };
        let sum = |column: &str| number(column).unwrap_or(0);
        match measure.kind {
            MeasureKind::Share => {
                let share = tables.shares.entry(key).or_default();
                share.eligible += sum("eligible");
                share.hit += sum("hit");
                share.excluded += sum("excluded");
            }
            MeasureKind::Minutes => {
                let counted = tables.minutes.entry(key).or_default();
                match row.get("minutes").unwrap() {
                    None => counted.excluded += sum("cases"),
                    Some(minutes) => {
                        let point: (i64, bool) = (minutes, row.get("reached").unwrap());
                        *counted.cases.entry(point).or_default() += sum("cases");
                    }
                }
            }
            MeasureKind::ClusteredShare => {
                let counted = tables.passes.entry(key).or_default();
                if sum("attempts") == 0 {
                    counted.excluded += sum("cases");
                } else {
                    let point = (sum("events"), sum("attempts"));
                    *counted.cases.entry(point).or_default() += sum("cases");
                }
            }
            MeasureKind::Count => tables.events.entry(key).or_default().events += sum("events"),
        }
    }
}

/// `None` where each month is counted apart and the row has none: it stands in no month.
fn key(measure: &Definition, grouping: &Grouping, row: &Row<'_>) -> Option<Key> {
    let text = |column: &str| match row.get(column).unwrap() {
        Value::Null => None,
        Value::Integer(number) => Some(number.to_string()),
        Value::Text(text) => Some(text),
        other => panic!("{column} is of type {}", other.data_type()),
    };
    let month = if grouping.is_monthly {
        Some(text("month")?.parse().unwrap())
    } else {
        None
    };
    let values = grouping.dimensions.iter().map(|dimension| text(dimension));
    let values: Vec<_> = values
        .map(|value| value.unwrap_or_else(|| NOT_RECORDED.into()))
        .collect();
    let group = if values.is_empty() {
        ALL.into()
    } else {
        values.join("|")
    };
    Some(Key {
        measure: measure.id.clone(),
        version: measure.version,
        by: grouping.by(),
        group,
        month,
    })
}

/// Counts on both engines and returns what both found.
#[track_caller]
pub(crate) fn check_equal(records: &Records, measures: &[Definition]) -> CountTables {
    let polars = count(
        std::slice::from_ref(&records.cases),
        std::slice::from_ref(&records.passes),
        &Exposure::new(),
        measures,
    )
    .unwrap();
    let sqlite = count_on_sqlite(&records.to_sqlite(), measures);
    let lines = differences(&polars, &sqlite);
    assert!(
        lines.is_empty(),
        "{} counts differ, polars first:\n{}",
        lines.len(),
        lines[..lines.len().min(20)].join("\n")
    );
    sqlite
}

#[test]
fn both_engines_count_generated_records_alike() {
    let tables = check_equal(&generated::records(), &built_in());
    // Two empty tables would be alike as well.
    for measure in built_in() {
        let all = Key {
            measure: measure.id.clone(),
            version: measure.version,
            by: ALL.into(),
            group: ALL.into(),
            month: None,
        };
        let (low, high) = match measure.kind {
            MeasureKind::Share => {
                let share = tables.shares[&all];
                (share.hit.min(share.excluded), share.eligible - share.hit)
            }
            MeasureKind::Minutes => {
                let counted = &tables.minutes[&all];
                (counted.excluded, counted.cases.len() as u64)
            }
            MeasureKind::ClusteredShare => {
                let counted = &tables.passes[&all];
                (counted.excluded, counted.cases.len() as u64)
            }
            MeasureKind::Count => (tables.events[&all].events, tables.events[&all].events),
        };
        assert!(low >= 10 && high >= 10, "{}: {low}, {high}", measure.id);
    }
}

#[test]
fn both_engines_count_the_hand_written_records_alike() {
    for measure in built_in() {
        for table in hand_counts::tables_of(&measure.id) {
            let records = hand_counts::records(&table);
            check_equal(&records, std::slice::from_ref(&measure));
        }
    }
}

#[test]
fn generated_records_hold_every_code_and_a_null_in_every_column() {
    let database = generated::records().to_sqlite();
    check_coverage::<CaseField>(&database, "cases");
    check_coverage::<PassField>(&database, "passes");
}

fn check_coverage<F: Field>(database: &Connection, table: &str) {
    // Ingest gives every record a key, and no measure reads the age.
    const NOT_GENERATED: [&str; 2] = ["case_id", "age_years"];
    for field in F::ALL {
        let column = field.column();
        if NOT_GENERATED.contains(&column) {
            continue;
        }
        let one = |sql: String| -> i64 { database.query_one(&sql, [], |row| row.get(0)).unwrap() };
        let nulls = one(format!(
            "select count(*) from {table} where {column} is null"
        ));
        let distinct = one(format!("select count(distinct {column}) from {table}"));
        let codes = match field.kind() {
            Kind::Code(list) => list.words.len(),
            _ => 3,
        };
        assert!(nulls > 0, "{column}");
        assert!(distinct >= i64::try_from(codes).unwrap(), "{column}");
    }
}

#[test]
fn generated_records_touch_every_limit_and_the_minutes_beside_it() {
    let database = generated::records().to_sqlite();
    let check = |minutes: &str, length: &str| {
        let sql = format!("select count(*) from cases where {minutes} = {length}");
        let cases: i64 = database.query_one(&sql, [], |row| row.get(0)).unwrap();
        assert!(cases > 0, "{minutes} = {length}");
    };
    for interval in generated::intervals() {
        for edge in interval.edges {
            check(
                &format!("{} - {}", interval.to, interval.from),
                &edge.to_string(),
            );
        }
    }
    for length in [
        "-1",
        "0",
        "720",
        "721",
        "1440",
        "1441",
        "43200",
        "43201",
        "window_minutes",
        "window_minutes + 1",
        "preferred_minutes",
        "preferred_minutes + 1",
    ] {
        check("scope_in_minute - window_start_minute", length);
    }
}
