//! The rules of the files in `sql/` as tests: SQL that every engine runs, limits that stand in two
//! places, and a contract that names every column. Reads the files as text.

use crate::tidy::{assert_none, is_word, root, words_after};
use scopetally::domain::fields::{CaseField, Field, PassField};
use scopetally::domain::measure::MeasureKind;
use scopetally::measure::built_in;
use std::collections::BTreeMap;
use std::fs;

const MOST_COLUMNS: usize = 100;

/// What is not portable, or not readable, in the SQL below the header of a measure.
pub(crate) fn faults_of_sql(sql: &str) -> Vec<String> {
    let mut faults = Vec::new();
    for line in sql
        .lines()
        .filter(|line| line.chars().count() > MOST_COLUMNS)
    {
        faults.push(format!("more than {MOST_COLUMNS} characters: {line}"));
    }
    if sql.chars().any(|c| c.is_ascii_uppercase()) {
        faults.push("uppercase letters".into());
    }
    for mark in ["/", "::", "\"", ";", "--"] {
        if sql.contains(mark) {
            faults.push(format!("`{mark}`"));
        }
    }
    let words: Vec<_> = sql
        .split(|c| !is_word(c))
        .filter(|word| !word.is_empty())
        .collect();
    for word in &words {
        if ["cast", "date", "timestamp", "interval"].contains(word) || word.starts_with("read_") {
            faults.push(format!("`{word}`"));
        }
    }
    // `is true` of a null is false in one engine and null in another.
    let text = words.join(" ");
    for test in ["is true", "is false", "is not true", "is not false"] {
        if format!(" {text} ").contains(&format!(" {test} ")) {
            faults.push(format!("`{test}`"));
        }
    }
    faults
}

#[test]
fn measures_are_written_in_sql_that_every_engine_runs() {
    let mut faults = Vec::new();
    for measure in built_in() {
        let of_measure = faults_of_sql(&measure.sql).into_iter();
        faults.extend(of_measure.map(|fault| format!("{}: {fault}", measure.id)));
    }
    assert_none(&faults);
}

#[test]
fn every_kind_of_sql_that_is_not_portable_is_found() {
    let long = format!("select {} from cases", "a, ".repeat(40));
    for sql in [
        "select cast(hour as text) from cases",
        "select hour from cases where (hour > 3) is\n true",
        "select hour from cases where hour > 3 is not true",
        "select date '2026-01-01' from cases",
        "select * from read_csv('x')",
        "select hour / 2 from cases",
        "select hour::text from cases",
        "select \"hour\" from cases",
        "select hour from cases;",
        "SELECT hour from cases",
        long.as_str(),
    ] {
        assert!(!faults_of_sql(sql).is_empty(), "{sql}");
    }
    assert_none(&faults_of_sql(
        "select updated, cast_number, readout from cases",
    ));
}

#[test]
fn headers_are_phrases_that_a_report_can_put_into_a_sentence() {
    let mut faults = Vec::new();
    for measure in built_in() {
        for text in [
            &measure.title,
            &measure.eligible,
            &measure.hit,
            &measure.source,
        ] {
            if text.ends_with('.') {
                faults.push(format!("{}: a period ends `{text}`", measure.id));
            }
        }
        if !measure.title.starts_with(|c: char| c.is_ascii_uppercase()) {
            faults.push(format!("{}: a title starts with a capital", measure.id));
        }
        if !measure.question.ends_with('?') {
            faults.push(format!("{}: a question ends with a mark", measure.id));
        }
    }
    assert_none(&faults);
}

/// The numbers that a query compares `to - from` with: `(to, from, operator, number)`.
fn comparisons(sql: &str) -> Vec<(String, String, String, i64)> {
    let words: Vec<_> = sql.split_whitespace().collect();
    let found = words.windows(5).filter_map(|window| match window {
        [to, "-", from, operator @ (">=" | "<="), number] => {
            let number = number.parse().ok()?;
            Some(((*to).into(), (*from).into(), (*operator).into(), number))
        }
        _ => None,
    });
    found.collect()
}

