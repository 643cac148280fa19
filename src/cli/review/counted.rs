//! `review --counts`: the counts of one or of several runs, checked and added up.

use crate::cli::inputs::{name, printable};
use crate::domain::accounting::Accounting;
use crate::domain::counts::{Additive as _, CountTables};
use crate::domain::fields::{CaseField, Field as _, PassField};
use crate::domain::issue::IssueCode;
use crate::domain::measure::Definition;
use crate::domain::month::Month;
use crate::export::counts::read::{files_of, read_counts};
use crate::export::manifest::read::{CountedRun, Issue, read_run};
use crate::export::manifest::{Input, Measure, Window};
use crate::findings::flow::Flow;
use crate::ingest::Mapping;
use anyhow::{Context as _, bail, ensure};
use std::collections::BTreeMap;
use std::fs::File;
use std::path::{Path, PathBuf};

/// Counts of one or of several runs of `counts` or `review`, added up.
pub(in crate::cli) struct Counted {
    pub(super) mapping: Mapping,
    pub(super) counts: CountTables,
    /// First and last month of any of them.
    pub(super) observed: (Month, Month),
    /// Accepted cases that are counted.
    pub(super) accepted: u64,
    pub(super) cases: Accounting,
    pub(super) passes: Option<Accounting>,
    pub(super) issues: BTreeMap<(IssueCode, &'static str, &'static str), u64>,
    pub(super) inputs: Vec<Input>,
}

impl Counted {
    /// Reads the counts of every directory and adds them up.
    ///
    /// # Errors
    /// When one of them cannot be read, was counted by other definitions or windows, or counts cases
    /// that another one counts too.
    pub(super) fn read(
        directories: &[PathBuf],
        mapping_path: &Path,
        definitions: &[Definition],
    ) -> anyhow::Result<Counted> {
        let mapping = Mapping::read(mapping_path)?;
        let mut runs: Vec<(&Path, CountedRun)> = Vec::new();
        for directory in directories {
            let run = read_run(directory)
                .with_context(|| format!("`{}` holds no counts", shown(directory)))?;
            check(&run, directory, &mapping, definitions)?;
            if let Some((other, _)) = runs.iter().find(|(_, other)| share_cases(&run, other)) {
                bail!(
                    "`{}` and `{}` count cases of the same export, which would count twice",
                    shown(other),
                    shown(directory)
                );
            }
            runs.push((directory, run));
        }
        let (_, first) = runs.first().context("--counts names no directory")?;
        let mut sum = Counted {
            mapping,
            counts: CountTables::default(),
            observed: first.period,
            accepted: 0,
            cases: Accounting::default(),
            passes: None,
            issues: BTreeMap::new(),
            inputs: Vec::new(),
        };
        for (place, (directory, run)) in runs.iter().enumerate() {
            // Sites of one export share its rows.
            let is_read_before = runs[..place]
                .iter()
                .any(|(_, other)| other.cases_sha256 == run.cases_sha256);
            sum.add(directory, run, definitions, is_read_before)?;
        }
        let mapping = Input::read("mapping", &name(mapping_path), sum.mapping.bytes())?;
        sum.inputs.push(mapping);
        Ok(sum)
    }

    fn add(
        &mut self,
        directory: &Path,
        run: &CountedRun,
        definitions: &[Definition],
        is_read_before: bool,
    ) -> anyhow::Result<()> {
        let counts = read_counts(&directory.join(COUNTS))?;
        check_counts(&counts, run, definitions)
            .with_context(|| format!("`{}` holds counts that do not fit", shown(directory)))?;
        self.counts.add(&counts);
        self.accepted += run.counted;
        self.observed.0 = self.observed.0.min(run.period.0);
        self.observed.1 = self.observed.1.max(run.period.1);
        let files = files_of(&directory.join(COUNTS));
        self.inputs
            .extend(inputs_below(directory, COUNTS, "counts", &files)?);
        if !is_read_before {
            self.cases.add(run.cases);
            if let Some(passes) = run.passes {
                self.passes.get_or_insert_default().add(passes);
            }
            for (issue, count) in run.issues.iter().filter_map(known) {
                *self.issues.entry(issue).or_default() += count;
            }
        }
        Ok(())
    }
}

