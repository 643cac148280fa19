//! From where a run starts that makes findings: exports or counts, and how intervals are made.

use super::counted::Counted;
use super::recorded::Recorded;
use crate::cli::counting::{CountedRows, InView, Wants};
use crate::cli::inputs::{InputArguments, Needs};
use crate::cli::outputs::exports;
use crate::cli::{agreed, limits, measures, warnings};
use crate::domain::measure::Definition;
use crate::domain::month::Month;
use crate::findings::estimate::{Settings, ShareMethod};
use crate::ingest::Mapping;
use crate::stats::Level;
use anyhow::ensure;
use clap::{Args, ValueEnum};
use std::collections::BTreeMap;
use std::num::NonZeroUsize;
use std::path::PathBuf;

/// Options of commands that make findings.
#[derive(Debug, Args)]
#[command(mut_arg("cases", |cases| cases.required(false)))]
pub(in crate::cli) struct StartArguments {
    #[command(flatten)]
    inputs: InputArguments,
    /// Start from counts instead of exports: directories that `counts` or `review` made, whose counts
    /// are added up. The findings are those of all their cases together.
    #[arg(
        long,
        value_name = "DIR",
        num_args = 1..,
        conflicts_with_all = ["cases", "passes", "from", "to", "site"]
    )]
    counts: Vec<PathBuf>,
    /// Start from the typed records of a run of `counts --records`, in its directory, instead of
    /// exports. They are read part by part, so memory does not grow with their number.
    #[arg(
        long,
        value_name = "DIR",
        conflicts_with_all = ["cases", "passes", "from", "to", "counts"]
    )]
    from_records: Option<PathBuf>,
    /// Count the cases of this site alone, named as in the export. Without it, all sites are counted
    /// together and stand side by side where numbers are split by site.
    #[arg(long, value_name = "NAME")]
    pub(super) site: Option<String>,
    /// Also count the measures of this directory.
    #[arg(long, value_name = "DIR")]
    measures: Option<PathBuf>,
    /// How the interval of a share of cases is made.
    #[arg(long, value_enum, default_value_t = ShareInterval::Wilson)]
    share_interval: ShareInterval,
    /// Print warnings and errors only.
    #[arg(long)]
    pub(in crate::cli) quiet: bool,
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

impl StartArguments {
    /// How many threads may work at once.
    pub(in crate::cli) fn threads(&self) -> NonZeroUsize {
        self.inputs.threads()
    }

    /// How all intervals are made.
    pub(in crate::cli) fn settings(&self) -> Settings {
        Settings {
            level: Level::P95,
            share_method: self.share_method(),
        }
    }

    /// How the interval of a share of cases is made.
    pub(super) fn share_method(&self) -> ShareMethod {
        match self.share_interval {
            ShareInterval::Wilson => ShareMethod::Wilson,
            ShareInterval::ClopperPearson => ShareMethod::ClopperPearson,
            ShareInterval::Jeffreys => ShareMethod::Jeffreys,
        }
    }

    /// The measures built in, and those of the directory.
    pub(in crate::cli) fn definitions(&self) -> anyhow::Result<Vec<Definition>> {
        measures::load(self.measures.as_deref())
    }

    /// Reads and counts the exports, or reads the counts.
    pub(in crate::cli) fn source(
        &self,
        definitions: &[Definition],
        in_view: InView,
        issue_list: bool,
    ) -> anyhow::Result<Source> {
        if !self.counts.is_empty() {
            let mapping = self.inputs.mapping_path()?;
            let counted = Counted::read(&self.counts, mapping, definitions)?;
            return Ok(Source::Counts(Box::new(counted)));
        }
        let wants = Wants {
            definitions,
            site: self.site.as_deref(),
            in_view,
            threads: self.threads(),
        };
        if let Some(directory) = &self.from_records {
            let recorded = Recorded::read(directory, self.inputs.mapping_path()?, wants)?;
            return Ok(Source::Records(Box::new(recorded)));
        }
        ensure!(
            self.inputs.has_cases(),
            "nothing to read: give exports of cases by --cases, counts of earlier runs by --counts, or the \
             typed records of one by --from-records"
        );
        let needs = Needs {
            most_cases: usize::MAX,
            issue_list,
            hashes: true,
            is_quiet: self.quiet,
        };
        let rows = self.inputs.count(needs, wants, None)?;
        Ok(Source::Rows(Box::new(rows)))
    }
}

/// From where the numbers come.
pub(in crate::cli) enum Source {
    Rows(Box<CountedRows>),
    Records(Box<Recorded>),
    Counts(Box<Counted>),
}

impl Source {
    pub(in crate::cli) fn mapping(&self) -> &Mapping {
        match self {
            Source::Rows(read) => &read.mapping,
            Source::Records(recorded) => &recorded.mapping,
            Source::Counts(counted) => &counted.mapping,
        }
    }

    pub(in crate::cli) fn observed(&self) -> anyhow::Result<(Month, Month)> {
        match self {
            Source::Rows(read) => Ok(read.observed()?),
            Source::Records(recorded) => Ok(recorded.observed),
            Source::Counts(counted) => Ok(counted.observed),
        }
    }

    /// Accepted cases by site; of counts nobody asks, since a site is chosen where the rows are.
    pub(super) fn sites(&self) -> &BTreeMap<String, u64> {
        const NONE: &BTreeMap<String, u64> = &BTreeMap::new();
        match self {
            Source::Rows(read) => &read.ingested.cases_by_site,
            Source::Records(recorded) => &recorded.sites,
            Source::Counts(_) => NONE,
        }
    }

    /// SHA-256 of the exports of cases behind the numbers.
    pub(super) fn exports(&self) -> Vec<String> {
        match self {
            Source::Rows(read) => exports(read),
            Source::Records(recorded) => recorded.exports.clone(),
            Source::Counts(counted) => counted.exports.clone(),
        }
    }

    /// How many passes stood in the rows of their cases; `None` where there were none there, or no rows.
    pub(super) fn passes_in_cases(&self) -> Option<u64> {
        match self {
            Source::Rows(read) => read.ingested.passes_inside_cases,
            Source::Records(_) | Source::Counts(_) => None,
        }
    }

    /// Warns of what looks wrong in the rows, which runs that count say themselves, and of counts that
    /// cover unlike months.
    pub(in crate::cli) fn warn(&self, observed: (Month, Month)) {
        match self {
            Source::Rows(read) => {
                agreed::warn(read, observed);
                warnings::coverage(&read.ingested);
                warnings::scores(&read.ingested);
            }
            Source::Records(_) => {}
            Source::Counts(counted) => warnings::unlike_months(&counted.months_of_sites),
        }
    }

    /// One sentence for each data-quality limit that was crossed. Runs that count say it themselves.
    pub(in crate::cli) fn limits_crossed(&self) -> Vec<String> {
        match self {
            Source::Rows(read) => limits::crossed(read),
            Source::Records(_) | Source::Counts(_) => Vec::new(),
        }
    }
}
