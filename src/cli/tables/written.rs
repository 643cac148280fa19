//! The files of `tables`, in the order in which `run.json` lists them.

use super::Arguments;
use crate::cli::outputs::encoded;
use crate::cli::review::made::Made;
use crate::cli::review::record;
use crate::cli::review::start::Source;
use crate::domain::side_by_side::side_by_side;
use crate::export::case_mix::case_mix_table;
use crate::export::comparisons::comparisons_table;
use crate::export::curves::{curves_table, ends_table};
use crate::export::data_package::{self, DataPackage, Resource};
use crate::export::described::described;
use crate::export::devices::devices_table;
use crate::export::directory::OutputDirectory;
use crate::export::findings::findings_table;
use crate::export::manifest;
use crate::export::measures::measures_table;
use crate::export::months::months_table;
use crate::export::table::{Format, Table, TableError};
use crate::export::values::values_table;
use crate::export::workbook::{self, workbook};
use crate::findings::case_mix::{CaseMix, Groups};
use crate::findings::review::Review;
use crate::report::papers;

/// Where the tables stand.
const FOLDER: &str = "tables";

/// What is written beside the findings.
pub(super) struct Contents {
    /// What makes the groups of the case mix.
    pub(super) by: Groups,
    /// The case mix; `None` where it may not be shared.
    pub(super) mix: Option<CaseMix>,
    /// By which rules numbers are withheld; `None` where none is.
    pub(super) sharing: Option<String>,
}

/// Writes everything into `directory`, `run.json` last.
///
/// # Errors
/// When a table cannot be encoded or a file not be written.
pub(super) fn all(
    directory: &mut OutputDirectory,
    arguments: &Arguments,
    source: &Source,
    made: &Made,
    contents: &Contents,
    crossed: &[String],
) -> anyhow::Result<()> {
    let review = &made.review;
    let tables = tables(review, contents)?;
    let resources = write_tables(directory, arguments, &tables, review.made_on.as_deref())?;
    let package = package(review, resources).to_json();
    directory.write(data_package::FILE_NAME, package.as_bytes())?;
    for (path, text) in papers(review, contents.mix.as_ref()) {
        directory.write(&path, text.as_bytes())?;
    }
    if let Some(text) = &contents.sharing {
        directory.write("sharing.md", text.as_bytes())?;
    }
    let mut record = record::manifest(
        "tables",
        &arguments.start,
        source,
        made,
        crossed,
        directory.written(),
    )?;
    record.month = None;
    let by = contents.by.code().to_owned();
    record.options.insert("by".to_owned(), by);
    if let Some(rules) = review.shared {
        record = record.for_others();
        record.options.extend([
            ("share".to_owned(), "true".to_owned()),
            ("smallest_count".to_owned(), rules.threshold.to_string()),
            ("tell_unjudged".to_owned(), rules.tells_unjudged.to_string()),
        ]);
    }
    directory.write(manifest::FILE_NAME, record.to_json().as_bytes())?;
    Ok(())
}

/// The tables in the order of the workbook. Of tables to be passed on, those without a row are left
/// out: what would stand there is withheld.
fn tables(review: &Review, contents: &Contents) -> Result<Vec<Table>, TableError> {
    let mut tables = vec![
        findings_table(&review.findings)?,
        comparisons_table(review)?,
        devices_table(review)?,
    ];
    // A curve shows single waits.
    if review.shared.is_none() {
        tables.extend([curves_table(review)?, ends_table(review)?]);
    }
    tables.push(months_table(review)?);
    if let Some(mix) = &contents.mix {
        tables.push(case_mix_table(mix)?);
    }
    tables.extend([measures_table(review)?, values_table(review)?]);
    tables.retain(|table| review.shared.is_none() || table.batch.num_rows() > 0);
    Ok(tables.iter().map(described).collect())
}

/// Files that are made by themselves.
enum Work<'a> {
    /// The workbook of all tables, with the date it bears.
    Workbook(&'a [Table], Option<&'a str>),
    /// One table in every format.
    Table(&'a Table),
}

/// A file with what a data package says of it.
type Described = (Resource, String, Vec<u8>);

impl Work<'_> {
    fn files(&self) -> anyhow::Result<Vec<Described>> {
        match self {
            Work::Workbook(tables, made_on) => {
                let bytes = workbook(tables, *made_on)?;
                let resource = Resource::workbook(workbook::FILE_NAME, &bytes)?;
                Ok(vec![(resource, workbook::FILE_NAME.to_owned(), bytes)])
            }
            Work::Table(table) => {
                let files = encoded(FOLDER, table, &Format::ALL)?;
                let described = Format::ALL.into_iter().zip(files);
                described
                    .map(|(format, (path, bytes))| {
                        let resource = Resource::new(&path, table, format, &bytes)?;
                        Ok((resource, path, bytes))
                    })
                    .collect()
            }
        }
    }
}

/// Writes the workbook, which takes longest, and each table in every format, and returns what a data
/// package says of the files.
fn write_tables(
    directory: &mut OutputDirectory,
    arguments: &Arguments,
    tables: &[Table],
    made_on: Option<&str>,
) -> anyhow::Result<Vec<Resource>> {
    let each = tables.iter().map(Work::Table);
    let work: Vec<_> = std::iter::once(Work::Workbook(tables, made_on))
        .chain(each)
        .collect();
    let files = side_by_side(&work, arguments.start.threads(), Work::files);
    let mut resources = Vec::new();
    for of_table in files {
        for (resource, path, bytes) in of_table? {
            directory.write(&path, &bytes)?;
            resources.push(resource);
        }
    }
    Ok(resources)
}

fn package(review: &Review, resources: Vec<Resource>) -> DataPackage {
    let (first, last) = (review.first_month, review.last_month);
    let inputs = review.inputs.iter();
    DataPackage::new(
        format!("Emergency endoscopy cases, {first} to {last}"),
        review.tool_version,
        review.made_on.as_deref(),
        inputs.map(|input| (input.role.as_str(), input.sha256.as_str())),
        resources,
    )
}
