//! Files that take a while to make, each of its own: pages, charts, tables. They are made and written
//! side by side.

use super::console;
use super::outputs::encoded;
use crate::domain::counts::CountTables;
use crate::export::counts::{events_table, minutes_table, passes_table, shares_table};
use crate::export::directory::OutputDirectory;
use crate::export::table::{Format, Table, TableError};
use crate::report::{ChartImage, Page};
use std::num::NonZeroUsize;

/// Said where the PDF had to be written without the rules of PDF/UA-1.
const NOT_ACCESSIBLE: &str = "the PDF does not keep the rules of PDF/UA-1 with the names of this \
    report, so a screen reader may not read it well; the HTML page has the same content";

/// Something to make.
pub(super) enum Work<'a> {
    /// A page of this name as HTML, and its first section and cautions as `summary.md`.
    Html(&'a Page, &'static str),
    /// A page of this name as PDF.
    Pdf(&'a Page, &'static str),
    /// A chart as SVG and PNG, below `charts/`.
    Chart(ChartImage<'a>),
    /// A table in a folder.
    Table(&'static str, TableMaker<'a>, &'static [Format]),
}

/// Makes a table. It is held no longer than until its files are written.
pub(super) type TableMaker<'a> = Box<dyn Fn() -> Result<Table, TableError> + Sync + 'a>;

/// The four tables of counts.
pub(super) fn count_tables(counts: &CountTables) -> impl Iterator<Item = Work<'_>> {
    [shares_table, minutes_table, passes_table, events_table]
        .into_iter()
        .map(move |table| {
            let formats = &[Format::Csv, Format::Parquet];
            Work::Table("counts", Box::new(move || table(counts)), formats)
        })
}

/// A page whose files bear `name`, its tables and its charts: what takes longest first, so that no
/// thread is left alone with it at the end.
pub(super) fn work<'a>(page: &'a Page, name: &'static str, tables: Vec<Work<'a>>) -> Vec<Work<'a>> {
    let mut work = vec![Work::Pdf(page, name), Work::Html(page, name)];
    work.extend(tables);
    work.extend(page.charts().map(Work::Chart));
    work
}

/// Makes and writes the files.
///
/// # Errors
/// When a table cannot be encoded or a file not be written.
pub(super) fn write_work(
    directory: &mut OutputDirectory,
    work: &[Work<'_>],
    threads: NonZeroUsize,
) -> anyhow::Result<()> {
    directory.write_side_by_side(work, threads, Work::files)
}

impl Work<'_> {
    /// The files by path, with their bytes.
    fn files(&self) -> anyhow::Result<Vec<(String, Vec<u8>)>> {
        Ok(match self {
            Work::Html(page, name) => vec![
                (format!("{name}.html"), page.html().into_bytes()),
                ("summary.md".to_owned(), page.summary().into_bytes()),
            ],
            Work::Pdf(page, name) => {
                let file = page.pdf()?;
                if !file.keeps_rules {
                    console::warn(NOT_ACCESSIBLE);
                }
                vec![(format!("{name}.pdf"), file.bytes)]
            }
            Work::Chart(chart) => {
                let path = |ending| format!("charts/{}.{ending}", chart.stem());
                vec![
                    (path("svg"), chart.svg().into_bytes()),
                    (path("png"), chart.png()),
                ]
            }
            Work::Table(folder, table, formats) => encoded(folder, &table()?, formats)?,
        })
    }
}
