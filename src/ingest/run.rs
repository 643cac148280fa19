//! The whole of ingest: every file, every row, and what became of it.

use super::block_rows::RowReader;
use super::blocks::Block;
use super::calendar;
use super::case::CaseReader;
use super::case_rows::{Bounds, CaseRows};
use super::error::IngestError;
use super::facts::file_facts;
use super::guard::{ExportWatch, ListedHeadings, site_verdict};
use super::mapping::{ExportForm, Mapping};
use super::merge::{FileOutcome, FilePosition, Latest, Merge};
use super::open_file::{EndedFile, OpenFile};
use super::pass_rows::PassRows;
use super::plan::FilePlan;
use super::records::FilledFields;
use crate::domain::accounting::Accounting;
use crate::domain::exposure::{Exposure, ExposureCell};
use crate::domain::fields::{CaseField, Field};
use crate::domain::file_facts::FileFacts;
use crate::domain::issue::Source;
use crate::domain::issue_log::IssueLog;
use crate::domain::month::Month;
use crate::domain::recording::Recording;
use crate::domain::unknown_words::UnknownWords;
use arrow::array::RecordBatch;
use std::collections::{BTreeMap, BTreeSet};
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;

/// What to read, and what to keep of it.
#[derive(Clone, Copy)]
pub struct Inputs<'a> {
    /// Cases exports, at least one; `-` is standard input.
    pub cases: &'a [PathBuf],
    /// Passes exports.
    pub passes: &'a [PathBuf],
    /// First month to keep; the mapping's period, or else the first month of the cases.
    pub from: Option<Month>,
    /// Last month to keep, likewise.
    pub to: Option<Month>,
    /// Records of cases that are kept at most, with the passes that are read until then. All rows are
    /// read, checked and accounted for, whether their record is kept or not.
    pub most_cases: usize,
    /// The columns of records of cases; `None` for all of them.
    pub columns: Option<&'a BTreeSet<String>>,
    /// Whether every single issue is kept, and not only how often each kind came up where.
    pub lists_issues: bool,
    /// Whether files are hashed.
    pub wants_hashes: bool,
    /// Threads that parse rows.
    pub threads: NonZeroUsize,
    /// Told of everything that was read since it was told last.
    pub progress: &'a (dyn Fn(Advance) + Sync),
}

/// How much further reading has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Advance {
    /// So many bytes of the files as they lie on disk.
    Bytes(u64),
    /// So many rows.
    Rows(u64),
}

