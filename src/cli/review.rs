//! `review`: the report of one month, from the exports to the finished directory.

mod made;
mod record;
mod written;

use super::inputs::{InputArguments, Needs, Read};
use super::outputs::made_on;
use super::{Outcome, agreed, console, limits, measures, site, summary};
use crate::domain::month::Month;
use crate::export::directory::OutputDirectory;
use crate::findings::estimate::ShareMethod;
use anyhow::bail;
use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};

/// Options of `review`.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    #[command(flatten)]
    inputs: InputArguments,
    /// Month in view; without it, the last month of the period.
    #[arg(long, value_name = "YYYY-MM")]
    month: Option<Month>,
    /// Count the cases of this site alone, named as in the export. Without it, all sites are counted
    /// together and stand side by side where numbers are split by site.
    #[arg(long, value_name = "NAME")]
    site: Option<String>,
    /// Directory for the outputs; one that an earlier run made is replaced. Without it,
    /// reports/<month in view>, or reports/<month in view>-<site> with `--site`.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Also count the measures of this directory.
    #[arg(long, value_name = "DIR")]
    measures: Option<PathBuf>,
    /// How the interval of a share of cases is made.
    #[arg(long, value_enum, default_value_t = ShareInterval::Wilson)]
    share_interval: ShareInterval,
    /// Also list the words that the mapping does not know below internal/, with what they probably
    /// mean. The list holds text of cells and stays on your premises.
    #[arg(long)]
    list_words: bool,
    /// Print warnings and errors only.
    #[arg(long)]
    quiet: bool,
}

/// The words of `--share-interval`.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum ShareInterval {
    /// Close to 95 percent coverage on average.
    Wilson,
    /// At least 95 percent coverage, so wider: for statements of safety.
    ClopperPearson,
    /// Equal tails of the Bayesian interval with Jeffreys' prior.
    Jeffreys,
}

impl ShareInterval {
    fn method(self) -> ShareMethod {
        match self {
            ShareInterval::Wilson => ShareMethod::Wilson,
            ShareInterval::ClopperPearson => ShareMethod::ClopperPearson,
            ShareInterval::Jeffreys => ShareMethod::Jeffreys,
        }
    }
}

pub(super) fn run(arguments: &Arguments) -> anyhow::Result<Outcome> {
    let definitions = measures::load(arguments.measures.as_deref())?;
    let made_on = made_on()?;
    // Before the exports are read: who has to choose another directory should not wait for it.
    let chosen = arguments
        .out
        .as_deref()
        .map(OutputDirectory::create)
        .transpose()?;
    let mut read = arguments.inputs.read(Needs {
        most_cases: usize::MAX,
        issue_list: true,
        hashes: true,
        is_quiet: arguments.quiet,
    })?;
    agreed::check(&read.mapping, &definitions)?;
    if let Some(site) = &arguments.site {
        read.ingested = site::only(read.ingested, site)?;
    }
    let observed = read.observed()?;
    let month = month_in_view(arguments.month, observed)?;
    let mut directory = match chosen {
        Some(directory) => directory,
        None => OutputDirectory::create(&default_directory(arguments, &read, month))?,
    };
    let made = made::review(arguments, &read, definitions, observed, month, made_on)?;
    let crossed = limits::crossed(&read);
    written::all(&mut directory, arguments, &read, &made, &crossed)?;
    let target = directory.finish()?;

    if !arguments.quiet {
        summary::print_review(&made.review);
        summary::print_read(&read);
        summary::print_flow(&made.review.flow);
        summary::print_to_look_at(&made.list, &target);
        let page = target.join("report.html");
        console::labeled_lines("report", &[page.display().to_string()]);
    }
    agreed::warn(&read, observed);
    summary::warn_of_coverage(&read.ingested);
    summary::warn_of_scores(&read.ingested);
    limits::warn(&crossed);
    let outcome = Outcome::of(&crossed);
    // The process ends here; to free hundreds of thousands of counts one by one takes a while.
    std::mem::forget((made, read));
    Ok(outcome)
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

fn default_directory(arguments: &Arguments, read: &Read, month: Month) -> PathBuf {
    let month = month.to_string();
    match &arguments.site {
        Some(site) => site::directory(&month, site, &read.ingested.cases_by_site),
        None => Path::new("reports").join(month),
    }
}
