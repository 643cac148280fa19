//! What commands on exports write alike: tables, the list of issues, and what `run.json` says of the
//! rows.

use super::inputs::{Read, name};
use crate::domain::issue::Source;
use crate::domain::review_rules::CaseToReview;
use crate::domain::unknown_words::UnknownWord;
use crate::export::cases_to_review::cases_to_review_table;
use crate::export::directory::OutputDirectory;
use crate::export::issues::issues_table;
use crate::export::manifest::{self, Input, Manifest, Period, ReadAs, RowsRead, issue_tallies};
use crate::export::sha256::sha256_hex;
use crate::export::table::{Format, Table};
use crate::export::words::{SuggestedCode, unknown_words_table};
use crate::ingest::{Mapping, suggest_code};
use anyhow::Context as _;
use std::collections::BTreeMap;

/// Writes a table in each of the formats.
pub(super) fn write_table(
    directory: &mut OutputDirectory,
    folder: &str,
    table: &Table,
    formats: &[Format],
) -> anyhow::Result<()> {
    for (path, bytes) in encoded(folder, table, formats)? {
        directory.write(&path, &bytes)?;
    }
    Ok(())
}

/// The files of a table, each with its path and bytes.
pub(super) fn encoded(
    folder: &str,
    table: &Table,
    formats: &[Format],
) -> anyhow::Result<Vec<(String, Vec<u8>)>> {
    let file = |format: &Format| {
        let path = format!("{folder}/{}", table.file_name(*format));
        Ok((path, table.encode(*format)?))
    };
    formats.iter().map(file).collect()
}

/// Writes every single issue to `internal/issues.csv`.
pub(super) fn write_issues(directory: &mut OutputDirectory, read: &Read) -> anyhow::Result<()> {
    let names = read.names();
    let issues = issues_table(read.ingested.issues.list(), |at| {
        names.of(at.source, at.file_index).to_string()
    })?;
    write_table(directory, "internal", &issues, &[Format::Csv])
}

/// Writes the cases that somebody should read to `internal/cases_to_review.csv`.
pub(super) fn write_cases_to_review(
    directory: &mut OutputDirectory,
    cases: &[CaseToReview],
    mapping: &Mapping,
) -> anyhow::Result<()> {
    let table = cases_to_review_table(cases, |minute| mapping.local_time(minute))?;
    write_table(directory, "internal", &table, &[Format::Csv])
}

/// Writes the words that the mapping does not know to `internal/unknown_words.csv`.
pub(super) fn write_words(directory: &mut OutputDirectory, read: &Read) -> anyhow::Result<()> {
    let suggestion = |word: &UnknownWord| {
        suggest_code(word).map(|suggestion| SuggestedCode {
            code: suggestion.code,
            sureness: suggestion.sureness.code(),
        })
    };
    let words = unknown_words_table(&read.ingested.unknown_words, suggestion)?;
    write_table(directory, "internal", &words, &[Format::Csv])
}

/// The input files as `run.json` lists them: name, size, SHA-256, and how each export was read.
pub(super) fn inputs(read: &Read) -> anyhow::Result<Vec<Input>> {
    let mut inputs: Vec<_> = read
        .exports()
        .map(|(path, facts)| Input {
            role: facts.source.code().to_owned(),
            file: name(path),
            bytes: facts.bytes,
            sha256: facts.sha256.clone().unwrap_or_default(),
            read_as: Some(ReadAs::from(facts)),
        })
        .collect();
    let mapping = Input::read("mapping", &name(read.mapping_path()), read.mapping.bytes())?;
    inputs.push(mapping);
    Ok(inputs)
}

/// SHA-256 of the exports of cases.
pub(super) fn exports(read: &Read) -> Vec<String> {
    let cases = read.exports().map(|(_, facts)| facts);
    cases
        .filter(|facts| facts.source == Source::Cases)
        .filter_map(|facts| facts.sha256.clone())
        .collect()
}

/// What `run.json` says of the rows that a command read; the command adds what it did with them.
pub(super) fn record(command: &str, read: &Read, crossed: &[String]) -> anyhow::Result<Manifest> {
    let ingested = &read.ingested;
    let windows = read.mapping.guideline_windows();
    Ok(Manifest {
        command: command.to_owned(),
        month: None,
        period: ingested.observed.map(|(first, last)| Period {
            first,
            last,
            sites: Vec::new(),
        }),
        options: BTreeMap::new(),
        inputs: inputs(read)?,
        exports: exports(read),
        mapping_sha256: Some(sha256_hex(read.mapping.bytes())?),
        measures: Vec::new(),
        accounting: Some(RowsRead {
            cases: ingested.cases_accounting.into(),
            passes: ingested.passes_accounting.map(manifest::Rows::from),
            passes_in_cases: ingested.passes_inside_cases,
        }),
        flow: Vec::new(),
        issues: issue_tallies(&ingested.issues.tallies()),
        window_start: read.mapping.window_start().to_string(),
        windows: windows.iter().map(manifest::Window::from).collect(),
        limits_crossed: crossed.to_vec(),
        made_on: made_on()?,
        outputs: Vec::new(),
    })
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
