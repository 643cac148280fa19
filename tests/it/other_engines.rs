//! The whole counting as printed SQL: on `SQLite` it gives the counts of the program, observed time
//! included. And the options of `counts` that hand the counting to another engine.
//!
//! `DuckDB` and Spark run the same script in `tests/engines`.

use crate::generated;
use crate::records::{Records, add_table};
use crate::run::Run;
use crate::tables::differences;
use arrow::array::{ArrayRef, Float64Array, Int64Array, RecordBatch, StringArray};
use rusqlite::Connection;
use scopetally::domain::codes::{Shift, Weekday};
use scopetally::domain::counts::CountTables;
use scopetally::domain::exposure::{Exposure, ExposureCell, WeekHour};
use scopetally::domain::measure::Definition;
use scopetally::export::counts::read::counts_from_batches;
use scopetally::export::records::observed_tables;
use scopetally::measure::{COUNT_VIEWS, Dialect, built_in, count, counting_script};
use std::sync::Arc;

/// Sites of the generated records and one without a case, in months with and without one.
fn exposure() -> Exposure {
    let mut exposure = Exposure::new();
    for (site, months) in [
        ("Alder", ["2026-01", "2026-02"]),
        ("Birch", ["2026-02", "2026-03"]),
        ("Dogwood", ["2026-03", "2031-12"]),
    ] {
        for (number, month) in months.into_iter().enumerate() {
            for (shift, minutes) in Shift::ALL.iter().zip([9_601, 33_000]) {
                let cell = ExposureCell {
                    site: site.to_owned(),
                    month: month.parse().unwrap(),
                    shift: *shift,
                };
                exposure.by_shift.insert(cell, minutes + number as u64);
            }
            for (weekday, hour, minutes) in [(Weekday::Monday, 0, 240), (Weekday::Sunday, 23, 299)]
            {
                let hour = WeekHour {
                    month: month.parse().unwrap(),
                    weekday,
                    hour,
                };
                exposure.by_hour.insert(hour, minutes);
            }
        }
    }
    exposure
}

/// The count tables that the printed script gives on `SQLite`.
fn counted_by_script(
    records: &Records,
    exposure: &Exposure,
    measures: &[Definition],
) -> CountTables {
    let database = records.to_sqlite();
    for table in observed_tables(exposure).unwrap() {
        add_table(&database, table.name, &table.batch);
    }
    let script = counting_script(measures, Dialect::Sqlite).unwrap();
    database.execute_batch(&script).unwrap();
    let [shares, minutes, passes, events] = COUNT_VIEWS.map(|view| batch(&database, view));
    counts_from_batches([&shares, &minutes, &passes, &events]).unwrap()
}

/// A view as the batch that an engine would write.
fn batch(database: &Connection, view: &str) -> RecordBatch {
    let mut statement = database.prepare(&format!("select * from {view}")).unwrap();
    let names: Vec<String> = statement.column_names().map(String::from).collect();
    let rows: Vec<Vec<rusqlite::types::Value>> = statement
        .query_map([], |row| {
            (0..names.len()).map(|place| row.get(place)).collect()
        })
        .unwrap()
        .map(Result::unwrap)
        .collect();
    let columns = names.iter().enumerate().map(|(place, name)| {
        let cells = rows.iter().map(|row| &row[place]);
        let array: ArrayRef = match name.as_str() {
            "measure" | "by" | "group" | "month" => {
                let texts = cells.map(|cell| match cell {
                    rusqlite::types::Value::Text(text) => Some(text.as_str()),
                    other => panic!("{view}.{name} holds {other:?}"),
                });
                Arc::new(texts.collect::<StringArray>())
            }
            "exposure" => {
                let hours = cells.map(|cell| match cell {
                    rusqlite::types::Value::Real(hours) => Some(*hours),
                    other => panic!("{view}.{name} holds {other:?}"),
                });
                Arc::new(hours.collect::<Float64Array>())
            }
            _ => {
                let numbers = cells.map(|cell| match cell {
                    rusqlite::types::Value::Integer(number) => Some(*number),
                    rusqlite::types::Value::Null => None,
                    other => panic!("{view}.{name} holds {other:?}"),
                });
                Arc::new(numbers.collect::<Int64Array>())
            }
        };
        (name.as_str(), array, true)
    });
    RecordBatch::try_from_iter_with_nullable(columns).unwrap()
}

#[track_caller]
fn check(records: &Records, exposure: &Exposure, measures: &[Definition]) -> CountTables {
    let cases = std::slice::from_ref(&records.cases);
    let passes = std::slice::from_ref(&records.passes);
    let own = count(cases, passes, exposure, measures).unwrap();
    let lines = differences(&own, &counted_by_script(records, exposure, measures));
    assert!(
        lines.is_empty(),
        "{} counts differ, polars first:\n{}",
        lines.len(),
        lines[..lines.len().min(20)].join("\n")
    );
    own
}

