//! Why ingest could not run at all. What is wrong with single rows is an issue, never one of these.

mod fault;

pub(super) use fault::MappingFault;

use super::blocks::LONGEST_ROW_BYTES;
use super::dialect::MOST_COLUMNS;
use super::guard::{GuardFinding, IdentifierKind, listed_findings, without};
use crate::domain::month::Month;
use std::path::{Path, PathBuf};

/// Ingest could not run. The message names a file and a place; `hint` says what to do.
#[derive(Debug, thiserror::Error)]
pub enum IngestError {
    /// A file could not be opened or read.
    #[error("cannot read `{}`: {source}", path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// A pattern of file names that no file has.
    #[error("no file matches `{}`", pattern.display())]
    NoMatch {
        /// The pattern as typed.
        pattern: PathBuf,
    },
    /// One file was given twice, perhaps by two names.
    #[error("`{}` is the same file as `{}`", path.display(), earlier.display())]
    SameFileTwice {
        /// The file.
        path: PathBuf,
        /// Its name where it was given first.
        earlier: PathBuf,
    },
    /// A file is of a kind that is known and is not CSV.
    #[error("`{}` is {found}, not CSV", path.display())]
    NotCsv {
        /// The file.
        path: PathBuf,
        /// What it is, with its article.
        found: &'static str,
        /// What to do about it.
        remedy: &'static str,
    },
    /// A packed file cannot be unpacked to its end.
    #[error("`{}`: the {packing} archive {what}", path.display())]
    DamagedArchive {
        /// The file.
        path: PathBuf,
        /// How it is packed.
        packing: &'static str,
        /// What is wrong with it.
        what: &'static str,
    },
    /// A file holds no byte, or nothing but blank lines.
    #[error("`{}` is empty", path.display())]
    Empty {
        /// The file.
        path: PathBuf,
    },
    /// A file holds a header and no row.
    #[error("`{}` has a header and no row below it", path.display())]
    HeaderOnly {
        /// The file.
        path: PathBuf,
    },
    /// The header of a file holds bytes that are not text.
    #[error(
        "`{}`, line {line_number}: column {column_number} of the header is not UTF-8 text",
        path.display()
    )]
    HeaderBytes {
        /// The file.
        path: PathBuf,
        /// Line on which the header starts, from 1.
        line_number: u64,
        /// From 1.
        column_number: usize,
    },
    /// A header has no end in the part of a file that is searched for it.
    #[error(
        "`{}`, line {line_number}: this row does not end within the first {} MiB, so no header was found",
        path.display(),
        searched_bytes >> 20
    )]
    HeaderTooLong {
        /// The file.
        path: PathBuf,
        /// Line on which the row starts, from 1.
        line_number: u64,
        /// How many bytes were searched.
        searched_bytes: usize,
    },
    /// A header has more columns than any table that people keep.
    #[error(
        "`{}`, line {line_number}: the header has more than {MOST_COLUMNS} columns",
        path.display()
    )]
    TooManyColumns {
        /// The file.
        path: PathBuf,
        /// Line on which the header starts, from 1.
        line_number: u64,
    },
    /// No heading is known, and no row looks like headings.
    #[error("`{}` has no row that looks like a header", path.display())]
    NoHeader {
        /// The file.
        path: PathBuf,
    },
    /// A file ends inside a quote, so an unknown number of rows stands in one cell.
    #[error("`{}`, line {line_number}: a quote opens in this row and never closes", path.display())]
    UnclosedQuote {
        /// The file.
        path: PathBuf,
        /// Line on which the row starts, from 1.
        line_number: u64,
    },
    /// A month was asked for that the mapping does not call covered.
    #[error("{asked_for} lies outside the period of the mapping, {} to {}", period.0, period.1)]
    OutsidePeriod {
        /// The month asked for.
        asked_for: Month,
        /// First and last month that the export covers.
        period: (Month, Month),
    },
    /// A mapped column is not in the header.
    #[error(
        "`{}` has no column `{heading}`, which the mapping gives for `{field}`; its header has {columns_found} columns",
        path.display()
    )]
    MissingColumn {
        /// The file.
        path: PathBuf,
        /// Our field.
        field: &'static str,
        /// The heading that the mapping gives. The header's own headings are not shown.
        heading: String,
        /// How many columns the header has.
        columns_found: usize,
        /// The separator that the header seems to use, when it is not the one in the mapping.
        likely_separator: Option<char>,
    },
    /// A mapped column stands twice in the header.
    #[error("`{}` has the column `{heading}` twice, so `{field}` is ambiguous", path.display())]
    RepeatedColumn {
        /// The file.
        path: PathBuf,
        /// Our field.
        field: &'static str,
        /// The heading that the mapping gives.
        heading: String,
    },
    /// A file that is supposed to be de-identified seems to hold identifiers of persons.
    #[error("`{}` seems to hold identifiers of persons: {}", path.display(), listed_findings(findings))]
    Identifiers {
        /// The file.
        path: PathBuf,
        /// The columns, by number; neither a heading nor a cell.
        findings: Vec<GuardFinding>,
    },
    /// A line above the header seems to identify a person.
    #[error(
        "`{}`, line {line_number}, above the header, seems to identify a person: {}",
        path.display(),
        kind.label()
    )]
    IdentifierAboveHeader {
        /// The file.
        path: PathBuf,
        /// From 1.
        line_number: u64,
        /// What it seems to hold.
        kind: IdentifierKind,
    },
    /// The column of the sites has too many different values to be one.
    #[error("`site` has {sites} different values, as if it were a {}", kind.label())]
    SitesIdentify {
        /// How many.
        sites: usize,
        /// What the column seems to hold.
        kind: IdentifierKind,
    },
    /// The mapping lists a heading under `drop` or `cleared` that no file of the export has.
    #[error(
        "{} column `{heading}`, which the mapping lists under `{list}`",
        without(path, *files)
    )]
    ListedHeadingMissing {
        /// The first file.
        path: PathBuf,
        /// How many files there are.
        files: usize,
        /// `drop` or `cleared`.
        list: &'static str,
        /// The heading that the mapping gives. The header's own headings are not shown.
        heading: String,
    },
    /// The mapping is not valid TOML, or has a key that does not exist.
    #[error("mapping `{}`: {message}", path.display())]
    MappingSyntax {
        /// The mapping file.
        path: PathBuf,
        /// Line, column and reason.
        message: String,
    },
    /// The mapping is valid TOML but contradicts itself or the list of fields.
    #[error("mapping `{}`: {}", path.display(), fault.what)]
    MappingFault {
        /// The mapping file.
        path: PathBuf,
        /// What is wrong and what to do.
        fault: MappingFault,
    },
    /// A file about the staffing cannot be used.
    #[error("`{}`{}: {}", path.display(), fault::on_line(*line_number), fault.what)]
    Duty {
        /// The file.
        path: PathBuf,
        /// From 1; `None` for the file as a whole.
        line_number: Option<u64>,
        /// What is wrong and what to do.
        fault: MappingFault,
    },
    /// How the times of a column are written is open.
    #[error("`{}`, `{field}`: {}", path.display(), fault.what)]
    TimeForm {
        /// The file.
        path: PathBuf,
        /// Our field.
        field: &'static str,
        /// What is wrong and what to do.
        fault: MappingFault,
    },
    /// Cells further down contradict the order of day and month that the first cells proved.
    #[error(
        "`{}`, line {line_number}: `{field}` has day and month the other way round than its first rows prove, here and in {count} cells in all",
        path.display()
    )]
    TimesContradicted {
        /// The file.
        path: PathBuf,
        /// Our field.
        field: &'static str,
        /// The first such line.
        line_number: u64,
        /// How many such cells.
        count: u64,
    },
    /// A row does not end within any length that a row has.
    #[error(
        "`{}`, line {line_number}: this row does not end within {} MiB",
        path.display(),
        LONGEST_ROW_BYTES >> 20
    )]
    EndlessRow {
        /// The file.
        path: PathBuf,
        /// Line on which the row starts, from 1.
        line_number: u64,
    },
    /// Passes stand both in the rows of the cases and in an export of their own.
    #[error(
        "a passes export was given, and `[cases.devices]` of the mapping reads passes from the cases"
    )]
    PassesTwice,
    /// Passes were given, but the mapping does not say what their columns mean.
    #[error("a passes export was given, and the mapping has no `[passes.columns]`")]
    PassesNotMapped,
    /// No row of the cases could be used, so there is nothing to count.
    #[error("none of the {read} rows of the cases export could be used; nothing was written")]
    NoUsableRow {
        /// Rows read.
        read: u64,
    },
}

