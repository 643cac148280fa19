//! What `run.json` says of a staffing report.

use super::Arguments;
use super::extras::Extras;
use crate::cli::inputs::Read;
use crate::cli::outputs::record;
use crate::export::manifest::Manifest;
use std::collections::BTreeMap;

/// The record of a run whose `outputs` are written.
pub(super) fn manifest(
    arguments: &Arguments,
    read: &Read,
    extras: &Extras,
    crossed: &[String],
    outputs: &[String],
) -> anyhow::Result<Manifest> {
    let mut manifest = record("staffing", read, crossed)?;
    let simulation = extras.plan.simulation;
    manifest.options = BTreeMap::from([
        ("seed".to_owned(), simulation.seed.to_string()),
        ("years".to_owned(), simulation.years.to_string()),
    ]);
    if let Some(site) = &arguments.site {
        manifest.options.insert("site".to_owned(), site.clone());
    }
    manifest.inputs.extend(extras.inputs.iter().cloned());
    manifest.outputs = outputs.to_vec();
    Ok(manifest)
}
