//! Bad inputs by topic: what each must say, with which exit code, and what becomes of every row.
//!
//! Every input is a file that some system could write. The word SECRET stands wherever the fault
//! lets it, and must not come out again. What is expected was worked out from the input by hand.
//! Set `SCOPETALLY_EVERY_REVIEW` to review each input that can be read; otherwise some are.

mod bleeds;
mod devices;
mod dialects;
mod duplicates;
mod encodings;
mod files;
mod guard;
mod large;
mod numbers;
mod passes;
mod rows;
mod structure;
mod times;
mod versions;
mod words;

use crate::bad_input::{GOOD, HEADER, MAPPING};
use crate::run::{Ended, Run, files_below};
use serde_json::Value;
use std::collections::BTreeSet;

/// Marks what must not come out.
const SECRET: &str = "SECRET";

/// One bad input: files, and what is typed.
pub(crate) struct Input {
    what: &'static str,
    mapping: String,
    files: Vec<(String, Vec<u8>)>,
    has_passes: bool,
    arguments: Option<&'static str>,
    typed_in: Option<Vec<u8>>,
    more: &'static str,
    is_reviewed: bool,
}

impl Input {
    /// The mapping of all bad inputs, and no file yet.
    pub(crate) fn of(what: &'static str) -> Input {
        Input {
            what,
            mapping: MAPPING.to_owned(),
            files: Vec::new(),
            has_passes: false,
            arguments: None,
            typed_in: None,
            more: "",
            is_reviewed: std::env::var_os("SCOPETALLY_EVERY_REVIEW").is_some(),
        }
    }

    /// The header on line 1, a good row of case K1 on line 2, and these rows from line 3 on.
    pub(crate) fn rows(what: &'static str, rows: impl AsRef<[u8]>) -> Input {
        let good = format!("{HEADER}{GOOD}");
        Input::of(what).cases([good.as_bytes(), rows.as_ref()].concat())
    }

    /// Replaces the cases export.
    pub(crate) fn cases(self, content: impl AsRef<[u8]>) -> Input {
        self.file("cases.csv", content)
    }

    /// Gives a passes export.
    pub(crate) fn passes(mut self, content: impl AsRef<[u8]>) -> Input {
        self.has_passes = true;
        self.file("passes.csv", content)
    }

    /// Writes a file.
    pub(crate) fn file(mut self, name: &str, content: impl AsRef<[u8]>) -> Input {
        self.files
            .push((name.to_owned(), content.as_ref().to_vec()));
        self
    }

    /// Replaces the whole mapping.
    pub(crate) fn mapping(mut self, mapping: &str) -> Input {
        mapping.clone_into(&mut self.mapping);
        self
    }

    /// Replaces a part of the mapping.
    #[track_caller]
    pub(crate) fn mapped(mut self, from: &str, to: &str) -> Input {
        assert!(self.mapping.contains(from), "{}: {from}", self.what);
        self.mapping = self.mapping.replacen(from, to, 1);
        self
    }

    /// Adds lines to `[cases]`, above its tables.
    pub(crate) fn set(self, lines: &str) -> Input {
        self.mapped("[cases.columns]", &format!("{lines}\n[cases.columns]"))
    }

    /// Adds lines to `[cases.columns]`.
    pub(crate) fn column(self, lines: &str) -> Input {
        self.mapped("[cases.columns]", &format!("[cases.columns]\n{lines}"))
    }

    /// Adds tables at the end.
    pub(crate) fn table(mut self, tables: &str) -> Input {
        self.mapping.push_str(tables);
        self.mapping.push('\n');
        self
    }

    /// No form of times in the mapping: the cells have to prove one.
    pub(crate) fn times_by_cells(self) -> Input {
        self.mapped("time_format = \"%Y-%m-%d %H:%M\"\n", "")
    }

    /// Names the exports otherwise than `cases.csv` and `passes.csv`.
    pub(crate) fn typed(mut self, arguments: &'static str) -> Input {
        self.arguments = Some(arguments);
        self
    }

    /// Adds options.
    pub(crate) fn with(mut self, options: &'static str) -> Input {
        self.more = options;
        self
    }

    /// What standard input holds.
    pub(crate) fn standard_input(mut self, content: impl AsRef<[u8]>) -> Input {
        self.typed_in = Some(content.as_ref().to_vec());
        self
    }

    /// Has this input reviewed too, and checked with all that the terminal shows.
    pub(crate) fn reviewed(mut self) -> Input {
        self.is_reviewed = true;
        self
    }

    fn lay_out(&self) -> Run {
        let run = Run::new();
        run.file("mapping.toml", &self.mapping);
        for (name, content) in &self.files {
            run.file(name, content);
        }
        run
    }

    fn run(&self, run: &Run, command: &str) -> Ended {
        let files = self.arguments.unwrap_or(if self.has_passes {
            "--cases cases.csv --passes passes.csv"
        } else {
            "--cases cases.csv"
        });
        let line = format!("{command} {files} {} --mapping mapping.toml", self.more);
        let ended = match &self.typed_in {
            Some(content) => run.with_input(&line, content),
            None => run.run(&line),
        };
        let printed = format!("{}{}", ended.stdout, ended.stderr);
        assert!(!printed.contains(SECRET), "{}\n{printed}", self.what);
        ended
    }

    /// The run goes through. `cases` is its account of the rows of cases, `2 = 1 + 1 + 0` for read,
    /// accepted, set aside and duplicates. `issues` are all issues with their places, in any order:
    /// `R01 line 3`, `C02 object_type, line 3`, `T01 scope_in_at to scope_out_at, line 3`, each with
    /// the file before its place when that is not `cases.csv`.
    #[track_caller]
    pub(crate) fn ends(&self, code: i32, cases: &str, issues: &[&str]) {
        self.ends_with_passes(code, cases, None, issues);
    }

