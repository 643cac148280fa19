//! `tables`: what a researcher takes along, over the whole period: tables for programs with a
//! description of every column, and the same for a paper.

mod written;

use super::outputs::made_on;
use super::review::basis::Basis;
use super::review::made;
use super::review::start::{Source, StartArguments};
use super::{Outcome, agreed, console, limits, summary};
use crate::export::directory::OutputDirectory;
use crate::findings::case_mix::{CaseMix, Groups};
use crate::report::counted;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Options of `tables`.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    #[command(flatten)]
    start: StartArguments,
    /// What makes the groups of the case mix.
    #[arg(long, value_enum, default_value_t = By::Site)]
    by: By,
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
    let source = start.source(&definitions, None, false)?;
    agreed::check(source.mapping(), &definitions)?;
    let observed = source.observed()?;
    let basis = Basis::of(start, &source, &definitions, observed, observed.1)?;
    let made = made::review(start, basis, definitions, observed.1, made_on)?;
    let review = &made.review;
    let by = arguments.by.groups();
    let mix = CaseMix::new(&review.counts, &review.findings, &review.definitions, by);
    let crossed = source.limits_crossed();
    written::all(&mut directory, arguments, &source, &made, &mix, &crossed)?;
    let written = directory.written().len();
    let target = directory.finish()?;

    if !start.quiet {
        if let Source::Rows(read) = &source {
            summary::print_read(read);
        }
        summary::print_flow(&review.flow);
        let files = counted(written as u64, "file", "files");
        let place = target.display();
        console::labeled_lines("tables", &[format!("{place}: {files}")]);
        console::line("  small groups are in them: mind that before you pass them on");
    }
    source.warn(observed);
    limits::warn(&crossed);
    Ok(Outcome::of(&crossed))
}
