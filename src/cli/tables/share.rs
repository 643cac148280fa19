//! The options of tables that are made to be passed on, and the list of what was released.

use crate::disclosure::ShareRules;
use crate::export::releases::{Release, Releases, fingerprint};
use crate::findings::review::Review;
use anyhow::ensure;
use clap::Args;
use std::path::PathBuf;

/// Options about passing tables on.
#[derive(Debug, Args)]
pub(super) struct ShareArguments {
    /// Make tables to be passed on: small counts are withheld, and with them whatever would give them
    /// away. Holds fewer tables, no curves and nothing of single rows.
    #[arg(long)]
    share: bool,
    /// List of what was released so far, to which this release is added; it is made when it does not
    /// exist. A second release of the same months with other counts is refused.
    #[arg(long, value_name = "JSON", requires = "share")]
    releases: Option<PathBuf>,
    /// Print what would be withheld and what would be left, and whether the list of releases would refuse
    /// it; write nothing. To choose --by, --smallest-count and the months before a release, which cannot
    /// be taken back.
    #[arg(long, requires = "share")]
    trial: bool,
    /// Smallest count above zero that may be told, 3 to 1000.
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
    /// Whether tables are to be passed on.
    pub(super) const fn is_asked(&self) -> bool {
        self.share
    }

    /// Whether nothing is to be written.
    pub(super) const fn is_trial(&self) -> bool {
        self.trial
    }

    /// Checks that a release is listed, before anything is read.
    ///
    /// # Errors
    /// When no list is named.
    pub(super) fn check(&self) -> anyhow::Result<()> {
        ensure!(
            !self.share || self.trial || self.releases.is_some(),
            "--share needs --releases with the list of what was released so far; name a file for it, which \
             is made when it does not exist. To look at what would be left first, add --trial"
        );
        Ok(())
    }

    /// The rules; `None` when nothing is passed on.
    pub(super) fn rules(&self) -> Option<ShareRules> {
        self.share.then_some(ShareRules {
            threshold: self.smallest_count,
            tells_unjudged: self.tell_unjudged,
        })
    }

    /// Adds what is shared to the list; of a trial, only looks whether it could be added.
    ///
    /// # Errors
    /// When the months were released before with other counts, or the list cannot be used.
    pub(super) fn note_release(&self, shared: &Review) -> anyhow::Result<()> {
        let Some(list) = &self.releases else {
            return Ok(());
        };
        let mut releases = Releases::read(list)?;
        releases.add(Release {
            first_month: shared.first_month,
            last_month: shared.last_month,
            counts_sha256: fingerprint(&shared.counts)?,
            made_on: shared.made_on.clone(),
        })?;
        if !self.trial {
            releases.write(list)?;
        }
        Ok(())
    }
}
