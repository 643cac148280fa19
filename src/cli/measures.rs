//! `measures`: the list of all measures, or the whole of one.

use super::{Outcome, console};
use crate::domain::measure::Definition;
use crate::findings::estimate::default_methods;
use crate::measure;
use anyhow::{Context as _, bail};
use clap::Args;
use std::path::PathBuf;

/// Options of `measures`.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// Explain this measure: definition, source, method and SQL.
    #[arg(value_name = "ID")]
    id: Option<String>,
    /// Also the measures of this directory.
    #[arg(long, value_name = "DIR")]
    measures: Option<PathBuf>,
}

pub(super) fn run(arguments: &Arguments) -> anyhow::Result<Outcome> {
    let measures = load(arguments.measures.as_deref())?;
    match &arguments.id {
        None => {
            let longest = measures.iter().map(|measure| measure.id.len()).max();
            let width = longest.unwrap_or(0);
            for measure in &measures {
                console::line(&format!(
                    "{:<width$}  {:<15}  {}",
                    measure.id,
                    measure.kind.code(),
                    measure.title
                ));
            }
            console::line("\nscopetally measures ID explains one of them.");
        }
        Some(id) => {
            let Some(measure) = measures.iter().find(|measure| measure.id == *id) else {
                let ids: Vec<_> = measures.iter().map(|measure| measure.id.as_str()).collect();
                bail!(
                    "there is no measure `{id}`; the measures are: {}",
                    ids.join(", ")
                );
            };
            explain(measure);
        }
    }
    Ok(Outcome::Done)
}

/// The built-in measures, then those of a directory.
pub(super) fn load(directory: Option<&std::path::Path>) -> anyhow::Result<Vec<Definition>> {
    let mut measures = measure::built_in();
    if let Some(directory) = directory {
        let own = measure::from_directory(directory, &measures)
            .context("the measures of --measures cannot be used")?;
        for measure in &own {
            for word in measure::words_without_code(measure) {
                console::warn(&format!(
                    "measure `{}` compares with '{word}', which is no code of any field; \
                     it finds nothing unless a site has this name",
                    measure.id
                ));
            }
        }
        measures.extend(own);
    }
    Ok(measures)
}

fn explain(measure: &Definition) {
    console::line(&format!(
        "{} ({}, version {})",
        measure.title, measure.id, measure.version
    ));
    console::line(&format!("\n{}\n", measure.question));
    for (name, text) in [
        ("eligible", measure.eligible.as_str()),
        ("counts as", measure.hit.as_str()),
        ("better", measure.better.code()),
        ("source", measure.source.as_str()),
    ] {
        console::line(&format!("{name:<10} {text}"));
    }
    for method in default_methods(measure) {
        console::line(&format!("{:<10} {}", "method", method.sentence()));
    }
    console::line(&format!("\n{}", measure.sql));
}