#[test]
fn minutes_measures_keep_the_limits_of_the_interval_table() {
    let table = fs::read_to_string(root().join("sql/interval_limits.csv")).unwrap();
    let column = |name: &str| CaseField::named(name).unwrap().column();
    let mut limits = BTreeMap::new();
    for line in table.lines().skip(1) {
        let cells: Vec<_> = line.split(',').collect();
        let number = |place: usize| cells[place].parse::<i64>().unwrap();
        limits.insert((column(cells[1]), column(cells[0])), (number(4), number(5)));
    }
    let ended = CaseField::EndedAt.column();
    for measure in built_in() {
        if measure.kind != MeasureKind::Minutes {
            continue;
        }
        let comparisons = comparisons(&measure.sql);
        if measure.id.starts_with("wait_for_") {
            check_parts(&measure.id, &comparisons, &limits);
            continue;
        }
        let to_moment = comparisons.iter().find(|(to, ..)| to != ended);
        let (to, from, ..) = to_moment.unwrap_or_else(|| panic!("{}: no limit", measure.id));
        let (low, high) = limits
            .get(&(to.as_str(), from.as_str()))
            .unwrap_or_else(|| panic!("{}: no row for its two moments", measure.id));
        let of = |(to, from): (&str, &str), low, high| {
            let part = |operator: &str, number| (to.into(), from.into(), operator.into(), number);
            vec![part(">=", low), part("<=", high)]
        };
        let mut expected: Vec<(String, String, String, i64)> = of((to, from), *low, *high);
        if measure.sql.contains(ended) {
            // Nobody is followed for less than no time.
            expected.extend(of((ended, from), 0, *high));
        }
        assert_eq!(comparisons, expected, "{}", measure.id);
    }
}

/// A part of the way from call to scope in depends on the limits of several intervals. Where scope in
/// is the second moment, the query asks for the order itself, which is stricter than a lower limit.
#[track_caller]
fn check_parts(
    id: &str,
    comparisons: &[(String, String, String, i64)],
    limits: &BTreeMap<(&str, &str), (i64, i64)>,
) {
    let mut expected = Vec::new();
    for (to, from) in [
        ("team_minute", "called_minute"),
        ("cart_minute", "called_minute"),
        ("scope_in_minute", "airway_minute"),
        ("scope_in_minute", "called_minute"),
    ] {
        let (low, high) = limits[&(to, from)];
        if to != "scope_in_minute" {
            expected.push((to.into(), from.into(), ">=".into(), low));
        }
        expected.push((to.into(), from.into(), "<=".into(), high));
    }
    assert_eq!(comparisons, expected, "{id}");
}

fn contract() -> String {
    fs::read_to_string(root().join("sql/README.md")).unwrap()
}

#[test]
fn the_sql_contract_explains_every_column() {
    let contract = contract();
    let (cases, passes) = contract
        .split_once("### Table `passes`")
        .expect("a section for each table");
    for field in CaseField::ALL {
        let row = format!("| `{}` |", field.column());
        assert!(cases.contains(&row), "cases: {row}");
    }
    for field in PassField::ALL {
        let row = format!("| `{}` |", field.column());
        assert!(passes.contains(&row), "passes: {row}");
    }
}

#[test]
fn the_example_of_the_sql_contract_is_a_portable_measure() {
    let contract = contract();
    let example = contract.split("```sql\n").nth(1).expect("an example");
    let example = example.split("```").next().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let id = words_after(example, "-- id:        ")[0];
    fs::write(folder.path().join(format!("{id}.sql")), example).unwrap();
    let measures = scopetally::measure::from_directory(folder.path(), &built_in()).unwrap();
    assert_none(&faults_of_sql(&measures[0].sql));
    crate::second_engine::check_equal(&crate::generated::records(), &measures);
}
