//! The options that every command on exports shares: files, mapping and period.

use super::counting::{CountedRows, Counting, Wants};
use super::progress::Progress;
use super::record_files::RecordFiles;
use super::site;
use crate::domain::file_facts::FileFacts;
use crate::domain::issue::Source;
use crate::domain::month::Month;
use crate::ingest::{
    Advance, IngestError, Ingested, Inputs, Mapping, Taker, expand, ingest, ingest_into,
};
use crate::measure::columns_to_count;
use anyhow::Context as _;
use clap::Args;
use std::collections::BTreeSet;
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

/// What was read, and from where.
pub(super) struct Read {
    pub(super) mapping: Mapping,
    pub(super) ingested: Ingested,
    mapping_path: PathBuf,
    cases: Vec<PathBuf>,
    passes: Vec<PathBuf>,
}

/// What a command needs of the rows beside their account.
#[derive(Clone, Copy)]
pub(super) struct Needs {
    /// Records of cases that are kept at most where they are not counted as they come.
    pub(super) most_cases: usize,
    /// Whether every single issue is kept.
    pub(super) issue_list: bool,
    /// Whether files are hashed.
    pub(super) hashes: bool,
    pub(super) is_quiet: bool,
}

impl Read {
    /// First and last month observed.
    pub(super) fn observed(&self) -> Result<(Month, Month), IngestError> {
        let read = self.ingested.cases_accounting.read;
        self.ingested
            .observed
            .ok_or(IngestError::NoUsableRow { read })
    }

    /// The exports, each with how it was read: cases before passes, in the order given.
    pub(super) fn exports(&self) -> impl Iterator<Item = (&PathBuf, &FileFacts)> {
        self.cases
            .iter()
            .chain(&self.passes)
            .zip(&self.ingested.files)
    }

    pub(super) fn mapping_path(&self) -> &Path {
        &self.mapping_path
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

impl InputArguments {
    /// Reads everything, and keeps the records that are needed.
    pub(super) fn read(&self, needs: Needs) -> anyhow::Result<Read> {
        self.read_by(self.mapping()?, needs, None, None)
    }

    /// Reads everything and keeps the cases of one site, or of all.
    ///
    /// # Errors
    /// When something cannot be read, or no case has this site.
    pub(super) fn read_site(&self, needs: Needs, site: Option<&str>) -> anyhow::Result<Read> {
        of_site(self.read(needs)?, site)
    }

    /// Reads everything and counts it on the way, and writes the records that are counted into `files`.
    ///
    /// # Errors
    /// When something cannot be read, or no case has the site that is asked for.
    pub(super) fn count(
        &self,
        needs: Needs,
        wants: Wants<'_>,
        files: Option<&mut RecordFiles>,
    ) -> anyhow::Result<CountedRows> {
        let mapping = self.mapping()?;
        let of_period = mapping.period().map(|(_, last)| last);
        let last = self.to.or(of_period);
        // Files of records hold every column.
        let columns = match files {
            Some(_) => None,
            None => columns_to_count(wants.definitions),
        };
        let mut counting = Counting::new(wants, mapping.has_clock_times(), last, files);
        let mut take = |cases, passes| counting.add(cases, passes);
        let read = self.read_by(mapping, needs, columns.as_ref(), Some(&mut take))?;
        let read = of_site(read, wants.site)?;
        Ok(counting.finish(read))
    }

    /// Reads everything. With `take` the records are handed on where that can be.
    fn read_by(
        &self,
        mapping: Mapping,
        needs: Needs,
        columns: Option<&BTreeSet<String>>,
        take: Option<&mut Taker<'_>>,
    ) -> anyhow::Result<Read> {
        let cases = expand(&self.cases)?;
        let passes = expand(&self.passes)?;
        let progress = Progress::start(total_bytes(cases.iter().chain(&passes)), needs.is_quiet);
        let inputs = Inputs {
            cases: &cases,
            passes: &passes,
            from: self.from,
            to: self.to,
            most_cases: needs.most_cases,
            columns,
            lists_issues: needs.issue_list,
            wants_hashes: needs.hashes,
            threads: self.threads(),
            progress: &|advance| match advance {
                Advance::Bytes(bytes) => progress.add(bytes),
                Advance::Rows(rows) => progress.add_rows(rows),
            },
        };
        let ingested = match take {
            Some(take) => ingest_into(&inputs, &mapping, take),
            None => ingest(&inputs, &mapping),
        };
        progress.finish();
        Ok(Read {
            mapping,
            ingested: ingested?,
            mapping_path: self.mapping_path()?.to_path_buf(),
            cases,
            passes,
        })
    }

    fn mapping(&self) -> anyhow::Result<Mapping> {
        if let (Some(from), Some(to)) = (self.from, self.to)
            && from > to
        {
            anyhow::bail!("--from {from} is after --to {to}");
        }
        Ok(Mapping::read(self.mapping_path()?)?)
    }

    /// Whether an export of cases is named.
    pub(super) fn has_cases(&self) -> bool {
        !self.cases.is_empty()
    }

    /// The mapping file.
    pub(super) fn mapping_path(&self) -> anyhow::Result<&Path> {
        self.mapping.as_deref().context("--mapping is missing")
    }

    /// How many threads may work at once.
    pub(super) fn threads(&self) -> NonZeroUsize {
        self.threads
            .and_then(|threads| NonZeroUsize::new(threads.into()))
            .or_else(|| std::thread::available_parallelism().ok())
            .unwrap_or(NonZeroUsize::MIN)
    }
}

/// What was read, of one site or of all.
fn of_site(mut read: Read, site: Option<&str>) -> anyhow::Result<Read> {
    if let Some(site) = site {
        read.ingested = site::only(read.ingested, site)?;
    }
    Ok(read)
}

/// The size of all files; `None` when one of them has none, such as standard input.
fn total_bytes<'a>(mut paths: impl Iterator<Item = &'a PathBuf>) -> Option<u64> {
    paths.try_fold(0, |sum, path| {
        let metadata = path.metadata().ok().filter(std::fs::Metadata::is_file)?;
        Some(sum + metadata.len())
    })
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
