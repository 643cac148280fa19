//! The files of a review, in the order in which `run.json` lists them.

use super::Arguments;
use super::made::Made;
use super::record;
use super::start::Source;
use crate::cli::outputs::{write_cases_to_review, write_issues, write_words};
use crate::cli::work::{Work, work, write_work};
use crate::export::comparisons::comparisons_table;
use crate::export::counts::count_tables;
use crate::export::curves::{curves_table, ends_table};
use crate::export::data_quality::data_quality_table;
use crate::export::directory::OutputDirectory;
use crate::export::findings::findings_table;
use crate::export::funnel::funnel_table;
use crate::export::headlines::headlines_table;
use crate::export::manifest;
use crate::export::signals::{signal_charts_table, signals_table};
use crate::export::table::Format;
use crate::findings::review::Review;
use crate::report;

/// Writes everything into `directory`, `run.json` last.
///
/// # Errors
/// When a table cannot be encoded or a file not be written.
pub(super) fn all(
    directory: &mut OutputDirectory,
    arguments: &Arguments,
    source: &Source,
    made: &Made,
    crossed: &[String],
) -> anyhow::Result<()> {
    let page = report::page(&made.review);
    let work = work(&page, "report", tables(&made.review)?);
    write_work(directory, &work, arguments.start.threads())?;
    if let Source::Rows(read) = source {
        write_issues(directory, read)?;
        if arguments.list_words {
            write_words(directory, read)?;
        }
    }
    if let Some(list) = &made.list {
        write_cases_to_review(directory, list, source.mapping())?;
    }
    let record = record::manifest(
        "review",
        &arguments.start,
        source,
        made,
        crossed,
        directory.written(),
    )?;
    directory.write(manifest::FILE_NAME, record.to_json().as_bytes())?;
    Ok(())
}

/// The tables of findings, then those of counts.
fn tables(review: &Review) -> anyhow::Result<Vec<Work<'static>>> {
    let findings = [
        findings_table(&review.findings)?,
        headlines_table(review)?,
        comparisons_table(review)?,
        signals_table(&review.signals)?,
        signal_charts_table(&review.signals)?,
        curves_table(review)?,
        ends_table(review)?,
        funnel_table(review)?,
        data_quality_table(review)?,
    ];
    let findings = findings
        .into_iter()
        .map(|table| Work::Table("tables", table, &Format::ALL));
    let counts = count_tables(&review.counts)?
        .into_iter()
        .map(|table| Work::Table("counts", table, &[Format::Csv, Format::Parquet]));
    Ok(findings.chain(counts).collect())
}