impl IngestError {
    /// What a person can do about it.
    pub fn hint(&self) -> String {
        match self {
            IngestError::Unreadable { .. } => {
                "check the path, and that you may read the file".into()
            }
            IngestError::NoMatch { .. } => {
                "check the folder and the pattern; `*` stands for any part of a name, `?` for one character".into()
            }
            IngestError::SameFileTwice { .. } => {
                "give each file once, or its rows would count twice".into()
            }
            IngestError::NotCsv { remedy, .. } => (*remedy).into(),
            IngestError::DamagedArchive { .. } => {
                "copy or export the file again; an archive that cannot be read to its end is not used at all".into()
            }
            IngestError::Empty { .. } => "run the export again; this file holds nothing".into(),
            IngestError::HeaderOnly { .. } => {
                "check the period and the filter of the export; there is nothing to count".into()
            }
            IngestError::HeaderBytes { .. } => "export the file as UTF-8".into(),
            IngestError::HeaderTooLong { .. } => {
                "check that the file has line ends, and that `separator` and `quote` in the mapping are its own".into()
            }
            IngestError::TooManyColumns { .. } => {
                "check that the file has line ends, and that its rows are not written as columns".into()
            }
            IngestError::NoHeader { .. } => {
                "give every column a name of its own in the first row: none blank, none twice, none a number or a date".into()
            }
            IngestError::UnclosedQuote { .. } => {
                "close the quote, or double it where it belongs to the text: `\"5\"\" scope\"`".into()
            }
            IngestError::OutsidePeriod { .. } => {
                "months that the export does not cover would count as months without a call: correct `--from` and `--to`, or `[period]` in the mapping".into()
            }
            IngestError::MissingColumn {
                likely_separator: Some(separator),
                ..
            } => {
                let name = match separator {
                    '\t' => "\\t".to_string(),
                    other => other.to_string(),
                };
                format!(
                    "the header looks separated by `{name}`: set `separator = \"{name}\"` in the mapping"
                )
            }
            IngestError::MissingColumn {
                likely_separator: None,
                ..
            } => "correct the heading in the mapping, or take the field out of it".into(),
            IngestError::RepeatedColumn { .. } => {
                "give the two columns different headings in the export".into()
            }
            IngestError::Identifiers { findings, .. } => {
                let is_mapped = findings.iter().any(|finding| finding.mapped_field.is_some());
                let of_mapped = if is_mapped {
                    "; a mapped column cannot be dropped: give it other values in the export, such as random case numbers"
                } else {
                    ""
                };
                format!(
                    "take the columns out of the export, or add their headings to `drop` in `[cases]` or `[passes]` of the mapping{of_mapped}; where a person has looked at a column and it is harmless, add its heading to `cleared` instead"
                )
            }
            IngestError::IdentifierAboveHeader { .. } => {
                "take it out of the export; nothing above the header is needed".into()
            }
            IngestError::SitesIdentify { .. } => {
                "names of sites stand in reports: check which column the mapping gives for `site`".into()
            }
            IngestError::ListedHeadingMissing { list, .. } => {
                format!("correct the heading in `{list}`, or take it off the list")
            }
            IngestError::MappingSyntax { .. } => {
                "README lists the keys of a mapping; `sample_data/mapping.toml` is a complete one"
                    .into()
            }
            IngestError::MappingFault { fault, .. }
            | IngestError::Duty { fault, .. }
            | IngestError::TimeForm { fault, .. } => fault.hint.clone(),
            IngestError::TimesContradicted { .. } => {
                "if two systems wrote this file, split it; if one form is right throughout, set it in the mapping: cells of another form then count as missing".into()
            }
            IngestError::EndlessRow { .. } => {
                "look for a quote that opens on this line and never closes, or for a file without line ends".into()
            }
            IngestError::PassesTwice => {
                "leave `--passes` out, or take `[cases.devices]` out of the mapping".into()
            }
            IngestError::PassesNotMapped => {
                "add `[passes.columns]` with `case_id`, `pass_number` and `device` to the mapping, or leave `--passes` out".into()
            }
            IngestError::NoUsableRow { .. } => {
                "the issues say what is wrong with the rows: `scopetally check` lists them".into()
            }
        }
    }

    pub(super) fn unreadable(path: &Path, source: std::io::Error) -> IngestError {
        IngestError::Unreadable {
            path: path.to_path_buf(),
            source,
        }
    }
}
