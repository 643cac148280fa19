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
use crate::findings::review::Review;
use crate::findings::shared::shared;
use crate::report::{counted, sharing};
use anyhow::{Context as _, ensure};
use clap::{Args, ValueEnum};
use share::ShareArguments;
use std::path::{Path, PathBuf};
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
    /// Directory for the outputs; one that an earlier run made is replaced [default: reports/tables, and
    /// reports/shared with --share]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

impl Arguments {
    /// Tables that hold small counts never take the place of those without them, nor the other way round.
    fn out(&self) -> &Path {
        let default = if self.share.is_asked() {
            "reports/shared"
        } else {
            "reports/tables"
        };
        self.out.as_deref().unwrap_or(Path::new(default))
    }
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
    arguments.share.check()?;
    let definitions = start.definitions()?;
    let made_on = made_on()?;
    // Before the exports are read: who has to choose another directory should not wait for it.
    let directory = if arguments.share.is_trial() {
        None
    } else {
        Some(OutputDirectory::create(arguments.out())?)
    };
    let source = start.source(&definitions, InView::Nothing, false)?;
    agreed::check(source.mapping(), &definitions)?;
    let observed = source.observed()?;
    let basis = Basis::of(start, &source, &definitions, observed, observed.1)?;
    let mut made = made::review(start, basis, definitions, observed.1, made_on)?;
    let crossed = source.limits_crossed();
    let flow = made.review.flow.clone();
    let (review, contents) = contents(arguments, made.review)?;
    made.review = review;
    let written = match directory {
        Some(mut directory) => {
            written::all(
                &mut directory,
                arguments,
                &source,
                &made,
                &contents,
                &crossed,
            )?;
            let files = directory.written().len() as u64;
            Some((directory.finish()?, files))
        }
        None => None,
    };

    if !start.quiet {
        if let Source::Rows(read) = &source {
            summary::print_read(read);
        }
        summary::print_flow(&flow);
    }
    tell(arguments, &contents, written);
    if arguments.share.is_trial() {
        let refused = "this release would be refused";
        arguments
            .share
            .note_release(&made.review)
            .context(refused)?;
    }
    source.warn(observed);
    limits::warn(&crossed);
    Ok(Outcome::of(&crossed))
}

/// What is written, and the review that it is written from: with `--share` what may be passed on, which
/// is listed as released before any file of it is made.
fn contents(arguments: &Arguments, review: Review) -> anyhow::Result<(Review, Contents)> {
    let start = &arguments.start;
    let by = arguments.by.groups();
    let Some(rules) = arguments.share.rules() else {
        let mix = Some(CaseMix::of(&review, by));
        let sharing = None;
        return Ok((review, Contents { by, mix, sharing }));
    };
    ensure!(
        review.months_of_sites.is_empty(),
        "--share needs counts that cover the same months of every site: of others, the months of all sites \
         together could give those of a single site away. Count each site with the same --from and --to"
    );
    ensure!(
        review.flow.counted >= rules.threshold,
        "there are fewer cases than the smallest count that may be told ({}), so nothing of them can be \
         passed on",
        rules.threshold
    );
    let shared = shared(review, rules, by, start.settings(), start.threads());
    if !arguments.share.is_trial() {
        arguments.share.note_release(&shared.review)?;
    }
    let contents = Contents {
        by,
        sharing: Some(sharing(&shared)),
        mix: shared.mix,
    };
    Ok((shared.review, contents))
}

/// Says what was written, of a trial what would be.
fn tell(arguments: &Arguments, contents: &Contents, written: Option<(PathBuf, u64)>) {
    match (written, &contents.sharing) {
        // Printed also when nothing else is: it is what was asked for.
        (None, sharing) => {
            console::line(sharing.as_deref().unwrap_or_default());
            console::line("A trial: no file was written, and no release was added to a list.");
        }
        (Some((target, files)), sharing) if !arguments.start.quiet => {
            let files = counted(files, "file", "files");
            console::labeled_lines("tables", &[format!("{}: {files}", target.display())]);
            console::line(if sharing.is_some() {
                "  made to be passed on; what is withheld and what is left: sharing.md"
            } else {
                "  small groups are in them: to pass them on, make them with --share"
            });
        }
        _ => {}
    }
    if contents.mix.is_none() {
        let others = By::value_variants().iter();
        let others = others.filter(|by| by.groups() != arguments.by.groups());
        let others = others.map(|by| format!("--by {}", by.groups().code()));
        console::warn(&format!(
            "the case mix is withheld, since its groups would give a small count away; {}, \
             --tell-unjudged or more months may leave one that can be told",
            others.collect::<Vec<_>>().join(", ")
        ));
    }
}