    /// The same for an input with a passes export, whose rows are accounted for too.
    #[track_caller]
    pub(crate) fn ends_with_passes(
        &self,
        code: i32,
        cases: &str,
        passes: Option<&str>,
        issues: &[&str],
    ) {
        let run = self.lay_out();
        let ended = self.run(&run, "check --quiet --out checked");
        let printed = format!("{}{}", ended.stdout, ended.stderr);
        let found = issues_of(&run, "checked");
        let expected: BTreeSet<_> = issues.iter().map(ToString::to_string).collect();
        let whole: BTreeSet<_> = found.iter().map(|(issue, _)| issue.clone()).collect();
        assert!(
            run.path("checked/run.json").exists(),
            "{}\n{printed}",
            self.what
        );
        assert_eq!(whole, expected, "{}\n{printed}", self.what);
        assert_eq!(found.len(), issues.len(), "{}: {found:?}", self.what);
        assert_eq!(ended.code, code, "{}\n{printed}", self.what);
        // Whoever reads the terminal is told of everything that loses a row or a value.
        for (issue, effect) in &found {
            let code = &issue[..3];
            let is_told = printed.contains(&format!("warning[{code}]: "));
            assert_eq!(
                is_told,
                effect != "noted; the values stand",
                "{}: {code}",
                self.what
            );
        }
        let rows = |out: &str| (rows_of(&run, out, "cases"), rows_of(&run, out, "passes"));
        let wanted = (Some(cases.to_owned()), passes.map(ToOwned::to_owned));
        assert_eq!(rows("checked"), wanted, "{}", self.what);
        let mut outputs = files_below(&run.path("checked"));
        if self.is_reviewed {
            let shown = self.run(&run, "check");
            let sentence = |rows: &str| {
                let numbers: Vec<&str> = rows
                    .split([' ', '=', '+'])
                    .filter(|n| !n.is_empty())
                    .collect();
                let [read, accepted, set_aside, duplicates] = numbers[..] else {
                    panic!("{rows}");
                };
                let s = |n: &str| if n == "1" { "" } else { "s" };
                format!(
                    "{read} row{} read = {accepted} accepted + {set_aside} set aside + {duplicates} duplicate{}\n",
                    s(read),
                    s(duplicates)
                )
            };
            for (label, rows) in [("cases", Some(cases)), ("passes", passes)] {
                let Some(rows) = rows else { continue };
                let line = format!("{label:<8}{}", sentence(rows));
                assert!(
                    shown.stdout.contains(&line),
                    "{}: {line}\n{}",
                    self.what,
                    shown.stdout
                );
            }
            assert_eq!(shown.code, code, "{}", self.what);
            let reviewed = self.run(&run, "review --out out");
            assert_eq!(reviewed.code, code, "{}\n{}", self.what, reviewed.stderr);
            assert_eq!(rows("out"), wanted, "{}", self.what);
            assert_eq!(issues_of(&run, "out"), found, "{}", self.what);
            outputs.extend(files_below(&run.path("out")));
        }
        for (name, content) in outputs {
            let mut windows = content.windows(SECRET.len());
            assert!(
                !windows.any(|window| window == SECRET.as_bytes()),
                "{}: {name}",
                self.what
            );
        }
    }

    /// Nothing can be read: both commands end with 2, with this in the message and in the hint, and
    /// leave no directory.
    #[track_caller]
    pub(crate) fn refused(&self, message: &str, hint: &str) {
        let run = self.lay_out();
        for command in ["check", "review --out out"] {
            let ended = self.run(&run, command);
            let text = &ended.stderr;
            assert_eq!(ended.code, 2, "{}\n{}{text}", self.what, ended.stdout);
            assert!(text.starts_with("error: "), "{}\n{text}", self.what);
            let (error, remedy) = text.split_once("\nhint: ").unwrap_or((text, ""));
            assert!(error.contains(message), "{}\n{text}", self.what);
            assert!(remedy.contains(hint), "{}\n{text}", self.what);
            assert!(!run.path("out").exists(), "{}", self.what);
        }
    }
}

/// Every issue that a run lists, as code and place, with its effect.
fn issues_of(run: &Run, out: &str) -> Vec<(String, String)> {
    if !run.path(out).exists() {
        return Vec::new();
    }
    let mut issues: Vec<_> = run
        .table(&format!("{out}/internal/issues.csv"))
        .iter()
        .map(|row| {
            let file = match row["file"].as_str() {
                "cases.csv" => String::new(),
                other => format!("{other}, "),
            };
            let field = match (row["field"].as_str(), row["other_field"].as_str()) {
                ("", _) => String::new(),
                (field, "") => format!("{field}, "),
                (field, other) => format!("{field} to {other}, "),
            };
            let issue = format!("{} {file}{field}line {}", row["code"], row["line"]);
            (issue, row["effect"].clone())
        })
        .collect();
    issues.sort();
    issues
}

/// What became of the rows of one export by the manifest of a run: `2 = 1 + 1 + 0`. Balances, or the
/// test fails.
fn rows_of(run: &Run, out: &str, source: &str) -> Option<String> {
    let text = std::fs::read_to_string(run.path(out).join("run.json")).unwrap();
    let manifest: Value = serde_json::from_str(&text).unwrap();
    let rows = &manifest["accounting"][source];
    let number = |name: &str| rows[name].as_u64();
    let (read, accepted) = (number("read")?, number("accepted").unwrap());
    let (set_aside, duplicates) = (number("set_aside").unwrap(), number("duplicates").unwrap());
    assert_eq!(read, accepted + set_aside + duplicates);
    Some(format!("{read} = {accepted} + {set_aside} + {duplicates}"))
}
