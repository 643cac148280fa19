//! `review`: the report of one month, from the exports or from counts to the finished directory.

pub(super) mod basis;
mod counted;
pub(super) mod made;
pub(super) mod record;
mod recorded;
pub(super) mod start;
mod written;

use super::counting::InView;
use super::outputs::made_on;
use super::{Outcome, agreed, console, limits, site, summary};
use crate::domain::month::Month;
use crate::export::directory::OutputDirectory;
use anyhow::bail;
use basis::Basis;
use clap::Args;
use start::{Source, StartArguments};
use std::path::PathBuf;

/// Options of `review`.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    #[command(flatten)]
    start: StartArguments,
    /// Month in view; without it, the last month of the period.
    #[arg(long, value_name = "YYYY-MM")]
    month: Option<Month>,
    /// Directory for the outputs; one that an earlier run made is replaced. Without it,
    /// reports/<month in view>, or reports/<month in view>-<site> with `--site`.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Also list the words that the mapping does not know below internal/, with what they probably
    /// mean. The list holds text of cells and stays on your premises.
    #[arg(long, conflicts_with = "counts")]
    list_words: bool,
}

pub(super) fn run(arguments: &Arguments) -> anyhow::Result<Outcome> {
    let definitions = arguments.start.definitions()?;
    let made_on = made_on()?;
    // Before the exports are read: who has to choose another directory should not wait for it.
    let chosen = arguments
        .out
        .as_deref()
        .map(OutputDirectory::create)
        .transpose()?;
    let source = arguments
        .start
        .source(&definitions, InView::Month(arguments.month), true)?;
    agreed::check(source.mapping(), &definitions)?;
    let observed = source.observed()?;
    let month = month_in_view(arguments.month, observed)?;
    let mut directory = match chosen {
        Some(directory) => directory,
        None => OutputDirectory::create(&default_directory(arguments, &source, month))?,
    };
    let basis = Basis::of(&arguments.start, &source, &definitions, observed, month)?;
    let made = made::review(&arguments.start, basis, definitions, month, made_on)?;
    let crossed = source.limits_crossed();
    written::all(&mut directory, arguments, &source, &made, &crossed)?;
    let target = directory.finish()?;

    if !arguments.start.quiet {
        summary::print_review(&made.review);
        if let Source::Rows(read) = &source {
            summary::print_read(read);
        }
        summary::print_flow(&made.review.flow);
        if let Some(list) = &made.list {
            summary::print_to_look_at(list, &target);
        }
        let page = target.join("report.html");
        console::labeled_lines("report", &[page.display().to_string()]);
    }
    source.warn(observed);
    limits::warn(&crossed);
    // The process ends here; to free hundreds of thousands of counts one by one takes a while.
    std::mem::forget((made, source));
    Ok(Outcome::of(&crossed))
}

fn month_in_view(asked_for: Option<Month>, (first, last): (Month, Month)) -> anyhow::Result<Month> {
    match asked_for {
        None => Ok(last),
        Some(month) if (first..=last).contains(&month) => Ok(month),
        Some(month) => {
            bail!("--month {month} lies outside the records, which cover {first} to {last}")
        }
    }
}

fn default_directory(arguments: &Arguments, source: &Source, month: Month) -> PathBuf {
    site::directory(month, arguments.start.site.as_deref(), source.sites())
}