/// Checks that every group was counted, and every case of the run once.
fn check_counts(
    counts: &CountTables,
    run: &CountedRun,
    definitions: &[Definition],
) -> anyhow::Result<()> {
    counts
        .check_whole()
        .context("count again, and write every row once")?;
    let flow = Flow::new(run.cases, run.passes, run.counted, counts, definitions)?;
    for measure in flow.measures {
        let told = run.populations.get(&measure.measure);
        ensure!(
            told.is_none_or(|told| *told == measure.population),
            "measure `{}` counts {} cases, and the run.json beside it tells of {}; count all records of \
             that run, each once",
            measure.measure,
            measure.population,
            told.copied().unwrap_or_default()
        );
    }
    Ok(())
}

/// Where the counts of a run stand.
const COUNTS: &str = "counts";

/// Files of a `folder` of a run, as inputs of this one.
pub(super) fn inputs_below(
    directory: &Path,
    folder: &str,
    role: &str,
    files: &[PathBuf],
) -> anyhow::Result<Vec<Input>> {
    let input = |path: &PathBuf| {
        let file = File::open(path).with_context(|| format!("cannot open `{}`", shown(path)))?;
        let place = format!("{}/{folder}/{}", name(directory), name(path));
        Ok(Input::read(role, &place, file)?)
    };
    files.iter().map(input).collect()
}

pub(super) fn shown(path: &Path) -> String {
    printable(&path.to_string_lossy())
}

/// Whether both count a case of one export.
fn share_cases(run: &CountedRun, other: &CountedRun) -> bool {
    let is_same_site = run.site.is_none() || other.site.is_none() || run.site == other.site;
    let is_same_export = |hash: &String| other.cases_sha256.contains(hash);
    is_same_site && run.cases_sha256.iter().any(is_same_export)
}

/// Counts by other definitions, or of other windows, are counts of something else.
fn check(
    run: &CountedRun,
    directory: &Path,
    mapping: &Mapping,
    definitions: &[Definition],
) -> anyhow::Result<()> {
    let place = shown(directory);
    let ours: Vec<Measure> = definitions.iter().map(Measure::from).collect();
    let unlike = run.measures.iter().find(|measure| !ours.contains(measure));
    if let Some(measure) = unlike {
        bail!(
            "`{place}` counts `{}` by a definition that this run does not have; give the directory of \
             its measures as --measures, or count again",
            printable(&measure.id)
        );
    }
    if let Some(missing) = ours.iter().find(|ours| !run.measures.contains(ours)) {
        bail!(
            "`{place}` does not count `{}`; count again with the same measures",
            missing.id
        );
    }
    check_windows(run, &place, mapping)
}

/// Checks that the windows of a run are those of the mapping.
pub(super) fn check_windows(
    run: &CountedRun,
    place: &str,
    mapping: &Mapping,
) -> anyhow::Result<()> {
    let windows = mapping.guideline_windows();
    let windows = windows
        .iter()
        .map(|window| serde_json::to_value(Window::from(window)));
    let windows = windows.collect::<Result<Vec<_>, _>>()?;
    ensure!(
        run.windows == windows && run.window_start == mapping.window_start(),
        "`{place}` was counted with other windows than those of the mapping, or from another moment on; \
         count again with the mapping of this run"
    );
    Ok(())
}

/// An issue by our names of its kind and fields; `None` for one that this version does not know.
pub(super) fn known(issue: &Issue) -> Option<((IssueCode, &'static str, &'static str), u64)> {
    let code = IssueCode::ALL
        .iter()
        .find(|code| code.code() == issue.code)?;
    let key = (*code, field(&issue.field)?, field(&issue.other_field)?);
    Some((key, issue.count))
}

/// Our name of a field; empty where an issue is about the whole row.
fn field(name: &str) -> Option<&'static str> {
    if name.is_empty() {
        return Some("");
    }
    let of_case = CaseField::named(name).map(CaseField::name);
    of_case.or_else(|| PassField::named(name).map(PassField::name))
}
