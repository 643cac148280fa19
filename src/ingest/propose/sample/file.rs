//! The beginning of one file of an export: how it is written, where its headings stand, and its rows
//! one by one.

use crate::ingest::block_rows::{Row, RowReader};
use crate::ingest::blocks::Block;
use crate::ingest::cell::RawCell;
use crate::ingest::dialect::{
    Certainty, Dialect, Given, Guess, Heading, Sample, guess, is_summary_row,
};
use crate::ingest::error::IngestError;
use crate::ingest::input::{InputFacts, OpenInput, read_error};
use std::io::Read;
use std::path::{Path, PathBuf};

/// Rows of a header that are tried.
const MOST_HEADER_ROWS: usize = 3;

/// The beginning of one file.
pub(in crate::ingest::propose) struct SampledFile {
    pub(super) path: PathBuf,
    pub(in crate::ingest::propose) facts: InputFacts,
    pub(in crate::ingest::propose) dialect: Dialect,
    pub(in crate::ingest::propose) certainty: Certainty,
    /// Rows, also above the headings and below the table, with more or fewer cells than most.
    pub(in crate::ingest::propose) rows_of_other_length: u64,
    /// Whether the file ends with the sample.
    pub(in crate::ingest::propose) is_whole: bool,
    /// Rows with as many cells as the header.
    pub(in crate::ingest::propose) rows: u64,
    /// Rows that end before the last column.
    pub(in crate::ingest::propose) short_rows: u64,
    bytes: Vec<u8>,
    /// For each column of the export, where it stands in this file.
    pub(super) places: Vec<Option<usize>>,
}

impl SampledFile {
    /// The name without its folder.
    pub(in crate::ingest::propose) fn name(&self) -> String {
        let name = self.path.file_name().unwrap_or(self.path.as_os_str());
        name.to_string_lossy().into_owned()
    }

    /// Opens a file and finds out how it is written.
    pub(super) fn open(path: &Path, most_bytes: usize) -> Result<SampledFile, IngestError> {
        let mut input = OpenInput::open(path, None, false)?;
        let mut bytes = Vec::new();
        input
            .by_ref()
            .take(most_bytes as u64)
            .read_to_end(&mut bytes)
            .map_err(|error| read_error(path, error))?;
        let is_whole = bytes.len() < most_bytes;
        let Guess {
            dialect,
            certainty,
            rows_seen,
            rows_alike,
        } = guess_header(&Sample {
            path,
            bytes: &bytes,
            is_whole,
        })?;
        if !is_whole {
            // The last row is cut somewhere.
            let end = bytes.iter().rposition(|byte| matches!(byte, b'\n' | b'\r'));
            bytes.truncate(end.map_or(0, |end| end + 1).max(dialect.rows_offset));
        }
        Ok(SampledFile {
            path: path.to_path_buf(),
            facts: input.facts(),
            dialect,
            certainty,
            rows_of_other_length: rows_seen.saturating_sub(rows_alike),
            is_whole,
            rows: 0,
            short_rows: 0,
            bytes,
            places: Vec::new(),
        })
    }

    /// The text of every heading.
    pub(super) fn headings(&self) -> Vec<String> {
        let headings = self.dialect.headings.iter();
        headings.map(|heading| heading.text().to_string()).collect()
    }

    /// Offers every row of the sample that has a cell for each heading and is no total. Gives the number
    /// of these rows, and of those that end before the last column.
    pub(super) fn each_row(&self, mut offer: impl FnMut(&Row<'_>)) -> (u64, u64) {
        let block = Block {
            first_line: self.dialect.rows_line,
            bytes: self.bytes[self.dialect.rows_offset..].to_vec(),
        };
        let grammar = self.dialect.grammar();
        let columns = self.dialect.headings.len();
        let (mut rows, mut short_rows) = (0, 0);
        RowReader::new(grammar).each_row(&block, |row| {
            let is_filled = |cell: &[u8]| !cell.trim_ascii().is_empty();
            let filled = row
                .cells_from(0)
                .filter(|cell| is_filled(cell.bytes()))
                .count();
            let is_total =
                2 * filled <= columns && is_summary_row(row.cells_from(0).map(RawCell::bytes));
            if filled == 0 || is_total {
            } else if row.length() < columns {
                short_rows += 1;
            } else if row.cells_from(columns).all(|cell| !is_filled(cell.bytes())) {
                rows += 1;
                offer(&row);
            }
        });
        (rows, short_rows)
    }
}

/// The header of one row, or one of several rows where one alone leaves columns without a name of
/// their own: the rows above it, or those below it in which no cell has a digit, as rows of cases have.
fn guess_header(sample: &Sample<'_>) -> Result<Guess, IngestError> {
    let found = guess(sample, &Given::default())?;
    if has_names(&found.dialect) {
        return Ok(found);
    }
    for header_rows in 2..=MOST_HEADER_ROWS {
        let given = Given {
            separator: Some(found.dialect.separator),
            header_rows: Some(header_rows),
            ..Given::default()
        };
        let Ok(higher) = guess(sample, &given) else {
            continue;
        };
        let (from, to) = (found.dialect.rows_offset, higher.dialect.rows_offset);
        let has_digits = |bytes: &[u8]| bytes.iter().any(u8::is_ascii_digit);
        let is_header = from == to
            || (from < to
                && higher.dialect.header_line == found.dialect.header_line
                && !has_digits(&sample.bytes[from..to]));
        if is_header && has_names(&higher.dialect) {
            return Ok(higher);
        }
    }
    Ok(found)
}

fn has_names(dialect: &Dialect) -> bool {
    let mut headings: Vec<&str> = dialect.headings.iter().map(Heading::text).collect();
    headings.sort_unstable();
    headings.iter().all(|heading| !heading.is_empty())
        && headings.windows(2).all(|pair| pair[0] != pair[1])
}
