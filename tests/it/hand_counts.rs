//! Every built-in measure against counts worked out by hand from its header.
//!
//! One folder per measure in `tests/data/measures`: `cases.csv` and, where passes matter,
//! `passes.csv` (columns of the records, those left out are null, and a `why` for the reader), and
//! `expected.csv` (columns of the count table, `month` being `all` or one month). The groupings that
//! `expected.csv` names are compared whole: a group too many fails as a group too few does.
//! Never fill `expected.csv` from the output of a run; it would then prove nothing.

use crate::records::{Records, Row, rows_of_csv};
use crate::tables::differences;
use scopetally::domain::counts::{CountTables, Key};
use scopetally::domain::exposure::Exposure;
use scopetally::domain::measure::{Definition, MeasureKind};
use scopetally::measure::{built_in, count};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// More would not be counted by hand.
const MOST_CASES: usize = 12;

fn folder(measure: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data/measures")
        .join(measure)
}

fn rows(measure: &str, file: &str) -> Vec<Row> {
    let path = folder(measure).join(file);
    let text = fs::read_to_string(&path).unwrap_or_else(|_| panic!("no {}", path.display()));
    rows_of_csv(&text)
}

/// The hand-written records of a measure.
pub(crate) fn records(measure: &str) -> Records {
    let cases = rows(measure, "cases.csv");
    assert!(cases.len() <= MOST_CASES, "{measure}: too many cases");
    let passes = if folder(measure).join("passes.csv").exists() {
        rows(measure, "passes.csv")
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

/// The count tables that `expected.csv` describes.
fn expected(measure: &Definition) -> CountTables {
    let mut tables = CountTables::default();
    let mut seen = BTreeSet::new();
    for row in rows(&measure.id, "expected.csv") {
        assert!(seen.insert(row.clone()), "{}: a row twice", measure.id);
        let key = key(measure, place(&row));
        let whole = |column: &str| -> u64 {
            let cell = row.get(column);
            let cell = cell.unwrap_or_else(|| panic!("{}: no `{column}`", measure.id));
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

/// The groupings that `expected.csv` names: dimensions, and whether months are counted apart.
fn named_groupings(measure: &str) -> BTreeSet<(String, bool)> {
    rows(measure, "expected.csv")
        .iter()
        .map(|row| (row["by"].clone(), row["month"] != "all"))
        .collect()
}

fn only<C: Clone>(
    table: &BTreeMap<Key, C>,
    groupings: &BTreeSet<(String, bool)>,
) -> BTreeMap<Key, C> {
    let is_named = |key: &Key| groupings.contains(&(key.by.clone(), key.month.is_some()));
    let named = table.iter().filter(|(key, _)| is_named(key));
    named
        .map(|(key, count)| (key.clone(), count.clone()))
        .collect()
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
        let records = records(&measure.id);
        let counted = count(
            &records.cases,
            &records.passes,
            &Exposure::new(),
            std::slice::from_ref(&measure),
        )
        .unwrap();
        let named = named_groupings(&measure.id);
        let counted = CountTables {
            shares: only(&counted.shares, &named),
            minutes: only(&counted.minutes, &named),
            passes: only(&counted.passes, &named),
            events: only(&counted.events, &named),
        };
        lines.extend(differences(&counted, &expected(&measure)));
    }
    assert!(
        lines.is_empty(),
        "counted, then expected by hand:\n{}",
        lines.join("\n")
    );
}

#[test]
fn hand_counts_cover_all_cases_the_months_and_one_more_dimension() {
    for measure in built_in() {
        let named = named_groupings(&measure.id);
        let has = |by: &str, is_monthly| named.contains(&(by.to_string(), is_monthly));
        assert!(has("all", false) && has("all", true), "{}", measure.id);
        assert!(named.iter().any(|(by, _)| by != "all"), "{}", measure.id);
    }
}