/// What was read.
#[derive(Clone, Debug)]
pub struct Ingested {
    /// One record per accepted case, in the order of files and lines, as far as they are kept.
    pub cases: Vec<RecordBatch>,
    /// One record per accepted pass, likewise.
    pub passes: Vec<RecordBatch>,
    /// Columns of either kind of record that have a value in at least one of them, kept or not.
    pub filled_columns: BTreeSet<&'static str>,
    /// How each file was read, cases first.
    pub files: Vec<FileFacts>,
    /// What became of the rows of the cases export.
    pub cases_accounting: Accounting,
    /// What became of the rows of the passes export; `None` when none was given.
    pub passes_accounting: Option<Accounting>,
    /// Passes that stood in the rows of their cases; `None` where the mapping has none there.
    pub passes_inside_cases: Option<u64>,
    /// Everything that is wrong.
    pub issues: IssueLog,
    /// Words of coded columns that the mapping does not know.
    pub unknown_words: UnknownWords,
    /// For each mapped field of a case, in how many accepted cases it has a value.
    pub completeness: Vec<(&'static str, u64)>,
    /// What was recorded of the mapped fields of accepted cases, month by month.
    pub recording: Recording,
    /// Accepted cases by month of the call.
    pub cases_by_month: BTreeMap<Month, u64>,
    /// Accepted cases by site.
    pub cases_by_site: BTreeMap<String, u64>,
    /// Whether the period comes from the first and the last call, for want of one that was given.
    pub is_period_guessed: bool,
    /// First and last month observed; `None` when no case was accepted.
    pub observed: Option<(Month, Month)>,
    /// Observed time.
    pub exposure: Exposure,
}

/// Takes records of accepted cases, and the records of all their passes where there are any.
pub type Taker<'a> = dyn FnMut(RecordBatch, Option<RecordBatch>) + 'a;

/// Reads all inputs and keeps the records.
///
/// # Errors
/// When a file cannot be read, lacks a mapped column, holds no row, ends inside a quote or seems to
/// identify persons, or when the months asked for lie outside the period of the mapping. Faults of
/// single rows are issues in the result.
pub fn ingest(inputs: &Inputs<'_>, mapping: &Mapping) -> Result<Ingested, IngestError> {
    read(inputs, mapping, None)
}

/// Reads all inputs and hands the records on as soon as they are accepted, so that memory does not
/// grow with them; none of them is kept. With a passes export nothing is handed on, and all is kept:
/// the passes of a case may stand anywhere in it.
///
/// # Errors
/// As [`ingest`]; records may have been handed on until then.
pub fn ingest_into(
    inputs: &Inputs<'_>,
    mapping: &Mapping,
    take: &mut Taker<'_>,
) -> Result<Ingested, IngestError> {
    let take = inputs.passes.is_empty().then_some(take);
    read(inputs, mapping, take)
}

fn read(
    inputs: &Inputs<'_>,
    mapping: &Mapping,
    take: Option<&mut Taker<'_>>,
) -> Result<Ingested, IngestError> {
    let bounds = bounds(inputs, mapping)?;
    if !inputs.passes.is_empty() && mapping.devices.is_some() {
        return Err(IngestError::PassesTwice);
    }
    let keeps = AtomicBool::new(true);
    let mut merge = Merge::new(inputs.most_cases, inputs.lists_issues, &keeps, take);
    let mut files = read_cases(inputs, mapping, bounds, &mut merge)?;
    let cases_accounting = sum(&files);
    let mut passes_accounting = None;
    if !inputs.passes.is_empty() {
        let passes = read_passes(inputs, mapping, &mut merge)?;
        passes_accounting = Some(sum(&passes));
        files.extend(passes);
    }
    let knows_passes = passes_accounting.is_some() || mapping.devices.is_some();
    merge.finish(knows_passes, inputs.threads);
    let sites = merge.tallies.sites.len();
    if let Some(kind) = site_verdict(sites, cases_accounting.accepted) {
        return Err(IngestError::SitesIdentify { sites, kind });
    }
    let filled_columns = merge.filled_columns();
    let tallies = merge.tallies;
    let cases_by_month = tallies.months();
    let observed = observed(&cases_by_month, bounds);
    let mapped: Vec<_> = mapping.mapped_case_fields().collect();
    Ok(Ingested {
        completeness: mapped
            .iter()
            .map(|field| (field.name(), tallies.filled(field.index())))
            .collect(),
        recording: tallies.recording(&mapped),
        exposure: observed
            .map(|months| exposure(mapping, &tallies.sites, months))
            .unwrap_or_default(),
        observed,
        is_period_guessed: bounds.0.is_none() || bounds.1.is_none(),
        cases_by_month,
        cases_by_site: tallies.sites,
        cases: merge.cases,
        filled_columns,
        passes: merge.passes,
        files,
        cases_accounting,
        passes_accounting,
        passes_inside_cases: mapping.devices.is_some().then_some(merge.passes_inside),
        issues: merge.log,
        unknown_words: merge.unknown_words,
    })
}

/// Reads all files of one kind and closes them.
fn read_cases(
    inputs: &Inputs<'_>,
    mapping: &Mapping,
    bounds: Bounds,
    merge: &mut Merge<'_, '_>,
) -> Result<Vec<FileFacts>, IngestError> {
    let reader = CaseReader::new(mapping);
    let has_versions = mapping
        .mapped_case_fields()
        .any(|field| matches!(field, CaseField::RecordVersion | CaseField::AmendedAt));
    let asked = inputs.columns;
    let is_asked = |field: CaseField| asked.is_none_or(|asked| asked.contains(field.column()));
    let mut listed = ListedHeadings::new(mapping.cases.form.heading_lists());
    let mut latest = has_versions.then(Latest::default);
    let mut files = Vec::new();
    for (file_index, path) in inputs.cases.iter().enumerate() {
        let input = OpenFile::open(path, &mapping.cases.form, inputs)?;
        let plan = FilePlan::new(&input.sample(), &mapping.cases, mapping.devices.as_ref())?;
        listed.note(&plan.guard);
        if file_index + 1 == inputs.cases.len() {
            listed.check(inputs.cases)?;
        }
        let rows = CaseRows {
            mapping,
            plan: &plan,
            reader: &reader,
            bounds,
            file_index,
            has_versions,
            columns: FilledFields::of(is_asked),
            keeps: merge.keeps(),
        };
        let at = FilePosition {
            source: Source::Cases,
            file_index,
        };
        let mut outcome = FileOutcome::default();
        let mut waiting = Vec::new();
        let parse = |buffers: &mut RowReader, block: &Block| rows.parse(buffers, block);
        let ended = input.run(&plan, parse, |block| match &mut latest {
            None => merge.add(block, at, None, &mut outcome),
            // Which version of a case stands is known only once every row has been seen.
            Some(latest) => {
                latest.add(&block);
                waiting.push(block);
            }
        })?;
        files.push((at, plan, outcome, waiting, ended));
    }
    let mut export = ExportWatch::default();
    let facts = files
        .into_iter()
        .map(|(at, plan, mut outcome, waiting, ended)| {
            for block in waiting {
                merge.add(block, at, latest.as_ref(), &mut outcome);
            }
            // No passes is news that can be true; no cases is an export that went wrong.
            if outcome.rows.read == 0 {
                return Err(IngestError::HeaderOnly {
                    path: inputs.cases[at.file_index].clone(),
                });
            }
            let path = &inputs.cases[at.file_index];
            export.add(path, at.file_index, &plan.guard, &outcome.watches)?;
            close(
                path,
                &mapping.cases.form,
                &plan,
                &outcome,
                &ended,
                at.source,
            )
        })
        .collect::<Result<_, _>>()?;
    export.check(inputs.cases)?;
    Ok(facts)
}

fn read_passes(
    inputs: &Inputs<'_>,
    mapping: &Mapping,
    merge: &mut Merge<'_, '_>,
) -> Result<Vec<FileFacts>, IngestError> {
    let mapping = mapping
        .passes
        .as_ref()
        .ok_or(IngestError::PassesNotMapped)?;
    let mut listed = ListedHeadings::new(mapping.form.heading_lists());
    let mut export = ExportWatch::default();
    let mut files = Vec::new();
    for (file_index, path) in inputs.passes.iter().enumerate() {
        let input = OpenFile::open(path, &mapping.form, inputs)?;
        let plan = FilePlan::new(&input.sample(), mapping, None)?;
        listed.note(&plan.guard);
        if file_index + 1 == inputs.passes.len() {
            listed.check(inputs.passes)?;
        }
        let rows = PassRows {
            plan: &plan,
            file_index,
            keeps: merge.keeps(),
        };
        let at = FilePosition {
            source: Source::Passes,
            file_index,
        };
        let mut outcome = FileOutcome::default();
        let parse = |buffers: &mut RowReader, block: &Block| rows.parse(buffers, block);
        let ended = input.run(&plan, parse, |block| {
            merge.add(block, at, None, &mut outcome);
        })?;
        export.add(path, file_index, &plan.guard, &outcome.watches)?;
        files.push(close(
            path,
            &mapping.form,
            &plan,
            &outcome,
            &ended,
            at.source,
        )?);
    }
    export.check(inputs.passes)?;
    Ok(files)
}

/// The last look at a file whose rows have all been read.
fn close<F: Field>(
    path: &Path,
    form: &ExportForm,
    plan: &FilePlan<'_, F>,
    outcome: &FileOutcome,
    ended: &EndedFile,
    source: Source,
) -> Result<FileFacts, IngestError> {
    if let Some((first, count)) = outcome.counter_proofs.values().next() {
        return Err(IngestError::TimesContradicted {
            path: path.to_path_buf(),
            field: first.field,
            line_number: first.line_number,
            count: *count,
        });
    }
    Ok(file_facts(source, form, plan, ended, outcome.rows))
}

/// What became of the rows of all files.
fn sum(files: &[FileFacts]) -> Accounting {
    let mut sum = Accounting::default();
    for rows in files.iter().map(|file| file.rows) {
        sum.read += rows.read;
        sum.accepted += rows.accepted;
        sum.set_aside += rows.set_aside;
        sum.duplicates += rows.duplicates;
    }
    assert!(
        sum.balances(),
        "every row was accepted, set aside or a duplicate"
    );
    sum
}

/// The months that were asked for on the command line, or else in the mapping.
fn bounds(inputs: &Inputs<'_>, mapping: &Mapping) -> Result<Bounds, IngestError> {
    let Some(period) = mapping.period else {
        return Ok((inputs.from, inputs.to));
    };
    let is_outside = |month: &Month| !(period.0..=period.1).contains(month);
    match [inputs.from, inputs.to]
        .into_iter()
        .flatten()
        .find(is_outside)
    {
        Some(asked_for) => Err(IngestError::OutsidePeriod { asked_for, period }),
        None => Ok((
            Some(inputs.from.unwrap_or(period.0)),
            Some(inputs.to.unwrap_or(period.1)),
        )),
    }
}

/// The months within the bounds, or else those from the first accepted case to the last.
fn observed(months: &BTreeMap<Month, u64>, (from, to): Bounds) -> Option<(Month, Month)> {
    let first = from.unwrap_or(*months.keys().next()?);
    let last = to.unwrap_or(*months.keys().next_back()?);
    Some((first, last.max(first)))
}

fn exposure(
    mapping: &Mapping,
    sites: &BTreeMap<String, u64>,
    (first_month, last_month): (Month, Month),
) -> Exposure {
    let mut exposure = Exposure::new();
    for month in first_month.through(last_month) {
        let hours = calendar::minutes_of_week_hours(month, &mapping.time_form);
        exposure.by_hour.extend(hours);
        let minutes = calendar::minutes_of_month(month, &mapping.time_form, &mapping.staffed_hours);
        for (shift, minutes) in minutes {
            for site in sites.keys() {
                exposure.by_shift.insert(
                    ExposureCell {
                        site: site.clone(),
                        month,
                        shift,
                    },
                    minutes,
                );
            }
        }
    }
    exposure
}
