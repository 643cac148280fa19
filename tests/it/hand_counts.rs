//! Every built-in measure against counts worked out by hand from its header.
//!
//! One folder per measure in `tests/data/measures`. It holds one table, or a subfolder for each of
//! several: `cases.csv` and, where passes matter, `passes.csv` (columns of the records, those left
//! out are null, and a `why` for the reader), and `expected.csv` (columns of the count table,
//! `month` being `all` or one month). The groupings that `expected.csv` names are compared whole: a
//! group too many fails as a group too few does.
//! Never fill `expected.csv` from the output of a run; it would then prove nothing.

use crate::records::{Records, Row, rows_of_csv};
use crate::second_engine::count_on_sqlite;
use crate::tables::differences;
use rusqlite::Connection;
use scopetally::domain::counts::{CountTables, Key};
use scopetally::domain::exposure::Exposure;
use scopetally::domain::measure::{Definition, MeasureKind};
use scopetally::measure::{built_in, count};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// Of one table. More would not be counted by hand.
const MOST_CASES: usize = 12;

fn folder(measure: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data/measures")
        .join(measure)
}

/// The folders of the tables of a measure: its own folder, or each folder in it.
pub(crate) fn tables_of(measure: &str) -> Vec<PathBuf> {
    let folder = folder(measure);
    let entries = fs::read_dir(&folder).unwrap();
    let (mut subfolders, files): (Vec<_>, Vec<_>) = entries
        .map(|entry| entry.unwrap().path())
        .partition(|path| path.is_dir());
    if subfolders.is_empty() {
        return vec![folder];
    }
    assert!(files.is_empty(), "{measure}: files beside its subfolders");
    subfolders.sort();
    subfolders
}

fn rows(table: &Path, file: &str) -> Vec<Row> {
    let path = table.join(file);
    let text = fs::read_to_string(&path).unwrap_or_else(|_| panic!("no {}", path.display()));
    rows_of_csv(&text)
}

/// The hand-written records of a table.
pub(crate) fn records(table: &Path) -> Records {
    let cases = rows(table, "cases.csv");
    let name = table.display();
    assert!(cases.len() <= MOST_CASES, "{name}: too many cases");
    let passes = if table.join("passes.csv").exists() {
        rows(table, "passes.csv")
    } else {
        Vec::new()
    };
    Records::new(&cases, &passes)
}

/// What a row of a count table says besides its counts: by, group, month.
type Place = (String, String, String);

fn place(row: &Row) -> Place {
    (
        row["by"].clone(),
        row["group"].clone(),
        row["month"].clone(),
    )
}

fn key(measure: &Definition, (by, group, month): Place) -> Key {
    let month = (month != "all").then(|| month.parse().unwrap());
    Key {
        measure: measure.id.clone(),
        version: measure.version,
        by,
        group,
        month,
    }
}

/// The counts that the `expected.csv` of a table describes.
fn expected(measure: &Definition, table: &Path) -> CountTables {
    let mut tables = CountTables::default();
    let mut seen = BTreeSet::new();
    let name = table.display();
    for row in rows(table, "expected.csv") {
        assert!(seen.insert(row.clone()), "{name}: a row twice");
        let key = key(measure, place(&row));
        let whole = |column: &str| -> u64 {
            let cell = row.get(column);
            let cell = cell.unwrap_or_else(|| panic!("{name}: no `{column}`"));
            cell.parse().unwrap()
        };
        match measure.kind {
            MeasureKind::Share => {
                let share = tables.shares.entry(key).or_default();
                share.eligible += whole("eligible");
                share.hit += whole("hit");
                share.excluded += whole("excluded");
            }
            MeasureKind::Minutes => {
                let counted = tables.minutes.entry(key).or_default();
                match row.get("minutes") {
                    None => counted.excluded += whole("cases"),
                    Some(minutes) => {
                        let point = (minutes.parse().unwrap(), whole("reached") == 1);
                        *counted.cases.entry(point).or_default() += whole("cases");
                    }
                }
            }
            MeasureKind::ClusteredShare => {
                let counted = tables.passes.entry(key).or_default();
                match whole("attempts") {
                    0 => counted.excluded += whole("cases"),
                    attempts => {
                        let point = (whole("events"), attempts);
                        *counted.cases.entry(point).or_default() += whole("cases");
                    }
                }
            }
            MeasureKind::Count => {
                tables.events.entry(key).or_default().events += whole("events");
            }
        }
    }
    tables
}

/// The groupings that the `expected.csv` of a table names: dimensions, and whether months are
/// counted apart.
fn named_groupings(table: &Path) -> BTreeSet<(String, bool)> {
    rows(table, "expected.csv")
        .iter()
        .map(|row| (row["by"].clone(), row["month"] != "all"))
        .collect()
}

