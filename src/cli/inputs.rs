//! The options that every command on exports shares: files, mapping and period.

use crate::domain::file_facts::FileFacts;
use crate::domain::issue::Source;
use crate::domain::month::Month;
use crate::ingest::{IngestError, Ingested, Inputs, Mapping, ingest};
use anyhow::Context as _;
use clap::Args;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};

/// Exports to read.
#[derive(Debug, Args)]
pub(super) struct InputArguments {
    /// Cases exports: one row a case.
    #[arg(long, value_name = "CSV", required = true, num_args = 1..)]
    cases: Vec<PathBuf>,
    /// Passes exports: one row each time a device goes down.
    #[arg(long, value_name = "CSV", num_args = 1..)]
    passes: Vec<PathBuf>,
    /// What the columns and words of these exports mean.
    #[arg(long, value_name = "TOML", required = true)]
    mapping: Option<PathBuf>,
    /// First month to count; without it, the first of the mapping's period or of the cases.
    #[arg(long, value_name = "YYYY-MM")]
    from: Option<Month>,
    /// Last month to count; without it, the last of the mapping's period or of the cases.
    #[arg(long, value_name = "YYYY-MM")]
    to: Option<Month>,
    /// Number of threads, 1 to 256; without it, as many as there are processors.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    threads: Option<u16>,
}

/// What was read, with the mapping that read it.
pub(super) struct Read {
    pub(super) mapping: Mapping,
    pub(super) ingested: Ingested,
}

impl Read {
    /// How each file was read, in the order given, cases before passes.
    #[expect(
        clippy::unused_self,
        reason = "ingest will tell; until then there is none"
    )]
    pub(super) fn files(&self) -> &[FileFacts] {
        &[]
    }

    /// First and last month observed.
    pub(super) fn observed(&self) -> Result<(Month, Month), IngestError> {
        let read = self.ingested.cases_accounting.read;
        self.ingested
            .observed
            .ok_or(IngestError::NoUsableRow { read })
    }
}

impl InputArguments {
    /// Reads everything, and keeps every single issue when asked to.
    pub(super) fn read(&self, list_issues: bool) -> anyhow::Result<Read> {
        if let (Some(from), Some(to)) = (self.from, self.to)
            && from > to
        {
            anyhow::bail!("--from {from} is after --to {to}");
        }
        let mapping = Mapping::read(self.mapping()?)?;
        let inputs = Inputs {
            cases: self.cases.clone(),
            passes: self.passes.clone(),
            from: self.from,
            to: self.to,
            list_issues,
        };
        let ingested = ingest(&inputs, &mapping)?;
        Ok(Read { mapping, ingested })
    }

    fn mapping(&self) -> anyhow::Result<&Path> {
        self.mapping.as_deref().context("--mapping is missing")
    }

    /// How many threads may work at once.
    pub(super) fn threads(&self) -> NonZeroUsize {
        self.threads
            .and_then(|threads| NonZeroUsize::new(threads.into()))
            .or_else(|| std::thread::available_parallelism().ok())
            .unwrap_or(NonZeroUsize::MIN)
    }

    /// The input files by role, in the order given.
    pub(super) fn files(&self) -> impl Iterator<Item = (&'static str, &PathBuf)> {
        let cases = self.cases.iter().map(|path| ("cases", path));
        let passes = self.passes.iter().map(|path| ("passes", path));
        let mapping = self.mapping.iter().map(|path| ("mapping", path));
        cases.chain(passes).chain(mapping)
    }

    /// What to call each export in messages: its file name, or its path as typed where two exports
    /// have the same name.
    pub(super) fn names(&self) -> FileNames {
        let names = |paths: &[PathBuf]| {
            let names: Vec<_> = paths.iter().map(|path| name(path)).collect();
            let is_unique =
                |wanted: &String| names.iter().filter(|name| *name == wanted).count() == 1;
            let shown = |(path, name): (&PathBuf, &String)| {
                if is_unique(name) {
                    name.clone()
                } else {
                    printable(&path.to_string_lossy())
                }
            };
            paths.iter().zip(&names).map(shown).collect()
        };
        FileNames {
            cases: names(&self.cases),
            passes: names(&self.passes),
        }
    }
}

/// What to call the exports.
pub(super) struct FileNames {
    cases: Vec<String>,
    passes: Vec<String>,
}

impl FileNames {
    /// The name of a file.
    pub(super) fn of(&self, source: Source, file_index: usize) -> &str {
        match source {
            Source::Cases => &self.cases[file_index],
            Source::Passes => &self.passes[file_index],
        }
    }
}

/// The name of a file without its directory, fit to print.
pub(super) fn name(path: &Path) -> String {
    printable(
        &path
            .file_name()
            .unwrap_or(path.as_os_str())
            .to_string_lossy(),
    )
}

/// A name may hold anything; control characters would reach the terminal.
pub(super) fn printable(text: &str) -> String {
    text.chars()
        .map(|c| {
            if c.is_control() {
                char::REPLACEMENT_CHARACTER
            } else {
                c
            }
        })
        .collect()
}
