//! `tables`: what a researcher takes along, over the whole period: tables for programs with a
//! description of every column, and the same for a paper.

mod share;
mod written;

use super::counting::InView;
use super::outputs::made_on;
use super::review::basis::Basis;
use super::review::made;
use super::review::start::{Source, StartArguments};
use super::{Outcome, agreed, console, limits, summary};
use crate::export::directory::OutputDirectory;
use crate::findings::case_mix::{CaseMix, Groups};
use crate::findings::shared::shared;
use crate::report::{counted, sharing};
use clap::{Args, ValueEnum};
use share::ShareArguments;
use std::path::PathBuf;
use written::Contents;

/// Options of `tables`.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    #[command(flatten)]
    start: StartArguments,
    /// What makes the groups of the case mix.
    #[arg(long, value_enum, default_value_t = By::Site)]
    by: By,
    #[command(flatten)]
    share: ShareArguments,
    /// Directory for the outputs; one that an earlier run made is replaced.
    #[arg(long, value_name = "DIR", default_value = "reports/tables")]
    out: PathBuf,
}

/// The words of `--by`.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum By {
    /// One group for each site.
    Site,
    /// In hours and after hours.
    Shift,
    /// One group for each presentation.
    Presentation,
}

impl By {
    fn groups(self) -> Groups {
        match self {
            By::Site => Groups::Site,
            By::Shift => Groups::Shift,
            By::Presentation => Groups::Presentation,
        }
    }
}

pub(super) fn run(arguments: &Arguments) -> anyhow::Result<Outcome> {
    let start = &arguments.start;
    let definitions = start.definitions()?;
    let made_on = made_on()?;
    // Before the exports are read: who has to choose another directory should not wait for it.
    let mut directory = OutputDirectory::create(&arguments.out)?;
    let source = start.source(&definitions, InView::Nothing, false)?;
    agreed::check(source.mapping(), &definitions)?;
    let observed = source.observed()?;
    let basis = Basis::of(start, &source, &definitions, observed, observed.1)?;
    let mut made = made::review(start, basis, definitions, observed.1, made_on)?;
    let by = arguments.by.groups();
    let crossed = source.limits_crossed();
    let flow = made.review.flow.clone();
    let contents = match arguments.share.rules() {
        Some((rules, releases)) => {
            let shared = shared(made.review, rules, by, start.settings(), start.threads());
            share::note_release(releases, observed, &shared.review)?;
            let sharing = Some(sharing(&shared));
            made.review = shared.review;
            Contents {
                by,
                mix: shared.mix,
                sharing,
            }
        }
        None => Contents {
            by,
            mix: Some(CaseMix::of(&made.review, by)),
            sharing: None,
        },
    };
    written::all(
        &mut directory,
        arguments,
        &source,
        &made,
        &contents,
        &crossed,
    )?;
    let written = directory.written().len();
    let target = directory.finish()?;

    if !start.quiet {
        if let Source::Rows(read) = &source {
            summary::print_read(read);
        }
        summary::print_flow(&flow);
        let files = counted(written as u64, "file", "files");
        let place = target.display();
        console::labeled_lines("tables", &[format!("{place}: {files}")]);
        console::line(match contents.sharing {
            Some(_) => "  made to be passed on; what is withheld and what is left: sharing.md",
            None => "  small groups are in them: to pass them on, make them with --share",
        });
    }
    source.warn(observed);
    limits::warn(&crossed);
    Ok(Outcome::of(&crossed))
}
