//! `sample`: invented cases to try everything out on.

use super::{Outcome, console};
use crate::domain::month::Month;
use crate::sample::{Plan, mapping_toml, write};
use anyhow::{Context as _, bail};
use clap::Args;
use std::fs::{self, File};
use std::io::{BufWriter, Write as _};
use std::path::{Path, PathBuf};

/// Options of `sample`. The defaults make the files of `sample_data`.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// Directory for cases.csv, passes.csv and mapping.toml; files that exist are not replaced.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// Number of cases.
    #[arg(long, default_value_t = Plan::default().cases, value_parser = clap::value_parser!(u64).range(1..=100_000_000))]
    cases: u64,
    /// Number of months over which they are spread.
    #[arg(long, default_value_t = Plan::default().months, value_parser = clap::value_parser!(u32).range(1..=1200))]
    months: u32,
    /// First month.
    #[arg(long, value_name = "YYYY-MM", default_value_t = Plan::default().first_month)]
    from: Month,
    /// The same seed gives the same files.
    #[arg(long, default_value_t = Plan::default().seed)]
    seed: u64,
}

pub(super) fn run(arguments: &Arguments) -> anyhow::Result<Outcome> {
    let plan = Plan {
        cases: arguments.cases,
        months: arguments.months,
        first_month: arguments.from,
        seed: arguments.seed,
    };
    let directory = &arguments.out;
    fs::create_dir_all(directory)
        .with_context(|| format!("cannot create `{}`", directory.display()))?;
    let mapping = mapping_toml(&plan)?;
    // All three before any is made, so that a refused run leaves nothing behind.
    for name in ["mapping.toml", "cases.csv", "passes.csv"] {
        let path = directory.join(name);
        if path.exists() {
            bail!(
                "`{}` exists; choose another --out, or move it",
                path.display()
            );
        }
    }
    let (mut mapping_file, _) = create(directory, "mapping.toml")?;
    let (mut cases, cases_path) = create(directory, "cases.csv")?;
    let (mut passes, passes_path) = create(directory, "passes.csv")?;
    let summary = write(&plan, &mut cases, &mut passes)
        .and_then(|summary| {
            mapping_file.write_all(mapping.as_bytes())?;
            for file in [&mut mapping_file, &mut cases, &mut passes] {
                file.flush()?;
            }
            Ok(summary)
        })
        .with_context(|| format!("cannot write all of `{}`", directory.display()))?;
    console::line(&format!(
        "{}: {} rows of invented cases\n{}: {} rows of passes",
        cases_path.display(),
        summary.case_rows,
        passes_path.display(),
        summary.pass_rows,
    ));
    Ok(Outcome::Done)
}

fn create(directory: &Path, name: &str) -> anyhow::Result<(BufWriter<File>, PathBuf)> {
    let path = directory.join(name);
    let file =
        File::create_new(&path).with_context(|| format!("cannot create `{}`", path.display()))?;
    Ok((BufWriter::new(file), path))
}
