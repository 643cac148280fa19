//! `sample`: invented cases to try everything out on.

use super::{Outcome, console};
use crate::domain::month::Month;
use crate::sample::{DUTY_TOML, Plan, mapping_toml, write, write_cart_checks, write_roster};
use anyhow::{Context as _, bail};
use clap::Args;
use std::fs::{self, File};
use std::io::{self, BufWriter, Write as _};
use std::path::{Path, PathBuf};

/// What `sample` writes.
const FILES: [&str; 6] = [
    "mapping.toml",
    "cases.csv",
    "passes.csv",
    "roster.csv",
    "cart_checks.csv",
    "duty.toml",
];

/// Options of `sample`. The defaults make the files of `sample_data`.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// Directory for the exports, their mapping and the files of staffing; files that exist are not
    /// replaced.
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
    // All of them before any is made, so that a refused run leaves nothing behind.
    for name in FILES {
        let path = directory.join(name);
        if path.exists() {
            bail!(
                "`{}` exists; choose another --out, or move it",
                path.display()
            );
        }
    }
    let rows = write_files(&plan, &mapping, directory)
        .with_context(|| format!("cannot write all of `{}`", directory.display()))?;
    for (name, rows, of_what) in rows {
        let path = directory.join(name);
        console::line(&format!("{}: {rows} rows of {of_what}", path.display()));
    }
    Ok(Outcome::Done)
}

/// Writes all of [`FILES`]. Gives the rows of each export and what they are.
fn write_files(
    plan: &Plan,
    mapping: &str,
    directory: &Path,
) -> io::Result<[(&'static str, u64, &'static str); 4]> {
    let create = |name| File::create_new(directory.join(name));
    for (name, text) in [("mapping.toml", mapping), ("duty.toml", DUTY_TOML)] {
        create(name)?.write_all(text.as_bytes())?;
    }
    let export = |name| create(name).map(BufWriter::new);
    let summary = write(plan, export("cases.csv")?, export("passes.csv")?)?;
    let roster_rows = write_roster(plan, export("roster.csv")?)?;
    let check_rows = write_cart_checks(plan, export("cart_checks.csv")?)?;
    Ok([
        ("cases.csv", summary.case_rows, "invented cases"),
        ("passes.csv", summary.pass_rows, "passes"),
        ("roster.csv", roster_rows, "an invented roster"),
        ("cart_checks.csv", check_rows, "checks of carts"),
    ])
}