/// The counts of these groupings.
fn only(tables: &CountTables, groupings: &BTreeSet<(String, bool)>) -> CountTables {
    let is_named = |key: &Key| groupings.contains(&(key.by.clone(), key.month.is_some()));
    let mut tables = tables.clone();
    tables.shares.retain(|key, _| is_named(key));
    tables.minutes.retain(|key, _| is_named(key));
    tables.passes.retain(|key, _| is_named(key));
    tables.events.retain(|key, _| is_named(key));
    tables
}

#[test]
fn every_measure_has_a_folder_and_every_folder_a_measure() {
    let folders: BTreeSet<String> = fs::read_dir(folder("."))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    let measures: BTreeSet<String> = built_in().into_iter().map(|measure| measure.id).collect();
    assert_eq!(folders, measures);
}

#[test]
fn every_measure_counts_what_a_reader_of_its_header_counts() {
    let mut lines = Vec::new();
    for measure in built_in() {
        for table in tables_of(&measure.id) {
            let records = records(&table);
            let counted = count(
                std::slice::from_ref(&records.cases),
                std::slice::from_ref(&records.passes),
                &Exposure::new(),
                std::slice::from_ref(&measure),
            )
            .unwrap();
            let counted = only(&counted, &named_groupings(&table));
            let found = differences(&counted, &expected(&measure, &table));
            lines.extend(
                found
                    .iter()
                    .map(|line| format!("{}: {line}", table.display())),
            );
        }
    }
    assert!(
        lines.is_empty(),
        "counted, then expected by hand:\n{}",
        lines.join("\n")
    );
}

#[test]
fn hand_counts_cover_months_one_more_dimension_and_a_group_without_an_eligible_case() {
    for measure in built_in() {
        let tables = tables_of(&measure.id);
        let named: BTreeSet<_> = tables
            .iter()
            .flat_map(|table| named_groupings(table))
            .collect();
        let has = |by: &str, is_monthly| named.contains(&(by.to_string(), is_monthly));
        assert!(has("all", false) && has("all", true), "{}", measure.id);
        assert!(named.iter().any(|(by, _)| by != "all"), "{}", measure.id);
        let has_empty_group = |table: &PathBuf| {
            let counts = expected(&measure, table);
            match measure.kind {
                MeasureKind::Share => counts.shares.values().any(|share| share.eligible == 0),
                MeasureKind::Minutes => counts.minutes.values().any(|group| group.cases.is_empty()),
                MeasureKind::ClusteredShare => {
                    counts.passes.values().any(|group| group.cases.is_empty())
                }
                // Every call is an event.
                MeasureKind::Count => true,
            }
        };
        assert!(tables.iter().any(has_empty_group), "{}", measure.id);
    }
}

/// The SQL of a measure with one thing changed: a limit moved by a minute, a code misspelt, a null
/// taken for a value, a comparison turned around.
fn faulty_versions(sql: &str) -> Vec<String> {
    let mut versions = Vec::new();
    for (from, to) in [
        (" >= ", " + 1 >= "),
        (" >= ", " - 1 >= "),
        (" <= ", " + 1 <= "),
        (" <= ", " - 1 <= "),
        (" is not null", " is null"),
        (" is null", " is not null"),
        (" = 0", " = 1"),
        (" = 1", " = 0"),
        (" > 0", " > 1"),
        (" <> ", " = "),
    ] {
        for (place, _) in sql.match_indices(from) {
            let (before, after) = (&sql[..place], &sql[place + from.len()..]);
            versions.push(format!("{before}{to}{after}"));
        }
    }
    // Every second quote opens a code.
    for (place, _) in sql.match_indices('\'').step_by(2) {
        versions.push(format!("{}x{}", &sql[..=place], &sql[place + 1..]));
    }
    versions
}

#[test]
fn the_hand_written_records_show_every_fault_of_one_word_or_one_minute() {
    let mut unseen = Vec::new();
    for measure in built_in() {
        let tables: Vec<_> = tables_of(&measure.id)
            .iter()
            .map(|table| {
                let database = records(table).to_sqlite();
                (database, named_groupings(table), expected(&measure, table))
            })
            .collect();
        for sql in faulty_versions(&measure.sql) {
            let faulty = Definition {
                sql: sql.clone(),
                ..measure.clone()
            };
            let shows_it = |(database, named, expected): &(Connection, _, _)| {
                let counted = count_on_sqlite(database, std::slice::from_ref(&faulty));
                !differences(&only(&counted, named), expected).is_empty()
            };
            if !tables.iter().any(shows_it) {
                let changed = sql
                    .lines()
                    .zip(measure.sql.lines())
                    .find(|(now, was)| now != was);
                unseen.push(format!("{}: {:?}", measure.id, changed.map(|(now, _)| now)));
            }
        }
    }
    assert!(
        unseen.is_empty(),
        "faults that no hand count shows:\n{}",
        unseen.join("\n")
    );
}
