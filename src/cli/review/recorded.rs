//! `--from-records`: the typed records of an earlier run, or the same from elsewhere, read part by part
//! and counted on the way.

use super::counted::{check_windows, inputs_below, known, shown};
use crate::cli::counting::{CountedCases, Counting, Wants};
use crate::cli::inputs::name;
use crate::cli::record_files::FOLDER;
use crate::cli::site;
use crate::domain::accounting::Accounting;
use crate::domain::exposure::Exposure;
use crate::domain::issue::IssueCode;
use crate::domain::month::Month;
use crate::export::manifest::Input;
use crate::export::manifest::read::read_run;
use crate::export::records::read::{Part, RecordsError, RecordsReader, files_of, read_observed};
use crate::ingest::Mapping;
use crate::measure::columns_to_count;
use anyhow::{Context as _, bail, ensure};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::mpsc::sync_channel;

/// Records that were read and counted.
pub(in crate::cli) struct Recorded {
    pub(super) mapping: Mapping,
    pub(super) counted: CountedCases,
    pub(super) exposure: Exposure,
    /// First and last month.
    pub(super) observed: (Month, Month),
    /// Sites that were observed.
    pub(super) sites: BTreeMap<String, u64>,
    pub(super) cases: Accounting,
    pub(super) passes: Option<Accounting>,
    pub(super) issues: BTreeMap<(IssueCode, &'static str, &'static str), u64>,
    pub(super) inputs: Vec<Input>,
    /// SHA-256 of the exports of which the records were made.
    pub(super) exports: Vec<String>,
}

impl Recorded {
    /// Reads and counts the records of a directory that `counts --records` made.
    ///
    /// # Errors
    /// When they cannot be read, are against their contract, are those of another mapping, or lack the
    /// site that is asked for.
    pub(super) fn read(
        directory: &Path,
        mapping_path: &Path,
        wants: Wants<'_>,
    ) -> anyhow::Result<Recorded> {
        let mapping = Mapping::read(mapping_path)?;
        let place = shown(directory);
        let none = || {
            format!(
                "`{place}` holds no records of a run; give a directory that `scopetally counts --records` made"
            )
        };
        let run = read_run(directory).with_context(none)?;
        ensure!(directory.join(FOLDER).is_dir(), none());
        check_windows(&run, &place, &mapping)?;
        let folder = directory.join(FOLDER);
        let mut exposure = read_observed(&folder)?;
        let watched = exposure.by_shift.keys();
        let sites: BTreeMap<_, _> = watched.map(|cell| (cell.site.clone(), 0)).collect();
        if let Some(site) = wants.site {
            ensure!(
                sites.contains_key(site),
                site::unknown("--site", site, &sites)
            );
            exposure.by_shift.retain(|cell, _| cell.site == site);
        }
        let last = Some(run.period.1);
        let mut counting = Counting::new(wants, mapping.has_clock_times(), last, None);
        let columns = columns_to_count(wants.definitions);
        let reader = RecordsReader::open(&folder, columns.as_ref())?;
        each_part(reader, |(cases, passes)| counting.add(cases, passes))?;
        let counted = counting.end();
        let is_all = wants.site.is_none() || wants.site == run.site.as_deref();
        if is_all && counted.cases != run.counted {
            bail!(
                "`{place}` holds {} cases where its run.json tells of {}; write records and run.json in \
                 one run",
                counted.cases,
                run.counted
            );
        }
        let mut inputs = inputs_below(directory, FOLDER, "records", &files_of(&folder))?;
        inputs.push(Input::read(
            "mapping",
            &name(mapping_path),
            mapping.bytes(),
        )?);
        Ok(Recorded {
            counted,
            exposure,
            observed: run.period,
            sites,
            cases: run.cases,
            passes: run.passes,
            issues: run.issues.iter().filter_map(known).collect(),
            exports: run.exports,
            inputs,
            mapping,
        })
    }
}

/// Reads part after part on a thread of its own, so that one is read while another is counted.
fn each_part(mut reader: RecordsReader, mut take: impl FnMut(Part)) -> Result<(), RecordsError> {
    std::thread::scope(|scope| {
        let (give, parts) = sync_channel(1);
        let reading = scope.spawn(move || {
            while let Some(part) = reader.next_part()? {
                if give.send(part).is_err() {
                    break;
                }
            }
            Ok(())
        });
        for part in parts {
            take(part);
        }
        reading.join().expect("reading records does not panic")
    })
}
