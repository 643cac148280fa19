//! The options of tables that are made to be passed on, and the list of what was released.

use crate::disclosure::ShareRules;
use crate::domain::month::Month;
use crate::export::releases::{Release, Releases, fingerprint};
use crate::findings::review::Review;
use clap::Args;
use std::path::{Path, PathBuf};

/// Options about passing tables on.
#[derive(Debug, Args)]
pub(super) struct ShareArguments {
    /// Make tables to be passed on: small counts are withheld, and with them whatever would give them
    /// away. Holds fewer tables, no curves and nothing of single rows.
    #[arg(long, requires = "releases")]
    share: bool,
    /// List of what was released so far, to which this release is added; it is made when it does not
    /// exist. A second release of the same months with other counts is refused.
    #[arg(long, value_name = "JSON", requires = "share")]
    releases: Option<PathBuf>,
    /// Smallest count above zero that may be told.
    #[arg(
        long,
        value_name = "N",
        requires = "share",
        default_value_t = ShareRules::default().threshold,
        value_parser = clap::value_parser!(u64).range(3..=1000)
    )]
    smallest_count: u64,
    /// Tell also small numbers of cases that could not be judged: they say what was not written down,
    /// and nothing of what these cases are or came to. Much more is left to be told.
    #[arg(long, requires = "share")]
    tell_unjudged: bool,
}

impl ShareArguments {
    /// The rules and the list of releases; `None` when nothing is passed on.
    pub(super) fn rules(&self) -> Option<(ShareRules, &Path)> {
        let rules = ShareRules {
            threshold: self.smallest_count,
            tells_unjudged: self.tell_unjudged,
        };
        let releases = self.releases.as_deref().filter(|_| self.share)?;
        Some((rules, releases))
    }
}

/// Adds what is shared to the list.
///
/// # Errors
/// When the months were released before with other counts, or the list cannot be used.
pub(super) fn note_release(
    list: &Path,
    (first_month, last_month): (Month, Month),
    shared: &Review,
) -> anyhow::Result<()> {
    let mut releases = Releases::read(list)?;
    releases.add(Release {
        first_month,
        last_month,
        counts_sha256: fingerprint(&shared.counts)?,
        made_on: shared.made_on.clone(),
    })?;
    Ok(releases.write(list)?)
}
