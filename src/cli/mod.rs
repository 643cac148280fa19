//! The command line: what was typed → a plan → a run. One file per command; the only part that
//! prints, and the only one that knows every other.

mod agreed;
mod check;
mod console;
mod counting;
mod counts;
mod explain;
mod inputs;
mod issues;
mod limits;
mod map;
mod measures;
mod outputs;
mod panics;
mod progress;
mod record_files;
mod review;
mod sample;
mod site;
mod staffing;
mod summary;
mod tables;
mod text_table;
mod wanting;
mod warnings;
mod work;

use clap::{Parser, Subcommand};
use std::panic::{self, AssertUnwindSafe};
use std::process::ExitCode;

/// CSV exports of de-identified emergency endoscopy cases in; counts, intervals, charts and a
/// quality-improvement report out.
///
/// It describes a service. It is no medical device, gives no advice on a patient and ranks no
/// person. Nothing leaves this machine.
#[derive(Debug, Parser)]
#[command(version, max_term_width = 100, after_help = EXIT_CODES)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

const EXIT_CODES: &str = "Exit codes: 0 done; 1 done, but a data-quality limit of the mapping was crossed, or `check --strict` found more than notes; 2 could not run.";

#[derive(Debug, Subcommand)]
enum Command {
    /// Propose a mapping from the headings and the first rows of exports.
    Map(map::Arguments),
    /// Read the exports and say what became of every row.
    Check(check::Arguments),
    /// Write the report of one month, with charts, tables and counts.
    Review(review::Arguments),
    /// Write what the calls ask of teams and cart, and what other arrangements would do.
    Staffing(staffing::Arguments),
    /// Write tables for a paper and for other programs, with a description of every column.
    Tables(tables::Arguments),
    /// Write the count tables alone, from which all else can be computed.
    Counts(counts::Arguments),
    /// List the measures, or explain one.
    Measures(measures::Arguments),
    /// Write invented cases to try everything out on.
    Sample(sample::Arguments),
}

/// How a run ended that could run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Outcome {
    /// Done.
    Done,
    /// Done, but a limit of the mapping was crossed, or an issue found that `--strict` forbids.
    Warned,
}

impl Outcome {
    /// The outcome when these limits were crossed.
    fn of(limits_crossed: &[String]) -> Outcome {
        if limits_crossed.is_empty() {
            Outcome::Done
        } else {
            Outcome::Warned
        }
    }
}

/// Runs what was typed and returns the exit code.
pub fn run() -> ExitCode {
    panics::hide_content();
    // clap prints its own errors and help; both end the process with 2 and 0.
    let arguments = Arguments::parse();
    // Unwinding removes half-written outputs on its way.
    let Ok(outcome) = panic::catch_unwind(AssertUnwindSafe(|| run_command(&arguments.command)))
    else {
        return ExitCode::from(2);
    };
    match outcome {
        Ok(Outcome::Done) => ExitCode::SUCCESS,
        Ok(Outcome::Warned) => ExitCode::from(1),
        Err(error) => {
            console::print_error(&error);
            ExitCode::from(2)
        }
    }
}

fn run_command(command: &Command) -> anyhow::Result<Outcome> {
    match command {
        Command::Map(arguments) => map::run(arguments),
        Command::Check(arguments) => check::run(arguments),
        Command::Review(arguments) => review::run(arguments),
        Command::Staffing(arguments) => staffing::run(arguments),
        Command::Tables(arguments) => tables::run(arguments),
        Command::Counts(arguments) => counts::run(arguments),
        Command::Measures(arguments) => measures::run(arguments),
        Command::Sample(arguments) => sample::run(arguments),
    }
}
