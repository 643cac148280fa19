//! `map`: a mapping to begin with, proposed from the headings and the first rows of the exports.

use super::{Outcome, console};
use crate::ingest::{Proposal, Unmapped, expand, propose};
use anyhow::{Context as _, bail};
use clap::Args;
use jiff::tz::TimeZone;
use std::fs::File;
use std::io::Write as _;
use std::path::{Path, PathBuf};

/// Options of `map`.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// Cases exports: one row a case. Only the first rows are read.
    #[arg(value_name = "CSV", required = true, num_args = 1..)]
    cases: Vec<PathBuf>,
    /// Passes exports: one row each time a device goes down.
    #[arg(long, value_name = "CSV", num_args = 1..)]
    passes: Vec<PathBuf>,
    /// Time zone of the clocks, such as America/Chicago; no export tells it.
    #[arg(long, value_name = "ZONE", value_parser = time_zone)]
    time_zone: Option<String>,
    /// File for the mapping; one that exists is not replaced. Without it, the mapping is printed.
    #[arg(long, value_name = "TOML")]
    out: Option<PathBuf>,
}

/// The name of a zone that exists.
fn time_zone(name: &str) -> Result<String, String> {
    match TimeZone::get(name) {
        Ok(_) => Ok(name.to_string()),
        Err(_) => Err(
            "this is no IANA time zone; names look like `America/Chicago` or `Europe/Vienna`"
                .to_string(),
        ),
    }
}

pub(super) fn run(arguments: &Arguments) -> anyhow::Result<Outcome> {
    // Before the exports are read: who has to choose another file should not wait for it.
    if let Some(path) = &arguments.out
        && path.exists()
    {
        bail!("{}", exists(path));
    }
    let cases = expand(&arguments.cases)?;
    let passes = expand(&arguments.passes)?;
    let proposal = propose(&Unmapped {
        cases: &cases,
        passes: &passes,
        time_zone: arguments.time_zone.as_deref(),
    })?;
    match &arguments.out {
        None => console::line(proposal.toml.trim_end()),
        Some(path) => {
            write(path, &proposal)?;
            print_summary(path, &proposal);
        }
    }
    Ok(Outcome::Done)
}

fn exists(path: &Path) -> String {
    format!(
        "`{}` exists, and a mapping that somebody may have edited is not replaced; choose another --out, or move it",
        path.display()
    )
}

fn write(path: &Path, proposal: &Proposal) -> anyhow::Result<()> {
    let mut file = match File::create_new(path) {
        Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {
            bail!("{}", exists(path))
        }
        created => created.with_context(|| format!("cannot create `{}`", path.display()))?,
    };
    file.write_all(proposal.toml.as_bytes())
        .with_context(|| format!("cannot write `{}`", path.display()))
}

fn print_summary(path: &Path, proposal: &Proposal) {
    console::line(&format!(
        "{}: {} of {} columns give a field",
        path.display(),
        proposal.columns_mapped,
        proposal.columns,
    ));
    console::note(&format!(
        "{} things are left to decide",
        proposal.to_decide.len()
    ));
    for (index, what) in proposal.to_decide.iter().enumerate() {
        console::aside(&format!("{}. {what}", index + 1));
    }
    console::hint("then run `scopetally check` with this mapping");
}
