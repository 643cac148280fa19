//! A file of staffing, row by row: which columns it must have, and what became of every row.
//!
//! Opens and cuts files as the exports of cases are opened and cut: packing, encoding, separator and
//! header are found. Knows no meaning of a column. No other columns are allowed than those that are
//! needed, since what is not needed may name a person.

mod header;
mod reading;

use crate::domain::accounting::Accounting;
use crate::domain::duty::issue::{DutyIssue, DutyIssueKind};
use crate::domain::fields::Kind;
use crate::domain::issue::Shape;
use crate::ingest::block_rows::{Row, RowReader};
use crate::ingest::blocks::{BlockFault, Blocks};
use crate::ingest::dialect::{SAMPLE_BYTES, Sample};
use crate::ingest::error::{IngestError, MappingFault};
use crate::ingest::input::{OpenInput, read_error};
use crate::ingest::missing_words::looks_like_missing;
use header::header;
use reading::Reading;
use std::io::{Cursor, Read};
use std::path::Path;

/// What was read of one file of staffing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DutyRows<T> {
    /// The rows that could be used, in the order of the file.
    pub rows: Vec<T>,
    /// What became of every row; it balances.
    pub accounting: Accounting,
    /// What is wrong, in the order of the lines.
    pub issues: Vec<DutyIssue>,
    /// How the file was read.
    pub facts: DutyFacts,
}

/// How one file of staffing was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DutyFacts {
    /// Size on disk, packed where it is packed.
    pub bytes: u64,
    /// SHA-256 of these bytes in lowercase hexadecimal.
    pub sha256: String,
    /// `none`, `gzip` or `zstd`.
    pub packing: &'static str,
    /// Name of the encoding that was found.
    pub encoding: &'static str,
    /// What stands between two cells.
    pub separator: char,
    /// Line of the header, from 1.
    pub header_line: u64,
}

/// A column that a file must have.
#[derive(Clone, Copy)]
pub(super) struct Column {
    /// Its heading, which is also our name of it.
    pub(super) name: &'static str,
    /// What it holds, for the identifier guard.
    pub(super) kind: Kind,
}

/// Why a row is set aside or left out.
#[derive(Clone, Copy)]
pub(super) struct RowFault {
    pub(super) kind: DutyIssueKind,
    pub(super) column: &'static str,
    pub(super) found: Shape,
}

impl RowFault {
    /// A fault of the row as a whole.
    pub(super) fn of_row(kind: DutyIssueKind) -> RowFault {
        RowFault {
            kind,
            column: "",
            found: Shape::NotOneCell,
        }
    }
}

/// Why a row is not used: it has a fault, or it stops the run.
pub(super) enum Refusal {
    Row(RowFault),
    Run(MappingFault),
}

impl From<RowFault> for Refusal {
    fn from(fault: RowFault) -> Refusal {
        Refusal::Row(fault)
    }
}

/// One row with as many cells as the header.
pub(super) struct DutyRow<'r> {
    row: &'r Row<'r>,
    columns: &'static [Column],
    places: &'r [usize],
    /// What is wrong beside what the row is set aside for.
    notes: Vec<RowFault>,
}

impl<'r> DutyRow<'r> {
    /// The cell of the column with this index, without space around it; `None` when it is blank or
    /// says that nothing was recorded.
    pub(super) fn cell(&self, column: usize) -> Result<Option<DutyCell<'r>>, RowFault> {
        let name = self.columns[column].name;
        let text = self.row.cell(self.places[column]).text();
        let text = text.map_err(|fault| RowFault {
            kind: DutyIssueKind::UnreadableBytes,
            column: name,
            found: fault.found,
        })?;
        let is_filled = !text.is_empty() && !looks_like_missing(text);
        Ok(is_filled.then_some(DutyCell { text, column: name }))
    }

    /// The cell of a column that every row needs.
    pub(super) fn needed(&self, column: usize) -> Result<DutyCell<'r>, RowFault> {
        self.cell(column)?.ok_or(RowFault {
            kind: DutyIssueKind::BlankCell,
            column: self.columns[column].name,
            found: Shape::Empty,
        })
    }

    /// Notes what is wrong with a row that stands all the same.
    pub(super) fn note(&mut self, fault: RowFault) {
        self.notes.push(fault);
    }

    /// Place of a column in the file, from 1.
    pub(super) fn column_number(&self, column: usize) -> usize {
        self.places[column] + 1
    }

    fn says_the_header(&self) -> bool {
        let mut cells = self.columns.iter().zip(self.places);
        cells.all(|(column, place)| {
            let text = self.row.cell(*place).text();
            text.is_ok_and(|text| text.eq_ignore_ascii_case(column.name))
        })
    }
}

