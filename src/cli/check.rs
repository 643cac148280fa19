//! `check`: what became of every row, and what is wrong with those that are not whole.

use super::inputs::{InputArguments, Needs, Read};
use super::outputs::{record, write_issues, write_words};
use super::{
    Outcome, agreed, console, explain, issues, limits, measures, summary, wanting, warnings,
};
use crate::export::directory::OutputDirectory;
use crate::export::manifest::{self, Manifest};
use clap::Args;
use std::path::PathBuf;

/// Whether a measure can be counted at all shows in so many cases, and does not need all of them.
const CASES_TO_JUDGE_MEASURES: usize = 20_000;

/// `--explain` stands alone, which clap would not say.
const USAGE: &str = "scopetally check [OPTIONS] --cases <CSV>... --mapping <TOML>
       scopetally check --explain [<CODE>]";

/// Options of `check`.
#[derive(Debug, Args)]
#[command(override_usage = USAGE)]
pub(super) struct Arguments {
    #[command(flatten)]
    inputs: InputArguments,
    /// Explain this code of an issue with an example, `all` for each of them, nothing for a list.
    /// Stands alone: no export is read, and no other option goes with it.
    #[arg(
        long,
        value_name = "CODE",
        num_args = 0..=1,
        default_missing_value = explain::TABLE,
        exclusive = true
    )]
    explain: Option<String>,
    /// End with exit code 1 when any issue is more than a note.
    #[arg(long)]
    strict: bool,
    /// Directory for a list of every single issue; one that an earlier run made is replaced.
    /// Without it, nothing is written.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Also look at the measures of this directory: whether they can be counted, and whether a dated
    /// change or a target of the mapping is of one of them.
    #[arg(long, value_name = "DIR")]
    measures: Option<PathBuf>,
    /// Also list the words that the mapping does not know, with what they probably mean. The list
    /// holds text of cells and stays on your premises.
    #[arg(long, requires = "out")]
    list_words: bool,
    /// Print warnings and errors only.
    #[arg(long)]
    quiet: bool,
}

pub(super) fn run(arguments: &Arguments) -> anyhow::Result<Outcome> {
    if let Some(code) = &arguments.explain {
        explain::explain(code)?;
        return Ok(Outcome::Done);
    }
    let definitions = measures::load(arguments.measures.as_deref())?;
    // Before the exports are read: who has to choose another directory should not wait for it.
    let directory = arguments
        .out
        .as_deref()
        .map(OutputDirectory::create)
        .transpose()?;
    let read = arguments.inputs.read(Needs {
        most_cases: CASES_TO_JUDGE_MEASURES,
        issue_list: directory.is_some(),
        hashes: directory.is_some(),
        is_quiet: arguments.quiet,
    })?;
    agreed::check(&read.mapping, &definitions)?;
    let crossed = limits::crossed(&read);
    let names = read.names();
    issues::print(&read.ingested.issues, &names, arguments.quiet);
    if !arguments.quiet {
        summary::print_files(&read.ingested.files, &names);
        summary::print_rows(&read.ingested);
    }
    let observed = read.observed()?;
    if !arguments.quiet {
        summary::print_unknown_words(&read.ingested);
        summary::print_completeness(&read.ingested);
        wanting::print(&read, &definitions)?;
        issues::print_summary(&read.ingested.issues);
        summary::print_coverage(&read.ingested);
        console::labeled("limits", &limits::verdict(&read, &crossed));
    }
    if let Some(directory) = directory {
        let target = write(directory, arguments.list_words, &read, &crossed)?;
        if !arguments.quiet {
            let list = target.join("internal/issues.csv");
            console::labeled_lines("list", &[list.display().to_string()]);
        }
    }
    agreed::warn(&read, observed);
    warnings::coverage(&read.ingested);
    warnings::scores(&read.ingested);
    limits::warn(&crossed);
    let mut outcome = Outcome::of(&crossed);
    let kinds = issues::more_than_notes(&read.ingested.issues);
    if arguments.strict && !kinds.is_empty() {
        let kinds = kinds.join(", ");
        console::warn(&format!("more than notes were found (`--strict`): {kinds}"));
        outcome = Outcome::Warned;
    }
    Ok(outcome)
}

fn write(
    mut directory: OutputDirectory,
    lists_words: bool,
    read: &Read,
    crossed: &[String],
) -> anyhow::Result<PathBuf> {
    write_issues(&mut directory, read)?;
    if lists_words {
        write_words(&mut directory, read)?;
    }
    let manifest = Manifest {
        outputs: directory.written().to_vec(),
        ..record("check", read, crossed)?
    };
    directory.write(manifest::FILE_NAME, manifest.to_json().as_bytes())?;
    Ok(directory.finish()?)
}
