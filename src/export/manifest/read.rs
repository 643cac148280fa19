//! `run.json` read back: what a run from counts must know of the run that counted.

use super::{FILE_NAME, FORMAT, Measure, TOOL};
use crate::domain::accounting::Accounting;
use crate::domain::month::Month;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::Path;

/// A run whose counts stand beside its `run.json`.
#[derive(Clone, Debug, PartialEq)]
pub struct CountedRun {
    /// First and last month.
    pub period: (Month, Month),
    /// The one site that was counted; `None` for all.
    pub site: Option<String>,
    /// SHA-256 of the exports of cases behind the counts.
    pub exports: Vec<String>,
    /// The definitions.
    pub measures: Vec<Measure>,
    /// Rows of the exports of cases.
    pub cases: Accounting,
    /// Rows of the exports of passes; `None` when none was given.
    pub passes: Option<Accounting>,
    /// Accepted cases that were counted.
    pub counted: u64,
    /// Cases that each measure is about, by its identifier.
    pub populations: BTreeMap<String, u64>,
    /// How often each kind of issue came up.
    pub issues: Vec<Issue>,
    /// From when urgency windows were counted, in words.
    pub window_start: String,
    /// The guideline windows, as the file has them.
    pub windows: Vec<serde_json::Value>,
}

/// How often one kind of issue came up.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
pub struct Issue {
    /// Code of the kind.
    pub code: String,
    /// Our name of the field; empty for the whole row.
    pub field: String,
    /// Our name of the second field; empty when there is none.
    pub other_field: String,
    /// How often.
    pub count: u64,
}

/// Why a `run.json` tells of no counts.
#[derive(Debug, thiserror::Error)]
pub enum RunError {
    /// It is not there or cannot be read.
    #[error("its {FILE_NAME} cannot be read")]
    Unreadable(#[source] io::Error),
    /// It is not one of ours, or one of another version.
    #[error("its {FILE_NAME} is not one that `scopetally counts` or `scopetally review` writes")]
    NotOurs,
    /// It does not say which exports the counts rest on, so that their rows might be told of twice.
    #[error(
        "its {FILE_NAME} names no export behind the counts, as one of this version does; count again"
    )]
    NoExports,
}

/// Reads the `run.json` of a directory with counts.
///
/// # Errors
/// When there is none, or it is of another tool, version or command.
pub fn read_run(directory: &Path) -> Result<CountedRun, RunError> {
    let json = fs::read(directory.join(FILE_NAME)).map_err(RunError::Unreadable)?;
    let file: File = serde_json::from_slice(&json).map_err(|_| RunError::NotOurs)?;
    let month = |text: &str| text.parse::<Month>().map_err(|_| RunError::NotOurs);
    let flow = file.flow.first().ok_or(RunError::NotOurs)?;
    if file.tool != TOOL || file.format != FORMAT {
        return Err(RunError::NotOurs);
    }
    if file.exports.is_empty() {
        return Err(RunError::NoExports);
    }
    Ok(CountedRun {
        period: (month(&file.period.first)?, month(&file.period.last)?),
        site: file.options.get("site").cloned(),
        exports: file.exports,
        measures: file.measures,
        cases: file.accounting.cases.into(),
        passes: file.accounting.passes.map(Accounting::from),
        counted: flow.not_of_population.saturating_add(flow.population),
        populations: file
            .flow
            .into_iter()
            .map(|flow| (flow.measure, flow.population))
            .collect(),
        issues: file.issues,
        window_start: file.window_start,
        windows: file.windows,
    })
}

#[derive(Deserialize)]
struct File {
    tool: String,
    format: u32,
    period: Period,
    options: BTreeMap<String, String>,
    #[serde(default)]
    exports: Vec<String>,
    measures: Vec<Measure>,
    accounting: RowsRead,
    flow: Vec<Flow>,
    issues: Vec<Issue>,
    window_start: String,
    windows: Vec<serde_json::Value>,
}

#[derive(Deserialize)]
struct Period {
    first: String,
    last: String,
}

#[derive(Deserialize)]
struct RowsRead {
    cases: Rows,
    passes: Option<Rows>,
}

#[derive(Deserialize)]
struct Rows {
    read: u64,
    accepted: u64,
    set_aside: u64,
    duplicates: u64,
}

#[derive(Deserialize)]
struct Flow {
    measure: String,
    not_of_population: u64,
    population: u64,
}

impl From<Rows> for Accounting {
    fn from(rows: Rows) -> Accounting {
        Accounting {
            read: rows.read,
            accepted: rows.accepted,
            set_aside: rows.set_aside,
            duplicates: rows.duplicates,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(json: &str) -> Result<CountedRun, RunError> {
        let directory = tempfile::tempdir().expect("a directory");
        fs::write(directory.path().join(FILE_NAME), json).expect("a file");
        read_run(directory.path())
    }

    const JSON: &str = r#"{"tool": "scopetally", "format": 1, "period": {"first": "2026-01", "last": "2026-09"},
        "options": {"site": "Alder"}, "exports": ["ab"], "measures": [], "accounting": {"cases": {"read": 10, "accepted": 7,
        "set_aside": 2, "duplicates": 1}, "passes": null}, "flow": [{"measure": "calls",
        "not_of_population": 3, "population": 2}], "issues": [], "window_start": "arrival", "windows": []}"#;

    #[test]
    fn what_was_counted_is_read_back() {
        let run = read(JSON).expect("is one of ours");
        assert_eq!((run.counted, run.cases.accepted, run.passes), (5, 7, None));
        assert_eq!(run.site.as_deref(), Some("Alder"));
        assert_eq!(run.exports, ["ab"]);
        assert_eq!(run.period.1.to_string(), "2026-09");
        assert_eq!(run.populations, BTreeMap::from([("calls".to_owned(), 2)]));
    }

    #[test]
    fn the_record_of_another_tool_or_of_a_run_that_counted_nothing_is_refused() {
        for json in [
            &JSON.replace("scopetally", "another"),
            &JSON.replace(
                r#"[{"measure": "calls",
        "not_of_population": 3, "population": 2}]"#,
                "[]",
            ),
            &JSON.replace("2026-09", "2026-13"),
            &JSON.replace("\"format\": 1", "\"format\": 7"),
            "{}",
            "not JSON",
        ] {
            assert!(matches!(read(json), Err(RunError::NotOurs)), "{json}");
        }
        let unnamed = JSON.replace(r#"["ab"]"#, "[]");
        assert!(matches!(read(&unnamed), Err(RunError::NoExports)));
        let nowhere = read_run(Path::new("no/such/place"));
        assert!(matches!(nowhere, Err(RunError::Unreadable(_))));
    }
}
