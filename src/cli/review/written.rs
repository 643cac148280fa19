//! The files of a review, in the order in which `run.json` lists them.

use super::Arguments;
use super::made::Made;
use super::record;
use crate::cli::console;
use crate::cli::inputs::Read;
use crate::cli::outputs::{encoded, write_cases_to_review, write_issues, write_words};
use crate::domain::side_by_side::side_by_side;
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
use crate::export::table::{Format, Table};
use crate::findings::review::Review;
use crate::report::{self, ChartImage, Pdf};

/// Said where the PDF had to be written without the rules of PDF/UA-1.
const NOT_ACCESSIBLE: &str = "report.pdf does not keep the rules of PDF/UA-1 with the names of this \
    review, so a screen reader may not read it well; report.html has the same content";

/// Something to make that takes a while, each of its own.
enum Work<'a> {
    Pdf(&'a Pdf),
    Table(&'static str, Table, &'static [Format]),
    Chart(&'a ChartImage),
}

/// Writes everything into `directory`, `run.json` last.
///
/// # Errors
/// When a table cannot be encoded or a file not be written.
pub(super) fn all(
    directory: &mut OutputDirectory,
    arguments: &Arguments,
    read: &Read,
    made: &Made,
    crossed: &[String],
) -> anyhow::Result<()> {
    let page = report::page(&made.review);
    directory.write("report.html", page.html.as_bytes())?;
    directory.write("summary.md", page.summary.as_bytes())?;
    // What takes longest first, so that no thread is left alone with it at the end.
    let mut work = vec![Work::Pdf(&page.pdf)];
    work.extend(tables(&made.review)?);
    work.extend(page.charts.iter().map(Work::Chart));
    for files in side_by_side(&work, arguments.inputs.threads(), Work::files) {
        for (path, bytes) in files? {
            directory.write(&path, &bytes)?;
        }
    }
    write_issues(directory, read)?;
    write_cases_to_review(directory, &made.list, &read.mapping)?;
    if arguments.list_words {
        write_words(directory, read)?;
    }
    let record = record::manifest(arguments, read, made, crossed, directory.written())?;
    directory.write(manifest::FILE_NAME, record.to_json().as_bytes())?;
    Ok(())
}

impl Work<'_> {
    /// The files by path, with their bytes.
    fn files(&self) -> anyhow::Result<Vec<(String, Vec<u8>)>> {
        Ok(match self {
            Work::Pdf(pdf) => {
                let file = pdf.file()?;
                if !file.keeps_rules {
                    console::warn(NOT_ACCESSIBLE);
                }
                vec![("report.pdf".to_owned(), file.bytes)]
            }
            Work::Table(folder, table, formats) => encoded(folder, table, formats)?,
            Work::Chart(chart) => vec![
                (
                    format!("charts/{}.svg", chart.stem()),
                    chart.svg().into_bytes(),
                ),
                (format!("charts/{}.png", chart.stem()), chart.png()),
            ],
        })
    }
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
