//! The files of a review, in the order in which `run.json` lists them.

use super::made::Made;
use super::record;
use super::{Arguments, Source};
use crate::cli::outputs::{write_cases_to_review, write_issues, write_words};
use crate::cli::work::{TableMaker, Work, count_tables, work, write_work};
use crate::export::comparisons::comparisons_table;
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
    let work = work(&page, "report", tables(&made.review));
    write_work(directory, &work, arguments.threads())?;
    if let Source::Rows(read) = source {
        write_issues(directory, read)?;
        if arguments.list_words {
            write_words(directory, read)?;
        }
    }
    if let Some(list) = &made.list {
        write_cases_to_review(directory, list, source.mapping())?;
    }
    let record = record::manifest(arguments, source, made, crossed, directory.written())?;
    directory.write(manifest::FILE_NAME, record.to_json().as_bytes())?;
    Ok(())
}

/// The tables of findings, then those of counts.
fn tables(review: &Review) -> Vec<Work<'_>> {
    let findings: [TableMaker<'_>; 9] = [
        Box::new(|| findings_table(&review.findings)),
        Box::new(|| headlines_table(review)),
        Box::new(|| comparisons_table(review)),
        Box::new(|| signals_table(&review.signals)),
        Box::new(|| signal_charts_table(&review.signals)),
        Box::new(|| curves_table(review)),
        Box::new(|| ends_table(review)),
        Box::new(|| funnel_table(review)),
        Box::new(|| data_quality_table(review)),
    ];
    findings
        .into_iter()
        .map(|table| Work::Table("tables", table, &Format::ALL))
        .chain(count_tables(&review.counts))
        .collect()
}
