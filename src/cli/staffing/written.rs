//! The files of a staffing report, in the order in which `run.json` lists them.

use super::Arguments;
use super::extras::Extras;
use super::record;
use crate::cli::inputs::Read;
use crate::cli::outputs::{write_issues, write_table};
use crate::cli::work::{TableMaker, Work, work, write_work};
use crate::export::directory::OutputDirectory;
use crate::export::manifest;
use crate::export::staffing::issues::duty_issues_table;
use crate::export::staffing::{checks, coverage, demand, kit, load, overlap, stock};
use crate::export::table::Format;
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
    let work = work(&page, "staffing", tables(staffing));
    write_work(directory, &work, arguments.inputs.threads())?;
    write_issues(directory, read)?;
    if extras.files().next().is_some() {
        let issues = duty_issues_table(extras.files().map(|file| (file.name, file.issues)))?;
        write_table(directory, "internal", &issues, &[Format::Csv])?;
    }
    let record = record::manifest(arguments, read, extras, crossed, directory.written())?;
    directory.write(manifest::FILE_NAME, record.to_json().as_bytes())?;
    Ok(())
}

/// The tables of every part that there is.
fn tables(staffing: &Staffing) -> Vec<Work<'_>> {
    let mut tables: Vec<TableMaker<'_>> = Vec::new();
    if let Some(found) = &staffing.demand {
        tables.push(Box::new(|| demand::demand_rates_table(found)));
        tables.push(Box::new(|| demand::demand_comparisons_table(found)));
        tables.push(Box::new(|| demand::demand_prediction_table(found)));
    }
    if let Some(found) = &staffing.load {
        tables.push(Box::new(|| load::load_table(found)));
        tables.push(Box::new(|| load::bound_after_hours_table(found)));
    }
    if let Some(found) = &staffing.overlap {
        tables.push(Box::new(|| overlap::overlap_table(found)));
        tables.push(Box::new(|| overlap::offered_load_table(found)));
        tables.push(Box::new(|| overlap::overlap_by_block_table(found)));
    }
    if let Some(found) = &staffing.coverage {
        tables.push(Box::new(|| coverage::coverage_table(found)));
        tables.push(Box::new(|| coverage::coverage_teams_table(found)));
        tables.push(Box::new(|| coverage::coverage_waits_table(found)));
        tables.push(Box::new(|| coverage::coverage_rates_table(found)));
    }
    tables.push(Box::new(|| stock::cart_stock_table(&staffing.stock)));
    tables.push(Box::new(|| kit::kit_cases_table(&staffing.kit)));
    tables.push(Box::new(|| kit::kit_lists_table(&staffing.kit)));
    tables.push(Box::new(|| kit::kit_items_table(&staffing.kit)));
    if let Some(found) = &staffing.checks {
        tables.push(Box::new(|| checks::cart_checks_table(Some(found))));
        tables.push(Box::new(|| checks::cart_check_days_table(Some(found))));
    }
    let work = |table| Work::Table("tables", table, &Format::ALL);
    tables.into_iter().map(work).collect()
}
