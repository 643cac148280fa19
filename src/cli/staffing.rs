//! `staffing`: who must be on call and what the cart must carry, from the same records.

mod extras;
mod found;
mod issues;
mod record;
mod written;

use super::inputs::{InputArguments, Needs, Read};
use super::outputs::made_on;
use super::{Outcome, console, limits, site, summary, warnings};
use crate::domain::month::Month;
use crate::export::directory::OutputDirectory;
use clap::Args;
use extras::Extras;
use std::path::PathBuf;

/// Options of `staffing`.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    #[command(flatten)]
    inputs: InputArguments,
    /// What the site assumes and asks: rules, the list of its cart, scenarios of teams. Without it,
    /// the usual rules and two scenarios hold, and the report says which.
    #[arg(long, value_name = "TOML")]
    duty: Option<PathBuf>,
    /// Who was planned, by place on the roster: for rest after call-backs.
    #[arg(long, value_name = "CSV")]
    roster: Option<PathBuf>,
    /// Checks of the carts that were due.
    #[arg(long, value_name = "CSV")]
    cart_checks: Option<PathBuf>,
    /// Look at this site alone, named as in the export.
    #[arg(long, value_name = "NAME")]
    site: Option<String>,
    /// Directory for the outputs; one that an earlier run made is replaced. Without it,
    /// reports/<last month>-staffing, or reports/<last month>-<site>-staffing with `--site`.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Print warnings and errors only.
    #[arg(long)]
    quiet: bool,
}

pub(super) fn run(arguments: &Arguments) -> anyhow::Result<Outcome> {
    let made_on = made_on()?;
    // Before the exports are read: who has to choose another directory should not wait for it.
    let chosen = arguments
        .out
        .as_deref()
        .map(OutputDirectory::create)
        .transpose()?;
    let needs = Needs {
        most_cases: usize::MAX,
        issue_list: true,
        hashes: true,
        is_quiet: arguments.quiet,
    };
    let read = arguments
        .inputs
        .read_site(needs, arguments.site.as_deref())?;
    let observed = read.observed()?;
    let extras = Extras::read(arguments, &read, observed)?;
    let mut directory = match chosen {
        Some(directory) => directory,
        None => OutputDirectory::create(&default_directory(arguments, &read, observed.1))?,
    };
    let staffing = found::staffing(arguments, &read, &extras, observed, made_on)?;
    let mut crossed = limits::crossed(&read);
    crossed.extend(extras.limits_crossed(&read));
    written::all(
        &mut directory,
        arguments,
        &read,
        &extras,
        &staffing,
        &crossed,
    )?;
    let target = directory.finish()?;

    issues::print(&extras, arguments.quiet);
    if !arguments.quiet {
        summary::print_staffing(&staffing);
        summary::print_read(&read);
        summary::print_files_of_staffing(&staffing);
        let page = target.join("staffing.html");
        console::labeled_lines("report", &[page.display().to_string()]);
    }
    warnings::coverage(&read.ingested);
    limits::warn(&crossed);
    Ok(Outcome::of(&crossed))
}

fn default_directory(arguments: &Arguments, read: &Read, last: Month) -> PathBuf {
    let site = arguments.site.as_deref();
    let review = site::directory(last, site, &read.ingested.cases_by_site);
    let mut name = review.into_os_string();
    name.push("-staffing");
    PathBuf::from(name)
}
