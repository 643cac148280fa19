//! Numbers that others computed: every row of `tests/data/reference/*.csv` against `stats`.
//!
//! `checks.csv` holds values of other programs (columns `id,method,inputs,expected,rtol,source`),
//! and so does any file named in the environment variable `SCOPETALLY_CHECKS`. `published.csv`
//! holds worked examples from papers and manuals as they print them, with a recomputed value to
//! all digits. A new method gets one arm in `checks.rs` or `published.rs` below, or in
//! `comparisons.rs`.
//! all digits. A new method gets one arm in `checks.rs` or `published.rs` below,
//! with its function there or in `planning.rs`.

mod charts;
mod checks;
mod comparisons;
mod planning;
mod published;

use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

#[test]
fn reference_values() {
    let mut files = vec![PathBuf::from("tests/data/reference/checks.csv")];
    files.extend(std::env::var_os("SCOPETALLY_CHECKS").map(PathBuf::from));
    run(&files, checks::faults);
}

#[test]
fn published_values() {
    run(
        &[PathBuf::from("tests/data/reference/published.csv")],
        published::faults,
    );
}

/// One row by column name.
type Row = BTreeMap<String, String>;

/// Runs every row of every file, prints one line per file, and fails with the faults found.
fn run(files: &[PathBuf], faults_of: fn(&Row) -> Result<Vec<String>, String>) {
    let mut report = Vec::new();
    for file in files {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(file);
        let mut reader = csv::Reader::from_path(path)
            .unwrap_or_else(|error| panic!("{}: {error}", file.display()));
        let (mut passed, mut failed) = (0, 0);
        for row in reader.deserialize::<Row>() {
            let row = row.expect("a row has as many cells as the header");
            let faults = faults_of(&row).unwrap_or_else(|fault| vec![fault]);
            if faults.is_empty() {
                passed += 1;
            } else {
                failed += 1;
                let id = row.get("id").map_or("row without an id", String::as_str);
                report.push(format!("{id}: {}", faults.join("; ")));
            }
        }
        announce(&format!(
            "{}: {passed} passed, {failed} failed",
            file.display()
        ));
        assert!(passed + failed > 0, "{} has no rows", file.display());
    }
    assert!(report.is_empty(), "\n{}", report.join("\n"));
}

#[expect(
    clippy::print_stdout,
    reason = "the line is what people run this test for"
)]
fn announce(line: &str) {
    println!("{line}");
}

fn cell<'a>(row: &'a Row, column: &str) -> Result<&'a str, String> {
    row.get(column)
        .map(String::as_str)
        .ok_or_else(|| format!("no column `{column}`"))
}

fn parse<T: serde::de::DeserializeOwned>(text: &str) -> Result<T, String> {
    serde_json::from_str(text).map_err(|error| format!("{error} in {text}"))
}

/// A number as the files write it: they have words for what JSON cannot hold.
fn number(value: impl Into<Option<f64>>) -> Value {
    match value.into() {
        None => Value::Null,
        Some(value) if value.is_nan() => Value::from("nan"),
        Some(value) if value == f64::INFINITY => Value::from("inf"),
        Some(value) if value == f64::NEG_INFINITY => Value::from("-inf"),
        Some(value) => Value::from(value),
    }
}

/// Every difference between `expected` and `actual` beyond `tolerance(key, expected number)`.
/// What `actual` has beyond `expected` is not looked at.
fn differences(
    expected: &Value,
    actual: &Value,
    tolerance: &dyn Fn(&str, f64) -> f64,
) -> Vec<String> {
    let Value::Object(keys) = expected else {
        return vec!["the expected values are not an object".to_string()];
    };
    keys.iter()
        .filter_map(|(key, expected)| {
            let Some(actual) = actual.get(key) else {
                return Some(format!("unknown key `{key}`"));
            };
            (!agrees(expected, actual, &|number| tolerance(key, number)))
                .then(|| format!("{key}: {actual} instead of {expected}"))
        })
        .collect()
}

fn agrees(expected: &Value, actual: &Value, tolerance: &dyn Fn(f64) -> f64) -> bool {
    match (expected, actual) {
        (Value::Array(expected), Value::Array(actual)) => {
            expected.len() == actual.len()
                && expected
                    .iter()
                    .zip(actual)
                    .all(|(expected, actual)| agrees(expected, actual, tolerance))
        }
        _ => match (expected.as_f64(), actual.as_f64()) {
            (Some(expected), Some(actual)) => (actual - expected).abs() <= tolerance(expected),
            _ => expected == actual,
        },
    }
}

#[test]
fn a_wrong_number_key_or_method_is_found() {
    let row = |method: &str, expected: &str| {
        let inputs = r#"{"events": 0, "cases": 1, "level": 0.95}"#;
        Row::from([
            ("method".to_string(), method.to_string()),
            ("inputs".to_string(), inputs.to_string()),
            ("expected".to_string(), expected.to_string()),
            ("rtol".to_string(), "1e-10".to_string()),
        ])
    };
    let right = r#"{"low": 0.0, "high": 0.7934506856227626}"#;
    assert_eq!(checks::faults(&row("wilson", right)), Ok(vec![]));
    assert!(checks::faults(&row("unheard_of", right)).is_err());
    assert!(
        checks::faults(&row("garwood", right)).is_err(),
        "inputs of another method"
    );
    for wrong in [
        r#"{"low": 0.0, "high": 0.793450686}"#,
        r#"{"low": null}"#,
        r#"{"width": 0.79}"#,
        r#"{"low": [0.0]}"#,
    ] {
        let faults = checks::faults(&row("wilson", wrong)).expect("a known method");
        assert_eq!(faults.len(), 1, "{wrong}");
    }
}