#[test]
fn the_script_counts_generated_records_and_observed_time_as_the_program_does() {
    let counts = check(&generated::records(), &exposure(), &built_in());
    let hours_of_week = counts.events.iter().filter(|(key, count)| {
        key.by == "weekday+hour" && count.events > 0 && count.exposure_minutes > 0
    });
    assert!(hours_of_week.count() > 0);
    let never_seen = counts.events.iter().filter(|(_, count)| count.events == 0);
    assert!(
        never_seen.count() > 0,
        "groups without an event are observed"
    );
}

#[test]
fn the_script_counts_no_record_as_zero_where_the_program_does() {
    let counts = check(&Records::new(&[], &[]), &exposure(), &built_in());
    assert!(!counts.shares.is_empty() && counts.minutes.is_empty());
    check(&Records::new(&[], &[]), &Exposure::new(), &built_in());
}

#[test]
fn a_script_of_few_measures_gives_all_four_tables() {
    let measures: Vec<_> = built_in()
        .into_iter()
        .filter(|measure| measure.id == "call_to_scope")
        .collect();
    let counts = check(&generated::records(), &exposure(), &measures);
    assert!(counts.shares.is_empty() && !counts.minutes.is_empty());
    check(&generated::records(), &exposure(), &[]);
}

const AT_NIGHT: &str = "-- id:        at_night
-- version:   3
-- kind:      share
-- title:     At night
-- question:  How many calls came at night?
-- eligible:  every case
-- hit:       a call before six
-- better:    neither
-- source:    common practice, no source
select case_id, site, 1 as eligible, case when hour < 6 then 1 else 0 end as hit from cases
";

#[test]
fn the_script_is_printed_for_each_dialect_without_reading_an_export() {
    let run = Run::new();
    run.file("own/at_night.sql", AT_NIGHT);
    for (dialect, quoted) in [("duckdb", "\"group\""), ("spark", "`group`")] {
        let ended = run.run(&format!("counts --print-sql {dialect} --measures own"));
        assert_eq!((ended.code, ended.stderr.as_str()), (0, ""));
        for view in COUNT_VIEWS {
            let opening = format!("create or replace temporary view {view} as");
            assert!(ended.stdout.contains(&opening), "{opening}");
        }
        assert!(ended.stdout.contains("'at_night' as measure, 3 as version"));
        assert!(ended.stdout.contains(quoted));
        assert_eq!(ended.stdout.matches(";\n").count(), 4);
    }
    assert_eq!(run.files_below(".").len(), 1, "nothing is written");

    for more in [
        "--cases cases.csv",
        "--mapping mapping.toml",
        "--site Alder",
        "--out there",
        "--records",
    ] {
        let ended = run.run(&format!("counts --print-sql spark {more}"));
        assert_eq!(ended.code, 2, "{more}");
        assert!(ended.stderr.contains("cannot be used with"), "{more}");
    }
    let ended = run.run("counts --print-sql abacus");
    assert!(ended.code == 2 && ended.stderr.contains("duckdb, spark"));
    let ended = run.run("counts");
    assert!(
        ended.code == 2 && ended.stderr.contains("--cases") && ended.stderr.contains("--mapping")
    );
}

#[test]
fn records_are_written_on_request_below_internal_and_change_no_count() {
    let run = Run::of_sample();
    for (out, more) in [
        ("plain", ""),
        ("all", "--records"),
        ("alder", "--records --site Alder"),
    ] {
        let ended = run.on_files(&format!("counts --out {out} {more}"));
        assert_eq!(ended.code, 0, "{}", ended.stderr);
        let warns = ended.stdout.contains("they never leave your premises");
        assert_eq!(warns, out != "plain");
    }
    let (plain, all) = (run.files_below("plain"), run.files_below("all"));
    let only_in_all: Vec<_> = all
        .keys()
        .filter(|name| !plain.contains_key(*name))
        .collect();
    assert_eq!(
        only_in_all,
        [
            "internal/records/cases.parquet",
            "internal/records/observed.parquet",
            "internal/records/observed_hours.parquet",
            "internal/records/passes.parquet"
        ]
    );
    for (name, bytes) in plain.iter().filter(|(name, _)| name.as_str() != "run.json") {
        assert!(all.get(name) == Some(bytes), "{name}");
    }
    let record = String::from_utf8(all["run.json"].clone()).unwrap();
    assert!(record.contains("internal/records/cases.parquet"));
    let size = |name: &str| run.files_below(name)["internal/records/cases.parquet"].len();
    assert!(size("alder") < size("all"));
}
