//! What `run.json` says of a review.

use super::made::Made;
use super::start::{Source, StartArguments};
use crate::export::manifest::{self, Manifest, Period, RowsRead, issue_tallies};
use crate::export::sha256::sha256_hex;
use std::collections::BTreeMap;

/// The record of a run whose `outputs` are written.
pub(in crate::cli) fn manifest(
    command: &str,
    arguments: &StartArguments,
    source: &Source,
    made: &Made,
    crossed: &[String],
    outputs: &[String],
) -> anyhow::Result<Manifest> {
    let review = &made.review;
    let share_interval = format!("{:?}", arguments.share_method());
    let mut options = BTreeMap::from([
        ("level".to_string(), review.level.to_string()),
        ("share_interval".to_string(), share_interval),
    ]);
    if let Some(site) = &review.site {
        options.insert("site".to_string(), site.clone());
    }
    Ok(Manifest {
        command: command.to_owned(),
        month: Some(review.month),
        period: Some(Period {
            first: review.first_month,
            last: review.last_month,
            sites: review
                .months_of_sites
                .iter()
                .map(manifest::PeriodOfSite::from)
                .collect(),
        }),
        options,
        inputs: made.files.clone(),
        exports: source.exports(),
        mapping_sha256: Some(sha256_hex(source.mapping().bytes())?),
        measures: review
            .definitions
            .iter()
            .map(manifest::Measure::from)
            .collect(),
        accounting: Some(RowsRead {
            cases: review.quality.cases.into(),
            passes: review.quality.passes.map(manifest::Rows::from),
            passes_in_cases: source.passes_in_cases(),
        }),
        flow: review
            .flow
            .measures
            .iter()
            .map(manifest::Flow::from)
            .collect(),
        issues: issue_tallies(&review.quality.issues),
        window_start: review.window_start.clone(),
        windows: review.windows.iter().map(manifest::Window::from).collect(),
        limits_crossed: crossed.to_vec(),
        made_on: review.made_on.clone(),
        outputs: outputs.to_vec(),
    })
}
