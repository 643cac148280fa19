//! Runs the real binary in a directory of its own, and reads what it wrote.

use scopetally::ingest::Inputs;
use std::collections::BTreeMap;
use std::io::Write as _;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use tempfile::TempDir;

/// A directory with input files, to run the binary in.
pub(crate) struct Run {
    directory: TempDir,
    environment: Vec<(&'static str, &'static str)>,
}

/// How a run ended and what it printed.
pub(crate) struct Ended {
    pub(crate) code: i32,
    pub(crate) stdout: String,
    pub(crate) stderr: String,
}

impl Run {
    pub(crate) fn new() -> Run {
        Run {
            directory: tempfile::tempdir().expect("a directory for the test"),
            environment: Vec::new(),
        }
    }

    /// A directory with the three files of the sample.
    pub(crate) fn of_sample() -> Run {
        let run = Run::new();
        for name in ["cases.csv", "passes.csv", "mapping.toml"] {
            let bytes = std::fs::read(repository("sample_data").join(name)).expect("a sample file");
            run.file(name, &bytes);
        }
        run
    }

    /// Sets the date that outputs bear.
    pub(crate) fn made_on(self, seconds_since_1970: &'static str) -> Run {
        self.with("SOURCE_DATE_EPOCH", seconds_since_1970)
    }

    /// Sets a variable of the environment for the runs that follow.
    pub(crate) fn with(mut self, variable: &'static str, value: &'static str) -> Run {
        self.environment.push((variable, value));
        self
    }

    /// Writes an input file.
    pub(crate) fn file(&self, name: &str, content: impl AsRef<[u8]>) -> &Run {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().expect("a parent")).expect("a directory");
        std::fs::write(path, content).expect("an input file");
        self
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.directory.path().join(name)
    }

    /// Runs the binary with words separated by spaces.
    pub(crate) fn run(&self, arguments: &str) -> Ended {
        self.with_input(arguments, &[])
    }

    /// The same with something on standard input.
    pub(crate) fn with_input(&self, arguments: &str, input: &[u8]) -> Ended {
        let mut command = Command::new(env!("CARGO_BIN_EXE_scopetally"));
        command
            .args(arguments.split_whitespace())
            .current_dir(self.directory.path())
            .env_remove("SOURCE_DATE_EPOCH")
            .env("RUST_BACKTRACE", "1")
            .env_remove("CLICOLOR_FORCE")
            .envs(self.environment.iter().copied())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped());
        let mut running = command.spawn().expect("the binary starts");
        let mut standard_input = running.stdin.take().expect("a pipe");
        let output = std::thread::scope(|scope| {
            // A run that ends before it has read everything closes the pipe.
            scope.spawn(move || drop(standard_input.write_all(input)));
            running.wait_with_output().expect("the binary ends")
        });
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("text");
        Ended {
            code: output.status.code().expect("an exit code"),
            stdout: text(output.stdout),
            stderr: text(output.stderr),
        }
    }

    /// Runs a command on cases.csv, passes.csv when there is one, and mapping.toml.
    pub(crate) fn on_files(&self, command: &str) -> Ended {
        let passes = if self.path("passes.csv").exists() {
            "--passes passes.csv"
        } else {
            ""
        };
        self.run(&format!(
            "{command} --cases cases.csv {passes} --mapping mapping.toml"
        ))
    }

    /// Every file below a directory, by its path in it.
    pub(crate) fn files_below(&self, name: &str) -> BTreeMap<String, Vec<u8>> {
        files_below(&self.path(name))
    }

    /// The rows of a CSV file that the run wrote.
    pub(crate) fn table(&self, name: &str) -> Vec<BTreeMap<String, String>> {
        csv::Reader::from_path(self.path(name))
            .expect("a table")
            .deserialize()
            .map(|row| row.expect("a row"))
            .collect()
    }
}

/// All of these exports, read on one thread, with no list of issues.
pub(crate) fn inputs<'a>(cases: &'a [PathBuf], passes: &'a [PathBuf]) -> Inputs<'a> {
    Inputs {
        cases,
        passes,
        from: None,
        to: None,
        most_cases: usize::MAX,
        columns: None,
        lists_issues: false,
        wants_hashes: false,
        threads: NonZeroUsize::MIN,
        progress: &|_| (),
    }
}

/// A path of the repository.
pub(crate) fn repository(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

/// Every file below a directory, by its path in it.
pub(crate) fn files_below(directory: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut files = BTreeMap::new();
    let mut open = vec![directory.to_path_buf()];
    while let Some(next) = open.pop() {
        for entry in std::fs::read_dir(&next).expect("a directory") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                open.push(path);
            } else {
                let name = path
                    .strip_prefix(directory)
                    .expect("below")
                    .display()
                    .to_string();
                files.insert(name, std::fs::read(&path).expect("a file"));
            }
        }
    }
    files
}

/// One finding of `tables/findings.csv`.
pub(crate) struct Finding {
    row: BTreeMap<String, String>,
}

impl Finding {
    /// The finding at an address; `month` is `YYYY-MM` or `all`.
    #[track_caller]
    pub(crate) fn at(
        rows: &[BTreeMap<String, String>],
        measure: &str,
        [by, group, month, statistic]: [&str; 4],
    ) -> Finding {
        let wanted = [
            ("measure", measure),
            ("by", by),
            ("group", group),
            ("month", month),
            ("statistic", statistic),
        ];
        let row = rows
            .iter()
            .find(|row| wanted.iter().all(|(column, value)| row[*column] == *value))
            .unwrap_or_else(|| panic!("no finding {measure} {by} {group} {month} {statistic}"));
        Finding { row: row.clone() }
    }

    pub(crate) fn count(&self, column: &str) -> u64 {
        self.row[column].parse().expect("a count")
    }

    #[track_caller]
    pub(crate) fn number(&self, column: &str) -> f64 {
        self.row[column].parse().expect("a number")
    }

    pub(crate) fn text(&self, column: &str) -> &str {
        &self.row[column]
    }
}
