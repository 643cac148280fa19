//! The files of a review, in the order in which `run.json` lists them.

use super::Arguments;
use super::made::Made;
use super::record;
use crate::cli::inputs::Read;
use crate::cli::outputs::{write_cases_to_review, write_issues, write_table, write_words};
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
use crate::report::{self, ChartImage};
use std::num::NonZeroUsize;

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
    let review = &made.review;
    let page = report::page(review);
    directory.write("report.html", page.html.as_bytes())?;
    directory.write("summary.md", page.summary.as_bytes())?;
    let threads = arguments.inputs.threads();
    let (pdf, pngs) = std::thread::scope(|scope| {
        let pdf = scope.spawn(|| page.pdf.bytes());
        let pngs = painted(&page.charts, threads);
        (pdf.join().expect("setting pages does not panic"), pngs)
    });
    directory.write("report.pdf", &pdf)?;
    for (chart, png) in page.charts.iter().zip(pngs) {
        directory.write(
            &format!("charts/{}.svg", chart.stem()),
            chart.svg().as_bytes(),
        )?;
        directory.write(&format!("charts/{}.png", chart.stem()), &png)?;
    }
    for table in [
        findings_table(&review.findings)?,
        headlines_table(review)?,
        comparisons_table(review)?,
        signals_table(&review.signals)?,
        signal_charts_table(&review.signals)?,
        curves_table(review)?,
        ends_table(review)?,
        funnel_table(review)?,
        data_quality_table(review)?,
    ] {
        write_table(directory, "tables", &table, &Format::ALL)?;
    }
    for table in count_tables(&review.counts)? {
        write_table(directory, "counts", &table, &[Format::Csv, Format::Parquet])?;
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

/// The PNG of every chart, in their order. Painting and packing pixels is most of the work of a
/// small review, so each thread takes its part.
fn painted(charts: &[ChartImage], threads: NonZeroUsize) -> Vec<Vec<u8>> {
    let part = charts.len().div_ceil(threads.get()).max(1);
    std::thread::scope(|scope| {
        let parts: Vec<_> = charts
            .chunks(part)
            .map(|part| scope.spawn(|| part.iter().map(ChartImage::png).collect::<Vec<_>>()))
            .collect();
        parts
            .into_iter()
            .flat_map(|part| part.join().expect("painting does not panic"))
            .collect()
    })
}