/// One filled cell. No `Debug` nor `Display`: its text may identify a person.
#[derive(Clone, Copy)]
pub(super) struct DutyCell<'r> {
    pub(super) text: &'r str,
    column: &'static str,
}

impl DutyCell<'_> {
    /// What is wrong with the cell.
    pub(super) fn fault(self, kind: DutyIssueKind) -> RowFault {
        RowFault {
            kind,
            column: self.column,
            found: Shape::of(self.text),
        }
    }
}

/// Reads every row of a file with these columns, in any order and no others.
///
/// # Errors
/// When the file cannot be read or is no CSV, lacks a column, has another one or one twice, has no
/// row, seems to identify a person, or when a row stops the run.
pub(super) fn read_rows<T>(
    path: &Path,
    columns: &'static [Column],
    mut take: impl FnMut(&mut DutyRow<'_>) -> Result<T, Refusal>,
) -> Result<DutyRows<T>, IngestError> {
    let mut input = OpenInput::open(path, None, true)?;
    let input_facts = input.facts();
    let mut sample = Vec::new();
    let length = input
        .by_ref()
        .take(SAMPLE_BYTES as u64)
        .read_to_end(&mut sample)
        .map_err(|error| read_error(path, error))?;
    let dialect = header(
        &Sample {
            path,
            bytes: &sample,
            is_whole: length < SAMPLE_BYTES,
        },
        columns,
    )?;
    let mut reading = Reading::new(columns, &dialect);
    let rows_below = Cursor::new(sample.split_off(dialect.rows_offset));
    let grammar = dialect.grammar();
    let mut blocks = Blocks::new(rows_below.chain(input), grammar, dialect.rows_line);
    let mut row_reader = RowReader::new(grammar);
    let mut stopped = None;
    let mut buffer = Vec::new();
    while let Some(block) = blocks
        .next(buffer)
        .map_err(|fault| block_error(path, fault))?
    {
        row_reader.each_row(&block, |row| {
            if stopped.is_none() {
                let stop = reading.read(&row, &mut take).err();
                stopped = stop.map(|fault| duty(path, Some(row.line_number), fault));
            }
        });
        if let Some(error) = stopped {
            return Err(error);
        }
        buffer = block.bytes;
    }
    let input = blocks.into_source().into_inner().1;
    let (bytes, sha256) = input.finish()?;
    reading
        .close(path)
        .map(|(rows, accounting, issues)| DutyRows {
            rows,
            accounting,
            issues,
            facts: DutyFacts {
                bytes,
                sha256: sha256.unwrap_or_default(),
                packing: input_facts.packing.name(),
                encoding: input_facts.encoding.name(),
                separator: char::from(dialect.separator),
                header_line: dialect.header_line,
            },
        })
}

/// An error of such a file.
pub(super) fn duty(path: &Path, line_number: Option<u64>, fault: MappingFault) -> IngestError {
    IngestError::Duty {
        path: path.to_path_buf(),
        line_number,
        fault,
    }
}

fn block_error(path: &Path, fault: BlockFault) -> IngestError {
    let path = path.to_path_buf();
    match fault {
        BlockFault::Unreadable(error) => read_error(&path, error),
        BlockFault::UnclosedQuote { line_number } => {
            IngestError::UnclosedQuote { path, line_number }
        }
        BlockFault::EndlessRow { line_number } => IngestError::EndlessRow { path, line_number },
    }
}
