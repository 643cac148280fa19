//! The files of a staffing report, in the order in which `run.json` lists them.

use super::Arguments;
use super::found::Extras;
use super::record;
use crate::cli::inputs::Read;
use crate::cli::outputs::{write_issues, write_table};
use crate::cli::work::{Work, work, write_work};
use crate::export::directory::OutputDirectory;
use crate::export::manifest;
use crate::export::staffing::{checks, coverage, demand, kit, load, overlap, stock};
use crate::export::table::{Format, Table, TableError};
use crate::findings::staffing::Staffing;
use crate::report;

/// Writes everything into `directory`, `run.json` last.
///
/// # Errors
/// When a table cannot be encoded or a file not be written.
pub(super) fn all(
    directory: &mut OutputDirectory,
    arguments: &Arguments,
    read: &Read,
    extras: &Extras,
    staffing: &Staffing,
    crossed: &[String],
) -> anyhow::Result<()> {
    let page = report::staffing_page(staffing);
    let tables = tables(staffing)?
        .into_iter()
        .map(|table| Work::Table("tables", table, &Format::ALL))
        .collect();
    let work = work(&page, "staffing", tables);
    write_work(directory, &work, arguments.inputs.threads())?;
    write_issues(directory, read)?;
    let record = record::manifest(arguments, read, extras, crossed, directory.written())?;
    directory.write(manifest::FILE_NAME, record.to_json().as_bytes())?;
    Ok(())
}
