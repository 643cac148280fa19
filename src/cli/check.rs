//! `check`: what became of every row, and what is wrong with those that are not whole.

use super::inputs::InputArguments;
use super::{Outcome, console, limits};
use clap::Args;

/// Options of `check`.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    #[command(flatten)]
    inputs: InputArguments,
}

pub(super) fn run(arguments: &Arguments) -> anyhow::Result<Outcome> {
    let read = arguments.inputs.read(false)?;
    let crossed = limits::crossed(&read);
    console::print_issues(&read.ingested.issues, &arguments.inputs.names());
    console::print_accounting(&read.ingested);
    read.observed()?;
    console::print_crossed(&crossed);
    Ok(Outcome::of(&crossed))
}
