//! `counts`: the count tables alone, for whoever computes findings elsewhere or adds sites up.

use super::counting::{InView, Wants};
use super::inputs::{InputArguments, Needs, Read};
use super::outputs::record;
use super::record_files::{self, RecordFiles};
use super::work::{count_tables, write_work};
use super::{Outcome, console, limits, measures, site, summary, warnings};
use crate::domain::counts::CountTables;
use crate::domain::measure::Definition;
use crate::export::directory::OutputDirectory;
use crate::export::manifest::{self, Manifest};
use crate::findings::flow::Flow;
use crate::measure::{self, Dialect};
use clap::{Args, ValueEnum};
use std::collections::BTreeMap;
use std::path::PathBuf;

/// Options of `counts`.
#[derive(Debug, Args)]
#[command(mut_arg("cases", |cases| cases.required(false).required_unless_present("print_sql")))]
#[command(mut_arg("mapping", |mapping| mapping.required(false).required_unless_present("print_sql")))]
pub(super) struct Arguments {
    #[command(flatten)]
    inputs: InputArguments,
    /// Count the cases of this site alone, named as in the export.
    #[arg(long, value_name = "NAME")]
    site: Option<String>,
    /// Directory for the outputs; one that an earlier run made is replaced.
    #[arg(long, value_name = "DIR", default_value = "reports/counts")]
    out: PathBuf,
    /// Also count the measures of this directory.
    #[arg(long, value_name = "DIR")]
    measures: Option<PathBuf>,
    /// Also write the typed records and the observed time below internal/, for another engine to
    /// count. They hold rows of cases and never leave your premises.
    #[arg(long)]
    records: bool,
    /// Print the whole counting as SQL for this engine, over the tables that --records writes, and end.
    /// Reads no export.
    #[arg(
        long,
        value_enum,
        value_name = "DIALECT",
        conflicts_with_all = [
            "cases", "passes", "mapping", "from", "to", "threads", "site", "out", "records", "quiet"
        ]
    )]
    print_sql: Option<Engine>,
    /// Print warnings and errors only.
    #[arg(long)]
    quiet: bool,
}

/// The words of `--print-sql`.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum Engine {
    /// `DuckDB`.
    Duckdb,
    /// Spark SQL.
    Spark,
}

impl Engine {
    fn dialect(self) -> Dialect {
        match self {
            Engine::Duckdb => Dialect::DuckDb,
            Engine::Spark => Dialect::Spark,
        }
    }
}

pub(super) fn run(arguments: &Arguments) -> anyhow::Result<Outcome> {
    let definitions = measures::load(arguments.measures.as_deref())?;
    if let Some(engine) = arguments.print_sql {
        console::line(measure::counting_script(&definitions, engine.dialect())?.trim_end());
        return Ok(Outcome::Done);
    }
    // Before the exports are read: who has to choose another directory should not wait for it.
    let mut directory = OutputDirectory::create(&arguments.out)?;
    let needs = Needs {
        most_cases: usize::MAX,
        issue_list: false,
        hashes: true,
        is_quiet: arguments.quiet,
    };
    let threads = arguments.inputs.threads();
    let wants = Wants {
        definitions: &definitions,
        site: arguments.site.as_deref(),
        in_view: InView::Nothing,
        threads,
    };
    let mut files = if arguments.records {
        Some(RecordFiles::create(&mut directory)?)
    } else {
        None
    };
    let read = arguments.inputs.count(needs, wants, files.as_mut())?;
    read.observed()?;
    let (counts, _) = read.counted.tables(&read.ingested.exposure, None)?;
    let flow = flow(arguments, &read, &counts, &definitions)?;
    let crossed = limits::crossed(&read);
    let work: Vec<_> = count_tables(&counts).collect();
    write_work(&mut directory, &work, threads)?;
    if let Some(files) = files {
        files.finish(&mut directory, &read.ingested.exposure)?;
    }
    let site = arguments.site.clone();
    let manifest = Manifest {
        options: BTreeMap::from_iter(site.map(|site| ("site".to_owned(), site))),
        measures: definitions.iter().map(manifest::Measure::from).collect(),
        flow: flow.measures.iter().map(manifest::Flow::from).collect(),
        outputs: directory.written().to_vec(),
        ..record("counts", &read, &crossed)?
    };
    directory.write(manifest::FILE_NAME, manifest.to_json().as_bytes())?;
    let target = directory.finish()?;

    if !arguments.quiet {
        summary::print_read(&read);
        summary::print_flow(&flow);
        console::labeled_lines("counts", &[target.join("counts").display().to_string()]);
        console::line("  small numbers are in them: share them under a data agreement only");
        if arguments.records {
            console::labeled_lines(
                "records",
                &[target.join(record_files::FOLDER).display().to_string()],
            );
            console::line("  rows of cases are in them: they never leave your premises");
        }
    }
    warnings::coverage(&read.ingested);
    limits::warn(&crossed);
    Ok(Outcome::of(&crossed))
}

/// The way from rows to measures; it proves that the counts hold every accepted case.
fn flow(
    arguments: &Arguments,
    read: &Read,
    counts: &CountTables,
    definitions: &[Definition],
) -> anyhow::Result<Flow> {
    let ingested = &read.ingested;
    Ok(Flow::new(
        ingested.cases_accounting,
        ingested.passes_accounting,
        site::counted_cases(arguments.site.as_deref(), ingested),
        counts,
        definitions,
    )?)
}
