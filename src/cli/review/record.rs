//! What `run.json` says of a review.

use super::Arguments;
use super::made::Made;
use crate::cli::inputs::Read;
use crate::cli::outputs::record;
use crate::export::manifest::{self, Manifest};
use std::collections::BTreeMap;

/// The record of a run whose `outputs` are written.
pub(super) fn manifest(
    arguments: &Arguments,
    read: &Read,
    made: &Made,
    crossed: &[String],
    outputs: &[String],
) -> anyhow::Result<Manifest> {
    let review = &made.review;
    let share_interval = format!("{:?}", arguments.share_interval.method());
    let mut options = BTreeMap::from([
        ("level".to_string(), review.level.to_string()),
        ("share_interval".to_string(), share_interval),
    ]);
    if let Some(site) = &review.site {
        options.insert("site".to_string(), site.clone());
    }
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
        ..record("review", read, crossed)?
    })
}
