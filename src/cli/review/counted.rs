//! `review --counts`: the counts of one or of several runs, checked and added up.

mod checks;

pub(super) use checks::check_windows;

use crate::cli::inputs::{name, printable};
use crate::domain::accounting::Accounting;
use crate::domain::counts::{Additive as _, CountTables};
use crate::domain::fields::{CaseField, Field as _, PassField};
use crate::domain::issue::IssueCode;
use crate::domain::measure::Definition;
use crate::domain::month::Month;
use crate::export::counts::read::{files_of, read_counts};
use crate::export::manifest::read::{CountedRun, Issue, read_run};
use crate::export::manifest::{FILE_NAME, Input};
use crate::findings::review::MonthsOfSite;
use crate::ingest::Mapping;
use anyhow::{Context as _, ensure};
use checks::{check_beside, check_counts, check_definitions, check_observed, hashes};
use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::path::{Path, PathBuf};

/// Counts of one or of several runs of `counts` or `review`, added up.
pub(in crate::cli) struct Counted {
    pub(super) mapping: Mapping,
    pub(super) counts: CountTables,
    /// First and last month of any of them.
    pub(super) observed: (Month, Month),
    /// The months of each site, where they are not the same for all; else none.
    pub(super) months_of_sites: Vec<MonthsOfSite>,
    /// Accepted cases that are counted.
    pub(super) accepted: u64,
    pub(super) cases: Accounting,
    pub(super) passes: Option<Accounting>,
    pub(super) issues: BTreeMap<(IssueCode, &'static str, &'static str), u64>,
    pub(super) inputs: Vec<Input>,
    /// SHA-256 of the exports behind the counts, each once.
    pub(super) exports: Vec<String>,
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
            let run = read_run(directory).with_context(|| no_counts(directory))?;
            ensure!(directory.join(COUNTS).is_dir(), no_counts(directory));
            check_definitions(&run, directory, &mapping, definitions)?;
            for (other_directory, other) in &runs {
                check_beside(&run, other).with_context(|| {
                    let places = (shown(other_directory), shown(directory));
                    format!("`{}` and `{}` cannot be added up", places.0, places.1)
                })?;
            }
            runs.push((directory, run));
        }
        let (_, first) = runs.first().context("--counts names no directory")?;
        let exports: BTreeSet<&str> = runs.iter().flat_map(|(_, run)| hashes(run)).collect();
        let mut sum = Counted {
            mapping,
            counts: CountTables::default(),
            observed: first.period,
            months_of_sites: Vec::new(),
            accepted: 0,
            cases: Accounting::default(),
            passes: None,
            issues: BTreeMap::new(),
            inputs: Vec::new(),
            exports: exports.into_iter().map(str::to_owned).collect(),
        };
        let mut observed = BTreeMap::new();
        for (directory, run) in &runs {
            let counts = read_counts(&directory.join(COUNTS))?;
            check_counts(&counts, run, definitions)
                .with_context(|| format!("`{}` holds counts that do not fit", shown(directory)))?;
            check_observed(&mut observed, directory, &counts)?;
            sum.add(directory, run, &counts)?;
        }
        for run in tells_of_rows(&runs) {
            sum.add_rows(run);
        }
        sum.months_of_sites = unlike_months(observed.keys());
        let mapping = Input::read("mapping", &name(mapping_path), sum.mapping.bytes())?;
        sum.inputs.push(mapping);
        Ok(sum)
    }

    fn add(
        &mut self,
        directory: &Path,
        run: &CountedRun,
        counts: &CountTables,
    ) -> anyhow::Result<()> {
        self.counts.add(counts);
        self.accepted += run.counted;
        self.observed.0 = self.observed.0.min(run.period.0);
        self.observed.1 = self.observed.1.max(run.period.1);
        let files = files_of(&directory.join(COUNTS));
        self.inputs
            .extend(inputs_below(directory, COUNTS, "counts", &files)?);
        Ok(())
    }

    /// Adds what became of the rows behind a run.
    fn add_rows(&mut self, run: &CountedRun) {
        self.cases.add(run.cases);
        if let Some(passes) = run.passes {
            self.passes.get_or_insert_default().add(passes);
        }
        for (issue, count) in run.issues.iter().filter_map(known) {
            *self.issues.entry(issue).or_default() += count;
        }
    }
}

/// The months in which each site was observed; none where they are the same for all.
fn unlike_months<'a>(observed: impl Iterator<Item = &'a (String, Month)>) -> Vec<MonthsOfSite> {
    let mut months = BTreeMap::<&str, BTreeSet<Month>>::new();
    for (site, month) in observed {
        months.entry(site).or_default().insert(*month);
    }
    let mut each = months.values();
    let first = each.next();
    if each.all(|months| Some(months) == first) {
        return Vec::new();
    }
    let of_site = |(site, months): (&str, BTreeSet<Month>)| {
        let (first, last) = (*months.first()?, *months.last()?);
        Some(MonthsOfSite {
            site: site.to_owned(),
            first,
            last,
            has_gaps: first.through(last).any(|month| !months.contains(&month)),
        })
    };
    months.into_iter().filter_map(of_site).collect()
}

/// The runs that tell of rows which no other one of these tells of: sites of one export share its rows.
fn tells_of_rows<'a>(runs: &'a [(&Path, CountedRun)]) -> Vec<&'a CountedRun> {
    let mut by_export = BTreeMap::<BTreeSet<&str>, &CountedRun>::new();
    for (_, run) in runs {
        let telling = by_export.entry(hashes(run)).or_insert(run);
        let months = |run: &CountedRun| run.period.1.since(run.period.0);
        if months(run) > months(telling) {
            *telling = run;
        }
    }
    by_export.into_values().collect()
}

/// What to do about a directory without counts.
fn no_counts(directory: &Path) -> String {
    let place = shown(directory);
    let above = directory
        .parent()
        .filter(|above| above.join(FILE_NAME).is_file());
    let what = match above {
        Some(_) if directory.ends_with(COUNTS) => {
            format!("give the directory that holds it, with its {FILE_NAME}")
        }
        _ => "give a directory that `scopetally counts` or `scopetally review` made".to_owned(),
    };
    format!("`{place}` holds no counts of a run; {what}")
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
