//! What counts must be to be added up: whole, of the measures and windows of this run, and of no case
//! that others count too.

use super::shown;
use crate::cli::inputs::printable;
use crate::domain::counts::{CountTables, Key, SITE};
use crate::domain::measure::Definition;
use crate::domain::month::Month;
use crate::export::manifest::read::CountedRun;
use crate::export::manifest::{Measure, Window};
use crate::findings::flow::Flow;
use crate::ingest::Mapping;
use anyhow::{Context as _, bail, ensure};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Checks that of two runs which count parts of the same exports one tells of all of their rows.
pub(super) fn check_beside(run: &CountedRun, other: &CountedRun) -> anyhow::Result<()> {
    let (ours, theirs) = (hashes(run), hashes(other));
    if ours.is_disjoint(&theirs) {
        return Ok(());
    }
    ensure!(
        ours == theirs,
        "they count sites of exports of which only some are the same, so that rows would be told of \
         twice; count each site from the same exports, and give the counts that a sum was made of instead \
         of the sum"
    );
    let holds = |a: (Month, Month), b: (Month, Month)| a.0 <= b.0 && b.1 <= a.1;
    ensure!(
        holds(run.period, other.period) || holds(other.period, run.period),
        "they count the same export over months of which neither are all, so that nobody can tell how \
         many of its rows are counted; count both with the same --from and --to"
    );
    let is_one_account = run.period != other.period
        || (run.cases, run.passes, &run.issues) == (other.cases, other.passes, &other.issues);
    ensure!(
        is_one_account && run.passes.is_some() == other.passes.is_some(),
        "they count the same export and tell otherwise of its rows; count both with the same mapping and \
         the same passes"
    );
    Ok(())
}

/// Counts by other definitions, or of other windows, are counts of something else.
pub(super) fn check_definitions(
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
pub(in crate::cli::review) fn check_windows(
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

/// Checks that every group was counted, and every case of the run once.
pub(super) fn check_counts(
    counts: &CountTables,
    run: &CountedRun,
    definitions: &[Definition],
) -> anyhow::Result<()> {
    let is_known = |key: &Key| {
        let mut known = definitions.iter();
        known.any(|known| (&known.id, known.version) == (&key.measure, key.version))
    };
    ensure!(
        counts.keys().all(is_known),
        "there are rows of a measure, or of a version of one, that its run.json does not name; leave them \
         out, or count again with --measures"
    );
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

/// SHA-256 of the exports behind a run.
pub(super) fn hashes(run: &CountedRun) -> BTreeSet<&str> {
    run.exports.iter().map(String::as_str).collect()
}

/// The sites and months that were observed, each once.
fn observed_in(counts: &CountTables) -> BTreeSet<(&str, Month)> {
    let of_sites = counts.events.iter().filter(|(key, _)| key.by == SITE);
    let observed = of_sites.filter(|(_, count)| count.exposure_minutes > 0);
    observed
        .filter_map(|(key, _)| Some((key.group.as_str(), key.month?)))
        .collect()
}

/// Checks that no site was observed in a month that counts before these hold too, whatever export they
/// were made of: its cases, or at least its time, would count twice. Adds the months of these.
pub(super) fn check_observed<'a>(
    before: &mut BTreeMap<(String, Month), &'a Path>,
    directory: &'a Path,
    counts: &CountTables,
) -> anyhow::Result<()> {
    let observed = observed_in(counts);
    let mut twice = observed.iter().filter_map(|(site, month)| {
        let other = before.get(&((*site).to_owned(), *month))?;
        Some((site, month, *other))
    });
    if let Some((site, month, other)) = twice.next() {
        let more = match twice.count() {
            0 => String::new(),
            count => format!(" and {count} more months of sites"),
        };
        bail!(
            "`{}` and `{}` both hold the counts of `{}` in {month}{more}, which would count twice; give the \
             counts of each site and month once",
            shown(other),
            shown(directory),
            printable(site)
        );
    }
    let ours = observed.into_iter();
    before.extend(ours.map(|(site, month)| ((site.to_owned(), month), directory)));
    Ok(())
}
