//! What `check` and `review` write alike: tables, the list of issues, and what `run.json` says of
//! the inputs.

use super::inputs::{FileNames, InputArguments, Read, name};
use crate::domain::issue::Source;
use crate::export::directory::OutputDirectory;
use crate::export::issues::issues_table;
use crate::export::manifest::{Input, ReadAs};
use crate::export::table::{Format, Table};
use anyhow::Context as _;
use std::fs::File;

/// Writes a table in each of the formats.
pub(super) fn write_table(
    directory: &mut OutputDirectory,
    folder: &str,
    table: &Table,
    formats: &[Format],
) -> anyhow::Result<()> {
    for format in formats {
        let path = format!("{folder}/{}", table.file_name(*format));
        directory.write(&path, &table.encode(*format)?)?;
    }
    Ok(())
}

/// Writes every single issue to `internal/issues.csv`.
pub(super) fn write_issues(
    directory: &mut OutputDirectory,
    read: &Read,
    names: &FileNames,
) -> anyhow::Result<()> {
    let issues = issues_table(read.ingested.issues.list(), |at| {
        names.of(at.source, at.file_index).to_string()
    })?;
    write_table(directory, "internal", &issues, &[Format::Csv])
}

/// The input files as `run.json` lists them: name, size, SHA-256, and how each export was read.
pub(super) fn inputs(arguments: &InputArguments, read: &Read) -> anyhow::Result<Vec<Input>> {
    let of_role = |role: &str| {
        let source = [Source::Cases, Source::Passes]
            .into_iter()
            .find(|source| source.code() == role);
        let files = read.files().iter();
        files.filter(move |facts| Some(facts.source) == source)
    };
    let mut cases = of_role("cases");
    let mut passes = of_role("passes");
    arguments
        .files()
        .map(|(role, path)| {
            let facts = match role {
                "cases" => cases.next(),
                "passes" => passes.next(),
                _ => None,
            };
            let file_name = name(path);
            // A file of many gigabytes is not read once more for what is known already.
            if let Some((facts, sha256)) =
                facts.and_then(|facts| Some((facts, facts.sha256.clone()?)))
            {
                return Ok(Input {
                    role: role.to_owned(),
                    file: file_name,
                    bytes: facts.bytes,
                    sha256,
                    read_as: Some(ReadAs::from(facts)),
                });
            }
            let cannot_read = || format!("cannot read `{}`", path.display());
            let file = File::open(path).with_context(cannot_read)?;
            let input = Input::read(role, &file_name, file).with_context(cannot_read)?;
            Ok(Input {
                read_as: facts.map(ReadAs::from),
                ..input
            })
        })
        .collect()
}

/// The date for the outputs. No clock is read, so that the same input gives the same bytes.
pub(super) fn made_on() -> anyhow::Result<Option<String>> {
    let Some(seconds) = std::env::var_os("SOURCE_DATE_EPOCH") else {
        return Ok(None);
    };
    let moment = seconds
        .to_str()
        .and_then(|seconds| seconds.parse().ok())
        .and_then(|seconds| jiff::Timestamp::from_second(seconds).ok())
        .context("SOURCE_DATE_EPOCH is not a number of seconds since 1970-01-01")?;
    Ok(Some(
        jiff::tz::TimeZone::UTC
            .to_datetime(moment)
            .date()
            .to_string(),
    ))
}
