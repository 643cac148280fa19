//! What `run.json` says of a review.

use super::counted::Counted;
use super::made::Made;
use super::start::{Source, StartArguments};
use crate::cli::outputs::{made_on, record};
use crate::export::manifest::{self, Manifest, Period, RowsRead, issue_tallies};
use crate::export::sha256::sha256_hex;
use crate::findings::review::Review;
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
    let base = match source {
        Source::Rows(read) => record(command, read, crossed)?,
        Source::Counts(counted) => of_counts(command, counted, review, made_on()?)?,
    };
    Ok(Manifest {
        month: Some(review.month),
        options,
        measures: review
            .definitions
            .iter()
            .map(manifest::Measure::from)
            .collect(),
        flow: review
            .flow
            .measures
            .iter()
            .map(manifest::Flow::from)
            .collect(),
        outputs: outputs.to_vec(),
        ..base
    })
}

/// What there is to say of the rows when only their counts were read.
fn of_counts(
    command: &str,
    counted: &Counted,
    review: &Review,
    made_on: Option<String>,
) -> anyhow::Result<Manifest> {
    let (first, last) = counted.observed;
    Ok(Manifest {
        command: command.to_owned(),
        month: None,
        period: Some(Period { first, last }),
        options: BTreeMap::new(),
        inputs: counted.inputs.clone(),
        mapping_sha256: Some(sha256_hex(counted.mapping.bytes())?),
        measures: Vec::new(),
        accounting: Some(RowsRead {
            cases: counted.cases.into(),
            passes: counted.passes.map(manifest::Rows::from),
            passes_in_cases: None,
        }),
        flow: Vec::new(),
        issues: issue_tallies(&counted.issues),
        window_start: review.window_start.clone(),
        windows: review.windows.iter().map(manifest::Window::from).collect(),
        limits_crossed: Vec::new(),
        made_on,
        outputs: Vec::new(),
    })
}
