//! `review`: the report of one month, from the exports or from counts to the finished directory.

mod basis;
mod counted;
mod made;
mod record;
mod written;

use super::inputs::{InputArguments, Needs, Read};
use super::outputs::made_on;
use super::{Outcome, agreed, console, limits, measures, site, summary};
use crate::domain::measure::Definition;
use crate::domain::month::Month;
use crate::export::directory::OutputDirectory;
use crate::findings::estimate::ShareMethod;
use crate::ingest::Mapping;
use anyhow::bail;
use basis::Basis;
use clap::{Args, ValueEnum};
use counted::Counted;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};

/// Options of `review`.
#[derive(Debug, Args)]
#[command(mut_arg("cases", |cases| cases.required(false).required_unless_present("counts")))]
pub(super) struct Arguments {
    #[command(flatten)]
    inputs: InputArguments,
    /// Start from counts instead of exports: directories that `counts` or `review` made, whose counts
    /// are added up. The findings are those of all their cases together.
    #[arg(
        long,
        value_name = "DIR",
        num_args = 1..,
        conflicts_with_all = ["cases", "passes", "from", "to", "site", "list_words"]
    )]
    counts: Vec<PathBuf>,
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

impl Arguments {
    /// How many threads may work at once.
    fn threads(&self) -> NonZeroUsize {
        self.inputs.threads()
    }
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

/// From where the numbers come.
enum Source {
    Rows(Box<Read>),
    Counts(Box<Counted>),
}

impl Source {
    fn mapping(&self) -> &Mapping {
        match self {
            Source::Rows(read) => &read.mapping,
            Source::Counts(counted) => &counted.mapping,
        }
    }

    fn observed(&self) -> anyhow::Result<(Month, Month)> {
        match self {
            Source::Rows(read) => Ok(read.observed()?),
            Source::Counts(counted) => Ok(counted.observed),
        }
    }

    /// One sentence for each data-quality limit that was crossed. Runs that count say it themselves.
    fn limits_crossed(&self) -> Vec<String> {
        match self {
            Source::Rows(read) => limits::crossed(read),
            Source::Counts(_) => Vec::new(),
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
    let source = source(arguments, &definitions)?;
    agreed::check(source.mapping(), &definitions)?;
    let observed = source.observed()?;
    let month = month_in_view(arguments.month, observed)?;
    let mut directory = match chosen {
        Some(directory) => directory,
        None => OutputDirectory::create(&default_directory(arguments, &source, month))?,
    };
    let basis = match &source {
        Source::Rows(read) => Basis::of_rows(arguments, read, &definitions, observed, month)?,
        Source::Counts(counted) => Basis::of_counts(counted),
    };
    let made = made::review(arguments, basis, definitions, month, made_on)?;
    let crossed = source.limits_crossed();
    written::all(&mut directory, arguments, &source, &made, &crossed)?;
    let target = directory.finish()?;

    if !arguments.quiet {
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
    if let Source::Rows(read) = &source {
        agreed::warn(read, observed);
        summary::warn_of_coverage(&read.ingested);
        summary::warn_of_scores(&read.ingested);
    }
    limits::warn(&crossed);
    // The process ends here; to free hundreds of thousands of counts one by one takes a while.
    std::mem::forget((made, source));
    Ok(Outcome::of(&crossed))
}

/// Reads the exports, or the counts.
fn source(arguments: &Arguments, definitions: &[Definition]) -> anyhow::Result<Source> {
    if !arguments.counts.is_empty() {
        let mapping = arguments.inputs.mapping_path()?;
        let counted = Counted::read(&arguments.counts, mapping, definitions)?;
        return Ok(Source::Counts(Box::new(counted)));
    }
    let mut read = arguments.inputs.read(Needs {
        most_cases: usize::MAX,
        issue_list: true,
        hashes: true,
        is_quiet: arguments.quiet,
    })?;
    if let Some(site) = &arguments.site {
        read.ingested = site::only(read.ingested, site)?;
    }
    Ok(Source::Rows(Box::new(read)))
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
    let month = month.to_string();
    match (&arguments.site, source) {
        (Some(site), Source::Rows(read)) => {
            site::directory(&month, site, &read.ingested.cases_by_site)
        }
        _ => Path::new("reports").join(month),
    }
}
